//! A number with where it comes from.

/// A value from a data sheet, with its source and the day it was taken down.
///
/// In a system file either a bare number or `{ value = 1.04, source = "…", date = "2026-11-25" }`.
/// Built-in systems always give source and date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sourced<T> {
    /// The value; the unit stands in the field's name.
    pub value: T,
    /// Where it comes from, such as "typical, common practice".
    pub source: Option<String>,
    /// When it was taken down, `YYYY-MM-DD`.
    pub date: Option<String>,
}

impl<T> Sourced<T> {
    /// A value without a source, as a user may type it.
    pub const fn bare(value: T) -> Self {
        Self { value, source: None, date: None }
    }
}
