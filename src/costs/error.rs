//! Why a cost can't be worked out.

use super::TooManyWays;
use super::file::CostFileError;
use crate::plan::PlanError;

/// Why a cost can't be worked out, with what to do about it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CostError {
    /// No plan can be made for so many castings.
    #[error("for {castings} castings: {error}")]
    Plan {
        /// How many.
        castings: u32,
        /// Why.
        error: Box<PlanError>,
    },
    /// The cheapest packs can't be told in reasonable time.
    #[error("system {system}: {error}")]
    Packs {
        /// Its id.
        system: String,
        /// Why.
        error: TooManyWays,
    },
    /// An amount is larger than a decimal holds.
    #[error("{what} comes to more than can be reckoned with")]
    TooLarge {
        /// Which amount.
        what: String,
    },
    /// The stock file names a component that a needed system doesn't have.
    #[error("{file}: {error}")]
    Stock {
        /// Its name.
        file: String,
        /// What is wrong, and where.
        error: Box<CostFileError>,
    },
    /// A price names what the piece isn't made of.
    #[error("a price for `{typed}`: the piece has {}", .known.join(", "))]
    PriceOfNothing {
        /// What the price names.
        typed: String,
        /// What there is to name.
        known: Vec<String>,
        /// What was likely meant.
        nearest: Option<String>,
    },
    /// A price goes by a pack that the system doesn't have, or that doesn't hold the component.
    #[error("there is no pack `{pack}` of {of}; there are {}", listed(.known))]
    NoPack {
        /// The component and its system.
        of: String,
        /// What was named.
        pack: String,
        /// The packs that hold it.
        known: Vec<String>,
        /// What was likely meant.
        nearest: Option<String>,
    },
    /// The mould's rubber is charged, but nobody knows for how much.
    #[error("the rates charge the mould's rubber, but no price is known of {system}")]
    RubberUnpriced {
        /// Its system.
        system: String,
    },
    /// Two prices of the same thing.
    #[error("two prices for `{0}`: which is meant can't be told")]
    PriceTwice(String),
    /// A price of its own where every pack that is opened is charged whole.
    #[error("a price for `{0}`, but materials = \"packs\" charges every pack that is opened")]
    PriceBesidePacks(String),
}

fn listed(names: &[String]) -> String {
    if names.is_empty() { "none".to_owned() } else { names.join(", ") }
}

impl CostError {
    /// What to do about it.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Plan { error, .. } => error.hint(),
            Self::Packs { error, .. } => Some(error.hint().to_owned()),
            Self::TooLarge { .. } => Some("look the prices and counts over".to_owned()),
            Self::Stock { error, .. } => error.hint(),
            Self::PriceOfNothing { nearest, .. } | Self::NoPack { nearest, .. } => {
                nearest.as_ref().map(|word| format!("did you mean `{word}`?"))
            }
            Self::RubberUnpriced { system } => Some(format!(
                "give --price {system}=PRICE/kg, or [[prices]] in the rates, or leave `rubber` out \
                 of [mould]"
            )),
            Self::PriceTwice(_) => Some("leave out one of the two".to_owned()),
            Self::PriceBesidePacks(_) => {
                Some("leave the price out, or write materials = \"grams\"".to_owned())
            }
        }
    }
}
