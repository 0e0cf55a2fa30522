//! What the cured, trimmed piece is expected to weigh.

use crate::bounds::Bounds;
use crate::plan::Plan;
use crate::sheet::CavityFacts;

/// How far a cured density may be off its data sheet, as a share of it.
///
/// Source: common practice, no source.
const DENSITY_SHARE: f64 = 0.02;

/// The piece as it comes from the mould, flange trimmed off and inserts not counted, g.
///
/// Assumptions: its limits add those of the layers, what repair leaves open of the cavity, and 2 %
/// for the densities.
pub fn weight_g(plan: &Plan, cavity: &CavityFacts) -> Bounds {
    let sum = |of: fn(&Bounds) -> f64| -> f64 {
        plan.layers.iter().map(|l| of(&l.volume_mm3) / 1000.0 * l.cured_g_cm3).sum()
    };
    // The seam's coat lies where the volumes have core.
    let [skin, core, _] = &plan.layers;
    let seam = skin.seam.as_ref().map_or(0.0, |seam| {
        seam.volume_mm3.best() / 1000.0 * (seam.cured_g_cm3 - core.cured_g_cm3)
    });
    let [best, low, high] = [Bounds::best, Bounds::low, Bounds::high].map(|of| sum(of) + seam);
    let whole = cavity.measures.volume_mm3;
    let (less, more) = match whole.best() {
        best if best > 0.0 => (whole.low() / best, whole.high() / best),
        _ => (1.0, 1.0),
    };
    Bounds::new(
        low.max(0.0) * less * (1.0 - DENSITY_SHARE),
        best,
        high * more * (1.0 + DENSITY_SHARE),
    )
}
