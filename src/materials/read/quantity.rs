//! The numbers of a system file, each within its range.

use crate::materials::sourced::Quantity;
use crate::materials::{Parts, Sourced};
use rust_decimal::Decimal;
use toml::Spanned;

/// A number that may be given, with its source and place.
pub(super) type Given<T> = Option<Spanned<Sourced<T>>>;

/// The plain number of what was given.
pub(super) fn plain<T: Into<f64>>(given: Given<T>) -> Option<Sourced<f64>> {
    given.map(|number| number.into_inner().map(Into::into))
}

macro_rules! number_within {
    ($($(#[$doc:meta])+ $name:ident, $range:expr, $expected:literal;)+) => {$(
        $(#[$doc])+
        #[derive(Clone, Copy)]
        pub(super) struct $name(f64);

        impl Quantity for $name {
            const EXPECTED: &'static str = $expected;
            fn from_number(number: f64) -> Option<Self> {
                ($range).contains(&number).then_some(Self(number))
            }
        }

        impl From<$name> for f64 {
            fn from(number: $name) -> Self {
                number.0
            }
        }
    )+};
}

/// What is left out where "more than 0" is meant.
const ABOVE_ZERO: f64 = f64::MIN_POSITIVE;

number_within! {
    /// g/cm³. From the lightest foam to the heaviest filler; a value in kg/m³ falls outside.
    Density, 0.005..=25.0, "a density from 0.005 to 25 g/cm³";
    /// Without a unit; water is 1.
    SpecificGravity, 0.005..=25.0, "a specific gravity from 0.005 to 25";
    /// in³/lb: what the range of densities comes to.
    SpecificVolume, 1.0..=5600.0, "a specific volume from 1 to 5600 in³/lb";
    /// A durometer's reading.
    Reading, 0.0..=100.0, "a hardness from 0 to 100";
    /// How many times as long.
    Factor, 0.1..=100.0, "a factor from 0.1 to 100";
    /// Of the mix's mass.
    DosePercent, ABOVE_ZERO..=100.0, "per cent, more than 0 and at most 100";
    /// Of the mix's volume.
    AirPercent, 0.0..=90.0, "per cent from 0 to 90";
    /// Of a length.
    ShrinkagePercent, 0.0..=20.0, "per cent from 0 to 20";
    /// mPa·s, which is cP: from water to putty.
    Viscosity, 0.5..=1e9, "mPa·s (the same as cP), from 0.5 to 1000000000";
    /// mm of a coat.
    CoatMm, ABOVE_ZERO..=50.0, "mm, more than 0 and at most 50";
    /// g.
    Grams, ABOVE_ZERO..=1e7, "grams, more than 0 and at most 10000000";
    /// g in a drop.
    DropGrams, ABOVE_ZERO..=1.0, "grams, more than 0 and at most 1";
    /// Days.
    Days, ABOVE_ZERO..=10_000.0, "days, more than 0 and at most 10000";
}

/// Minutes, also from text such as "16 h".
#[derive(Clone, Copy)]
pub(super) struct Minutes(f64);

impl Quantity for Minutes {
    const EXPECTED: &'static str =
        "minutes, more than 0 and at most 100000, or text such as \"16 h\" or \"7 d\"";
    fn from_number(number: f64) -> Option<Self> {
        (number > 0.0 && number <= 100_000.0).then_some(Self(number))
    }
    fn from_text(text: &str) -> Option<Self> {
        let (number, unit) = number_and_unit(text)?;
        let minutes = match unit {
            "s" => 1.0 / 60.0,
            "min" => 1.0,
            "h" => 60.0,
            "d" => 24.0 * 60.0,
            _ => return None,
        };
        Self::from_number(number * minutes)
    }
}

impl From<Minutes> for f64 {
    fn from(minutes: Minutes) -> Self {
        minutes.0
    }
}

/// °C, also from text such as "73 F".
#[derive(Clone, Copy)]
pub(super) struct Celsius(f64);

impl Quantity for Celsius {
    const EXPECTED: &'static str = "a temperature from -20 to 250 °C, or text such as \"73 F\"";
    fn from_number(number: f64) -> Option<Self> {
        (-20.0..=250.0).contains(&number).then_some(Self(number))
    }
    fn from_text(text: &str) -> Option<Self> {
        let (number, unit) = number_and_unit(text)?;
        match unit {
            "C" | "°C" => Self::from_number(number),
            "F" | "°F" => Self::from_number((number - 32.0) / 1.8),
            _ => None,
        }
    }
}

impl From<Celsius> for f64 {
    fn from(celsius: Celsius) -> Self {
        celsius.0
    }
}

/// A number, then its unit, with or without blanks between.
fn number_and_unit(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    let end = text.find(|c: char| !c.is_ascii_digit() && c != '.' && c != '-')?;
    let (number, unit) = text.split_at_checked(end)?;
    Some((number.parse().ok()?, unit.trim()))
}

impl Quantity for Parts {
    const EXPECTED: &'static str = "parts such as 2, 1.5 or \"3/2\", at most 10000";
    fn from_number(number: f64) -> Option<Self> {
        Self::try_from(number).ok()
    }
    fn from_text(text: &str) -> Option<Self> {
        text.parse().ok()
    }
}

/// Money, exact: a number is taken as the decimal that it was typed as.
impl Quantity for Decimal {
    const EXPECTED: &'static str =
        "a price such as 48.5 or \"48.50\", from 0 to 10000000, without a currency";
    fn from_number(number: f64) -> Option<Self> {
        // The shortest text that gives this number again, so that 0.1 is a tenth.
        Self::from_text(&number.to_string())
    }
    fn from_text(text: &str) -> Option<Self> {
        let price = Self::from_str_exact(text.trim()).ok()?;
        let most = Self::from(10_000_000);
        (price >= Self::ZERO && price <= most).then_some(price.abs())
    }
}
