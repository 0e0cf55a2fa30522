//! What a real mould took, by weight: water, or an old solid casting.

use std::fmt;
use std::str::FromStr;

use super::Water;

/// A weight that was read off a scale.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Weight {
    grams: f64,
}

/// `610g@1.04`: a weighed casting of a known density.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OldCasting {
    weight: Weight,
    g_cm3: f64,
}

/// What a mould took up to its fill level, by weight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Weighing {
    /// Water.
    Water(Water),
    /// Cast rubber.
    OldCasting(OldCasting),
}

/// What is to be changed where a weighed filling differs from the mesh.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WeighingMeans {
    /// The mesh's size.
    Size,
    /// How high it was filled.
    Level,
}

/// Why a text is no weighed filling.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WeighingError {
    /// The weight can't be read.
    #[error("\"{0}\" is no weight")]
    BadWeight(String),
    /// Below zero.
    #[error("a weight can't be negative")]
    Negative,
    /// Zero, or next to it.
    #[error("a weight is at least {} g", Weight::LEAST_G)]
    NoWeight,
    /// Far beyond any casting.
    #[error("a weight is at most {} kg", Weight::MOST_G / 1000.0)]
    TooHeavy,
    /// Without a temperature.
    #[error("\"{0}\" doesn't say how warm the water was")]
    NoTemperature(String),
    /// The temperature can't be read.
    #[error("\"{0}\" is no temperature")]
    BadTemperature(String),
    /// Ice, or hot.
    #[error("water of {celsius:.0} °C: its density is known from 0 °C to 40 °C")]
    Temperature {
        /// How warm, °C.
        celsius: f64,
    },
    /// Without a density.
    #[error("\"{0}\" doesn't say the casting's density")]
    NoDensity(String),
    /// The density can't be read.
    #[error("\"{0}\" is no density")]
    BadDensity(String),
    /// No rubber or foam has such a density.
    #[error("a density lies between {} and {} g/cm³", OldCasting::LIGHTEST, OldCasting::HEAVIEST)]
    Density,
}

impl WeighingError {
    /// What to type instead.
    pub fn hint(&self) -> Option<String> {
        let text = match self {
            Self::BadWeight(_) => "write grams, such as 838g; kg, oz and lb are known too",
            Self::NoTemperature(_) | Self::BadTemperature(_) => {
                "write the water's weight and temperature, such as 838g@21C"
            }
            Self::NoDensity(_) | Self::BadDensity(_) => {
                "write the casting's weight and its density in g/cm³, such as 610g@1.04"
            }
            Self::Temperature { .. } => "let it come to the room's temperature",
            Self::Negative | Self::NoWeight | Self::TooHeavy | Self::Density => return None,
        };
        Some(text.to_owned())
    }
}

impl Weight {
    /// The least that is taken for a weight, g.
    pub const LEAST_G: f64 = 0.01;
    /// The most, g: ten tonnes, far beyond any casting.
    pub const MOST_G: f64 = 1e7;

    /// So many grams.
    ///
    /// # Errors
    /// [`WeighingError`] outside of [`Weight::LEAST_G`] to [`Weight::MOST_G`].
    pub fn of_grams(grams: f64) -> Result<Self, WeighingError> {
        match grams {
            g if g < 0.0 => Err(WeighingError::Negative),
            g if g.is_nan() || g < Self::LEAST_G => Err(WeighingError::NoWeight),
            g if g > Self::MOST_G => Err(WeighingError::TooHeavy),
            grams => Ok(Self { grams }),
        }
    }

    /// In grams.
    pub const fn grams(self) -> f64 {
        self.grams
    }
}

impl fmt::Display for Weight {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let digits = format!("{:.2}", self.grams);
        write!(f, "{} g", digits.trim_end_matches('0').trim_end_matches('.'))
    }
}

/// Grams in one of each unit that is read.
///
/// Source: NIST Handbook 44, Appendix C (references U1); exact.
const UNITS: [(&str, f64); 5] =
    [("kg", 1000.0), ("g", 1.0), ("oz", 28.349523125), ("lb", 453.59237), ("", 1.0)];

/// Grams of one number with its unit.
fn number_and_unit(text: &str) -> Option<f64> {
    let (number, grams) =
        UNITS.iter().find_map(|(unit, grams)| Some((text.strip_suffix(unit)?, grams)))?;
    Some(without_sign(number)? * grams)
}

impl FromStr for Weight {
    type Err = WeighingError;

    fn from_str(text: &str) -> Result<Self, WeighingError> {
        let whole = text.trim();
        let bad = || WeighingError::BadWeight(whole.to_owned());
        let (negative, rest) = match whole.strip_prefix('-') {
            Some(rest) => (true, rest.to_lowercase()),
            None => (false, whole.to_lowercase()),
        };
        // Pounds and ounces together, as scales in these units show them.
        let grams = match rest.split_once("lb") {
            Some((pounds, ounces)) if !ounces.trim().is_empty() => {
                let pounds = number_and_unit(&format!("{pounds}lb")).ok_or_else(bad)?;
                let ounces = ounces.trim();
                let ounces = Some(ounces).filter(|text| text.ends_with("oz")).ok_or_else(bad)?;
                pounds + number_and_unit(ounces).ok_or_else(bad)?
            }
            _ => number_and_unit(&rest).ok_or_else(bad)?,
        };
        if negative {
            return Err(WeighingError::Negative);
        }
        Self::of_grams(grams)
    }
}

impl OldCasting {
    /// The lightest density, g/cm³: a light foam.
    pub const LIGHTEST: f64 = 0.02;
    /// The heaviest density, g/cm³: the heaviest metal.
    pub const HEAVIEST: f64 = 22.6;

    /// A casting of a weight and a density, g/cm³.
    ///
    /// # Errors
    /// [`WeighingError::Density`] for one that nothing has.
    pub fn new(weight: Weight, g_cm3: f64) -> Result<Self, WeighingError> {
        if !(Self::LIGHTEST..=Self::HEAVIEST).contains(&g_cm3) {
            return Err(WeighingError::Density);
        }
        Ok(Self { weight, g_cm3 })
    }

    /// What it measures, mm³.
    pub fn volume_mm3(self) -> f64 {
        1000.0 * self.weight.grams() / self.g_cm3
    }
}

impl FromStr for OldCasting {
    type Err = WeighingError;

    fn from_str(text: &str) -> Result<Self, WeighingError> {
        let (weight, density) =
            split_at(text).ok_or_else(|| WeighingError::NoDensity(text.trim().to_owned()))?;
        let weight = weight.parse()?;
        let word = density.to_lowercase();
        let number = ["g/cm3", "g/cm³", "g/ml"]
            .iter()
            .find_map(|unit| word.strip_suffix(unit))
            .unwrap_or(&word);
        let bad = || WeighingError::BadDensity(density.to_owned());
        Self::new(weight, without_sign(number).ok_or_else(bad)?)
    }
}

impl Weighing {
    /// What it measures, mm³.
    pub fn volume_mm3(self) -> f64 {
        match self {
            Self::Water(water) => water.volume_mm3(),
            Self::OldCasting(casting) => casting.volume_mm3(),
        }
    }

    /// What was weighed, in the word used in JSON.
    pub const fn what(self) -> &'static str {
        match self {
            Self::Water(_) => "water",
            Self::OldCasting(_) => "old-casting",
        }
    }
}

impl fmt::Display for Weighing {
    /// `838 g at 21 °C`, `610 g at 1.04 g/cm³`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Water(water) => {
                let degrees = format!("{:.1}", water.celsius());
                write!(f, "{} at {} °C", water.weight(), degrees.trim_end_matches(".0"))
            }
            Self::OldCasting(casting) => write!(f, "{} at {} g/cm³", casting.weight, casting.g_cm3),
        }
    }
}

impl WeighingMeans {
    /// The word that is typed.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Size => "size",
            Self::Level => "level",
        }
    }
}

/// The two sides of `838g@21C`, trimmed.
pub(super) fn split_at(text: &str) -> Option<(&str, &str)> {
    text.split_once('@').map(|(a, b)| (a.trim(), b.trim()))
}

/// A plain number of digits with a decimal point at most.
pub(super) fn without_sign(text: &str) -> Option<f64> {
    let text = text.trim();
    let plain = text.chars().all(|c| c.is_ascii_digit() || c == '.');
    text.parse().ok().filter(|_| plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_are_read_in_every_unit() {
        let grams = |text: &str| text.parse::<Weight>().unwrap().grams();
        assert_eq!(grams("838"), 838.0);
        assert_eq!(grams("838 g"), 838.0);
        assert_eq!(grams("1.5KG"), 1500.0);
        assert_eq!(grams("2lb"), 907.18474);
        assert_eq!(grams("2oz"), 56.69904625);
        assert_eq!("838.50g".parse::<Weight>().unwrap().to_string(), "838.5 g");
    }

    #[test]
    fn an_old_casting_has_a_weight_and_a_density() {
        let casting: OldCasting = "610g@1.04".parse().unwrap();
        assert!((casting.volume_mm3() - 610_000.0 / 1.04).abs() < 1e-6);
        assert_eq!("0.61kg @ 1.04 g/cm3".parse::<OldCasting>(), Ok(casting));
        assert_eq!(Weighing::OldCasting(casting).to_string(), "610 g at 1.04 g/cm³");
        let error = |text: &str| text.parse::<OldCasting>().unwrap_err();
        assert_eq!(error("610g"), WeighingError::NoDensity("610g".into()));
        assert_eq!(error("610g@heavy"), WeighingError::BadDensity("heavy".into()));
        assert_eq!(error("610g@0"), WeighingError::Density);
        assert_eq!(error("610g@1040"), WeighingError::Density);
    }

    #[test]
    fn what_is_no_weight_is_refused() {
        let error = |text: &str| text.parse::<Weight>().unwrap_err();
        assert_eq!(error("-1g"), WeighingError::Negative);
        assert_eq!(error("0"), WeighingError::NoWeight);
        assert_eq!(error("1e9kg"), WeighingError::BadWeight("1e9kg".into()));
        assert_eq!(error("100000kg"), WeighingError::TooHeavy);
        for text in ["", "g", "inf", "nan g", "8,5g", "838floz"] {
            assert_eq!(error(text), WeighingError::BadWeight(text.into()));
        }
    }
}
