//! Why no plan can be made, with what to do about it.

use super::Layer;
use crate::materials::{MixError, TooFarFromSheet};

/// Why no plan can be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// A layer's material can't be mixed.
    #[error("{}: {source}", .layer.as_str())]
    Mix {
        /// Which layer.
        layer: Layer,
        /// Why.
        source: MixError,
    },
    /// The room is too warm or too cold to tell a layer's times.
    #[error("{}: {source}", .layer.as_str())]
    Room {
        /// Which layer.
        layer: Layer,
        /// Why.
        source: TooFarFromSheet,
    },
    /// Something would round to nothing on the scale.
    #[error(
        "{mix}: {component} would round to nothing on a scale with steps of {step_g} g; it takes \
         {least_mix_g:.1} g of mix to show"
    )]
    RoundsToNothing {
        /// Which coat or pour.
        mix: String,
        /// What would not be weighed.
        component: String,
        /// The scale's step, g.
        step_g: f64,
        /// The least mix in which it shows, g.
        least_mix_g: f64,
        /// The coarsest finer scale that shows it in this mix, g.
        finer_step_g: Option<f64>,
        /// It is stirred in, so that it may be left out.
        is_additive: bool,
    },
    /// A former leaves one gap, which is poured at once.
    #[error("a core former leaves one gap for the skin, but {coats} coats were asked for")]
    CoatsRoundAFormer {
        /// How many coats.
        coats: usize,
    },
    /// A test patch was brushed, and the skin isn't.
    #[error("a brushed test patch says nothing of a skin that isn't brushed")]
    PatchWithoutBrush,
    /// A number is negative or not finite, or far beyond any workshop.
    #[error("{what} is {value}; expected {expected}")]
    OutOfRange {
        /// Which number, with its unit.
        what: &'static str,
        /// What it is.
        value: f64,
        /// What was expected.
        expected: &'static str,
    },
}

impl PlanError {
    /// What to do about it.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Mix { source, .. } => Some(source.hint().to_owned()),
            Self::Room { source, .. } => Some(source.hint().to_owned()),
            Self::RoundsToNothing { finer_step_g, is_additive, .. } => {
                let finer = match finer_step_g {
                    Some(step_g) => format!("weigh on a scale with steps of {step_g} g"),
                    None => "weigh on a finer scale".to_owned(),
                };
                let without = if *is_additive { ", or leave it out" } else { "" };
                Some(format!("{finer}, or mix more{without}"))
            }
            Self::CoatsRoundAFormer { .. } => {
                Some("pour it in one coat, or lay the coats by brush".to_owned())
            }
            Self::PatchWithoutBrush => Some("leave the patch out, or brush the skin".to_owned()),
            Self::OutOfRange { .. } => None,
        }
    }
}
