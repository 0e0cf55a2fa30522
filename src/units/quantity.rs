//! `120cm3`, `300cm2`, `28C`, `4.2g@20cm2`: volumes, areas, temperatures and test patches.

use std::fmt;
use std::str::FromStr;

use super::weighing::{split_at, without_sign};
use super::{WeighingError, Weight};

/// A volume, more than nothing.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Volume {
    mm3: f64,
}

/// An area, more than nothing.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Area {
    mm2: f64,
}

/// How warm a room is.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Temperature {
    celsius: f64,
}

/// Grams that a hand brushed on a measured area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Patch {
    weight: Weight,
    area: Area,
}

/// Why a text is no volume, area, temperature or patch.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum QuantityError {
    /// It can't be read.
    #[error("\"{text}\" is no {what}")]
    Bad {
        /// What was typed.
        text: String,
        /// What was expected.
        what: &'static str,
    },
    /// A bare number.
    #[error("\"{text}\" has no unit")]
    NoUnit {
        /// What was typed.
        text: String,
        /// What was expected.
        what: &'static str,
    },
    /// A measure that differs between countries.
    #[error("\"{text}\": {unit} differ between the US and imperial measure")]
    TwoMeasures {
        /// What was typed.
        text: String,
        /// The unit, in words.
        unit: &'static str,
        /// The two to choose from.
        choices: &'static str,
    },
    /// Nothing, less than nothing, or beyond any casting.
    #[error("\"{text}\": expected {expected}")]
    Size {
        /// What was typed.
        text: String,
        /// What was expected.
        expected: &'static str,
    },
    /// A patch's weight can't be read.
    #[error(transparent)]
    Weight(#[from] WeighingError),
}

impl QuantityError {
    /// What to type instead.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Bad { what, .. } | Self::NoUnit { what, .. } => Some(example(what).to_owned()),
            Self::TwoMeasures { choices, .. } => Some(format!("write {choices}")),
            Self::Size { .. } => None,
            Self::Weight(error) => error.hint(),
        }
    }
}

const VOLUME: &str = "volume";
const AREA: &str = "area";
const TEMPERATURE: &str = "temperature";
const PATCH: &str = "test patch";

fn example(what: &str) -> &'static str {
    match what {
        VOLUME => "write a volume as 120cm3; ml, l, in3, usfloz and impfloz are known too",
        AREA => "write an area as 300cm2; mm2, m2, in2 and ft2 are known too",
        TEMPERATURE => "write a temperature as 28C or 82F",
        _ => "write grams on an area, such as 4.2g@20cm2",
    }
}

/// mm³ in one of each unit; the longer name comes first where one ends like another.
///
/// Source: NIST Handbook 44, Appendix C (references U1); exact. Imperial: 4546.09 ml a gallon,
/// 160 fluid ounces.
const VOLUME_UNITS: [(&str, f64); 13] = [
    ("usfloz", 29_573.5295625),
    ("impfloz", 28_413.062_5),
    ("usgal", 3_785_411.784),
    ("impgal", 4_546_090.0),
    ("mm3", 1.0),
    ("cm3", 1e3),
    ("ccm", 1e3),
    ("cc", 1e3),
    ("dm3", 1e6),
    ("m3", 1e9),
    ("in3", 16_387.064),
    ("ml", 1e3),
    ("l", 1e6),
];

/// mm² in one of each unit. Source: 1 in = 25.4 mm (references U1); exact.
const AREA_UNITS: [(&str, f64); 6] = [
    ("mm2", 1.0),
    ("cm2", 100.0),
    ("dm2", 10_000.0),
    ("in2", 645.16),
    ("ft2", 92_903.04),
    ("m2", 1e6),
];

/// Measures that two countries have: how they end, what they are, which to write.
const TWO_MEASURES: [(&str, &str, &str); 4] = [
    ("floz", "fluid ounces", "usfloz or impfloz"),
    ("gal", "gallons", "usgal or impgal"),
    ("pt", "pints", "the volume in ml: a US pint has 473 ml, an imperial one 568 ml"),
    ("qt", "quarts", "the volume in ml: a US quart has 946 ml, an imperial one 1137 ml"),
];

impl Volume {
    /// So many mm³.
    ///
    /// # Errors
    /// [`QuantityError::Size`] outside of 1 mm³ to 1000 m³.
    pub fn of_mm3(mm3: f64) -> Result<Self, QuantityError> {
        if (1.0..=1e12).contains(&mm3) {
            return Ok(Self { mm3 });
        }
        let text = format!("{} cm³", mm3 / 1000.0);
        Err(QuantityError::Size { text, expected: "a volume from 1 mm³ to 1000 m³" })
    }

    /// In mm³.
    pub const fn mm3(self) -> f64 {
        self.mm3
    }

    /// In cm³.
    pub fn cm3(self) -> f64 {
        self.mm3 / 1000.0
    }
}

impl Area {
    /// So many mm².
    ///
    /// # Errors
    /// [`QuantityError::Size`] outside of 1 mm² to 1000 m².
    pub fn of_mm2(mm2: f64) -> Result<Self, QuantityError> {
        if (1.0..=1e9).contains(&mm2) {
            return Ok(Self { mm2 });
        }
        let text = format!("{} cm²", mm2 / 100.0);
        Err(QuantityError::Size { text, expected: "an area from 1 mm² to 1000 m²" })
    }

    /// In mm².
    pub const fn mm2(self) -> f64 {
        self.mm2
    }

    /// In cm².
    pub fn cm2(self) -> f64 {
        self.mm2 / 100.0
    }
}

impl Temperature {
    /// In °C.
    pub const fn celsius(self) -> f64 {
        self.celsius
    }
}

impl Patch {
    /// So much on so much.
    pub const fn new(weight: Weight, area: Area) -> Self {
        Self { weight, area }
    }

    /// How much was brushed.
    pub const fn weight(self) -> Weight {
        self.weight
    }

    /// On how much.
    pub const fn area(self) -> Area {
        self.area
    }

    /// How thick it is, mm: grams over density and area.
    pub fn thickness_mm(self, density_g_cm3: f64) -> f64 {
        10.0 * self.weight.grams() / (density_g_cm3 * self.area.cm2())
    }
}

impl fmt::Display for Patch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} on {} cm²", self.weight, (self.area.cm2() * 100.0).round() / 100.0)
    }
}

/// The number of a text and what a unit of it is worth.
fn measured(text: &str, what: &'static str, units: &[(&str, f64)]) -> Result<f64, QuantityError> {
    let whole = text.trim();
    let bad = || QuantityError::Bad { text: whole.to_owned(), what };
    let plain = spelled(whole);
    if let Some(rest) = plain.strip_prefix('-')
        && rest.starts_with(|c: char| c.is_ascii_digit() || c == '.')
    {
        let expected = "more than nothing";
        return Err(QuantityError::Size { text: whole.to_owned(), expected });
    }
    let found = units.iter().find_map(|(unit, worth)| Some((plain.strip_suffix(unit)?, worth)));
    if let Some((number, worth)) = found
        && let Some(number) = without_sign(number)
    {
        return Ok(number * worth);
    }
    if without_sign(&plain).is_some() {
        return Err(QuantityError::NoUnit { text: whole.to_owned(), what });
    }
    if what == VOLUME
        && let Some((_, unit, choices)) = TWO_MEASURES
            .iter()
            .find(|(end, ..)| plain.strip_suffix(end).and_then(without_sign).is_some())
    {
        return Err(QuantityError::TwoMeasures { text: whole.to_owned(), unit, choices });
    }
    Err(bad())
}

/// One spelling for all: lower case, without blanks, `^` and raised figures.
fn spelled(text: &str) -> String {
    text.to_lowercase()
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '^')
        .map(|c| match c {
            '²' => '2',
            '³' => '3',
            other => other,
        })
        .collect()
}

impl FromStr for Volume {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        Self::of_mm3(measured(text, VOLUME, &VOLUME_UNITS)?)
    }
}

impl FromStr for Area {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        Self::of_mm2(measured(text, AREA, &AREA_UNITS)?)
    }
}

impl FromStr for Temperature {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let whole = text.trim();
        let bad = || QuantityError::Bad { text: whole.to_owned(), what: TEMPERATURE };
        let plain = spelled(whole).replace('°', "");
        let (number, fahrenheit) = match (plain.strip_suffix('c'), plain.strip_suffix('f')) {
            (Some(number), _) => (number, false),
            (None, Some(number)) => (number, true),
            (None, None) => (plain.as_str(), false),
        };
        let (sign, digits) = match number.strip_prefix('-') {
            Some(digits) => (-1.0, digits),
            None => (1.0, number),
        };
        let degrees = sign * without_sign(digits).ok_or_else(bad)?;
        if number == plain {
            let text = whole.to_owned();
            return Err(QuantityError::NoUnit { text, what: TEMPERATURE });
        }
        let celsius = if fahrenheit { (degrees - 32.0) / 1.8 } else { degrees };
        if !(-50.0..=100.0).contains(&celsius) {
            let expected = "a room from -50 °C to 100 °C";
            return Err(QuantityError::Size { text: whole.to_owned(), expected });
        }
        Ok(Self { celsius })
    }
}

impl FromStr for Patch {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let bad = || QuantityError::Bad { text: text.trim().to_owned(), what: PATCH };
        let (weight, area) = split_at(text).ok_or_else(bad)?;
        Ok(Self { weight: weight.parse()?, area: area.parse()? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm3(text: &str) -> f64 {
        text.parse::<Volume>().unwrap().mm3()
    }

    /// NIST Handbook 44, Appendix C (references U1).
    #[test]
    fn volumes_are_read_in_every_unit() {
        for same in ["120cm3", "120 cm³", "120ml", "0.12 L", "120cc", "120 cm^3"] {
            assert!((mm3(same) - 120_000.0).abs() < 1e-9, "{same}");
        }
        assert_eq!(mm3("1in3"), 16_387.064);
        assert_eq!(mm3("1 us fl oz"), 29_573.5295625);
        assert_eq!(mm3("1impfloz"), 28_413.062_5);
        assert!((mm3("1usgal") - 231.0 * mm3("1in3")).abs() < 1e-6);
        assert!((mm3("1impgal") - 160.0 * mm3("1impfloz")).abs() < 1e-6);
    }

    #[test]
    fn measures_of_two_countries_are_refused_with_the_choice() {
        for text in ["8floz", "8 fl oz", "1gal"] {
            let error = text.parse::<Volume>().unwrap_err();
            assert!(matches!(error, QuantityError::TwoMeasures { .. }), "{text}");
            let hint = error.hint().unwrap();
            assert!(hint.contains("us") && hint.contains("imp"), "{hint}");
        }
        assert!("8oz".parse::<Volume>().is_err());
    }

    #[test]
    fn areas_and_temperatures_are_read() {
        let mm2 = |text: &str| text.parse::<Area>().unwrap().mm2();
        assert_eq!(mm2("300cm2"), 30_000.0);
        assert_eq!(mm2("1 in²"), 645.16);
        assert!((mm2("1ft2") - 144.0 * 645.16).abs() < 1e-9);
        let celsius = |text: &str| text.parse::<Temperature>().unwrap().celsius();
        assert_eq!(celsius("28C"), 28.0);
        assert!((celsius("82.4 °F") - 28.0).abs() < 1e-12);
        assert_eq!(celsius("-5c"), -5.0);
        assert!(matches!("28".parse::<Temperature>(), Err(QuantityError::NoUnit { .. })));
    }

    /// 2 mm at 1.04 g/cm³ are 20.8 g per 100 cm² (references B3).
    #[test]
    fn a_patch_tells_a_thickness() {
        let patch: Patch = "20.8g@100cm2".parse().unwrap();
        assert!((patch.thickness_mm(1.04) - 2.0).abs() < 1e-12);
        assert_eq!(patch.to_string(), "20.8 g on 100 cm²");
        for bad in ["4.2g", "@20cm2", "4.2g@", "g@20cm2"] {
            assert!(bad.parse::<Patch>().is_err(), "{bad}");
        }
    }

    #[test]
    fn what_is_no_size_is_refused() {
        for text in ["", "cm3", "-3cm3", "0ml", "nan ml", "1e9l", "12,5ml", "5g", "99999999999l"] {
            assert!(text.parse::<Volume>().is_err(), "{text}");
        }
        for text in ["", "cm2", "-3cm2", "0cm2", "5cm3", "5"] {
            assert!(text.parse::<Area>().is_err(), "{text}");
        }
    }
}
