//! Why a file is refused: one variant per cause, with the place; the advice apart.

use std::fmt;

use super::Format;
pub use super::model_fault::ModelFault;
pub use super::packed::PackingFault;
pub use super::ply_header::PlyFault;

/// Why no mesh could be read from the bytes.
///
/// Lines, triangles and bytes: lines and triangles are counted from 1, bytes from 0.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ReadError {
    /// No bytes at all.
    #[error("the file is empty")]
    Empty,
    /// Something well known that is no mesh of triangles.
    #[error("this is {what}, not a mesh")]
    NotAMesh {
        /// What it is, with its article.
        what: &'static str,
    },
    /// Nothing that is known.
    #[error("the content is none of the known mesh formats (STL, OBJ, PLY, 3MF, OFF)")]
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

    /// More triangles than are read.
    #[error("the mesh has {} triangles{}, more than the {} that are read",
        grouped(*.triangles), if *.exact { "" } else { " or more" }, grouped(*.most))]
    TooManyTriangles {
        /// How many there are, as far as they were counted.
        triangles: u64,
        /// Whether that is all of them.
        exact: bool,
        /// The limit.
        most: u64,
    },

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
    /// A face names a vertex that isn't there, in a format that counts from 0.
    #[error("{place}: the face names vertex {index}, but there are only {count}, counted from 0")]
    Index {
        /// Where.
        place: Place,
        /// The number as the file gives it.
        index: i64,
        /// How many there are.
        count: usize,
    },
    /// A face with fewer than three corners.
    #[error("{place}: the face has {corners} corners; a face needs at least 3")]
    FaceTooShort {
        /// Where.
        place: Place,
        /// How many corners it has.
        corners: usize,
    },
    /// A face with too many corners to cut up in reasonable time.
    #[error("{place}: the face has {corners} corners; at most {most} are read")]
    FaceTooLong {
        /// Where.
        place: Place,
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
    /// The header of a PLY file says something that can't be.
    #[error("line {line}: {fault}")]
    PlyHeader {
        /// Where.
        line: usize,
        /// What is wrong.
        fault: PlyFault,
    },
    /// A list in a PLY file whose length can't be meant.
    #[error("{place}: a list can't have {length} members")]
    ListLength {
        /// Where.
        place: Place,
        /// Its length as the file gives it.
        length: f64,
    },
    /// A corner number with a fraction.
    #[error("{place}: the face names vertex {value}, which is no whole number")]
    NotWhole {
        /// Where.
        place: Place,
        /// The number as the file gives it.
        value: f64,
    },
    /// A binary PLY with less than it announces.
    #[error(
        "the binary PLY is cut off at byte {bytes}: of {announced} announced {kind} records \
         only {whole} are whole"
    )]
    PlyCut {
        /// The kind of record.
        kind: &'static str,
        /// How many the header announces.
        announced: u64,
        /// How many are there in full.
        whole: u64,
        /// Length of the file.
        bytes: usize,
    },
    /// An OFF file that announces more than it can hold.
    #[error("line {line}: {vertices} vertices and {faces} faces are more than the file can hold")]
    OffCounts {
        /// Where.
        line: usize,
        /// Vertices announced.
        vertices: usize,
        /// Faces announced.
        faces: usize,
    },
    /// A kind of OFF that is not read.
    #[error("this is {what}, which is not read")]
    OffKind {
        /// What it is.
        what: &'static str,
    },

    /// Something is wrong with what a file is packed in.
    #[error(transparent)]
    Packing(#[from] PackingFault),
    /// Something is wrong with a part of a 3MF package.
    #[error("{part}: {error}")]
    InPart {
        /// The part's name, shortened.
        part: String,
        /// What.
        error: Box<ReadError>,
    },
    /// Something is wrong with the model of a 3MF package.
    #[error("{place}: {fault}")]
    Model {
        /// Where.
        place: Place,
        /// What.
        fault: ModelFault,
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
            Self::TooManyTriangles { .. } => {
                "reduce the mesh: a tenth of its triangles gives the same grams; or raise \
                 --max-triangles, where there is about 1 GB of memory for each 3 million"
            }
            Self::StlHeaderCut { .. }
            | Self::StlCut { .. }
            | Self::PlyCut { .. }
            | Self::OffCounts { .. }
            | Self::TextCut { .. } => "copy, download or export it again; nothing of it was used",
            Self::StlCountTooSmall { .. } => {
                "the export was interrupted or went wrong; export it again"
            }
            Self::Unexpected { .. } => "the text is damaged there; export the mesh again",
            Self::Comma { .. } => {
                "numbers need a decimal point: export with a point as the decimal sign"
            }
            Self::ObjIndex { .. }
            | Self::Index { .. }
            | Self::NotWhole { .. }
            | Self::ListLength { .. }
            | Self::FaceTooShort { .. } => "the file is damaged or cut off; export it again",
            Self::FaceTooLong { .. } => "export it with its faces cut into triangles",
            Self::ObjWeight { .. } | Self::ObjStatement { .. } => {
                "export the shape as one file of flat faces, best triangles"
            }
            Self::PlyHeader { .. } => "export it again, best as binary PLY or STL",
            Self::OffKind { .. } => "export it as plain OFF, or as binary STL",
            Self::Packing(fault) => fault.hint(),
            Self::InPart { error, .. } => error.hint(),
            Self::Model { fault, .. } => fault.hint(),
            Self::ObjRefused(_) | Self::ObjLost => "export the mesh as binary STL instead",
        }
    }
}

/// A number with its thousands apart.
fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut grouped = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            grouped.push(' ');
        }
        grouped.push(digit);
    }
    grouped
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
    /// In a binary PLY.
    Record {
        /// What kind of record: `vertex`, `face`, or another.
        kind: &'static str,
        /// Which of them, from 1.
        number: u64,
        /// Offset of the number, from 0.
        byte: usize,
    },
    /// In the XML of a 3MF package.
    Column {
        /// Line, from 1.
        line: usize,
        /// Bytes from the line's beginning, from 1.
        column: usize,
    },
    /// A mesh as it was placed by an item of a 3MF package's build, from 1.
    BuildItem(usize),
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Line(line) => write!(f, "line {line}"),
            Self::Triangle { triangle, byte } => write!(f, "triangle {triangle} (byte {byte})"),
            Self::Record { kind, number, byte } => write!(f, "{kind} {number} (byte {byte})"),
            Self::Column { line, column } => write!(f, "line {line}, column {column}"),
            Self::BuildItem(number) => write!(f, "build item {number}"),
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
