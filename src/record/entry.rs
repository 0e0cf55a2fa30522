//! One casting as it was recorded.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::bounds::Bounds;
use crate::plan::{AllowanceKind, Layer, LayerPlan, Plan};

/// The schema's name, at the head of every line.
pub const SCHEMA: &str = "cavigram/record/1";

/// One casting as it was recorded. Units: g, mm, °C, minutes, per cent.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// [`SCHEMA`].
    pub schema: String,
    /// Local date and time with its offset, as RFC 3339 has it.
    pub at: String,
    /// Revision of the job file.
    pub revision: u64,
    /// Castings made at once, of which all grams used and left are.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub castings: u32,
    /// What is in the moulds together, flange included.
    #[serde(default, skip_serializing_if = "PerLayer::is_empty")]
    pub used_g: PerLayer,
    /// What stuck to cup and brush, what could have been used not counted.
    #[serde(default, skip_serializing_if = "PerLayer::is_empty")]
    pub left_g: PerLayer,
    /// Temperature of the room.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room_c: Option<f64>,
    /// Relative humidity of the room.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub humidity_percent: Option<f64>,
    /// Lot numbers by component.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub lots: BTreeMap<String, String>,
    /// When gel was seen, from the end of mixing.
    #[serde(default, skip_serializing_if = "PerLayer::is_empty")]
    pub gel_seen_minutes: PerLayer,
    /// Thickness of the skin, measured on the piece.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thickness_mm: Option<f64>,
    /// Weight of the trimmed piece.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub piece_g: Option<f64>,
    /// What became of it.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// Anything else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// What was planned, to compare with.
    pub planned: Planned,
}

const fn one() -> u32 {
    1
}

const fn is_one(count: &u32) -> bool {
    *count == 1
}

/// What became of a casting: `good` or not, and why not.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Verdict {
    /// It is good, or a reject; nothing where nobody said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub good: Option<bool>,
    /// Why it is a reject.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reject_reason: Option<String>,
}

/// A number for each layer that has one.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct PerLayer {
    /// The skin, all its coats.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub skin: Option<f64>,
    /// The core.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub core: Option<f64>,
    /// The cap.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cap: Option<f64>,
}

/// What a plan said.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Planned {
    /// The skin.
    pub skin: PlannedLayer,
    /// The core.
    pub core: PlannedLayer,
    /// The cap.
    pub cap: PlannedLayer,
    /// Thickness of the skin, mm.
    pub skin_mm: f64,
    /// The trimmed piece.
    pub piece_g: Weights,
}

/// What a plan said of a layer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PlannedLayer {
    /// To stay in the mould, flange included, g.
    pub net_g: f64,
    /// To be weighed, g.
    pub mix_g: f64,
    /// Allowed for cup, brush and remainder, g: what is expected to stay in cup and brush.
    pub kept_g: f64,
    /// Mixed only because less doesn't mix well or can't be weighed, g.
    pub waste_g: f64,
    /// The remainder in per cent of the net grams, as it was set.
    pub remainder_percent: f64,
    /// Mixes that it is brushed or poured in.
    pub mixes: usize,
}

/// A weight with its limits, g.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Weights {
    /// The expected one.
    pub best: f64,
    /// The least.
    pub low: f64,
    /// The most.
    pub high: f64,
}

impl Entry {
    /// It was told to be good.
    pub fn is_good(&self) -> bool {
        self.verdict.good == Some(true)
    }

    /// It was told to be a reject.
    pub fn is_reject(&self) -> bool {
        self.verdict.good == Some(false)
    }

    /// What stuck to cup and brush, g, where it was weighed and anything was planned to be mixed.
    pub fn kept_g(&self, layer: Layer) -> Option<f64> {
        self.left_g.of(layer).filter(|_| self.planned.of(layer).mixes > 0)
    }
}

impl PerLayer {
    /// The number of a layer.
    pub const fn of(&self, layer: Layer) -> Option<f64> {
        match layer {
            Layer::Skin => self.skin,
            Layer::Core => self.core,
            Layer::Cap => self.cap,
        }
    }

    /// No layer has one.
    pub const fn is_empty(&self) -> bool {
        self.skin.is_none() && self.core.is_none() && self.cap.is_none()
    }
}

impl Planned {
    /// What a plan says, `skin_mm` thick and with the expected weight of the piece.
    pub fn new(plan: &Plan, skin_mm: f64, piece_g: Bounds) -> Self {
        let [skin, core, cap] = &plan.layers;
        let set = &plan.shop.allowances;
        Self {
            skin: PlannedLayer::new(skin, set.skin_remainder),
            core: PlannedLayer::new(core, set.core_remainder),
            cap: PlannedLayer::new(cap, set.cap_remainder),
            skin_mm,
            piece_g: Weights { best: piece_g.best(), low: piece_g.low(), high: piece_g.high() },
        }
    }

    /// What was planned for a layer.
    pub const fn of(&self, layer: Layer) -> &PlannedLayer {
        match layer {
            Layer::Skin => &self.skin,
            Layer::Core => &self.core,
            Layer::Cap => &self.cap,
        }
    }
}

impl PlannedLayer {
    fn new(layer: &LayerPlan, remainder: f64) -> Self {
        let dose = &layer.dose;
        // What levels the cap is in the mould, and what stays in the gate went through it.
        let elsewhere = [AllowanceKind::Levelling, AllowanceKind::Gate];
        let kept = dose.allowances.iter().filter(|a| !elsewhere.contains(&a.kind));
        let mixes = layer.mixes().iter().filter(|(_, dose)| !dose.is_empty()).count();
        Self {
            net_g: dose.net_g,
            mix_g: dose.mix_g,
            kept_g: kept.map(|allowance| allowance.grams).sum(),
            waste_g: dose.raised_g + dose.rounding_g,
            remainder_percent: 100.0 * remainder,
            mixes,
        }
    }
}
