//! Why a file is refused: one variant per cause, with the place; the advice apart.

use std::fmt;

use super::Format;

/// Why no mesh could be read from the bytes.
///
/// Lines, triangles and bytes: lines and triangles are counted from 1, bytes from 0.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ReadError {
    /// No bytes at all.
    #[error("the file is empty")]
    Empty,
    /// A mesh format that will be read in a later version.
    #[error("this is {0}, which is not read yet")]
    NotReadYet(Later),
    /// Something well known that is no mesh of triangles.
    #[error("this is {what}, not a mesh")]
    NotAMesh {
        /// What it is, with its article.
        what: &'static str,
    },
    /// Nothing that is known.
    #[error("the content is none of the known mesh formats (STL, OBJ)")]
    Unknown,
    /// The file holds no face at all.
    #[error("the file ({}) holds no triangles", .0.as_str())]
    NoTriangles(Format),
    /// Points without faces.
    #[error("the file holds {points} points but no faces: it is a point cloud, not a surface")]
    PointCloud {
        /// How many points.
        points: usize,
    },
    /// A coordinate is NaN or infinite.
    #[error("{place}: a coordinate is not a finite number")]
    NotFinite {
        /// Where.
        place: Place,
    },
    /// A stored normal of an STL is NaN or infinite.
    #[error("{place}: the stored normal is not a finite number")]
    NormalNotFinite {
        /// Where.
        place: Place,
    },
    /// A coordinate over [`LARGEST_COORDINATE`](super::LARGEST_COORDINATE).
    #[error("{place}: the coordinate {value:e} is too large to be real")]
    TooLarge {
        /// Where.
        place: Place,
        /// The coordinate, in the file's unit.
        value: f64,
    },
    /// More distinct corners than can be numbered.
    #[error("the mesh has more than {} different corners", u32::MAX)]
    TooManyVertices,

    /// A binary STL shorter than its header.
    #[error("the binary STL is cut off at byte {bytes}, within its header of 84 bytes")]
    StlHeaderCut {
        /// Length of the file.
        bytes: usize,
    },
    /// A binary STL with fewer triangles than it announces.
    #[error(
        "the binary STL is cut off at byte {bytes}: it announces {announced} triangles, \
         but only {whole} are whole"
    )]
    StlCut {
        /// Triangles that the header announces.
        announced: u32,
        /// Triangles that are there in full.
        whole: usize,
        /// Length of the file.
        bytes: usize,
    },
    /// A binary STL with more triangles than it announces.
    #[error("the binary STL announces {announced} triangles, but {present} follow")]
    StlCountTooSmall {
        /// Triangles that the header announces.
        announced: u32,
        /// Triangles that follow the header.
        present: usize,
    },

    /// A text file ends in the middle.
    #[error("the file ends at line {line}, where {expected} should follow: it is cut off")]
    TextCut {
        /// The last line.
        line: usize,
        /// What was to come.
        expected: &'static str,
    },
    /// A word that does not belong there.
    #[error("line {line}: `{found}` stands where {expected} should")]
    Unexpected {
        /// Where.
        line: usize,
        /// What should stand there.
        expected: &'static str,
        /// What stands there, shortened.
        found: String,
    },
    /// A number with a comma.
    #[error("line {line}: the number `{found}` has a comma")]
    Comma {
        /// Where.
        line: usize,
        /// What stands there, shortened.
        found: String,
    },

    /// An OBJ face names something that isn't there.
    #[error("line {line}: the face names {element} {index}, but there are only {count}")]
    ObjIndex {
        /// Where.
        line: usize,
        /// What is named.
        element: Element,
        /// The number as the file gives it (from 1; negative counts back).
        index: i64,
        /// How many there are (for a negative number: so far).
        count: usize,
    },
    /// An OBJ face with fewer than three corners.
    #[error("line {line}: the face has {corners} corners; a face needs at least 3")]
    ObjFaceTooShort {
        /// Where.
        line: usize,
        /// How many corners it has.
        corners: usize,
    },
    /// An OBJ face with too many corners to cut up in reasonable time.
    #[error("line {line}: the face has {corners} corners; at most {most} are read")]
    ObjFaceTooLong {
        /// Where.
        line: usize,
        /// How many corners it has.
        corners: usize,
        /// The limit.
        most: usize,
    },
    /// An OBJ vertex with a weight.
    #[error("line {line}: the vertex has a weight that is not 1, which only curved surfaces have")]
    ObjWeight {
        /// Where.
        line: usize,
    },
    /// An OBJ statement that would add surface this reader can't give.
    #[error("line {line}: the statement `{word}` is not read")]
    ObjStatement {
        /// Where.
        line: usize,
        /// The statement.
        word: &'static str,
    },
    /// The OBJ library refused a text that had passed the checks before it.
    #[error("the OBJ text could not be read: {0}")]
    ObjRefused(tobj::LoadError),
    /// The OBJ library broke down, or gave back other faces than it was given.
    #[error("the OBJ text could not be read: its faces were lost on the way")]
    ObjLost,
}

impl ReadError {
    /// What to do about it.
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::Empty => "export or download it again",
            Self::NotReadYet(Later::Gzip) => "unpack it first",
            Self::NotReadYet(Later::Zip) => {
                "if it is a 3MF file, export the mesh as binary STL; otherwise unpack it first"
            }
            Self::NotReadYet(_) => "export the mesh as binary STL or OBJ",
            Self::NotAMesh { .. } => {
                "download or export the mesh itself, as binary STL or OBJ with triangles"
            }
            Self::Unknown => "export the mesh as binary STL or OBJ",
            Self::NoTriangles(_) => "export it again, with the body selected",
            Self::PointCloud { .. } => {
                "let the scanning software build a surface from the points, then export that"
            }
            Self::NotFinite { .. } | Self::TooLarge { .. } => {
                "the file is damaged or its export went wrong; export it again"
            }
            Self::NormalNotFinite { .. } => {
                "export it again; normals are not needed, so they may be left out or zero"
            }
            Self::TooManyVertices => "reduce the number of triangles before exporting",
            Self::StlHeaderCut { .. } | Self::StlCut { .. } | Self::TextCut { .. } => {
                "copy, download or export it again; nothing of it was used"
            }
            Self::StlCountTooSmall { .. } => {
                "the export was interrupted or went wrong; export it again"
            }
            Self::Unexpected { .. } => "the text is damaged there; export the mesh again",
            Self::Comma { .. } => {
                "numbers need a decimal point: export with a point as the decimal sign"
            }
            Self::ObjIndex { .. } | Self::ObjFaceTooShort { .. } => {
                "the file is damaged or cut off; export it again"
            }
            Self::ObjFaceTooLong { .. } => "export it with its faces cut into triangles",
            Self::ObjWeight { .. } | Self::ObjStatement { .. } => {
                "export the shape as one file of flat faces, best triangles"
            }
            Self::ObjRefused(_) | Self::ObjLost => "export the mesh as binary STL instead",
        }
    }
}

/// A format that a later version will read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Later {
    /// PLY, text or binary.
    Ply,
    /// A 3MF file, or another zip archive.
    Zip,
    /// OFF, text.
    Off,
    /// Anything packed with gzip.
    Gzip,
}

impl fmt::Display for Later {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Ply => "a PLY file",
            Self::Zip => "a zip archive, as 3MF files are",
            Self::Off => "an OFF file",
            Self::Gzip => "a gzip-compressed file",
        })
    }
}

/// Where in a file a number stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// In a text.
    Line(usize),
    /// In a binary STL.
    Triangle {
        /// Which triangle, from 1.
        triangle: usize,
        /// Offset of the number, from 0.
        byte: usize,
    },
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Line(line) => write!(f, "line {line}"),
            Self::Triangle { triangle, byte } => write!(f, "triangle {triangle} (byte {byte})"),
        }
    }
}

/// What an OBJ face corner names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Element {
    /// `v`
    Vertex,
    /// `vt`
    TextureCoordinate,
    /// `vn`
    Normal,
}

impl fmt::Display for Element {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Vertex => "vertex",
            Self::TextureCoordinate => "texture coordinate",
            Self::Normal => "normal",
        })
    }
}
