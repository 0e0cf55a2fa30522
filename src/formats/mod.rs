//! Bytes to raw mesh. The format is found from the content; one file per format.
//!
//! A file is read whole or refused whole: no error leaves a part of a mesh behind. To add a
//! format: a variant of [`Format`], its marks in `sniff`, a file with its reader, and a line in
//! [`read`].

mod error;
mod indexed;
mod model;
mod model_fault;
mod model_xml;
mod obj;
mod obj_statements;
mod off;
mod package;
mod packed;
mod placement;
mod ply;
mod ply_body;
mod ply_header;
mod polygon;
mod sniff;
mod stl_ascii;
mod stl_binary;
mod text;
pub mod weld;

use crate::finding::Finding;
use crate::mesh::Vec3;
use crate::units::LengthUnit;

pub use error::{Element, ModelFault, PackingFault, Place, PlyFault, ReadError};

/// A mesh as the file tells it, in the file's own numbers, identical corners joined.
///
/// Vertices are numbered in the order in which the file's faces first use them.
///
/// Assumptions: there is at least one triangle, every coordinate is finite and at most
/// [`LARGEST_COORDINATE`], −0.0 is stored as 0.0, every index is in range. Triangles with
/// repeated corners, duplicates and anything else odd are still there.
#[derive(Debug, Clone, PartialEq)]
pub struct RawMesh {
    /// What the bytes were.
    pub format: Format,
    /// Unit of the numbers, where the format says it (3MF).
    pub unit: Option<LengthUnit>,
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
    /// PLY, text.
    PlyAscii,
    /// PLY, binary in either byte order.
    PlyBinary,
    /// A 3MF package.
    ThreeMf,
    /// OFF, text.
    Off,
}

impl Format {
    /// The word used in JSON and messages.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::StlBinary => "stl-binary",
            Self::StlAscii => "stl-ascii",
            Self::Obj => "obj",
            Self::PlyAscii => "ply-ascii",
            Self::PlyBinary => "ply-binary",
            Self::ThreeMf => "3mf",
            Self::Off => "off",
        }
    }

    /// The name as people write it.
    pub const fn describe(self) -> &'static str {
        match self {
            Self::StlBinary => "binary STL",
            Self::StlAscii => "ASCII STL",
            Self::Obj => "OBJ",
            Self::PlyAscii => "ASCII PLY",
            Self::PlyBinary => "binary PLY",
            Self::ThreeMf => "3MF",
            Self::Off => "OFF",
        }
    }
}

/// The largest coordinate that is believed, in the file's own unit: 10¹².
///
/// Even micrometres counted from the far side of the Earth stay below it, and the cube of it is
/// far from overflow; larger numbers in the wild are garbage bytes.
pub const LARGEST_COORDINATE: f64 = 1e12;

/// The most triangles that are read where nobody says otherwise: 20 million.
///
/// Source: from memory: fine scans of a limb come to 1 to 5 million; 20 million are planned
/// within 6 GB (docs/reliability.md).
pub const USUAL_TRIANGLES_MOST: u64 = 20_000_000;

/// Reads a mesh from the bytes of a file.
///
/// The format is found from the content, also of bytes packed with gzip. `name_hint` is a file
/// name or an ending; it only helps to say what is wrong with content that is not clear by itself.
///
/// Units: the file's own numbers, unscaled. Coordinates stored as `f32` become `f64` exactly.
///
/// # Errors
/// [`ReadError`] says what is wrong and where; [`ReadError::hint`] what to do about it.
///
/// # Examples
/// ```
/// use cavigram::formats::{self, Format};
///
/// let mesh = formats::read(b"v 0 0 0\nv 4 0 0\nv 0 3 0\nf 1 2 3\n", None)?;
/// assert_eq!(mesh.format, Format::Obj);
/// assert_eq!(mesh.triangles, [[0, 1, 2]]);
///
/// let error = formats::read(b"v 0 0 0\nv 4 0 0\nv 0 3 0\nf 1 2 4\n", None).unwrap_err();
/// assert_eq!(error.to_string(), "line 4: the face names vertex 4, but there are only 3");
/// # Ok::<(), formats::ReadError>(())
/// ```
pub fn read(bytes: &[u8], name_hint: Option<&str>) -> Result<RawMesh, ReadError> {
    read_within(bytes, name_hint, USUAL_TRIANGLES_MOST)
}

/// Reads a mesh as [`read`] does, of at most `triangles_most` triangles.
///
/// A file that announces more is refused before anything of it is kept; one that does not
/// announce them, as soon as one more is met.
///
/// # Errors
/// [`ReadError`] says what is wrong and where; [`ReadError::hint`] what to do about it.
pub fn read_within(
    bytes: &[u8],
    name_hint: Option<&str>,
    triangles_most: u64,
) -> Result<RawMesh, ReadError> {
    if !packed::is_gzip(bytes) {
        return read_unpacked(bytes, name_hint, triangles_most);
    }
    let unpacked = packed::gunzip(bytes)?;
    if packed::is_gzip(&unpacked) || package::is_zip(&unpacked) {
        return Err(PackingFault::Twice.into());
    }
    read_unpacked(&unpacked, name_hint.map(packed::name_within), triangles_most)
}

fn read_unpacked(bytes: &[u8], name_hint: Option<&str>, most: u64) -> Result<RawMesh, ReadError> {
    match sniff::format(bytes, name_hint)? {
        Format::StlBinary => stl_binary::read(bytes, most),
        Format::StlAscii => stl_ascii::read(bytes, most),
        Format::Obj => obj::read(bytes, most),
        Format::PlyAscii | Format::PlyBinary => ply::read(bytes, most),
        Format::ThreeMf => model::read(bytes, most),
        Format::Off => off::read(bytes, most),
    }
}

/// Takes a coordinate that is a number of a believable size, or says what is wrong with it.
fn admit(value: f64, place: Place) -> Result<f64, ReadError> {
    if value.abs() <= LARGEST_COORDINATE {
        Ok(value)
    } else if value.is_finite() {
        Err(ReadError::TooLarge { place, value })
    } else {
        Err(ReadError::NotFinite { place })
    }
}

/// Refuses a count of triangles, all of them or as many as were met, over the most that are read.
const fn check_count(triangles: u64, exact: bool, most: u64) -> Result<(), ReadError> {
    if triangles > most {
        return Err(ReadError::TooManyTriangles { triangles, exact, most });
    }
    Ok(())
}

/// The warning about bytes after the last element of a binary file.
fn trailing_finding(bytes: usize) -> Option<Finding> {
    let message = format!("{bytes} bytes after the last triangle were left out");
    (bytes > 0).then(|| {
        Finding::warning("trailing-bytes", message)
            .with_hint("check that the mesh is complete; if not, export it again")
    })
}

/// The warning about faces that could only be cut into triangles as well as possible.
fn crossing_finding(faces: usize) -> Option<Finding> {
    let message =
        format!("{faces} faces cross themselves and were cut into triangles as well as possible");
    (faces > 0).then(|| {
        Finding::warning("crossing-faces", message)
            .with_hint("export the mesh with its faces cut into triangles")
    })
}

/// The note that a text ends within a line, so that its last number may not be whole.
fn open_end_finding(open_ended: bool) -> Option<Finding> {
    let message = "the last line has no line end, so the file may have been cut off there";
    open_ended.then(|| Finding::note("no-line-end", message))
}
