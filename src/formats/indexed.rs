//! From faces that name positions by number to welded triangles: what PLY, OFF and 3MF share.
//!
//! Positions that no face names are left out; identical ones become one corner, because exporters
//! repeat them along seams of colour and texture.

use super::polygon::{Cutter, MOST_CORNERS};
use super::weld::Welder;
use super::{Format, Place, RawMesh, ReadError, check_count, crossing_finding};
use crate::mesh::Vec3;

/// Welds and cuts faces one after the other.
pub(super) struct Indexed {
    positions: Vec<Vec3>,
    /// The welded number of each position, where a face has named it.
    numbers: Vec<Option<u32>>,
    welder: Welder,
    cutter: Cutter,
    /// Welded corners of the face at hand.
    face: Vec<u32>,
    triangles: Vec<[u32; 3]>,
    crossing_faces: usize,
    /// The most triangles that are read.
    most: u64,
}

impl Indexed {
    /// No faces yet, and room for this many.
    ///
    /// Assumptions: the positions are finite; so many faces are known to be in the file.
    ///
    /// # Errors
    /// More faces than the triangles that are read: each face is at least one.
    pub(super) fn new(positions: Vec<Vec3>, faces: usize, most: u64) -> Result<Self, ReadError> {
        check_count(faces as u64, false, most)?;
        Ok(Self {
            numbers: vec![None; positions.len()],
            welder: Welder::with_room_for(positions.len()),
            positions,
            cutter: Cutter::default(),
            face: Vec::new(),
            triangles: Vec::with_capacity(faces),
            crossing_faces: 0,
            most,
        })
    }

    /// Takes the positions of the next part of the mesh; faces name those from now on.
    pub(super) fn next_part(&mut self, positions: Vec<Vec3>) {
        self.numbers.clear();
        self.numbers.resize(positions.len(), None);
        self.positions = positions;
    }

    /// Adds a face with these corners, counted from 0.
    pub(super) fn face(&mut self, corners: &[i64], place: Place) -> Result<(), ReadError> {
        if corners.len() < 3 {
            return Err(ReadError::FaceTooShort { place, corners: corners.len() });
        }
        if corners.len() > MOST_CORNERS {
            let corners = corners.len();
            return Err(ReadError::FaceTooLong { place, corners, most: MOST_CORNERS });
        }
        let mut face = std::mem::take(&mut self.face);
        face.clear();
        for &corner in corners {
            face.push(self.number(corner, place)?);
        }
        let clean = self.cutter.cut(&face, self.welder.positions(), &mut self.triangles);
        self.crossing_faces += usize::from(!clean);
        self.face = face;
        check_count(self.triangles.len() as u64, false, self.most)
    }

    /// The welded number of the position with this number.
    #[inline]
    fn number(&mut self, index: i64, place: Place) -> Result<u32, ReadError> {
        let count = self.positions.len();
        let at = usize::try_from(index).ok().filter(|&at| at < count);
        let at = at.ok_or(ReadError::Index { place, index, count })?;
        if let Some(number) = self.numbers[at] {
            return Ok(number);
        }
        let number =
            self.welder.number(self.positions[at]).map_err(|_| ReadError::TooManyVertices)?;
        self.numbers[at] = Some(number);
        Ok(number)
    }

    /// The mesh, which must have at least one triangle.
    pub(super) fn finish(self, format: Format) -> Result<RawMesh, ReadError> {
        if self.triangles.is_empty() {
            return Err(no_faces(format, self.positions.len()));
        }
        Ok(RawMesh {
            format,
            unit: None,
            vertices: self.welder.into_positions(),
            triangles: self.triangles,
            findings: crossing_finding(self.crossing_faces).into_iter().collect(),
        })
    }
}

/// Why a file without faces is refused.
pub(super) const fn no_faces(format: Format, points: usize) -> ReadError {
    match points {
        0 => ReadError::NoTriangles(format),
        points => ReadError::PointCloud { points },
    }
}
