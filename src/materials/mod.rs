//! Casting systems: components, ratio, densities, times, hardness, cautions.
//!
//! A [`System`] is what a data sheet says; a [`Mix`] is what is weighed together for one pour.
//! Nothing here knows of meshes or layers.

mod builtin;
mod care;
mod mix;
mod parts;
mod provenance;
mod read;
mod softness;
mod sourced;
mod spelling;
mod system;
mod warmth;

pub use builtin::{LookupError, builtin, builtin_ids, builtin_toml};
pub use care::{Caution, cautions};
pub use mix::{Additives, DensityBasis, Mix, MixError, MixPart, Role, mixture_density_g_cm3};
pub use parts::{Parts, PartsError};
pub use provenance::{Unsourced, unsourced_numbers};
pub use read::{SystemError, SystemErrorKind};
pub use softness::{Hardness, HardnessBasis, Shore, Tack};
pub use sourced::Sourced;
pub use system::{
    Build, By, Component, Densities, Dosage, Family, HardnessPoint, Hazard, Pack, Pigment,
    Softener, System, Thickener, Times,
};
pub use warmth::{FURTHEST_C, RoomTimes, TooFarFromSheet, USUAL_SHEET_C, ten_degree_factor};
