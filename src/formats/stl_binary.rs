//! Binary STL: 80 bytes of header, a count, 50 bytes a triangle (reference F1).
//!
//! The triangles are decoded by `stl_io`, which sees only a header and count of our making over
//! bytes whose number was checked: it would take a header that begins with "solid" for text, and
//! believe a count that is too small.

use std::io::{self, Read, Seek, SeekFrom};

use rayon::prelude::*;

use super::weld::{TooManyPositions, Welder};
use super::{
    Format, LARGEST_COORDINATE, Place, RawMesh, ReadError, admit, check_count, trailing_finding,
};
use crate::mesh::Vec3;

const HEADER_BYTES: usize = 84;
const COUNT_OFFSET: usize = 80;
const RECORD_BYTES: usize = 50;
/// Within a record: the normal comes before the corners.
const CORNERS_OFFSET: usize = 12;

/// Triangles per part that is welded by itself: large enough that joining the parts costs little.
const PART_TRIANGLES: usize = 1 << 15;

pub(super) fn read(bytes: &[u8], most: u64) -> Result<RawMesh, ReadError> {
    let (records, trailing) = records(bytes)?;
    check_count((records.len() / RECORD_BYTES) as u64, true, most)?;
    let parts: Vec<Result<Part, ReadError>> = records
        .par_chunks(PART_TRIANGLES * RECORD_BYTES)
        .enumerate()
        .map(|(i, part)| Part::read(part, i * PART_TRIANGLES))
        .collect();
    // Only now, so that of several faults the first in the file is told.
    let parts = parts.into_iter().collect::<Result<Vec<Part>, _>>()?;
    let (vertices, triangles) = join(parts).map_err(|_| ReadError::TooManyVertices)?;
    Ok(RawMesh {
        format: Format::StlBinary,
        unit: None,
        vertices,
        triangles,
        findings: trailing_finding(trailing).into_iter().collect(),
    })
}

/// Whether the length is exactly what the count asks for.
pub(super) fn length_fits(bytes: &[u8]) -> bool {
    announced(bytes).is_some_and(|n| bytes.len() as u64 == length(n))
}

/// Whether a file whose length does not fit may still have been meant as one: of its first
/// triangles, as far as they are there, at least one looks like a triangle.
pub(super) fn looks_likely(bytes: &[u8]) -> bool {
    const PROBED: usize = 8;
    let records = || bytes[HEADER_BYTES..].chunks_exact(RECORD_BYTES).take(PROBED);
    announced(bytes).is_some_and(|n| n > 0) && (records().len() == 0 || records().any(is_plausible))
}

fn announced(bytes: &[u8]) -> Option<u32> {
    let count = bytes.get(COUNT_OFFSET..HEADER_BYTES)?;
    Some(u32::from_le_bytes(count.try_into().ok()?))
}

fn length(triangles: u32) -> u64 {
    HEADER_BYTES as u64 + RECORD_BYTES as u64 * u64::from(triangles)
}

/// The announced triangles' bytes, and how many bytes come after them.
fn records(bytes: &[u8]) -> Result<(&[u8], usize), ReadError> {
    let announced = announced(bytes).ok_or(ReadError::StlHeaderCut { bytes: bytes.len() })?;
    let body = &bytes[HEADER_BYTES..];
    let present = body.len() / RECORD_BYTES;
    if announced as usize > present {
        return Err(ReadError::StlCut { announced, whole: present, bytes: bytes.len() });
    }
    let (records, rest) = body.split_at(announced as usize * RECORD_BYTES);
    let rest_is_triangles = !rest.is_empty()
        && rest.len().is_multiple_of(RECORD_BYTES)
        && rest.chunks_exact(RECORD_BYTES).all(is_plausible);
    if rest_is_triangles {
        return Err(ReadError::StlCountTooSmall { announced, present });
    }
    if records.is_empty() {
        return Err(ReadError::NoTriangles(Format::StlBinary));
    }
    Ok((records, rest.len()))
}

/// Whether 50 bytes look like a triangle of a real mesh and not like padding, text or noise.
fn is_plausible(record: &[u8]) -> bool {
    let corners = &record[CORNERS_OFFSET..RECORD_BYTES - 2];
    let mut coordinates = corners
        .chunks_exact(4)
        .map(|b| f64::from(f32::from_le_bytes([b[0], b[1], b[2], b[3]])).abs());
    let sizes = LARGEST_COORDINATE.recip()..=LARGEST_COORDINATE;
    coordinates.all(|c| c == 0.0 || sizes.contains(&c)) && corners.iter().any(|&b| b != 0)
}

/// A run of triangles, welded by itself.
struct Part {
    welder: Welder,
    triangles: Vec<[u32; 3]>,
}

impl Part {
    fn read(records: &[u8], first_triangle: usize) -> Result<Self, ReadError> {
        let count = records.len() / RECORD_BYTES;
        let mut welder = Welder::with_room_for(corners_expected(count));
        let mut triangles = Vec::with_capacity(count);
        let mut source = Disguised::new(records);
        let broken = |t: usize| ReadError::StlCut {
            announced: count as u32,
            whole: first_triangle + t,
            bytes: HEADER_BYTES + (first_triangle + t) * RECORD_BYTES,
        };
        let reader = stl_io::create_stl_reader(&mut source).map_err(|_| broken(0))?;
        for (t, triangle) in reader.take(count).enumerate() {
            let triangle = triangle.map_err(|_| broken(t))?;
            check_normal(triangle.normal.0, first_triangle + t)?;
            let mut numbers = [0; 3];
            for (corner, vertex) in triangle.vertices.iter().enumerate() {
                let position = position(vertex.0, first_triangle + t, corner)?;
                numbers[corner] =
                    welder.number(position).map_err(|_| ReadError::TooManyVertices)?;
            }
            triangles.push(numbers);
        }
        if triangles.len() < count {
            return Err(broken(triangles.len()));
        }
        Ok(Self { welder, triangles })
    }
}

/// A closed surface has about half as many corners as triangles.
const fn corners_expected(triangles: usize) -> usize {
    triangles / 2 + 3
}

/// The stored normal is not used; but a file with a NaN is refused whole.
#[inline]
fn check_normal(stored: [f32; 3], triangle: usize) -> Result<(), ReadError> {
    match stored.iter().position(|c| !c.is_finite()) {
        None => Ok(()),
        Some(axis) => {
            let place = place(triangle, axis * size_of::<f32>());
            Err(ReadError::NormalNotFinite { place })
        }
    }
}

const fn place(triangle: usize, byte_within: usize) -> Place {
    Place::Triangle {
        triangle: triangle + 1,
        byte: HEADER_BYTES + triangle * RECORD_BYTES + byte_within,
    }
}

#[inline]
fn position(stored: [f32; 3], triangle: usize, corner: usize) -> Result<Vec3, ReadError> {
    let mut coordinates = [0.0; 3];
    for (axis, value) in stored.into_iter().enumerate() {
        let within = CORNERS_OFFSET + (corner * 3 + axis) * size_of::<f32>();
        let place = place(triangle, within);
        coordinates[axis] = admit(f64::from(value), place)?;
    }
    Ok(Vec3::from_array(coordinates))
}

/// Puts parts that follow each other together.
///
/// A part's corners are already in order of first appearance, so numbering them part after part
/// gives the numbers that one pass over the whole file would give, however it was cut.
fn join(parts: Vec<Part>) -> Result<(Vec<Vec3>, Vec<[u32; 3]>), TooManyPositions> {
    let count = parts.iter().map(|p| p.triangles.len()).sum::<usize>();
    let positions = parts.iter().map(|p| p.welder.positions().len()).sum::<usize>();
    let mut parts = parts.into_iter();
    let Some(Part { mut welder, mut triangles, .. }) = parts.next() else {
        return Ok((Vec::new(), Vec::new()));
    };
    welder.make_room_for(positions.min(corners_expected(count)));
    triangles.reserve_exact(count - triangles.len());
    for part in parts {
        let numbers = part
            .welder
            .into_positions()
            .into_iter()
            .map(|p| welder.number(p))
            .collect::<Result<Vec<u32>, _>>()?;
        triangles.extend(part.triangles.iter().map(|t| t.map(|v| numbers[v as usize])));
    }
    Ok((welder.into_positions(), triangles))
}

/// Records behind a blank header and their true count.
struct Disguised<'a> {
    header: [u8; HEADER_BYTES],
    records: &'a [u8],
    at: usize,
}

impl<'a> Disguised<'a> {
    fn new(records: &'a [u8]) -> Self {
        let mut header = [0; HEADER_BYTES];
        let count = (records.len() / RECORD_BYTES) as u32;
        header[COUNT_OFFSET..].copy_from_slice(&count.to_le_bytes());
        Self { header, records, at: 0 }
    }
}

impl Read for Disguised<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let rest = match self.header.get(self.at..) {
            Some(rest) if !rest.is_empty() => rest,
            _ => self.records.get(self.at - HEADER_BYTES..).unwrap_or_default(),
        };
        let count = rest.len().min(buffer.len());
        buffer[..count].copy_from_slice(&rest[..count]);
        self.at += count;
        Ok(count)
    }
}

impl Seek for Disguised<'_> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        match to {
            SeekFrom::Start(0) => {
                self.at = 0;
                Ok(0)
            }
            _ => Err(io::ErrorKind::Unsupported.into()),
        }
    }
}
