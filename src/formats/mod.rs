//! Bytes to raw mesh. The format is found from the content; one file per format.

use crate::finding::Finding;
use crate::mesh::Vec3;

/// A mesh as the file tells it, in the file's own numbers, identical corners joined.
///
/// Assumptions: every coordinate is finite, −0.0 is stored as 0.0, every index is in range.
/// Triangles with repeated corners, duplicates and anything else odd are still there.
#[derive(Debug, Clone, PartialEq)]
pub struct RawMesh {
    /// What the bytes were.
    pub format: Format,
    /// Distinct positions, in the file's own unit.
    pub vertices: Vec<Vec3>,
    /// Three vertex numbers each.
    pub triangles: Vec<[u32; 3]>,
    /// What was noticed while reading.
    pub findings: Vec<Finding>,
}

/// The mesh formats that are told apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// STL, 50 bytes a triangle.
    StlBinary,
    /// STL, text.
    StlAscii,
    /// Wavefront OBJ, text.
    Obj,
}

impl Format {
    /// The word used in JSON and messages.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::StlBinary => "stl-binary",
            Self::StlAscii => "stl-ascii",
            Self::Obj => "obj",
        }
    }
}
