//! What was read, and the cavity that was found in it.

use crate::cavity::{Air, CavityMeasures};
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
    /// The measured length that the mesh was scaled by.
    pub known: Option<KnownExtent>,
    /// Millimetres per number in the file.
    pub mm_per_number: f64,
    /// What a weighed filling asked for; a part of `mm_per_number`. 1 for nothing.
    pub by_weight: f64,
    /// Triangles in the file.
    pub triangles: usize,
    /// Distinct corners.
    pub vertices: usize,
    /// Extent along the file's own axes, mm.
    pub extent_mm: [f64; 3],
    /// What the mesh was taken for.
    pub read_as: ReadAs,
    /// Why.
    pub because: Because,
    /// Which way is up when pouring.
    pub up: Direction,
    /// The user said which way is up.
    pub up_given: bool,
    /// It was found from a mould's rim.
    pub up_from_rim: bool,
}

/// What a mesh was taken for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReadAs {
    /// The closed surface of the casting as it lies in the mould.
    Casting,
    /// The surface of the mould.
    Mould,
}

/// Why a mesh was taken for what it was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Because {
    /// The user said so.
    Said,
    /// It is closed, or nothing else is known of it.
    Closed,
    /// It is open, and its largest border encloses this share of its outline seen from above.
    Border {
        /// 0 to 1.
        share: f64,
    },
}

impl ReadAs {
    /// The word used in JSON.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Casting => "casting",
            Self::Mould => "mould",
        }
    }
}

impl Because {
    /// The word used in JSON.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Said => "said",
            Self::Closed => "closed",
            Self::Border { .. } => "border",
        }
    }
}

/// The cavity's numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct CavityFacts {
    /// Volume, areas and heights; of several impressions the sums, with the largest one's heights.
    pub measures: CavityMeasures,
    /// It has an opening to pour through.
    pub open: bool,
    /// It is closed by two halves, each of a mesh of its own.
    pub of_halves: bool,
    /// The numbers of every impression of a mould that has several, largest volume first.
    pub impressions: Vec<CavityMeasures>,
    /// Number of the impression that is filled, counted from 1; `None` for all of them.
    pub impression: Option<u32>,
    /// The air that stays in it while it is filled, once it was looked for.
    pub air: Air,
}

impl CavityFacts {
    /// The numbers of the cavities that are filled, their air apart; `None` without any.
    pub fn new(
        filled: &[CavityMeasures],
        impressions: Vec<CavityMeasures>,
        impression: Option<u32>,
    ) -> Option<Self> {
        let measures = CavityMeasures::together(filled)?;
        let open = measures.opening_area_mm2 > 0.0;
        Some(Self {
            measures,
            open,
            of_halves: false,
            impressions,
            impression,
            air: Air::default(),
        })
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
        self.under_lip_mm(self.measures.fill_mm)
    }

    /// How far a height above the lowest point lies under the lip, mm.
    pub fn under_lip_mm(&self, height_mm: f64) -> f64 {
        self.measures.lip_mm - height_mm
    }
}
