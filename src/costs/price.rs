//! What a gram of a component costs, and where that is known from.

use super::CostError;
use super::file::plain_decimal;
use super::money::short;
use super::rates::{PriceOf, SystemPrice};
use crate::materials::{Pack, System};
use crate::units::nearest_word;
use rust_decimal::Decimal;
use std::fmt;
use std::str::FromStr;

/// A price for a mass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Priced {
    /// How much.
    pub price: Decimal,
    /// For how much.
    pub mass: Mass,
}

/// What prices of materials are told for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mass {
    /// 1000 g.
    Kilogram,
    /// 1 g.
    Gram,
    /// 453.59237 g, by definition (international pound, 1959).
    Pound,
    /// A sixteenth of a pound.
    Ounce,
}

impl Mass {
    /// How much that is, g, exactly.
    pub const fn grams(self) -> Decimal {
        match self {
            Self::Kilogram => Decimal::from_parts(1000, 0, 0, false, 0),
            Self::Gram => Decimal::ONE,
            Self::Pound => Decimal::from_parts(45_359_237, 0, 0, false, 5),
            // 28.349523125
            Self::Ounce => Decimal::from_parts(2_579_719_349, 6, 0, false, 9),
        }
    }
}

/// A material's price as it is typed: `urethane-a5=24/kg`, or of one component
/// `urethane-a5:softener=28/kg`.
#[derive(Debug, Clone, PartialEq)]
pub struct GivenPrice(pub SystemPrice);

/// Why that is no price.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PriceError {
    /// Not a system, `=`, an amount, `/`, a unit of mass.
    #[error("expected SYSTEM=PRICE/kg or SYSTEM:COMPONENT=PRICE/kg")]
    Form,
    /// The amount is none.
    #[error("`{0}` is no price; expected a number such as 24.50, without a currency")]
    Amount(String),
    /// No such unit.
    #[error("`{0}` is no unit of mass here; expected kg, g, lb or oz")]
    Unit(String),
}

impl PriceError {
    /// What to write instead.
    pub fn hint(&self) -> Option<String> {
        Some("write it as urethane-a5=24/kg".to_owned())
    }
}

impl FromStr for GivenPrice {
    type Err = PriceError;

    fn from_str(text: &str) -> Result<Self, PriceError> {
        let (of, price) = text.split_once('=').ok_or(PriceError::Form)?;
        let (amount, unit) = price.rsplit_once('/').ok_or(PriceError::Form)?;
        let mass = match unit.trim().to_lowercase().as_str() {
            "kg" => Mass::Kilogram,
            "g" => Mass::Gram,
            "lb" => Mass::Pound,
            "oz" => Mass::Ounce,
            _ => return Err(PriceError::Unit(unit.trim().to_owned())),
        };
        let amount = amount.trim();
        let price = plain_decimal(amount)
            .filter(|price| *price <= Decimal::from(10_000_000))
            .ok_or_else(|| PriceError::Amount(amount.to_owned()))?;
        let (system, component) = match of.split_once(':') {
            Some((system, component)) => (system, Some(component.trim().to_owned())),
            None => (of, None),
        };
        if system.trim().is_empty() || component.as_ref().is_some_and(String::is_empty) {
            return Err(PriceError::Form);
        }
        Ok(Self(SystemPrice {
            system: system.trim().to_lowercase(),
            component,
            price: PriceOf::Mass(Priced { price, mass }),
        }))
    }
}

/// What so many grams of a component cost.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rate {
    /// Price of `grams`.
    pub price: Decimal,
    /// Grams for that price.
    pub grams: Decimal,
    /// The pack that it comes from.
    pub pack: Option<String>,
}

impl fmt::Display for Rate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} / {} g", self.price, short(self.grams))?;
        match &self.pack {
            Some(pack) => write!(f, " ({pack})"),
            None => Ok(()),
        }
    }
}

/// What a component costs: by the last price that was said of it, one of the component itself
/// before one of the whole system; else by the pack with a known price that is dearest per gram,
/// as no quote should rest on a quantity that nobody buys. `None` where no price is known.
pub(super) fn rate(
    system: &System,
    component: &str,
    prices: &[SystemPrice],
) -> Result<Option<Rate>, CostError> {
    let of_system = || prices.iter().rev().filter(|price| price.system == system.id);
    let own = of_system().find(|price| price.component.as_deref() == Some(component));
    let said = own.or_else(|| of_system().find(|price| price.component.is_none()));
    let holding = || system.packs.iter().filter(|pack| holds(pack, component));
    match said.map(|said| &said.price) {
        Some(PriceOf::Mass(priced)) => {
            Ok(Some(Rate { price: priced.price, grams: priced.mass.grams(), pack: None }))
        }
        Some(PriceOf::Pack(name)) => match holding().find(|pack| pack.name == *name) {
            Some(pack) => Ok(of_pack(pack)),
            // A pack that is said of the whole system need not hold its softener.
            None if own.is_none() && system.packs.iter().any(|pack| pack.name == *name) => {
                Ok(holding().filter_map(of_pack).reduce(dearer))
            }
            None => Err(no_pack(system, name, component)),
        },
        None => Ok(holding().filter_map(of_pack).reduce(dearer)),
    }
}

fn no_pack(system: &System, pack: &str, component: &str) -> CostError {
    let holding = system.packs.iter().filter(|pack| holds(pack, component));
    let known: Vec<String> = holding.map(|pack| pack.name.clone()).collect();
    CostError::NoPack {
        of: format!("{component} of {}", system.id),
        pack: pack.to_owned(),
        nearest: nearest_word(pack, known.iter().map(String::as_str)).map(str::to_owned),
        known,
    }
}

fn holds(pack: &Pack, component: &str) -> bool {
    pack.contents_g.iter().any(|(name, _)| name == component)
}

/// A kit's price goes over all the grams in it alike.
fn of_pack(pack: &Pack) -> Option<Rate> {
    let price = pack.price.as_ref().filter(|price| !price.is_invented())?.value;
    let grams = pack.contents_g.iter().map(|(_, grams)| super::need::decimal_grams(grams.value));
    let grams = grams.fold(Decimal::ZERO, Decimal::saturating_add);
    (grams > Decimal::ZERO).then(|| Rate { price, grams, pack: Some(pack.name.clone()) })
}

/// Of two the dearer per gram; of equals the first.
fn dearer(one: Rate, other: Rate) -> Rate {
    let (a, b) = (one.price.checked_mul(other.grams), other.price.checked_mul(one.grams));
    if b > a { other } else { one }
}
