//! The words for families of materials, as they are typed and printed.

use super::Family;
use crate::units::nearest_word;
use std::fmt;
use std::str::FromStr;

/// The words for families, each with what else is typed for it.
const WORDS: [(&str, Family, &[&str]); 12] = [
    ("urethane", Family::Urethane, &["polyurethane", "pu"]),
    (
        "addition-cure-silicone",
        Family::AdditionCureSilicone,
        &["platinum", "platinum-silicone", "platinum-cure-silicone", "addition-silicone"],
    ),
    (
        "condensation-cure-silicone",
        Family::CondensationCureSilicone,
        &["tin", "tin-silicone", "tin-cure-silicone", "condensation-silicone"],
    ),
    ("foam", Family::Foam, &["urethane-foam", "polyurethane-foam", "soft-foam"]),
    ("plaster", Family::Plaster, &["gypsum"]),
    ("printed-resin", Family::PrintedResin, &["resin"]),
    ("sulphur-clay", Family::SulphurClay, &["sulfur-clay"]),
    ("plain-clay", Family::PlainClay, &["clay", "wax", "oil-clay"]),
    ("latex", Family::Latex, &["natural-rubber"]),
    ("rigid-plastic", Family::RigidPlastic, &["plastic", "filament"]),
    ("metal-or-glass", Family::MetalOrGlass, &["metal", "glass", "ceramic"]),
    (
        "wood-or-fibre",
        Family::WoodOrFibre,
        &["wood", "fibre", "fiber", "wood-or-fiber", "cardboard", "textile"],
    ),
];

/// The word for each family, in the order of [`Family`].
pub fn family_words() -> Vec<&'static str> {
    WORDS.iter().map(|(word, _, _)| *word).collect()
}

/// A word that names no family.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{typed}` is no material; there are {}", family_words().join(", "))]
pub struct UnknownFamily {
    /// What was typed.
    pub typed: String,
    /// The word most like it, where one is near.
    pub nearest: Option<&'static str>,
}

impl UnknownFamily {
    /// What was probably meant.
    pub fn hint(&self) -> Option<String> {
        self.nearest.map(|word| format!("did you mean `{word}`?"))
    }
}

impl Family {
    /// Every family.
    pub fn all() -> impl Iterator<Item = Self> {
        WORDS.iter().map(|(_, family, _)| *family)
    }

    /// The word used in files, on the command line and in JSON.
    pub fn as_str(self) -> &'static str {
        let found = WORDS.iter().find(|(_, family, _)| *family == self);
        found.map_or("unknown", |(word, _, _)| word)
    }
}

impl fmt::Display for Family {
    /// In words: "addition-cure silicone".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Urethane => "urethane",
            Self::AdditionCureSilicone => "addition-cure silicone",
            Self::CondensationCureSilicone => "condensation-cure silicone",
            Self::Foam => "foam",
            Self::Plaster => "plaster",
            Self::PrintedResin => "printed resin",
            Self::SulphurClay => "sulphur clay",
            Self::PlainClay => "plain clay",
            Self::Latex => "latex",
            Self::RigidPlastic => "rigid plastic",
            Self::MetalOrGlass => "metal or glass",
            Self::WoodOrFibre => "wood or fibre",
        })
    }
}

impl FromStr for Family {
    type Err = UnknownFamily;

    /// Reads the word, some common other ones, and either with blanks.
    fn from_str(text: &str) -> Result<Self, UnknownFamily> {
        let words: Vec<&str> =
            text.split(|c: char| c.is_whitespace() || c == '_' || c == '-').collect();
        let plain = words.into_iter().filter(|w| !w.is_empty()).collect::<Vec<_>>().join("-");
        let plain = plain.to_lowercase();
        let found = WORDS
            .iter()
            .find(|(word, _, others)| *word == plain || others.contains(&plain.as_str()));
        let spelled = || {
            WORDS
                .iter()
                .flat_map(|(word, _, others)| std::iter::once(*word).chain(others.iter().copied()))
        };
        found.map(|(_, family, _)| *family).ok_or_else(|| UnknownFamily {
            typed: text.to_owned(),
            nearest: nearest_word(&plain, spelled()),
        })
    }
}
