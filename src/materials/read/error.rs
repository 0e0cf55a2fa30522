//! What may be wrong with a system file, and where.

use crate::materials::Parts;
use crate::units::{line_and_column, nearest_word};
use std::ops::Range;

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
    /// It is no TOML, or a value is not one that a system has; says what was expected.
    #[error("{0}")]
    Toml(String),
    /// A key or word that a system doesn't have there.
    #[error("unknown {what} `{typed}`; expected {}", listed(.known))]
    Unknown {
        /// "key" or "word".
        what: &'static str,
        /// What was typed.
        typed: String,
        /// What may stand there.
        known: Vec<String>,
        /// The nearest of them, where one is near.
        nearest: Option<String>,
    },
    /// The id can't be typed.
    #[error("`{0}` is no id; expected lower-case letters, digits and `-`, such as `urethane-a5`")]
    Id(String),
    /// Something has an empty name.
    #[error("an empty {0}; expected words")]
    Empty(&'static str),
    /// There is nothing to mix.
    #[error("no components; expected at least one `[[components]]` table")]
    NoComponents,
    /// Two things that are weighed can't be told apart.
    #[error("two components are named `{0}`; expected a name of its own for each")]
    SameName(String),
    /// A component has no parts.
    #[error("component `{0}` has 0 parts; expected more")]
    NoParts(String),
    /// Grams can't be had from volumes.
    #[error("parts by volume need a density of component `{0}`; expected one of {DENSITY_KEYS}")]
    VolumeNeedsDensity(String),
    /// A density in several units at once.
    #[error("a second density; expected one of {DENSITY_KEYS}, whichever the sheet gives")]
    TwoDensities,
    /// An additive without a density.
    #[error("`{0}` has no density; expected one of {DENSITY_KEYS}")]
    MissingDensity(String),
    /// Nothing tells how dense the mix is.
    #[error(
        "the mix's density is unknown; expected `mixed_g_cm3` or `cured_g_cm3` under `[density]`, \
         or a density of every component"
    )]
    NoDensity,
    /// A foam without its density.
    #[error("a foam needs `moulded_g_cm3` under `[density]`")]
    FoamNeedsMouldedDensity,
    /// A moulded density where nothing expands.
    #[error("`moulded_g_cm3` is for family `foam` only; a rubber has `cured_g_cm3`")]
    MouldedDensityWithoutFoam,
    /// A foam's moulded density holds for its own ratio only.
    #[error("a foam takes no softener")]
    FoamWithSoftener,
    /// What is thickened doesn't expand to its moulded density.
    #[error("a foam takes no thickener")]
    FoamWithThickener,
    /// A hardness without a scale, or in two at once.
    #[error("expected one of `shore_a`, `shore_00`, `shore_d`")]
    OneScale,
    /// Softener points that don't rise in parts and fall in hardness.
    #[error(
        "softener points in one scale must rise in `parts` and not in hardness; the one with {0} parts doesn't"
    )]
    PointsOutOfOrder(Parts),
    /// A softener's point contradicts the system's hardness.
    #[error(
        "a softener point of the same scale contradicts `[hardness]`; expected the same reading at \
         0 parts and none harder"
    )]
    TwoHardnesses,
    /// Two values that stand in the wrong order.
    #[error("`{more}` is less than `{less}`; expected the same or more")]
    OutOfOrder {
        /// The key whose value must not be the larger one.
        less: &'static str,
        /// The key whose value must not be the smaller one.
        more: &'static str,
    },
    /// A name that nothing in the file has.
    #[error("nothing is named `{typed}`; expected {}", listed(.known))]
    NotNamed {
        /// What was typed.
        typed: String,
        /// What there is to name.
        known: Vec<String>,
        /// The nearest of them, where one is near.
        nearest: Option<String>,
    },
    /// A name that stands twice in a list.
    #[error("`{0}` stands twice in `weighing_order`")]
    NamedTwice(String),
    /// A component that a weighing order leaves out.
    #[error("`weighing_order` leaves out component `{0}`")]
    LeftOut(String),
    /// A pack with nothing in it.
    #[error("pack `{0}` holds nothing; expected grams under `contents_g`")]
    EmptyPack(String),
    /// Two packs of one name: a price or a list could mean either.
    #[error("there are two packs `{0}`; each has a name of its own")]
    PackTwice(String),
}

/// The ways to tell a density, as they are written.
const DENSITY_KEYS: &str = "`density_g_cm3`, `specific_gravity`, `specific_volume_in3_lb`";

impl SystemError {
    /// What was probably meant, where that can be told.
    pub fn hint(&self) -> Option<String> {
        match &self.kind {
            SystemErrorKind::Unknown { nearest, .. }
            | SystemErrorKind::NotNamed { nearest, .. } => {
                nearest.as_ref().map(|word| format!("did you mean `{word}`?"))
            }
            _ => None,
        }
    }
}

/// Something that makes no sense, at bytes of the text.
pub(super) type Misfit = (Range<usize>, SystemErrorKind);

/// The parser's own error, with its place.
pub(in crate::materials) fn of_toml(toml: &str, error: &toml::de::Error) -> SystemError {
    let start = error.span().map_or(0, |span| span.start);
    let message = error.message();
    let kind = unknown(message).unwrap_or_else(|| SystemErrorKind::Toml(message.to_owned()));
    at(toml, start, kind)
}

/// An error at a byte of the text.
pub(super) fn at(toml: &str, byte: usize, kind: SystemErrorKind) -> SystemError {
    let (line, column) = line_and_column(toml, byte);
    SystemError { line, column, kind }
}

/// A name that is not among those known.
pub(super) fn not_named(typed: String, known: &[String]) -> SystemErrorKind {
    let nearest = nearest_word(&typed, known.iter().map(String::as_str)).map(str::to_owned);
    SystemErrorKind::NotNamed { typed, known: known.to_vec(), nearest }
}

/// What the reader says of an unknown key or word, taken apart: the words between backticks, the
/// first one being what was typed.
fn unknown(message: &str) -> Option<SystemErrorKind> {
    let what = if message.starts_with("unknown field `") {
        "key"
    } else if message.starts_with("unknown variant `") {
        "word"
    } else {
        return None;
    };
    let (typed, expected) = message.split_once("`, expected ")?;
    let typed = typed.split_once('`')?.1.to_owned();
    let known: Vec<String> = expected.split('`').skip(1).step_by(2).map(str::to_owned).collect();
    let nearest = nearest_word(&typed, known.iter().map(String::as_str)).map(str::to_owned);
    Some(SystemErrorKind::Unknown { what, typed, known, nearest })
}

fn listed(known: &[String]) -> String {
    let quoted: Vec<String> = known.iter().map(|word| format!("`{word}`")).collect();
    quoted.join(", ")
}
