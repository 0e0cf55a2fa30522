//! OFF (reference F6): counts, positions, faces, one a line.
//!
//! Whatever follows a position or a face on its line (normals, colours, texture coordinates) is
//! not used.

use super::indexed::Indexed;
use super::text::{self, Lines, Words};
use super::{Format, Place, RawMesh, ReadError, check_count, open_end_finding};
use crate::mesh::Vec3;

/// Keywords of files with three coordinates: texture, colour and normals may come with them.
const KEYWORDS: [&[u8]; 8] =
    [b"OFF", b"COFF", b"NOFF", b"CNOFF", b"STOFF", b"STCOFF", b"STNOFF", b"STCNOFF"];
/// Keywords of files with another number of coordinates.
const OTHER_SPACES: [&[u8]; 4] = [b"4OFF", b"nOFF", b"4nOFF", b"C4OFF"];

/// Whether the text begins with the keyword, after comments.
pub(super) fn begins(text: &[u8]) -> bool {
    let first = Lines::new(text)
        .find_map(|line| Words::new(line).next().filter(|word| !word.starts_with(b"#")));
    first.is_some_and(|word| OTHER_SPACES.contains(&word) || glued_count(word).is_some())
}

/// What follows the keyword in its word: nothing, or, in one large public collection, the first
/// of the counts.
fn glued_count(word: &[u8]) -> Option<&[u8]> {
    if KEYWORDS.contains(&word) {
        return Some(b"");
    }
    word.strip_prefix(b"OFF").filter(|rest| rest.iter().all(u8::is_ascii_digit))
}

pub(super) fn read(bytes: &[u8], most: u64) -> Result<RawMesh, ReadError> {
    let text = text::trimmed(bytes);
    let mut reader = Reader { lines: Lines::new(text), words: Vec::new() };
    let [vertices, faces] = reader.counts(text.len())?;
    check_count(faces as u64, false, most)?;
    let mut positions = Vec::with_capacity(vertices);
    for _ in 0..vertices {
        positions.push(reader.position()?);
    }
    let mut mesh = Indexed::new(positions, faces, most)?;
    let mut corners = Vec::new();
    for _ in 0..faces {
        reader.face(&mut corners)?;
        mesh.face(&corners, Place::Line(reader.lines.line()))?;
    }
    if reader.go_to_next() {
        return Err(reader.unexpected("the end of the file", 0));
    }
    let mut mesh = mesh.finish(Format::Off)?;
    let lacks_line_end = text.last().is_some_and(|b| !matches!(b, b'\n' | b'\r'));
    mesh.findings.extend(open_end_finding(lacks_line_end));
    Ok(mesh)
}

struct Reader<'a> {
    lines: Lines<'a>,
    /// Words of the line at hand, without comments.
    words: Vec<&'a [u8]>,
}

impl<'a> Reader<'a> {
    /// Goes to the next line that holds anything but a comment.
    fn go_to_next(&mut self) -> bool {
        self.words.clear();
        for line in self.lines.by_ref() {
            let code = line.split(|&b| b == b'#').next().unwrap_or_default();
            self.words.extend(Words::new(code));
            if !self.words.is_empty() {
                return true;
            }
        }
        false
    }

    fn require(&mut self, expected: &'static str) -> Result<(), ReadError> {
        if self.go_to_next() { Ok(()) } else { Err(self.cut(expected)) }
    }

    const fn cut(&self, expected: &'static str) -> ReadError {
        ReadError::TextCut { line: self.lines.line(), expected }
    }

    fn unexpected(&self, expected: &'static str, word: usize) -> ReadError {
        let found =
            self.words.get(word).map_or("the end of the line".into(), |w| text::shortened(w));
        ReadError::Unexpected { line: self.lines.line(), expected, found }
    }

    /// The numbers of vertices and faces, behind the keyword or on the next line. The number of
    /// edges is often wrong and not used.
    fn counts(&mut self, length: usize) -> Result<[usize; 2], ReadError> {
        const EXPECTED: &str = "the numbers of vertices and faces";
        self.require("`OFF`")?;
        let keyword = self.words.remove(0);
        if OTHER_SPACES.contains(&keyword) {
            return Err(ReadError::OffKind {
                what: "an OFF file of another than three dimensions",
            });
        }
        if self.words.first().is_some_and(|w| w.eq_ignore_ascii_case(b"binary")) {
            return Err(ReadError::OffKind { what: "a binary OFF file" });
        }
        match glued_count(keyword) {
            Some(b"") | None if self.words.is_empty() => self.require(EXPECTED)?,
            Some(glued) if !glued.is_empty() => self.words.insert(0, glued),
            _ => {}
        }
        if self.words.len() < 2 && self.lines.is_at_end() {
            return Err(self.cut(EXPECTED));
        }
        if !matches!(self.words.len(), 2 | 3) {
            return Err(self.unexpected(EXPECTED, 3));
        }
        let mut counts = [0; 2];
        for (at, count) in counts.iter_mut().enumerate() {
            *count = whole(self.words[at])
                .and_then(|n| usize::try_from(n).ok())
                .ok_or_else(|| self.unexpected("a number of vertices or faces", at))?;
        }
        // A position takes at least 6 bytes, a face 8; the last line may lack its end.
        let least = counts[0].saturating_mul(6).saturating_add(counts[1].saturating_mul(8));
        if least > length {
            let [vertices, faces] = counts;
            return Err(ReadError::OffCounts { line: self.lines.line(), vertices, faces });
        }
        Ok(counts)
    }

    fn position(&mut self) -> Result<Vec3, ReadError> {
        self.require("a vertex")?;
        let line = self.lines.line();
        if self.words.len() < 3 {
            let expected = "a vertex with 3 coordinates";
            let is_cut = self.lines.is_at_end();
            return Err(if is_cut { self.cut(expected) } else { self.unexpected(expected, 3) });
        }
        let mut position = [0.0; 3];
        for (axis, word) in position.iter_mut().zip(&self.words) {
            *axis = text::coordinate(word, line)?;
        }
        self.check_unused(3)?;
        Ok(Vec3::from_array(position))
    }

    /// A count, so many corners, and perhaps a colour.
    fn face(&mut self, corners: &mut Vec<i64>) -> Result<(), ReadError> {
        self.require("a face")?;
        let count = whole(self.words[0])
            .and_then(|n| usize::try_from(n).ok())
            .ok_or_else(|| self.unexpected("a face's number of corners", 0))?;
        if count >= self.words.len() {
            let expected = "a face with all its corners";
            let is_cut = self.lines.is_at_end();
            let end = self.words.len();
            return Err(if is_cut { self.cut(expected) } else { self.unexpected(expected, end) });
        }
        corners.clear();
        for at in 1..=count {
            let corner = whole(self.words[at]);
            corners.push(corner.ok_or_else(|| self.unexpected("the number of a vertex", at))?);
        }
        self.check_unused(count + 1)
    }

    /// Not used, but a file with a NaN is refused whole.
    fn check_unused(&self, from: usize) -> Result<(), ReadError> {
        for word in &self.words[from..] {
            text::number(word, self.lines.line())?;
        }
        Ok(())
    }
}

fn whole(word: &[u8]) -> Option<i64> {
    std::str::from_utf8(word).ok()?.parse().ok()
}
