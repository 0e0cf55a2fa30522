//! What is in the mould already, and what the piece will weigh.

use serde::Serialize;

use crate::bounds::Bounds;
use crate::sheet::Correction;

/// A plan corrected in mid-job.
#[derive(Serialize)]
pub struct CorrectionWire {
    #[serde(flatten)]
    skin: Option<SkinWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    gap_mm: Option<f64>,
    planned_cap_mm: f64,
}

#[derive(Serialize)]
struct SkinWire {
    skin_used_g: f64,
    skin_on_flange_g: f64,
    skin_mm: f64,
    skin_low_mm: f64,
    skin_high_mm: f64,
    planned_skin_mm: f64,
    planned_skin_net_g: f64,
}

/// A weight with its limits.
#[derive(Serialize)]
pub struct WeightWire {
    best: f64,
    low: f64,
    high: f64,
}

impl CorrectionWire {
    pub fn new(correction: &Correction) -> Self {
        let skin = correction.skin.map(|skin| SkinWire {
            skin_used_g: skin.grams,
            skin_on_flange_g: skin.flange_g,
            skin_mm: skin.thickness_mm.best(),
            skin_low_mm: skin.thickness_mm.low(),
            skin_high_mm: skin.thickness_mm.high(),
            planned_skin_mm: skin.planned_mm,
            planned_skin_net_g: skin.planned_g,
        });
        Self { skin, gap_mm: correction.gap_mm, planned_cap_mm: correction.planned_cap_mm }
    }
}

impl WeightWire {
    pub fn new(grams: Bounds) -> Self {
        Self { best: grams.best(), low: grams.low(), high: grams.high() }
    }
}
