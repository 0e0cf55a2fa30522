//! From layer volumes to grams: the one place where geometry and materials meet.
//!
//! It works from volumes alone, so they may come from a mesh or be typed in.

mod allowance;
mod dose;
mod make;
mod request;
mod result;

pub use allowance::{Allowance, AllowanceKind, Allowances};
pub use dose::{Dose, Weighed};
pub use make::{PlanError, plan};
pub use request::{CoatVolume, LayerVolumes, PlanRequest, Recipe};
pub use result::{CoatPlan, Layer, LayerPlan, Plan, Slopes};
