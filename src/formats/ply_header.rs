//! The text header of PLY (reference F5): which records follow, and how they are written.

use std::fmt;

use super::text::{self, Words};
use super::{Place, ReadError};

/// How the body is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Encoding {
    Ascii,
    LittleEndian,
    BigEndian,
}

/// What a header announces.
#[derive(Debug)]
pub(super) struct Header<'a> {
    pub(super) encoding: Encoding,
    pub(super) elements: Vec<Element<'a>>,
    /// Where the body begins, and the line it would begin on.
    pub(super) body_at: usize,
    pub(super) body_line: usize,
}

/// Records of one kind.
#[derive(Debug)]
pub(super) struct Element<'a> {
    pub(super) name: &'a [u8],
    pub(super) count: u64,
    pub(super) properties: Vec<Property<'a>>,
    /// The header's line.
    pub(super) line: usize,
}

/// One value of a record, or a list of values.
#[derive(Debug)]
pub(super) struct Property<'a> {
    pub(super) name: &'a [u8],
    /// The type of a list's count; `None` for a single value.
    pub(super) count: Option<Scalar>,
    pub(super) value: Scalar,
}

/// The type of a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Scalar {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
    F64,
}

impl Scalar {
    fn named(word: &[u8]) -> Option<Self> {
        Some(match word {
            b"char" | b"int8" => Self::I8,
            b"uchar" | b"uint8" => Self::U8,
            b"short" | b"int16" => Self::I16,
            b"ushort" | b"uint16" => Self::U16,
            b"int" | b"int32" => Self::I32,
            b"uint" | b"uint32" => Self::U32,
            b"float" | b"float32" => Self::F32,
            b"double" | b"float64" => Self::F64,
            _ => return None,
        })
    }

    /// Bytes that one takes.
    pub(super) const fn size(self) -> usize {
        match self {
            Self::I8 | Self::U8 => 1,
            Self::I16 | Self::U16 => 2,
            Self::I32 | Self::U32 | Self::F32 => 4,
            Self::F64 => 8,
        }
    }

    pub(super) const fn is_float(self) -> bool {
        matches!(self, Self::F32 | Self::F64)
    }
}

impl<'a> Element<'a> {
    /// The least that a record takes, in bytes: its lists may be empty.
    pub(super) fn least_bytes(&self) -> u64 {
        self.properties.iter().map(|p| p.count.unwrap_or(p.value).size() as u64).sum()
    }

    /// Where the property of this name stands among the others.
    pub(super) fn position(&self, name: &[u8]) -> Option<usize> {
        self.properties.iter().position(|p| p.name == name)
    }

    /// The list of corner numbers that a face or a strip has.
    pub(super) fn corner_list(&self) -> Result<usize, ReadError> {
        let at = self.position(b"vertex_indices").or(self.position(b"vertex_index"));
        at.filter(|&at| {
            let property = &self.properties[at];
            property.count.is_some() && !property.value.is_float()
        })
        .ok_or(ReadError::PlyHeader { line: self.line, fault: PlyFault::NoCornerList })
    }

    /// Where x, y and z stand among the properties.
    pub(super) fn coordinates(&self) -> Result<[usize; 3], ReadError> {
        let mut places = [0; 3];
        for (place, name) in places.iter_mut().zip([b"x", b"y", b"z"]) {
            *place = self
                .position(name)
                .filter(|&at| self.properties[at].count.is_none())
                .ok_or(ReadError::PlyHeader { line: self.line, fault: PlyFault::NoCoordinates })?;
        }
        Ok(places)
    }
}

/// Whether the bytes begin as every PLY file does.
pub(super) fn begins(bytes: &[u8]) -> bool {
    let Some(rest) = bytes.strip_prefix(b"ply") else { return false };
    let blanks = rest.iter().take_while(|b| matches!(b, b' ' | b'\t')).count();
    matches!(rest.get(blanks), Some(b'\n' | b'\r'))
}

/// How the body is written, as far as can be told from the first lines.
pub(super) fn is_binary(bytes: &[u8]) -> bool {
    HeaderLines::new(bytes)
        .take_while(|(_, line)| Words::new(line).next() != Some(b"end_header"))
        .any(|(_, line)| line.starts_with(b"format") && contains(line, b"binary"))
}

fn contains(line: &[u8], word: &[u8]) -> bool {
    line.windows(word.len()).any(|w| w == word)
}

/// Reads the header.
pub(super) fn read(bytes: &[u8]) -> Result<Header<'_>, ReadError> {
    let mut lines = HeaderLines::new(bytes);
    let mut encoding = None;
    let mut elements: Vec<Element<'_>> = Vec::new();
    // The first line is known: without it the file would not have been taken for PLY.
    let _ = lines.next();
    let mut last_line = 1;
    while let Some((line, text)) = lines.next() {
        last_line = line;
        let words: Vec<&[u8]> = Words::new(text).collect();
        let fault = |fault| ReadError::PlyHeader { line, fault };
        match words[..] {
            [] | [b"comment" | b"obj_info", ..] => {}
            [b"format", kind, b"1.0"] if encoding.is_none() => {
                encoding = Some(match kind {
                    b"ascii" => Encoding::Ascii,
                    b"binary_little_endian" => Encoding::LittleEndian,
                    b"binary_big_endian" => Encoding::BigEndian,
                    _ => return Err(unexpected(line, "a known PLY format", text)),
                });
            }
            [b"element", name, count] => {
                if elements.iter().any(|e| e.name == name) {
                    return Err(fault(PlyFault::Twice));
                }
                let count =
                    whole(count).ok_or_else(|| unexpected(line, "a number of records", count))?;
                elements.push(Element { name, count, properties: Vec::new(), line });
            }
            [b"property", ref rest @ ..] => {
                let property = property(rest)
                    .ok_or_else(|| unexpected(line, "a property with type and name", text))?;
                let element = elements.last_mut().ok_or(fault(PlyFault::PropertyFirst))?;
                if element.position(property.name).is_some() {
                    return Err(fault(PlyFault::Twice));
                }
                element.properties.push(property);
            }
            [b"end_header"] => {
                let encoding = encoding.ok_or(fault(PlyFault::NoFormat))?;
                let (body_at, body_line) = (lines.at, line + 1);
                return Ok(Header { encoding, elements, body_at, body_line });
            }
            _ => return Err(unexpected(line, "a statement of a PLY header", text)),
        }
    }
    Err(ReadError::TextCut { line: last_line, expected: "`end_header`" })
}

fn property<'a>(words: &[&'a [u8]]) -> Option<Property<'a>> {
    match *words {
        [b"list", count, value, name] => {
            let count = Scalar::named(count).filter(|c| !c.is_float())?;
            Some(Property { name, count: Some(count), value: Scalar::named(value)? })
        }
        [value, name] => Some(Property { name, count: None, value: Scalar::named(value)? }),
        _ => None,
    }
}

fn whole(word: &[u8]) -> Option<u64> {
    std::str::from_utf8(word).ok()?.parse().ok()
}

fn unexpected(line: usize, expected: &'static str, found: &[u8]) -> ReadError {
    ReadError::Unexpected { line, expected, found: text::shortened(found) }
}

/// Lines of the header with their numbers. They all end as the first does: behind CR the body may
/// begin with a byte that looks like LF.
struct HeaderLines<'a> {
    bytes: &'a [u8],
    at: usize,
    line: usize,
    cr_alone: bool,
}

impl<'a> HeaderLines<'a> {
    fn new(bytes: &'a [u8]) -> Self {
        let end = bytes.iter().position(|b| matches!(b, b'\n' | b'\r')).unwrap_or(bytes.len());
        let cr_alone = bytes[end..].starts_with(b"\r") && !bytes[end..].starts_with(b"\r\n");
        Self { bytes, at: 0, line: 0, cr_alone }
    }
}

impl<'a> Iterator for HeaderLines<'a> {
    type Item = (usize, &'a [u8]);

    /// The next whole line: one that is cut off is none.
    fn next(&mut self) -> Option<Self::Item> {
        let end_byte = if self.cr_alone { b'\r' } else { b'\n' };
        let rest = &self.bytes[self.at..];
        let end = rest.iter().position(|&b| b == end_byte)?;
        self.at += end + 1;
        self.line += 1;
        let line = &rest[..end];
        Some((self.line, line.strip_suffix(b"\r").unwrap_or(line)))
    }
}

/// What a PLY header says that can't be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlyFault {
    /// No `format` line.
    NoFormat,
    /// A name is given twice.
    Twice,
    /// A property stands before any element.
    PropertyFirst,
    /// Vertices without single numbers x, y, z.
    NoCoordinates,
    /// Faces without a list of whole numbers `vertex_indices` or `vertex_index`.
    NoCornerList,
    /// More records than a file can hold.
    TooMany,
}

impl fmt::Display for PlyFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NoFormat => "the header ends without a `format` line",
            Self::Twice => "the name was given before",
            Self::PropertyFirst => "the property belongs to no element",
            Self::NoCoordinates => "the vertices have no single numbers `x`, `y` and `z`",
            Self::NoCornerList => "the faces have no list of whole numbers `vertex_indices`",
            Self::TooMany => "the header announces more than the file can hold",
        })
    }
}

/// The word for a record of this element in messages.
pub(super) fn kind(name: &[u8]) -> &'static str {
    match name {
        b"vertex" => "vertex",
        b"face" => "face",
        b"tristrips" => "strip",
        _ => "element",
    }
}

impl Place {
    /// A record of a binary PLY; `index` counts from 0.
    pub(super) const fn record(kind: &'static str, index: u64, byte: usize) -> Self {
        Self::Record { kind, number: index + 1, byte }
    }
}
