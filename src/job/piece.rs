//! What the cured, trimmed piece is expected to weigh.

use super::JobError;
use crate::bounds::Bounds;
use crate::materials::Mix;
use crate::plan::{LayerVolumes, PlanRequest, Recipe};
use crate::sheet::CavityFacts;

/// How far a cured density may be off its data sheet, as a share of it.
///
/// Source: common practice, no source.
const DENSITY_SHARE: f64 = 0.02;

/// The piece as it comes from the mould, flange trimmed off and inserts not counted, g.
///
/// Assumptions: its limits add those of the layers, what repair leaves open of the cavity, and 2 %
/// for the densities.
pub fn weight_g(
    volumes: &LayerVolumes,
    materials: &PlanRequest,
    cavity: &CavityFacts,
) -> Result<Bounds, JobError> {
    let layers = [
        (volumes.skin_mm3, cured_g_cm3(&materials.skin)?),
        (volumes.core_mm3, cured_g_cm3(&materials.core)?),
        (volumes.cap_mm3, cured_g_cm3(&materials.cap)?),
    ];
    let sum = |of: fn(&Bounds) -> f64| -> f64 {
        layers.iter().map(|(volume, density)| of(volume) / 1000.0 * density).sum()
    };
    let (best, low, high) = (sum(Bounds::best), sum(Bounds::low), sum(Bounds::high));
    let whole = cavity.measures.volume_mm3;
    let (less, more) = match whole.best() {
        best if best > 0.0 => (whole.low() / best, whole.high() / best),
        _ => (1.0, 1.0),
    };
    Ok(Bounds::new(
        low.max(0.0) * less * (1.0 - DENSITY_SHARE),
        best,
        high * more * (1.0 + DENSITY_SHARE),
    ))
}

/// The density of the cured layer, g/cm³: the one place that says where it comes from.
fn cured_g_cm3(recipe: &Recipe) -> Result<f64, JobError> {
    Ok(Mix::new(&recipe.system, recipe.softener)?.filled_density_g_cm3)
}
