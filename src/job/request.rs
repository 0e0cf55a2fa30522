//! What one run is asked to do.

use super::{ClockRequest, PartingRequest};
use crate::formats;
use crate::layers;
use crate::plan::{PlanRequest, ShopTold};
use std::str::FromStr;

use crate::sheet::ReadAs;
use crate::units::{
    Direction, DirectionError, KnownExtent, Length, LengthUnit, Percent, Weighing, WeighingMeans,
    Weight,
};

/// What `plan` is asked to do: read a mesh, split what it holds, weigh it out.
#[derive(Debug, Clone, PartialEq)]
pub struct JobRequest {
    /// How the mesh is to be read and stood up.
    pub mesh: MeshRequest,
    /// How the cavity is to be filled.
    pub layers: LayersRequest,
    /// What it is cast from.
    pub materials: PlanRequest,
    /// What stands in the mould while it is poured.
    pub inserts: Vec<Insert>,
    /// When the work begins, and when somebody is there.
    pub clock: ClockRequest,
    /// Where the workshop's values come from.
    pub shop_told: ShopTold,
}

/// A file with what stands in the mould while it is poured: a bone, a tube, an armature, in the
/// coordinates of the mesh.
#[derive(Debug, Clone, PartialEq)]
pub struct Insert {
    /// The file's name, for the sheet and as a hint to its format.
    pub file: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// How a mesh file is to be read and stood up.
#[derive(Debug, Clone, PartialEq)]
pub struct MeshRequest {
    /// The file's name, for the sheet and as a hint to its format.
    pub file: String,
    /// Unit of the numbers in the file, where it was said.
    pub unit: Option<LengthUnit>,
    /// The extent that the piece really has along an axis of the file.
    pub known: Option<KnownExtent>,
    /// What the mesh shows, where it was said; found from the mesh otherwise.
    pub read_as: Option<ReadAs>,
    /// Which way is up when pouring.
    pub up: Up,
    /// What a flat top is.
    pub opening: Opening,
    /// Which impression of a mould, where it was said; the largest otherwise.
    pub impression: Option<Impressions>,
    /// Holes too large for narrow limits are filled all the same.
    pub accept_holes: bool,
    /// The most triangles that are read of any file, inserts included.
    pub triangles_most: u64,
}

/// Which way is up when pouring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Up {
    /// Nobody said: the file's +z.
    Unsaid,
    /// This direction.
    Along(Direction),
    /// Square to the plane of a mould's rim.
    Rim,
}

/// Which impressions of a mould are filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Impressions {
    /// The one of this number, counted from 1, largest volume first.
    Number(u32),
    /// All of them.
    All,
}

/// What a flat top is taken for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Opening {
    /// The opening that it is poured through.
    Auto,
    /// Wall like the rest: the cavity is closed.
    None,
}

/// How a cavity is to be filled.
#[derive(Debug, Clone, PartialEq)]
pub struct LayersRequest {
    /// Thickness of each coat from the wall inward; empty for no skin. Each at least
    /// [`Coats::THINNEST`](crate::units::Coats::THINNEST).
    pub coats: Vec<Length>,
    /// Depth of the back cap under the fill level; 0 for none.
    pub cap: Length,
    /// How far under the lip the last pour stops.
    pub below_lip: Length,
    /// How far the skin is carried out onto the rim around the opening.
    pub flange: Length,
    /// How far a limit may lie from its value, as a share of the cavity.
    pub tolerance: Percent,
    /// What the real mould took up to the fill level, where it was weighed.
    pub weighed: Option<WeighedFilling>,
    /// What is in the mould already, where the plan is corrected in mid-job.
    pub in_mould: InMould,
    /// The most work on the layers of all cavities together, in distances to the wall; where it
    /// does not suffice, the limits are wider than asked for, and a warning says so.
    pub queries_most: u64,
    /// The two parts of a mould that closes round the piece, where it is cast in one.
    pub parting: Option<PartingRequest>,
}

/// What is in the mould already, as it was measured there.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct InMould {
    /// The skin's grams, flange included: the mould weighed before and after.
    pub skin_used: Option<Weight>,
    /// From the set core's surface up to the fill level.
    pub gap: Option<Length>,
}

/// What a real mould took, to compare with what the mesh says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeighedFilling {
    /// What was weighed.
    pub weighing: Weighing,
    /// What is to be changed where it differs; nothing where that was not said.
    pub means: Option<WeighingMeans>,
}

impl MeshRequest {
    /// A file read with all defaults.
    pub fn new(file: impl Into<String>) -> Self {
        Self {
            file: file.into(),
            unit: None,
            known: None,
            read_as: None,
            up: Up::Unsaid,
            opening: Opening::Auto,
            impression: None,
            accept_holes: false,
            triangles_most: formats::USUAL_TRIANGLES_MOST,
        }
    }

    /// Which way is up: what was said, or +z; a rim is found later.
    pub fn up_or_default(&self) -> Direction {
        if let Up::Along(up) = self.up { up } else { Direction::PLUS_Z }
    }

    /// Number of the impression that is filled; `None` for all.
    pub fn impression_number(&self) -> Option<u32> {
        match self.impression {
            None => Some(1),
            Some(Impressions::Number(number)) => Some(number),
            Some(Impressions::All) => None,
        }
    }
}

impl FromStr for Up {
    type Err = DirectionError;

    fn from_str(text: &str) -> Result<Self, DirectionError> {
        if text.trim().eq_ignore_ascii_case("rim") {
            return Ok(Self::Rim);
        }
        text.parse().map(Self::Along)
    }
}

impl LayersRequest {
    /// Usual thickness of the skin.
    ///
    /// Source: common practice, no source.
    pub const USUAL_SKIN: Length = Length::from_mm(2.0);
    /// The tightest tolerance: below it the work grows past what a person waits for.
    pub const TIGHTEST_TOLERANCE: Percent = Percent::new(0.01);
}

impl Default for LayersRequest {
    /// One coat of 2 mm, a cap of 3 mm, filled to the lip, no flange, 0.5 %.
    ///
    /// Source: common practice, no source.
    fn default() -> Self {
        Self {
            coats: vec![Self::USUAL_SKIN],
            cap: Length::from_mm(3.0),
            below_lip: Length::default(),
            flange: Length::default(),
            tolerance: Percent::new(0.5),
            weighed: None,
            in_mould: InMould::default(),
            queries_most: layers::USUAL_QUERIES_MOST,
            parting: None,
        }
    }
}
