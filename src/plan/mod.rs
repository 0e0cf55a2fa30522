//! From layer volumes to grams: the one place where geometry and materials meet.
//!
//! It works from volumes alone, so they may come from a mesh or be typed in.

mod allowance;
mod asked;
mod batch;
mod check;
mod coat;
mod coating;
mod contact;
mod dose;
mod error;
mod in_mould;
mod jacket;
mod make;
mod notice;
mod notice_batch;
mod request;
mod result;
mod shop;
mod shop_file;
mod single;
mod stand;
mod weigh;

pub use allowance::{Allowance, AllowanceKind, Allowances, wetted_area_mm2, wetted_cup_area_mm2};
pub use coating::{Coating, SkinBy, Stir};
pub use contact::{mould_not_checked, parts_from};
pub use dose::{BatchWork, Dose, Weighed};
pub use error::PlanError;
pub use jacket::{Jacket, JacketDose};
pub use make::plan;
pub use notice_batch::OVER_TIME;
pub use request::{
    CoatVolume, LayerVolumes, PlanRequest, Recipe, Run, SeamCoat, TwoPart, WallFacts,
};
pub use result::{CoatPlan, FurtherRounds, Layer, LayerPlan, PatchTold, Plan, Slopes};
pub use shop::{Pace, Shop};
pub use shop_file::{
    ShopFileError, ShopFileErrorKind, ShopKey, ShopTold, ShopValueError, Workshop,
};
pub use single::{Lay, Single};
pub use stand::{draining_film_mm, yield_stress_pa};
