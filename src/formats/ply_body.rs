//! The numbers in the body of a PLY file, one after the other, in any of its three encodings.

use super::ply_header::{Element, Encoding, Header, PlyFault, Scalar, kind};
use super::text::{self, Lines, Words};
use super::{Place, ReadError};

/// A body that is read record by record.
///
/// Every number is finite: a file with a NaN is refused whole, whatever the NaN stands for.
pub(super) trait Body {
    /// Goes to the next record of this element, which is number `index` from 0.
    fn begin(&mut self, element: &Element<'_>, index: u64) -> Result<(), ReadError>;
    /// The next number of the record.
    fn value(&mut self, scalar: Scalar) -> Result<f64, ReadError>;
    /// Ends the record, which must have no more numbers.
    fn end(&mut self) -> Result<(), ReadError>;
    /// Where the number last given stands.
    fn place(&self) -> Place;
    /// Passes over an element that is not wanted.
    fn skip(&mut self, element: &Element<'_>) -> Result<(), ReadError> {
        // Records without properties take no room, so their count may be anything.
        if element.properties.is_empty() {
            return Ok(());
        }
        for index in 0..element.count {
            self.begin(element, index)?;
            for property in &element.properties {
                let values = match property.count {
                    None => 1,
                    Some(count) => length(self, count)?,
                };
                for _ in 0..values {
                    self.value(property.value)?;
                }
            }
            self.end()?;
        }
        Ok(())
    }
}

/// The length of a list. Nothing is set aside for its members: each must be read to count.
#[inline]
pub(super) fn length<B: Body + ?Sized>(body: &mut B, count: Scalar) -> Result<usize, ReadError> {
    let length = body.value(count)?;
    if length < 0.0 || length.fract() != 0.0 || length > f64::from(u32::MAX) {
        return Err(ReadError::ListLength { place: body.place(), length });
    }
    Ok(length as usize)
}

/// A binary body.
pub(super) struct Binary<'a> {
    bytes: &'a [u8],
    at: usize,
    big: bool,
    kind: &'static str,
    announced: u64,
    index: u64,
    last: usize,
}

impl<'a> Binary<'a> {
    /// Checks that the records that are announced can be there at all.
    pub(super) fn new(bytes: &'a [u8], header: &Header<'_>) -> Result<Self, ReadError> {
        let mut body = Self {
            bytes,
            at: header.body_at,
            big: header.encoding == Encoding::BigEndian,
            kind: "element",
            announced: 0,
            index: 0,
            last: 0,
        };
        let mut left = (bytes.len() - header.body_at) as u64;
        for element in &header.elements {
            let least = element.least_bytes();
            let needed = least.saturating_mul(element.count);
            if needed > left {
                body.announced = element.count;
                body.kind = kind(element.name);
                body.index = left / least.max(1);
                return Err(body.cut());
            }
            left -= needed;
        }
        Ok(body)
    }

    /// How many bytes have not been read.
    pub(super) const fn left(&self) -> usize {
        self.bytes.len() - self.at
    }

    fn cut(&self) -> ReadError {
        ReadError::PlyCut {
            kind: self.kind,
            announced: self.announced,
            whole: self.index,
            bytes: self.bytes.len(),
        }
    }

    #[inline]
    fn take<const N: usize>(&mut self) -> Result<[u8; N], ReadError> {
        let rest = &self.bytes[self.at..];
        let Some(taken) = rest.first_chunk::<N>() else { return Err(self.cut()) };
        self.last = self.at;
        self.at += N;
        let mut taken = *taken;
        if self.big {
            taken.reverse();
        }
        Ok(taken)
    }
}

impl Body for Binary<'_> {
    #[inline]
    fn begin(&mut self, element: &Element<'_>, index: u64) -> Result<(), ReadError> {
        if index == 0 {
            self.kind = kind(element.name);
            self.announced = element.count;
        }
        self.index = index;
        Ok(())
    }

    #[inline]
    fn value(&mut self, scalar: Scalar) -> Result<f64, ReadError> {
        let value = match scalar {
            Scalar::I8 => f64::from(i8::from_le_bytes(self.take()?)),
            Scalar::U8 => f64::from(u8::from_le_bytes(self.take()?)),
            Scalar::I16 => f64::from(i16::from_le_bytes(self.take()?)),
            Scalar::U16 => f64::from(u16::from_le_bytes(self.take()?)),
            Scalar::I32 => f64::from(i32::from_le_bytes(self.take()?)),
            Scalar::U32 => f64::from(u32::from_le_bytes(self.take()?)),
            Scalar::F32 => f64::from(f32::from_le_bytes(self.take()?)),
            Scalar::F64 => f64::from_le_bytes(self.take()?),
        };
        if value.is_finite() {
            Ok(value)
        } else {
            Err(ReadError::NotFinite { place: self.place() })
        }
    }

    #[inline]
    fn end(&mut self) -> Result<(), ReadError> {
        Ok(())
    }

    fn place(&self) -> Place {
        Place::record(self.kind, self.index, self.last)
    }
}

/// A text body: one record a line.
pub(super) struct Ascii<'a> {
    lines: Lines<'a>,
    first_line: usize,
    words: Words<'a>,
    kind: &'static str,
    lacks_line_end: bool,
}

impl<'a> Ascii<'a> {
    pub(super) fn new(bytes: &'a [u8], header: &Header<'_>) -> Result<Self, ReadError> {
        let text = &bytes[header.body_at..];
        // A number takes at least two bytes with what parts it from the next.
        let least = |e: &Element<'_>| e.count.saturating_mul(2 * e.properties.len() as u64);
        if header.elements.iter().map(least).fold(0, u64::saturating_add) > text.len() as u64 + 1 {
            let line = header.body_line.saturating_sub(1);
            return Err(ReadError::PlyHeader { line, fault: PlyFault::TooMany });
        }
        let text = text::without_padding(text);
        Ok(Self {
            lines: Lines::new(text),
            first_line: header.body_line,
            words: Words::new(b""),
            kind: "element",
            lacks_line_end: text.last().is_some_and(|b| !matches!(b, b'\n' | b'\r')),
        })
    }

    /// What is left over must be blank. Says whether the last line lacks its end.
    pub(super) fn finish(mut self) -> Result<bool, ReadError> {
        match self.next_line() {
            None => Ok(self.lacks_line_end),
            Some(line) => Err(ReadError::Unexpected {
                line: self.line(),
                expected: "the end of the file",
                found: text::shortened(line),
            }),
        }
    }

    fn line(&self) -> usize {
        (self.first_line + self.lines.line()).saturating_sub(1)
    }

    fn next_line(&mut self) -> Option<&'a [u8]> {
        self.lines.find(|line| line.iter().any(|&b| !text::is_space(b)))
    }
}

impl Body for Ascii<'_> {
    fn begin(&mut self, element: &Element<'_>, index: u64) -> Result<(), ReadError> {
        if index == 0 {
            self.kind = kind(element.name);
        }
        let expected = match self.kind {
            "vertex" => "a vertex",
            "face" => "a face",
            _ => "a record",
        };
        let line = self.next_line();
        let line = line.ok_or(ReadError::TextCut { line: self.line(), expected })?;
        self.words = Words::new(line);
        Ok(())
    }

    fn value(&mut self, _: Scalar) -> Result<f64, ReadError> {
        match self.words.next() {
            Some(word) => text::number(word, self.line()),
            None if self.lines.is_at_end() => {
                Err(ReadError::TextCut { line: self.line(), expected: "a number" })
            }
            None => Err(ReadError::Unexpected {
                line: self.line(),
                expected: "a number",
                found: "the end of the line".to_owned(),
            }),
        }
    }

    fn end(&mut self) -> Result<(), ReadError> {
        match self.words.next() {
            None => Ok(()),
            Some(word) => Err(ReadError::Unexpected {
                line: self.line(),
                expected: "the end of the line",
                found: text::shortened(word),
            }),
        }
    }

    fn place(&self) -> Place {
        Place::Line(self.line())
    }
}
