//! What was noticed on the way: data, never print-outs.

use crate::mesh::Vec3;

/// How much a finding matters to the person at the scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth knowing; changes nothing.
    Note,
    /// May change the grams; look before pouring.
    Warning,
    /// Ruins the piece as planned: told before any grams.
    Conflict,
}

/// One thing noticed about the input or the result.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Stable word for programs, such as `unit-assumed`.
    pub code: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// One plain sentence or two.
    pub message: String,
    /// What to do about it, where there is something to do.
    pub hint: Option<String>,
    /// Where, in mm, along the file's own axes.
    pub place_mm: Option<Vec3>,
}

impl Finding {
    /// A warning without a hint or a place.
    pub fn warning(code: &'static str, message: impl Into<String>) -> Self {
        Self {
            code,
            severity: Severity::Warning,
            message: message.into(),
            hint: None,
            place_mm: None,
        }
    }

    /// A note without a hint or a place.
    pub fn note(code: &'static str, message: impl Into<String>) -> Self {
        Self { severity: Severity::Note, ..Self::warning(code, message) }
    }

    /// A conflict without a hint or a place.
    pub fn conflict(code: &'static str, message: impl Into<String>) -> Self {
        Self { severity: Severity::Conflict, ..Self::warning(code, message) }
    }

    /// The same finding with advice.
    pub fn with_hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// The same finding with a place.
    pub fn at(mut self, place_mm: Vec3) -> Self {
        self.place_mm = Some(place_mm);
        self
    }
}
