//! Volumes in, grams out.

use super::{Layer, LayerVolumes, Plan, PlanRequest};
use crate::materials::MixError;

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
    /// A number is negative or not finite.
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
    pub fn hint(&self) -> Option<&'static str> {
        todo!()
    }
}

/// Makes the plan: grams of each component of each layer, in pouring order.
///
/// # Errors
/// [`PlanError`].
pub fn plan(_volumes: &LayerVolumes, _request: &PlanRequest) -> Result<Plan, PlanError> {
    todo!()
}
