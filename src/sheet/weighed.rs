//! What a weighed filling of the real mould says of the mesh.

use crate::bounds::Bounds;
use crate::units::{Weighing, WeighingMeans};

/// A weighed filling beside the computed volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterCheck {
    /// What was weighed.
    pub weighing: Weighing,
    /// What was computed up to the fill level as it was asked for, mm³.
    pub computed_mm3: Bounds,
    /// What was changed.
    pub change: Change,
}

/// What was changed because of a weighed filling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Change {
    /// Nothing.
    Nothing,
    /// The mesh was scaled by this factor.
    Size(f64),
    /// The fill level was moved to so far under the lip, mm.
    Level(f64),
}

impl WaterCheck {
    /// What it measures, mm³.
    pub fn volume_mm3(&self) -> f64 {
        self.weighing.volume_mm3()
    }

    /// How much more it is than what was computed, %.
    pub fn difference_percent(&self) -> f64 {
        100.0 * (self.volume_mm3() / self.computed_mm3.best() - 1.0)
    }

    /// It lies within what mending left open; `None` where it left nothing open.
    pub fn is_within_limits(&self) -> Option<bool> {
        let (low, high) = (self.computed_mm3.low(), self.computed_mm3.high());
        (low < high).then(|| (low..=high).contains(&self.volume_mm3()))
    }

    /// What was to be changed.
    pub fn means(&self) -> Option<WeighingMeans> {
        match self.change {
            Change::Nothing => None,
            Change::Size(_) => Some(WeighingMeans::Size),
            Change::Level(_) => Some(WeighingMeans::Level),
        }
    }
}
