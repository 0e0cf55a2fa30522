//! What was read, and the cavity that was found in it.

use crate::cavity::{Cavity, CavityMeasures};
use crate::formats::Format;
use crate::units::{Direction, KnownExtent, LengthUnit};

/// What was read, and what it was taken for.
#[derive(Debug, Clone, PartialEq)]
pub struct MeshFacts {
    /// The file's name.
    pub file: String,
    /// What the bytes were.
    pub format: Format,
    /// Unit of the numbers in the file.
    pub unit: LengthUnit,
    /// Neither the file nor the user said the unit or a size.
    pub unit_assumed: bool,
    /// The measured extent that the mesh was scaled by.
    pub known: Option<KnownExtent>,
    /// Millimetres per number in the file.
    pub mm_per_number: f64,
    /// Triangles in the file.
    pub triangles: usize,
    /// Distinct corners.
    pub vertices: usize,
    /// Extent along the file's own axes, mm.
    pub extent_mm: [f64; 3],
    /// What the mesh was taken for.
    pub read_as: ReadAs,
    /// Which way is up when pouring.
    pub up: Direction,
    /// The user said which way is up.
    pub up_given: bool,
}

/// What a mesh was taken for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReadAs {
    /// The closed surface of the casting as it lies in the mould.
    Casting,
}

impl ReadAs {
    /// The word used in JSON.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Casting => "casting",
        }
    }
}

/// The cavity's numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CavityFacts {
    /// Volume, areas and heights.
    pub measures: CavityMeasures,
    /// It has an opening to pour through.
    pub open: bool,
}

impl CavityFacts {
    /// The numbers of a cavity.
    pub fn new(cavity: &Cavity) -> Self {
        Self { measures: *cavity.measures(), open: cavity.is_open() }
    }

    /// How far the cavity's own limits lie apart, as a share of its volume, %: what repair may
    /// have changed. The limits of layers, which speak of the mesh as repaired, don't have it.
    pub fn band_percent(&self) -> f64 {
        let volume = self.measures.volume_mm3;
        if volume.best() > 0.0 {
            100.0 * (volume.high() - volume.low()) / volume.best()
        } else {
            0.0
        }
    }

    /// How far the fill level lies under the lip, mm.
    pub fn below_lip_mm(&self) -> f64 {
        self.measures.lip_mm - self.measures.fill_mm
    }
}
