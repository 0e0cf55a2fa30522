//! What may be wrong with a shop file, and where.

use crate::plan::PlanError;

/// Why a shop file can't be used, with the place.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("line {line}, column {column}: {kind}")]
pub struct ShopFileError {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong and what was expected.
    pub kind: Box<ShopFileErrorKind>,
}

/// What is wrong with a shop file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ShopFileErrorKind {
    /// No TOML.
    #[error("{0}")]
    Toml(String),
    /// A table or key that a shop file doesn't have.
    #[error("{}; there are {}", untold(.table, .typed), .known.join(", "))]
    Unknown {
        /// The table that the key stands in; `None` for a table.
        table: Option<String>,
        /// As it stands there.
        typed: String,
        /// All there are.
        known: Vec<&'static str>,
        /// What was likely meant.
        nearest: Option<String>,
        /// The table in which there is such a key.
        elsewhere: Option<&'static str>,
    },
    /// A value where a table belongs.
    #[error("`{0}` stands alone; expected a table `[{0}]` with keys")]
    NoTable(String),
    /// A value that is no text, number, list of these, or true or false.
    #[error("`{0}` is no text; expected one such as \"10%\" or \"8g\"")]
    NoText(String),
    /// A value that can't be meant.
    #[error("`{key}`: {error}")]
    Value {
        /// Which key.
        key: String,
        /// What is wrong with its value.
        error: ShopValueError,
    },
}

fn untold(table: &Option<String>, typed: &str) -> String {
    match table {
        None => format!("there is no table `[{typed}]`"),
        Some(table) => format!("there is no key `{typed}` under `[{table}]`"),
    }
}

/// Why a value of the workshop can't be meant.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{reason}")]
pub struct ShopValueError {
    /// What is wrong.
    pub reason: String,
    /// What to write instead.
    pub hint: Option<String>,
}

impl ShopValueError {
    pub(super) fn new(reason: impl ToString, hint: Option<String>) -> Self {
        Self { reason: reason.to_string(), hint }
    }

    pub(super) fn of_plan(error: PlanError) -> Self {
        Self::new(&error, error.hint())
    }
}

impl ShopFileError {
    /// What to do about it, where that can be told.
    pub fn hint(&self) -> Option<String> {
        match self.kind.as_ref() {
            ShopFileErrorKind::Unknown { elsewhere: Some(table), .. } => {
                Some(format!("it belongs under `[{table}]`"))
            }
            ShopFileErrorKind::Unknown { nearest, table, .. } => {
                let nearest = nearest.as_ref()?;
                Some(match table {
                    Some(_) => format!("did you mean `{nearest}`?"),
                    None => format!("did you mean `[{nearest}]`?"),
                })
            }
            ShopFileErrorKind::Value { error, .. } => error.hint.clone(),
            ShopFileErrorKind::NoText(_)
            | ShopFileErrorKind::NoTable(_)
            | ShopFileErrorKind::Toml(_) => None,
        }
    }
}
