//! Every number in a built-in system says its unit, source and date.

use super::SystemError;

/// A number in a system file that doesn't say where it comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unsourced {
    /// The key, from the top: `components[1].density_g_cm3`.
    pub key: String,
    /// What is missing: "unit in the key", "source" or "date".
    pub missing: &'static str,
}

/// Lists the numbers of a system file that lack a unit in the key, a source or a date.
///
/// # Errors
/// [`SystemError`] where the text is no TOML.
pub fn unsourced_numbers(_toml: &str) -> Result<Vec<Unsourced>, SystemError> {
    todo!()
}
