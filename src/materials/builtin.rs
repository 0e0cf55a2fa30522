//! The generic systems that come with the program, and looking them up.

use super::{System, SystemError};

/// The built-in systems: id and the text of the file.
const BUILTINS: &[(&str, &str)] = &[
    ("urethane-a5", include_str!("systems/urethane-a5.toml")),
    ("urethane-a20-by-volume", include_str!("systems/urethane-a20-by-volume.toml")),
    ("silicone-00-30", include_str!("systems/silicone-00-30.toml")),
    ("mould-silicone-a25", include_str!("systems/mould-silicone-a25.toml")),
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
fn plain(typed: &str) -> String {
    let joined = typed
        .split(|c: char| c.is_whitespace() || c == '_' || c == '-')
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join("-");
    joined.to_lowercase().replace("oo", "00").replace("mold", "mould")
}

/// The id with the fewest changes, provided that over half of it was typed right.
fn nearest(typed: &str) -> Option<&'static str> {
    let (distance, id) = BUILTINS
        .iter()
        .map(|(id, _)| {
            let full = edits(typed, &plain(id));
            // What was typed may be the beginning of an id: "urethane", "foam".
            let begun = if typed.len() > 2 && id.starts_with(typed) { 1 } else { usize::MAX };
            (full.min(begun), *id)
        })
        .min()?;
    (2 * distance < id.len()).then_some(id)
}

/// Insertions, deletions and replacements between two texts (Levenshtein 1966).
fn edits(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, cb) in b.iter().enumerate() {
            let replaced = diagonal + usize::from(ca != *cb);
            diagonal = row[j + 1];
            row[j + 1] = replaced.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edits_are_counted() {
        // Wagner and Fischer's classic pair.
        assert_eq!(edits("kitten", "sitting"), 3);
        assert_eq!(edits("", "abc"), 3);
        assert_eq!(edits("abc", "abc"), 0);
    }

    #[test]
    fn ids_are_those_of_the_files() {
        for (id, text) in BUILTINS {
            assert_eq!(System::from_toml(text).map(|s| s.id), Ok((*id).to_owned()));
        }
    }
}
