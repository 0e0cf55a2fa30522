//! Stops before long work on a piece of a size that no casting has: a slip in the unit is told at
//! once.

use super::scale::Scale;
use crate::cavity::CavityMeasures;
use crate::units::Length;

/// The most that is split into layers, mm³: 1000 m³. Far beyond any casting.
pub const MOST_MM3: f64 = 1e12;

/// The most work on a piece of an odd size: wall over the square of a coat's depth, summed over
/// the coats. It takes about 12 s on two cores; a piece of a plausible size is split whatever it
/// takes.
const MOST_WORK: f64 = 2e6;

/// The piece is so large that it must be a slip.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TooMuchWork {
    /// More than [`MOST_MM3`].
    #[error("the cavity would hold {:.0} m³ and be {longest} long, which is no casting", .volume_mm3 / 1e9)]
    Volume {
        /// How much, mm³.
        volume_mm3: f64,
        /// Its largest side, in words.
        longest: String,
        /// What to do about it.
        hint: String,
    },
    /// Too much wall for so thin a coat.
    #[error(
        "the piece would be {longest} at its longest, odd for a casting, and a coat of {coat} on \
         {:.0} m² of wall would take long to work out", .wall_area_mm2 / 1e6
    )]
    Wall {
        /// Its largest side, in words.
        longest: String,
        /// How much wall, mm².
        wall_area_mm2: f64,
        /// The first coat.
        coat: Length,
        /// What to do about it.
        hint: String,
    },
}

impl TooMuchWork {
    /// What to do about it.
    pub fn hint(&self) -> &str {
        match self {
            Self::Volume { hint, .. } | Self::Wall { hint, .. } => hint,
        }
    }
}

/// Refuses a volume that can only be a slip.
///
/// # Errors
/// [`TooMuchWork`] names the size, and the unit that would fit.
pub fn check_volume(scale: &Scale, measures: &[CavityMeasures]) -> Result<(), TooMuchWork> {
    let volume_mm3: f64 = measures.iter().map(|m| m.volume_mm3.best()).sum();
    if volume_mm3 > MOST_MM3 {
        let (longest, hint) = (scale.longest(), hint(scale));
        return Err(TooMuchWork::Volume { volume_mm3, longest, hint });
    }
    Ok(())
}

/// Refuses what can only be a slip and would take long to split into layers.
///
/// # Errors
/// [`TooMuchWork`] names the size, and the unit that would fit.
pub fn check_layers(
    scale: &Scale,
    measures: &[CavityMeasures],
    coats: &[Length],
) -> Result<(), TooMuchWork> {
    let wall_area_mm2: f64 = measures.iter().map(|m| m.wall_area_mm2).sum();
    let depths = coats.iter().scan(0.0, |depth, coat| {
        *depth += coat.mm();
        Some(*depth)
    });
    let work: f64 = depths.filter(|mm| *mm > 0.0).map(|mm| wall_area_mm2 / (mm * mm)).sum();
    match coats.first() {
        Some(&coat) if work > MOST_WORK && !scale.is_plausible() => {
            let hint = format!("{}; --skin 0 tells the volume alone", hint(scale));
            Err(TooMuchWork::Wall { longest: scale.longest(), wall_area_mm2, coat, hint })
        }
        _ => Ok(()),
    }
}

fn hint(scale: &Scale) -> String {
    match scale.what_to_check() {
        unit if unit.starts_with("with --unit") => format!("check --unit: {unit}"),
        other => other,
    }
}
