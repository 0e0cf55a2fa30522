//! The plan: grams of each component of each layer.

use super::{Dose, Run, Shop, SkinBy, Weighed};
use crate::bounds::Bounds;
use crate::finding::Finding;
use crate::materials::{Caution, DensityBasis, Hardness, Parts, RoomTimes};
use crate::units::Patch;

/// What to mix for the first round of castings: for all moulds filled at once. Volumes, slopes and
/// thicknesses stay those of one casting.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Skin, core, cap: always these three, in pouring order.
    pub layers: [LayerPlan; 3],
    /// How the grams of one casting change with thickness and level.
    pub slopes: Slopes,
    /// How the skin is laid.
    pub skin_by: SkinBy,
    /// What a brushed test patch says, where there was one.
    pub patch: Option<PatchTold>,
    /// How many castings, in how many moulds.
    pub run: Run,
    /// The later rounds that are not weighed like the first.
    pub further: Vec<FurtherRounds>,
    /// What to weigh for all castings of the run, layer by layer: grams of each component in all
    /// rounds together.
    pub totals: [Vec<Weighed>; 3],
    /// What was allowed for, and what the workshop has.
    pub shop: Shop,
    /// What was noticed.
    pub findings: Vec<Finding>,
    /// What must stand on the sheet.
    pub cautions: Vec<Caution>,
}

/// Rounds that are weighed alike, but not like the first.
#[derive(Debug, Clone, PartialEq)]
pub struct FurtherRounds {
    /// Number of the first of them, counted from 1.
    pub from: u32,
    /// Number of the last of them.
    pub to: u32,
    /// Castings in each.
    pub castings: u32,
    /// What to mix for one of them.
    pub layers: [LayerPlan; 3],
}

impl FurtherRounds {
    /// How many rounds.
    pub fn count(&self) -> u32 {
        self.to - self.from + 1
    }
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

    /// What messages and times call one of `count` coats, `number` counted from 1.
    pub(super) fn coat_name(self, number: usize, count: usize) -> String {
        match count {
            1 => self.as_str().to_owned(),
            _ => format!("{}, coat {number}", self.as_str()),
        }
    }

    /// What they call its coat over the seam.
    pub(super) fn seam_name(self) -> String {
        format!("{}, seam", self.as_str())
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
    /// Grams per cm³ of the cured layer, where the system tells; else as it was filled.
    pub cured_g_cm3: f64,
    /// Where that density comes from; a foam's is its moulded one.
    pub density_basis: DensityBasis,
    /// A foam: poured at once, it expands to fill the volume.
    pub expands: bool,
    /// How long its mix takes in the room; a skin's as its last coat has them.
    pub times: RoomTimes,
    /// What to weigh; of a skin the sum over its coats and its seam.
    pub dose: Dose,
    /// A skin's coats from the wall inward, one mix each; empty for core and cap.
    pub coats: Vec<CoatPlan>,
    /// A skin's coat over the seam of a two-part mould, a mix of its own; no part of its volume.
    pub seam: Option<CoatPlan>,
}

impl LayerPlan {
    /// Each mix with what to call it, in the order of work: coats, then seam; a layer without
    /// coats is one mix. Where no coat takes anything, coats are left out.
    pub fn mixes(&self) -> Vec<(String, &Dose)> {
        let takes_any = self.coats.iter().any(|coat| !coat.dose.is_empty());
        let coats: &[CoatPlan] = if takes_any { &self.coats } else { &[] };
        let seam = self.seam.iter().map(|seam| (self.layer.seam_name(), &seam.dose));
        let coats = (1..).zip(coats);
        let named = coats.map(|(k, coat)| (self.layer.coat_name(k, self.coats.len()), &coat.dose));
        let mixes: Vec<_> = named.chain(seam).collect();
        if mixes.is_empty() { vec![(self.layer.as_str().to_owned(), &self.dose)] } else { mixes }
    }
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
    /// Thickened; the first of several brushed coats is a plain print coat.
    pub thickened: bool,
    /// Tinted, so that missed places show.
    pub tinted: bool,
    /// Grams per cm³ of coat, with the air that it holds.
    pub density_g_cm3: f64,
    /// Grams per cm³ of the cured coat, where the system tells; else as it was laid.
    pub cured_g_cm3: f64,
    /// How thick a coat of this mix stands on a steep wall, mm, where the system tells.
    pub stands_mm: Option<f64>,
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

/// What a brushed test patch says of this hand and this mix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PatchTold {
    /// What was brushed, on how much.
    pub patch: Patch,
    /// How thick that is, mm.
    pub thickness_mm: f64,
    /// How thick the coat that it is compared with is planned, mm.
    pub planned_mm: f64,
    /// What the skin of one casting would take with coats like this, g.
    pub skin_net_g: f64,
}

impl PatchTold {
    /// How far the patch is off the plan, %.
    pub fn off_percent(&self) -> f64 {
        100.0 * (self.thickness_mm / self.planned_mm - 1.0)
    }
}
