//! PLY (reference F5), with a reader of our own.
//!
//! `ply-rs-bw` serves as the oracle in the tests. It tells no bytes where a binary file is
//! broken, refuses Latin-1 comments, leaves numbers that are too many on a line unnoticed, loops
//! over announced records that take no bytes, makes a list for each face and takes four times as
//! long.

use super::indexed::{Indexed, no_faces};
use super::ply_body::{Ascii, Binary, Body, length};
use super::ply_header::{self, Element, Encoding, Header};
use super::{
    Format, Place, RawMesh, ReadError, admit, check_count, open_end_finding, trailing_finding,
};
use crate::mesh::Vec3;

pub(super) fn read(bytes: &[u8], most: u64) -> Result<RawMesh, ReadError> {
    let header = ply_header::read(bytes)?;
    if header.encoding == Encoding::Ascii {
        let (mesh, body) =
            read_body(&header, Format::PlyAscii, most, || Ascii::new(bytes, &header))?;
        let open_ended = body.finish()?;
        return with_faces(mesh, Format::PlyAscii, open_end_finding(open_ended));
    }
    let (mesh, body) = read_body(&header, Format::PlyBinary, most, || Binary::new(bytes, &header))?;
    with_faces(mesh, Format::PlyBinary, trailing_finding(body.left()))
}

fn with_faces(
    mesh: Indexed,
    format: Format,
    finding: Option<crate::finding::Finding>,
) -> Result<RawMesh, ReadError> {
    let mut mesh = mesh.finish(format)?;
    mesh.findings.extend(finding);
    Ok(mesh)
}

/// Reads all elements. `open` starts at the body's beginning: where faces stand before the
/// vertices they name, the body is gone through twice.
fn read_body<B: Body>(
    header: &Header<'_>,
    format: Format,
    most: u64,
    open: impl Fn() -> Result<B, ReadError>,
) -> Result<(Indexed, B), ReadError> {
    let at = |name: &[u8]| header.elements.iter().position(|e| e.name == name);
    let vertices_at = at(b"vertex").filter(|&at| header.elements[at].count > 0);
    let Some(vertices_at) = vertices_at else {
        return Err(no_faces(format, 0));
    };
    let mut body = open()?;
    // Opening it showed that the body can hold what is announced.
    check_count(faces_expected(header) as u64, false, most)?;
    for element in &header.elements[..vertices_at] {
        body.skip(element)?;
    }
    let positions = vertices(&header.elements[vertices_at], &mut body)?;
    let faces_before = [b"face".as_slice(), b"tristrips"]
        .into_iter()
        .any(|name| at(name).is_some_and(|face| face < vertices_at));
    let mut mesh = Indexed::new(positions, faces_expected(header), most)?;
    let rest = if faces_before {
        body = open()?;
        &header.elements[..]
    } else {
        &header.elements[vertices_at + 1..]
    };
    for element in rest {
        match element.name {
            b"face" => faces(element, &mut body, &mut mesh)?,
            b"tristrips" => strips(element, &mut body, &mut mesh)?,
            _ => body.skip(element)?,
        }
    }
    Ok((mesh, body))
}

/// The announced faces: known to be possible, as every record takes room in the body.
fn faces_expected(header: &Header<'_>) -> usize {
    let face = header.elements.iter().find(|e| e.name == b"face");
    let possible = face.filter(|e| !e.properties.is_empty());
    possible.and_then(|e| usize::try_from(e.count).ok()).unwrap_or(0)
}

fn vertices<B: Body>(element: &Element<'_>, body: &mut B) -> Result<Vec<Vec3>, ReadError> {
    let wanted = element.coordinates()?;
    let mut positions = Vec::with_capacity(usize::try_from(element.count).unwrap_or(0));
    for index in 0..element.count {
        body.begin(element, index)?;
        let mut position = [0.0; 3];
        for (at, property) in element.properties.iter().enumerate() {
            if let Some(count) = property.count {
                for _ in 0..length(body, count)? {
                    body.value(property.value)?;
                }
                continue;
            }
            let value = body.value(property.value)?;
            if let Some(axis) = wanted.iter().position(|&w| w == at) {
                position[axis] = admit(value, body.place())?;
            }
        }
        body.end()?;
        positions.push(Vec3::from_array(position));
    }
    Ok(positions)
}

fn faces<B: Body>(
    element: &Element<'_>,
    body: &mut B,
    mesh: &mut Indexed,
) -> Result<(), ReadError> {
    each_list(element, body, |corners, place| mesh.face(corners, place))
}

/// Calls back with the corners that each record names.
fn each_list<B: Body>(
    element: &Element<'_>,
    body: &mut B,
    mut with: impl FnMut(&[i64], Place) -> Result<(), ReadError>,
) -> Result<(), ReadError> {
    if element.count == 0 {
        return Ok(());
    }
    let wanted = element.corner_list()?;
    let mut corners = Vec::new();
    for index in 0..element.count {
        body.begin(element, index)?;
        let mut place = body.place();
        for (at, property) in element.properties.iter().enumerate() {
            let values = match property.count {
                None => 1,
                Some(count) => length(body, count)?,
            };
            if at != wanted {
                for _ in 0..values {
                    body.value(property.value)?;
                }
                continue;
            }
            place = body.place();
            corners.clear();
            for _ in 0..values {
                let value = body.value(property.value)?;
                if value.fract() != 0.0 {
                    return Err(ReadError::NotWhole { place: body.place(), value });
                }
                corners.push(value as i64);
            }
        }
        body.end()?;
        with(&corners, place)?;
    }
    Ok(())
}

/// Strips of triangles, of which every other one runs the other way; −1 begins a new strip.
///
/// Triangles that name a corner twice only lead from one part of a strip to the next.
fn strips<B: Body>(
    element: &Element<'_>,
    body: &mut B,
    mesh: &mut Indexed,
) -> Result<(), ReadError> {
    each_list(element, body, |corners, place| {
        for strip in corners.split(|&corner| corner == -1) {
            if matches!(strip.len(), 1 | 2) {
                return Err(ReadError::FaceTooShort { place, corners: strip.len() });
            }
            for (nth, triangle) in strip.windows(3).enumerate() {
                let [a, b, c] = [triangle[0], triangle[1], triangle[2]];
                if a == b || b == c || c == a {
                    continue;
                }
                let turned = if nth % 2 == 0 { [a, b, c] } else { [b, a, c] };
                mesh.face(&turned, place)?;
            }
        }
        Ok(())
    })
}
