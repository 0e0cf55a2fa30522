//! Why a job file can't be used, with the place.

use super::SCHEMA;

/// Why a job file can't be used, with the place.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, column {column}: {kind}")]
pub struct JobFileError {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong and what was expected.
    pub kind: JobFileErrorKind,
}

/// What is wrong with a job file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum JobFileErrorKind {
    /// Nothing is in it.
    #[error("the file is empty")]
    Empty,
    /// Bytes that are no text.
    #[error("the file is no text in UTF-8")]
    NotText,
    /// No TOML.
    #[error("{0}")]
    Toml(String),
    /// TOML, but no job.
    #[error("this is no job file: it doesn't begin with schema = \"{SCHEMA}\"")]
    NotAJob,
    /// A job of another kind.
    #[error("schema \"{0}\" isn't known; expected \"{SCHEMA}\"")]
    Schema(String),
    /// No such table.
    #[error("there is no table `[{name}]`; there are {}", .known.join(", "))]
    UnknownTable {
        /// As it stands there.
        name: String,
        /// All there are.
        known: Vec<String>,
        /// What was likely meant.
        nearest: Option<String>,
    },
    /// No such key.
    #[error(transparent)]
    UnknownKey(Box<UnknownKey>),
    /// A value of another kind.
    #[error("`{key}` is {found}; expected {expected}")]
    Expected {
        /// Which key.
        key: String,
        /// What was expected, with an example.
        expected: &'static str,
        /// What stands there.
        found: &'static str,
    },
    /// A key that must be there.
    #[error("`{key}` is missing {}", told(.table))]
    Missing {
        /// The table; empty for the head of the file.
        table: &'static str,
        /// Which key.
        key: &'static str,
    },
    /// Another job in place of the mesh.
    #[error("`file` names {0}, a job file; expected a mesh")]
    JobAsMesh(String),
}

/// A key that there isn't.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("there is no key `{name}` {}; there are {}", told(.table), .known.join(", "))]
pub struct UnknownKey {
    /// The table; empty for the head of the file.
    pub table: String,
    /// As it stands there.
    pub name: String,
    /// All there are in that table.
    pub known: Vec<String>,
    /// What was likely meant.
    pub nearest: Option<String>,
    /// The table in which there is such a key.
    pub elsewhere: Option<String>,
}

impl UnknownKey {
    fn hint(&self) -> Option<String> {
        match (&self.elsewhere, &self.nearest) {
            (Some(table), _) => Some(format!("it belongs under `[{table}]`")),
            (None, nearest) => nearest.as_ref().map(|name| format!("did you mean `{name}`?")),
        }
    }
}

/// Where a key stands or is missing.
fn told(table: &str) -> String {
    match table {
        "" => "at the head of the file".to_owned(),
        table => format!("under `[{table}]`"),
    }
}

impl JobFileErrorKind {
    /// What to do about it, where that can be told.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Empty | Self::NotAJob => {
                Some("save one with cavigram plan MESH --save job.toml".to_owned())
            }
            Self::NotText => Some("save it again as UTF-8".to_owned()),
            Self::Schema(_) => Some("a newer version of the program may have saved it".to_owned()),
            Self::UnknownTable { nearest, .. } => {
                nearest.as_ref().map(|name| format!("did you mean `[{name}]`?"))
            }
            Self::UnknownKey(unknown) => unknown.hint(),
            Self::JobAsMesh(_) => Some("name the mesh that the other job works with".to_owned()),
            Self::Toml(_) | Self::Expected { .. } | Self::Missing { .. } => None,
        }
    }
}
