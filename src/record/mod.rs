//! What was really used, casting by casting: entries, their spread, and what follows from them.
//!
//! An entry is one line of JSON, schema `cavigram/record/1`; lines are only ever added. Nothing
//! here opens a file or reads a clock.

mod check;
mod entry;
mod propose;
mod read;
mod spread;
mod summary;
mod typed;

pub use check::OddNumber;
pub use entry::{Entry, PerLayer, Planned, PlannedLayer, SCHEMA, Verdict, Weights};
pub use propose::{LEAST_GOOD, Proposal, proposals};
pub use read::{Log, read};
pub use spread::Spread;
pub use summary::{Judged, Quantity, Summary, judged};
pub use typed::{Gel, Lot, TypedError, celsius, minutes, skin_mm};
