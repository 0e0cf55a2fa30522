//! The generic systems that come with the program, and looking them up.

use super::{System, SystemError};

/// Why no built-in system was found.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LookupError {
    /// No system has that id.
    #[error("there is no system `{typed}`; there are {}", .known.join(", "))]
    Unknown {
        /// What was typed.
        typed: String,
        /// All ids.
        known: Vec<&'static str>,
        /// The id most like what was typed, where one is near.
        nearest: Option<&'static str>,
    },
    /// A built-in file is broken.
    #[error("built-in system `{id}`: {source}")]
    Broken {
        /// Its id.
        id: &'static str,
        /// What is wrong.
        source: SystemError,
    },
}

impl LookupError {
    /// What to do about it.
    pub fn hint(&self) -> Option<String> {
        todo!()
    }
}

/// The ids of the built-in systems.
pub fn builtin_ids() -> Vec<&'static str> {
    todo!()
}

/// A built-in system by its id; case, `oo` for 00, US spellings and spaces for `-` don't matter.
///
/// # Errors
/// [`LookupError::Unknown`] lists the ids and the nearest one.
pub fn builtin(_id: &str) -> Result<System, LookupError> {
    todo!()
}
