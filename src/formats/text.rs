//! Words and numbers of the text formats. Bytes, not `str`: names in old files are Latin-1.

use super::{Place, ReadError, admit};

/// The text without a byte order mark and without the padding some old programs leave behind it.
pub(super) fn trimmed(bytes: &[u8]) -> &[u8] {
    without_padding(without_mark(bytes))
}

/// The text without a byte order mark.
pub(super) fn without_mark(bytes: &[u8]) -> &[u8] {
    bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes)
}

/// Marked-up text in UTF-16, with a byte order mark or without one.
pub(super) const fn is_wide(bytes: &[u8]) -> bool {
    matches!(bytes, [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..] | [b'<', 0, ..] | [0, b'<', ..])
}

/// The text without the padding some old programs leave behind it.
pub(super) fn without_padding(bytes: &[u8]) -> &[u8] {
    let end = bytes.iter().rposition(|b| !matches!(b, 0 | 0x1A)).map_or(0, |last| last + 1);
    &bytes[..end]
}

pub(super) const fn is_space(byte: u8) -> bool {
    matches!(byte, b' ' | b'\t' | b'\n' | b'\r' | 0x0B | 0x0C)
}

/// Words between white space, with the line they stand on. Lines end in LF, CR LF or CR.
pub(super) struct Words<'a> {
    text: &'a [u8],
    at: usize,
    line: usize,
}

impl<'a> Words<'a> {
    pub(super) const fn new(text: &'a [u8]) -> Self {
        Self { text, at: 0, line: 1 }
    }

    /// The line of the word last given, from 1.
    pub(super) const fn line(&self) -> usize {
        self.line
    }

    /// Goes to the end of the line, so that the next word is the first of a later line.
    pub(super) fn skip_line(&mut self) {
        let rest = &self.text[self.at..];
        self.at += rest.iter().position(|b| matches!(b, b'\n' | b'\r')).unwrap_or(rest.len());
    }

    /// The next word, which has to be there.
    pub(super) fn require(&mut self, expected: &'static str) -> Result<&'a [u8], ReadError> {
        self.next().ok_or(ReadError::TextCut { line: self.line, expected })
    }
}

impl<'a> Iterator for Words<'a> {
    type Item = &'a [u8];

    fn next(&mut self) -> Option<&'a [u8]> {
        while let Some(&byte) = self.text.get(self.at).filter(|&&b| is_space(b)) {
            let half_of_crlf = byte == b'\r' && self.text.get(self.at + 1) == Some(&b'\n');
            self.line += usize::from(matches!(byte, b'\n' | b'\r') && !half_of_crlf);
            self.at += 1;
        }
        let rest = &self.text[self.at..];
        let length = rest.iter().position(|&b| is_space(b)).unwrap_or(rest.len());
        self.at += length;
        (length > 0).then(|| &rest[..length])
    }
}

/// Lines with their numbers, from 1. Lines end in LF, CR LF or CR.
pub(super) struct Lines<'a> {
    rest: &'a [u8],
    line: usize,
}

impl<'a> Lines<'a> {
    pub(super) const fn new(text: &'a [u8]) -> Self {
        Self { rest: text, line: 0 }
    }

    /// The number of the line last given.
    pub(super) const fn line(&self) -> usize {
        self.line
    }

    pub(super) const fn is_at_end(&self) -> bool {
        self.rest.is_empty()
    }
}

impl<'a> Iterator for Lines<'a> {
    type Item = &'a [u8];

    fn next(&mut self) -> Option<&'a [u8]> {
        if self.rest.is_empty() {
            return None;
        }
        self.line += 1;
        let end = self.rest.iter().position(|b| matches!(b, b'\n' | b'\r'));
        let (line, rest) = match end {
            None => (self.rest, &[][..]),
            Some(end) => {
                let break_bytes = 1 + usize::from(self.rest[end..].starts_with(b"\r\n"));
                (&self.rest[..end], &self.rest[end + break_bytes..])
            }
        };
        self.rest = rest;
        Some(line)
    }
}

/// A coordinate written as a decimal number.
pub(super) fn coordinate(word: &[u8], line: usize) -> Result<f64, ReadError> {
    match parsed(word) {
        Some(value) => admit(value, Place::Line(line)),
        None => Err(not_a_number(word, line)),
    }
}

/// A finite decimal number of any size, such as a normal or a colour.
pub(super) fn number(word: &[u8], line: usize) -> Result<f64, ReadError> {
    match parsed(word) {
        Some(value) if value.is_finite() => Ok(value),
        Some(_) => Err(ReadError::NotFinite { place: Place::Line(line) }),
        None => Err(not_a_number(word, line)),
    }
}

fn parsed(word: &[u8]) -> Option<f64> {
    std::str::from_utf8(word).ok()?.parse().ok()
}

/// Says what is wrong with a word that should be a number.
fn not_a_number(word: &[u8], line: usize) -> ReadError {
    if word.contains(&b',') {
        ReadError::Comma { line, found: shortened(word) }
    } else if is_nan_or_infinity(word) {
        ReadError::NotFinite { place: Place::Line(line) }
    } else {
        ReadError::Unexpected { line, expected: "a number", found: shortened(word) }
    }
}

/// NaN and infinity as the run-time libraries of several languages print them:
/// `nan`, `-nan(ind)`, `1.#QNAN`, `-1.#IND`, `inf`.
fn is_nan_or_infinity(word: &[u8]) -> bool {
    let unsigned = word.strip_prefix(b"-").or(word.strip_prefix(b"+")).unwrap_or(word);
    let begins = |with: &[u8]| {
        unsigned.get(..with.len()).is_some_and(|start| start.eq_ignore_ascii_case(with))
    };
    begins(b"nan") || begins(b"inf") || begins(b"1.#")
}

/// A word of the file, fit to be shown in a message.
pub(super) fn shortened(word: &[u8]) -> String {
    const MOST_CHARACTERS: usize = 24;
    let text = String::from_utf8_lossy(&word[..word.len().min(4 * MOST_CHARACTERS)]);
    let printable = |c: char| if c.is_control() { char::REPLACEMENT_CHARACTER } else { c };
    let mut shown: String = text.chars().take(MOST_CHARACTERS).map(printable).collect();
    if text.chars().nth(MOST_CHARACTERS).is_some() {
        shown.push('…');
    }
    shown
}
