//! The dip-stick table of a cavity.

use super::{Filled, JobError, MeshRequest, Progress, fill, known, read};
use crate::bounds::Bounds;
use crate::cavity::{Air, Cavity};
use crate::finding::Finding;
use crate::materials::Mix;
use crate::plan::Recipe;
use crate::sheet::{self, CavityFacts, LevelMaterial, LevelRow, LevelTable};
use crate::units::Length;

/// What `level` is asked to do.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelRequest {
    /// How the mesh is to be read and stood up.
    pub mesh: MeshRequest,
    /// How far under the lip the last row lies.
    pub below_lip: Length,
    /// Which levels are told.
    pub steps: Steps,
    /// What the grams are grams of.
    pub material: Recipe,
}

/// Which levels a table tells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Steps {
    /// So many even steps from the lowest point to the fill level; at least 1.
    Number(u32),
    /// A row every so much height, over 0, and one at the fill level.
    Every(Length),
}

impl Steps {
    /// The most steps of a table.
    pub const MOST: u32 = 10_000;
}

impl Default for Steps {
    fn default() -> Self {
        Self::Number(10)
    }
}

/// A step this share of itself short of the fill level reaches it: rounding.
const NEARLY: f64 = 1e-6;
/// Heights along up and square to a leaning back that differ by more than this are told apart, mm.
const LEANING_MM: f64 = 0.05;

/// Tells how much a cavity holds level by level.
///
/// # Errors
/// [`JobError`] where the mesh can't be read or trusted, there is nothing to fill, or a table
/// would have more than [`Steps::MOST`] steps.
pub fn level(
    bytes: &[u8],
    request: &LevelRequest,
    progress: Progress<'_>,
) -> Result<LevelTable, JobError> {
    let recipe = &request.material;
    let mix = Mix::new(&recipe.system, recipe.softener)?;
    let below_lip_mm = request.below_lip.mm();
    let raw = read(bytes, &request.mesh, progress)?;
    let seen = known::see_scaled(raw, &request.mesh, below_lip_mm, progress)?;
    let Filled { mesh, health, cavities, facts, mut findings, .. } = fill(seen, &request.mesh)?;
    let depth_mm = cavities.iter().map(Cavity::level_mm).fold(0.0, f64::max);
    let heights_mm = heights(depth_mm, request.steps)?;
    let volumes = cavities.iter().map(|cavity| volumes(cavity, &heights_mm, depth_mm));
    let volumes = volumes.reduce(|sum, one| sum.iter().zip(one).map(|(a, b)| *a + b).collect());
    let rows =
        heights_mm.iter().zip(volumes.unwrap_or_default()).map(|(height, volume)| LevelRow {
            height_mm: *height,
            below_lip_mm: depth_mm - height + below_lip_mm,
            volume_mm3: volume,
            grams: volume.best() / 1000.0 * mix.filled_density_g_cm3,
        });
    let rows = rows.collect();
    let air = Air::together(cavities.iter().map(|cavity| cavity.air(0.0)));
    findings.extend(sheet::air_findings(&air, false));
    findings.extend(notes(&cavities, recipe));
    Ok(LevelTable {
        mesh,
        health,
        cavity: CavityFacts { air, ..facts },
        material: LevelMaterial {
            system_id: recipe.system.id.clone(),
            system_title: recipe.system.title.clone(),
            softener: recipe.softener,
            density_g_cm3: mix.filled_density_g_cm3,
        },
        step_mm: step_mm(depth_mm, request.steps),
        rows,
        findings,
    })
}

/// Height between rows, mm.
fn step_mm(depth_mm: f64, steps: Steps) -> f64 {
    match steps {
        Steps::Number(count) => depth_mm / f64::from(count.max(1)),
        Steps::Every(step) => step.mm(),
    }
}

/// The heights of all rows: 0, step by step, and the depth itself.
fn heights(depth_mm: f64, steps: Steps) -> Result<Vec<f64>, JobError> {
    let step_mm = step_mm(depth_mm, steps);
    let whole = depth_mm / step_mm;
    // A step of nothing makes it infinite.
    if whole.is_nan() || whole - NEARLY > f64::from(Steps::MOST) {
        return Err(JobError::TooManySteps { depth_mm });
    }
    let before_last = (whole - NEARLY).ceil().max(1.0) as u32;
    let mut heights: Vec<f64> = (0..before_last).map(|k| f64::from(k) * step_mm).collect();
    heights.push(depth_mm);
    Ok(heights)
}

/// What one cavity holds at heights over the lowest point of the deepest, whose fill level lies at
/// `depth_mm`: levels at the same depth under the lip.
fn volumes(cavity: &Cavity, heights_mm: &[f64], depth_mm: f64) -> Vec<Bounds> {
    let levels: Vec<f64> =
        heights_mm.iter().map(|height| cavity.level_mm() - (depth_mm - height)).collect();
    cavity.volumes_under_mm3(&levels)
}

/// What a reader of the table should know.
fn notes(cavities: &[Cavity], recipe: &Recipe) -> Vec<Finding> {
    let mut notes = Vec::new();
    if cavities.len() > 1 {
        let message = format!(
            "all {} impressions together, each filled to the same depth under its own lip; \
             heights are those of the deepest",
            cavities.len()
        );
        notes.push(Finding::note("impressions-together", message));
    }
    let leaning = |cavity: &Cavity| (cavity.measures().fill_mm - cavity.level_mm()).abs();
    if cavities.iter().any(|cavity| leaning(cavity) > LEANING_MM) {
        let message = "heights and depths are square to the leaning back, whose plane is the last \
            row's level";
        notes.push(Finding::note("square-to-back", message));
    }
    if recipe.system.densities.moulded_g_cm3.is_some() {
        let message = "the material is a foam: grams are those of the foam that fills the cavity \
            up to there, not of a liquid level";
        notes.push(Finding::note("foam", message).with_hint("a foam is poured at once"));
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    fn every(depth_mm: f64, step_mm: f64) -> Vec<f64> {
        heights(depth_mm, Steps::Every(Length::from_mm(step_mm))).unwrap()
    }

    #[test]
    fn rows_begin_at_the_bottom_and_end_at_the_level() {
        assert_eq!(every(3.0, 1.0), [0.0, 1.0, 2.0, 3.0]);
        assert_eq!(every(3.5, 1.0), [0.0, 1.0, 2.0, 3.0, 3.5]);
        assert_eq!(every(3.0, 5.0), [0.0, 3.0]);
        assert_eq!(heights(3.0, Steps::Number(2)).unwrap(), [0.0, 1.5, 3.0]);
        assert_eq!(heights(3.0, Steps::Number(1)).unwrap(), [0.0, 3.0]);
        // 0.1 is no sum of halves: the last step must not come twice.
        assert_eq!(every(0.3, 0.1).len(), 4);
        assert_eq!(every(31.0, 3.1).len(), 11);
        for count in [3, 7, 9_999, Steps::MOST] {
            for depth in [0.1, 31.0, 77.7, 1e-3] {
                let rows = heights(depth, Steps::Number(count)).unwrap();
                assert_eq!(rows.len(), count as usize + 1);
                assert!(rows.is_sorted_by(|a, b| a < b));
                assert_eq!((rows[0], rows[count as usize]), (0.0, depth));
            }
        }
    }

    #[test]
    fn too_many_rows_are_refused() {
        for step in [0.0009, 1e-300, 0.0] {
            let steps = Steps::Every(Length::from_mm(step));
            assert!(matches!(heights(10.0, steps), Err(JobError::TooManySteps { .. })), "{step}");
        }
        assert_eq!(every(10.0, 0.001).len(), 10_001);
    }
}
