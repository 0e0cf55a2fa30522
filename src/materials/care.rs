//! Cautions that must stand on a sheet, from the hazards of the systems used.

use super::{Hazard, System};

/// One caution.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// What it follows from; `None` for what a system's file says in words and for the general one.
    pub hazard: Option<Hazard>,
    /// One to three plain sentences.
    pub text: String,
}

/// The cautions for these systems and further hazards of the work, each once, the general one
/// first.
pub fn cautions<'a>(
    _systems: impl IntoIterator<Item = &'a System>,
    _work: &[Hazard],
) -> Vec<Caution> {
    todo!()
}
