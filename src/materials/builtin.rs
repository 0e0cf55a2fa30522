//! The generic systems that come with the program, and looking them up.

use super::{System, SystemError};
use crate::units::nearest_word;

/// The built-in systems: id and the text of the file.
const BUILTINS: &[(&str, &str)] = &[
    ("urethane-a5", include_str!("systems/urethane-a5.toml")),
    ("urethane-a20-by-volume", include_str!("systems/urethane-a20-by-volume.toml")),
    ("silicone-00-30", include_str!("systems/silicone-00-30.toml")),
    ("mould-silicone-a25", include_str!("systems/mould-silicone-a25.toml")),
    ("mould-silicone-addition-a20", include_str!("systems/mould-silicone-addition-a20.toml")),
    ("foam-flexible", include_str!("systems/foam-flexible.toml")),
];

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
        match self {
            Self::Unknown { nearest, .. } => nearest.map(|id| format!("did you mean `{id}`?")),
            Self::Broken { .. } => None,
        }
    }
}

/// The ids of the built-in systems, the default one first.
pub fn builtin_ids() -> Vec<&'static str> {
    BUILTINS.iter().map(|(id, _)| *id).collect()
}

/// Id and text of every built-in system, in order.
pub(super) fn builtin_files() -> impl Iterator<Item = (&'static str, &'static str)> {
    BUILTINS.iter().copied()
}

/// The file of a built-in system, to copy and fill in from one's own data sheet.
pub fn builtin_toml(id: &str) -> Option<&'static str> {
    let typed = plain(id);
    BUILTINS.iter().find(|(id, _)| plain(id) == typed).map(|(_, text)| *text)
}

/// A built-in system by its id; case, `oo` for 00, US spellings and spaces for `-` don't matter.
///
/// # Errors
/// [`LookupError::Unknown`] lists the ids and the nearest one.
pub fn builtin(id: &str) -> Result<System, LookupError> {
    let typed = plain(id);
    match BUILTINS.iter().find(|(id, _)| plain(id) == typed) {
        Some(&(id, text)) => {
            System::from_toml(text).map_err(|source| LookupError::Broken { id, source })
        }
        None => Err(LookupError::Unknown {
            typed: id.to_owned(),
            known: builtin_ids(),
            nearest: nearest(&typed),
        }),
    }
}

/// The same text for all spellings of an id.
pub(super) fn plain(typed: &str) -> String {
    let joined = typed
        .split(|c: char| c.is_whitespace() || c == '_' || c == '-')
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join("-");
    joined.to_lowercase().replace("oo", "00").replace("mold", "mould")
}

/// The id most like what was typed, where one is near.
fn nearest(typed: &str) -> Option<&'static str> {
    let plain_ids: Vec<(String, &'static str)> =
        BUILTINS.iter().map(|(id, _)| (plain(id), *id)).collect();
    let near = nearest_word(typed, plain_ids.iter().map(|(plain, _)| plain.as_str()))?;
    plain_ids.iter().find(|(plain, _)| plain == near).map(|(_, id)| *id)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_those_of_the_files() {
        for (id, text) in BUILTINS {
            assert_eq!(System::from_toml(text).map(|s| s.id), Ok((*id).to_owned()));
        }
    }
}
