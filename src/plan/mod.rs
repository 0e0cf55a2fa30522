//! From layer volumes to grams: the one place where geometry and materials meet.
//!
//! It works from volumes alone, so they may come from a mesh or be typed in.

mod allowance;
mod asked;
mod contact;
mod dose;
mod make;
mod notice;
mod request;
mod result;
mod shop;
mod weigh;

pub use allowance::{Allowance, AllowanceKind, Allowances, wetted_area_mm2, wetted_cup_area_mm2};
pub use contact::mould_not_checked;
pub use dose::{Dose, Weighed};
pub use make::{PlanError, plan, yield_stress_pa};
pub use request::{CoatVolume, LayerVolumes, PlanRequest, Recipe};
pub use result::{CoatPlan, Layer, LayerPlan, Plan, Slopes};
pub use shop::{Pace, Shop};
