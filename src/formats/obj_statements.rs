//! Checks an OBJ text line by line and hands on only what `tobj` can read without harm.
//!
//! Taken out: comments (also Latin-1 ones), names, groups, materials, texture coordinates and
//! normals (they never split a corner here), colours, lines and points. Mended: `\` at the end
//! of a line, CR line ends. Every fault is met here first, where the line number is known.

use std::io::{self, BufRead, Read};

use super::polygon::MOST_CORNERS;
use super::text::{self, Lines, Words};
use super::{Element, Format, Place, ReadError, check_count};

/// How much reduced text is made at a time.
const PIECE_BYTES: usize = 1 << 16;

/// The reduced text, made piece by piece as it is read.
pub(super) struct Reduced<'a> {
    lines: Lines<'a>,
    /// Words of the statement at hand, and the line it began on.
    words: Vec<&'a [u8]>,
    line: usize,
    piece: Vec<u8>,
    given: usize,
    counts: [Count; 3],
    faces: usize,
    /// Triangles that the faces are cut into, and the most that are read.
    triangles: u64,
    most: u64,
    /// The text does not end in a line end, and whether that concerns a vertex or face.
    lacks_line_end: bool,
    open_ended: bool,
    fault: Option<ReadError>,
}

/// What the whole text held.
pub(super) struct Summary {
    /// Faces handed on.
    pub(super) faces: usize,
    /// The last line holds a vertex or face and has no line end.
    pub(super) open_ended: bool,
}

/// Statements of one kind so far, and the largest number a face gave.
#[derive(Clone, Copy, Default)]
struct Count {
    statements: usize,
    largest: i64,
    largest_line: usize,
}

const ELEMENTS: [Element; 3] = [Element::Vertex, Element::TextureCoordinate, Element::Normal];

impl<'a> Reduced<'a> {
    pub(super) fn new(text: &'a [u8], most: u64) -> Self {
        Self {
            lines: Lines::new(text),
            words: Vec::new(),
            line: 0,
            piece: Vec::with_capacity(PIECE_BYTES + 1024),
            given: 0,
            counts: Default::default(),
            faces: 0,
            triangles: 0,
            most,
            lacks_line_end: text.last().is_some_and(|b| !matches!(b, b'\n' | b'\r')),
            open_ended: false,
            fault: None,
        }
    }

    /// The verdict, to be asked for when all has been read.
    pub(super) fn finish(self) -> Result<Summary, ReadError> {
        if let Some(fault) = self.fault {
            return Err(fault);
        }
        // Faces may come before what they name, so this can only be told at the end.
        for (count, element) in self.counts.iter().zip(ELEMENTS) {
            let unused = element != Element::Vertex && count.statements == 0;
            if count.largest > count.statements as i64 && !unused {
                return Err(ReadError::ObjIndex {
                    line: count.largest_line,
                    element,
                    index: count.largest,
                    count: count.statements,
                });
            }
        }
        match (self.faces, self.counts[0].statements) {
            (0, 0) => Err(ReadError::NoTriangles(Format::Obj)),
            (0, points) => Err(ReadError::PointCloud { points }),
            (faces, _) => Ok(Summary { faces, open_ended: self.open_ended }),
        }
    }

    /// Goes to the next statement that matters and puts its words into `words`.
    fn next_statement(&mut self) -> Result<bool, ReadError> {
        self.words.clear();
        while let Some(line) = self.lines.next() {
            self.words.extend(Words::new(line).take_while(|word| !word.starts_with(b"#")));
            let Some(&first) = self.words.first() else { continue };
            self.line = self.lines.line();
            match first {
                b"v" | b"vt" | b"vn" | b"f" | b"fo" => {
                    self.take_continuations()?;
                    return Ok(true);
                }
                b"surf" => return Err(self.unread("surf")),
                b"call" => return Err(self.unread("call")),
                _ => self.words.clear(),
            }
        }
        Ok(false)
    }

    fn unread(&self, word: &'static str) -> ReadError {
        ReadError::ObjStatement { line: self.line, word }
    }

    /// Appends the following line for as long as the last word ends in a backslash.
    fn take_continuations(&mut self) -> Result<(), ReadError> {
        while let Some(bare) = self.words.last().and_then(|word| word.strip_suffix(b"\\")) {
            self.words.pop();
            if !bare.is_empty() {
                self.words.push(bare);
            }
            let Some(line) = self.lines.next() else {
                let expected = "the rest of the line before";
                return Err(ReadError::TextCut { line: self.lines.line(), expected });
            };
            self.words.extend(Words::new(line).take_while(|word| !word.starts_with(b"#")));
        }
        Ok(())
    }

    /// Checks one statement and writes it out. `false` at the end of the text.
    fn reduce_statement(&mut self) -> Result<bool, ReadError> {
        if !self.next_statement()? {
            return Ok(false);
        }
        match self.words[0] {
            b"v" => self.vertex()?,
            b"vt" => self.unused_numbers(1)?,
            b"vn" => self.unused_numbers(2)?,
            _ => self.face()?,
        }
        self.open_ended = self.lacks_line_end && self.lines.is_at_end();
        Ok(true)
    }

    /// `v x y z`, with a weight of 1 or a colour behind it.
    fn vertex(&mut self) -> Result<(), ReadError> {
        let line = self.line;
        let numbers = &self.words[1..];
        if !matches!(numbers.len(), 3 | 4 | 6 | 7) {
            let expected = "a vertex with 3 coordinates";
            if self.lines.is_at_end() {
                return Err(ReadError::TextCut { line, expected });
            }
            let found = text::shortened(&self.words.join(&b' '));
            return Err(ReadError::Unexpected { line, expected, found });
        }
        for number in numbers {
            text::coordinate(number, line)?;
        }
        if numbers.len() == 4 && text::coordinate(numbers[3], line)? != 1.0 {
            return Err(ReadError::ObjWeight { line });
        }
        self.counts[0].statements += 1;
        self.piece.extend_from_slice(b"v");
        for number in &numbers[..3] {
            self.piece.push(b' ');
            self.piece.extend_from_slice(number);
        }
        self.piece.push(b'\n');
        Ok(())
    }

    /// `vt` or `vn`: not used, but a file with a NaN is refused whole.
    fn unused_numbers(&mut self, element: usize) -> Result<(), ReadError> {
        for number in &self.words[1..] {
            text::number(number, self.line)?;
        }
        self.counts[element].statements += 1;
        Ok(())
    }

    /// `f a b c`, each corner as `v`, `v/vt`, `v//vn` or `v/vt/vn`.
    fn face(&mut self) -> Result<(), ReadError> {
        let corners = self.words.len() - 1;
        if corners < 3 {
            return Err(ReadError::FaceTooShort { place: Place::Line(self.line), corners });
        }
        if corners > MOST_CORNERS {
            let most = MOST_CORNERS;
            let place = Place::Line(self.line);
            return Err(ReadError::FaceTooLong { place, corners, most });
        }
        self.piece.extend_from_slice(b"f");
        for i in 1..=corners {
            let vertex = self.corner(self.words[i])?;
            self.piece.push(b' ');
            self.piece.extend_from_slice(vertex);
        }
        self.piece.push(b'\n');
        self.faces += 1;
        self.triangles += corners as u64 - 2;
        check_count(self.triangles, false, self.most)
    }

    /// Checks one corner and gives its vertex number as written.
    fn corner(&mut self, word: &'a [u8]) -> Result<&'a [u8], ReadError> {
        let line = self.line;
        let unexpected = || {
            let expected = "a face corner, such as 7 or 7/3/5,";
            ReadError::Unexpected { line, expected, found: text::shortened(word) }
        };
        let mut vertex = None;
        for (place, part) in word.split(|&b| b == b'/').enumerate() {
            if part.is_empty() && place > 0 {
                continue;
            }
            let count = self.counts.get_mut(place).ok_or_else(unexpected)?;
            let text = std::str::from_utf8(part).map_err(|_| unexpected())?;
            let index: i64 = text.parse().map_err(|_| unexpected())?;
            if !count.admits(index, line) && (place == 0 || count.statements > 0) {
                let element = ELEMENTS[place];
                return Err(ReadError::ObjIndex { line, element, index, count: count.statements });
            }
            if place == 0 {
                vertex = Some(part);
            }
        }
        vertex.ok_or_else(unexpected)
    }
}

impl Count {
    /// Whether a number may be right, as far as can be told before the end of the text.
    fn admits(&mut self, index: i64, line: usize) -> bool {
        if index > self.largest {
            self.largest = index;
            self.largest_line = line;
        }
        index > 0 || (index < 0 && index.unsigned_abs() <= self.statements as u64)
    }
}

impl BufRead for Reduced<'_> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if self.given == self.piece.len() {
            self.piece.clear();
            self.given = 0;
            while self.fault.is_none() && self.piece.len() < PIECE_BYTES {
                match self.reduce_statement() {
                    Ok(true) => {}
                    Ok(false) => break,
                    Err(fault) => self.fault = Some(fault),
                }
            }
        }
        if self.fault.is_some() {
            return Err(io::ErrorKind::InvalidData.into());
        }
        Ok(&self.piece[self.given..])
    }

    fn consume(&mut self, count: usize) {
        self.given += count;
    }
}

impl Read for Reduced<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.fill_buf()?.read(buffer)?;
        self.consume(count);
        Ok(count)
    }
}
