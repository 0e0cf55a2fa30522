//! Tells formats apart by content.

use super::text::{self, Lines, Words};
use super::{Format, ReadError, off, package, ply_header, stl_binary};

/// How far a NUL is looked for: it never occurs in text, and a binary STL has one at the end of
/// its count.
const TEXT_PROBE_BYTES: usize = 1024;

/// The format of the bytes, or what they are instead.
pub(super) fn format(bytes: &[u8], name_hint: Option<&str>) -> Result<Format, ReadError> {
    let ending = name_hint.map(ending).unwrap_or_default();
    if bytes.is_empty() {
        return Err(ReadError::Empty);
    }
    // First of all, because the 80 header bytes may hold anything, "solid" in particular.
    if stl_binary::length_fits(bytes) {
        return Ok(Format::StlBinary);
    }
    if ply_header::begins(bytes) {
        let binary = ply_header::is_binary(bytes);
        return Ok(if binary { Format::PlyBinary } else { Format::PlyAscii });
    }
    if package::is_zip(bytes) {
        return Ok(Format::ThreeMf);
    }
    if let Some(other) = by_first_bytes(bytes) {
        return Err(other);
    }
    let text = text::trimmed(bytes);
    if off::begins(text) {
        return Ok(Format::Off);
    }
    let is_binary = text[..text.len().min(TEXT_PROBE_BYTES)].contains(&0)
        || text.is_empty() && bytes.contains(&0);
    if is_binary {
        let likely = ending == "stl" || stl_binary::looks_likely(bytes);
        return if likely { Ok(Format::StlBinary) } else { Err(ReadError::Unknown) };
    }
    text_format(text, &ending)
}

/// What stands behind the last dot (or all of it), in lower case.
fn ending(name: &str) -> String {
    name.rsplit('.').next().unwrap_or(name).to_ascii_lowercase()
}

fn by_first_bytes(bytes: &[u8]) -> Option<ReadError> {
    let what = match bytes {
        [0x89, b'P', b'N', b'G', ..] | [0xFF, 0xD8, 0xFF, ..] | [b'G', b'I', b'F', b'8', ..] => {
            "a picture"
        }
        [b'%', b'P', b'D', b'F', ..] => "a PDF document",
        [b'g', b'l', b'T', b'F', ..] => "a glTF scene",
        [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..] => "text in UTF-16",
        _ => return None,
    };
    Some(ReadError::NotAMesh { what })
}

fn text_format(text: &[u8], ending: &str) -> Result<Format, ReadError> {
    let Some(first) = Words::new(text).next() else {
        return Err(ReadError::Empty);
    };
    if first.eq_ignore_ascii_case(b"solid") {
        return Ok(Format::StlAscii);
    }
    if first[0] == b'<' {
        return Err(ReadError::NotAMesh { what: "a web page or other marked-up text" });
    }
    if first.starts_with(b"ISO-10303-21") {
        return Err(ReadError::NotAMesh { what: "a STEP file of exact solids" });
    }
    if ending == "obj" || Lines::new(text).any(is_obj_statement) {
        return Ok(Format::Obj);
    }
    if ending == "stl" { Ok(Format::StlAscii) } else { Err(ReadError::Unknown) }
}

/// A vertex or face: letter, then a number. Other statements are too much like prose.
fn is_obj_statement(line: &[u8]) -> bool {
    let mut words = Words::new(line);
    matches!(words.next(), Some(b"v" | b"f"))
        && words.next().is_some_and(|word| matches!(word[0], b'0'..=b'9' | b'-' | b'+' | b'.'))
}
