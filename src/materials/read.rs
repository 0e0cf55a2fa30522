//! A system from TOML.

use super::System;

/// Why a system file can't be used, with the place.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, column {column}: {kind}")]
pub struct SystemError {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong and what was expected.
    pub kind: SystemErrorKind,
}

/// What is wrong with a system file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SystemErrorKind {
    /// It is no TOML, or a key or value is not one that a system has; says what was expected.
    #[error("{0}")]
    Toml(String),
}

impl System {
    /// Reads a system from the text of its TOML file.
    ///
    /// # Errors
    /// [`SystemError`] with line, column and what was expected.
    pub fn from_toml(_toml: &str) -> Result<Self, SystemError> {
        todo!()
    }
}
