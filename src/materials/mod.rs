//! Casting systems: components, ratio, densities, times, hardness, cautions.
//!
//! A [`System`] is what a data sheet says; a [`Mix`] is what is weighed together for one pour.
//! Nothing here knows of meshes or layers.

mod begin;
mod builtin;
mod care;
mod cured;
mod family;
mod library;
mod mix;
mod parts;
mod provenance;
mod read;
mod shore;
mod softener_for;
mod softness;
mod sourced;
mod system;
mod touching;
mod warmth;

pub use begin::begin_from;
pub use builtin::{LookupError, builtin, builtin_ids, builtin_toml};
pub use care::{Caution, cautions};
pub use family::{UnknownFamily, family_words};
pub use library::{Entry, EntryFault, Library, LibraryError, Place, SystemSource};
pub use mix::{Additives, DensityBasis, Mix, MixError, MixPart, Role, mixture_density_g_cm3};
pub use parts::{Parts, PartsError};
pub use provenance::{Unsourced, unsourced_numbers};
pub use read::{SystemError, SystemErrorKind};
pub use shore::{ShoreError, ShoreReading};
pub use softener_for::{SoftenerFor, SoftenerForError};
pub use softness::{Hardness, HardnessBasis, Shore, Tack};
pub use sourced::Sourced;
pub use system::{
    Build, By, Component, Densities, Dosage, Family, HardnessPoint, Hazard, Pack, Pigment,
    Softener, System, Thickener, Times,
};
pub use touching::{Contact, Outcome, Surface, Touching, contact};
pub use warmth::{FURTHEST_C, RoomTimes, TooFarFromSheet, USUAL_SHEET_C, ten_degree_factor};
