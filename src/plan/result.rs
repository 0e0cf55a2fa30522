//! The plan: grams of each component of each layer.

use super::{Allowances, Dose};
use crate::bounds::Bounds;
use crate::finding::Finding;
use crate::materials::{Caution, DensityBasis, Hardness, Parts};

/// What to mix for one casting.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Skin, core, cap: always these three, in pouring order.
    pub layers: [LayerPlan; 3],
    /// How the grams change with thickness and level.
    pub slopes: Slopes,
    /// What was allowed for.
    pub allowances: Allowances,
    /// The scale's step, g.
    pub scale_step_g: f64,
    /// What was noticed.
    pub findings: Vec<Finding>,
    /// What must stand on the sheet.
    pub cautions: Vec<Caution>,
}

/// The three layers, in pouring order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Layer {
    /// Brushed on the wall.
    Skin,
    /// Poured behind the skin.
    Core,
    /// The level slab up to the fill level.
    Cap,
}

impl Layer {
    /// The word used in JSON and messages.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Skin => "skin",
            Self::Core => "core",
            Self::Cap => "cap",
        }
    }
}

/// One layer's material and grams.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerPlan {
    /// Which.
    pub layer: Layer,
    /// The system's id.
    pub system_id: String,
    /// The system in words.
    pub system_title: String,
    /// Parts of softener in it.
    pub softener: Parts,
    /// How hard it will be, where measured.
    pub hardness: Option<Hardness>,
    /// Volume inside the cavity, mm³.
    pub volume_mm3: Bounds,
    /// Volume on the flange, mm³; 0 but for a skin.
    pub flange_mm3: f64,
    /// Grams per cm³ of layer: the moulded density of a foam, else that of the mix.
    pub density_g_cm3: f64,
    /// Where that density comes from; a foam's is its moulded one.
    pub density_basis: DensityBasis,
    /// A foam: poured at once, it expands to fill the volume.
    pub expands: bool,
    /// What to weigh; of a skin the sum over its coats.
    pub dose: Dose,
    /// A skin's coats from the wall inward, one mix each; empty for core and cap.
    pub coats: Vec<CoatPlan>,
}

/// One coat's grams.
#[derive(Debug, Clone, PartialEq)]
pub struct CoatPlan {
    /// How thick, mm.
    pub thickness_mm: f64,
    /// Volume inside the cavity, mm³.
    pub volume_mm3: Bounds,
    /// Volume on the flange, mm³.
    pub flange_mm3: f64,
    /// Brushed thickened; the first of several coats is a plain print coat.
    pub thickened: bool,
    /// Grams on 100 cm² of wall.
    pub g_per_100_cm2: f64,
    /// Yield stress that the mix needs to stand on a vertical wall, Pa; a thinner mix drains.
    pub yield_stress_pa: f64,
    /// What to weigh.
    pub dose: Dose,
}

/// How the net grams change with thickness and level, to correct as one goes.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Slopes {
    /// Grams of skin for 0.1 mm on the whole wall.
    pub skin_g_per_tenth_mm: f64,
    /// Grams of core for 1 mm of level in the opening.
    pub core_g_per_mm: f64,
    /// Grams of cap for 1 mm of level in the opening.
    pub cap_g_per_mm: f64,
}
