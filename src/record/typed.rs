//! What is typed for an entry: `22C`, `42min`, `A=1234`, `skin=42min`.

use std::str::FromStr;

use crate::plan::Layer;
use crate::units::Length;

/// Temperatures of a room that are believed, °C.
///
/// Source: common practice, no source.
pub(super) const ROOM_C: std::ops::RangeInclusive<f64> = -20.0..=60.0;
/// Gel that is seen later than this is a slip, minutes: a week.
pub(super) const MOST_MINUTES: f64 = 10_080.0;

/// Thicknesses of a skin that are believed, mm.
///
/// Source: common practice, no source: under 0.01 nothing is measured on a piece, and 200 is a
/// slip of the unit.
pub(super) const SKIN_MM: std::ops::RangeInclusive<f64> = 0.01..=200.0;

/// Why a text can't be recorded.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TypedError {
    /// No temperature of a room.
    #[error("\"{0}\" is no temperature of a room")]
    Temperature(String),
    /// No thickness of a skin.
    #[error("{0} mm is no thickness of a skin")]
    Thickness(String),
    /// No time.
    #[error("\"{0}\" is no time")]
    Time(String),
    /// Nothing before or behind `=`.
    #[error("\"{0}\" doesn't name a component and its lot")]
    Lot(String),
    /// No layer before `=`.
    #[error("\"{0}\" doesn't begin with skin=, core= or cap=")]
    Layer(String),
}

impl TypedError {
    /// What to type instead.
    pub fn hint(&self) -> Option<String> {
        let text = match self {
            Self::Temperature(_) => "write 22C or 72F",
            Self::Thickness(_) => "write what was measured on the piece, from 0.01mm to 200mm",
            Self::Time(_) => "write 42min, 1h or 1h30min",
            Self::Lot(_) => "write A=1234",
            Self::Layer(_) => "write skin=42min",
        };
        Some(text.to_owned())
    }
}

/// A lot number: `A=1234`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lot {
    /// As the tin says.
    pub component: String,
    /// Its lot.
    pub number: String,
}

/// When gel was seen: `skin=42min`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gel {
    /// Of which layer.
    pub layer: Layer,
    /// From the end of mixing, minutes.
    pub minutes: f64,
}

impl FromStr for Lot {
    type Err = TypedError;

    fn from_str(text: &str) -> Result<Self, TypedError> {
        let parts = text.split_once('=').map(|(a, b)| (a.trim(), b.trim()));
        match parts {
            Some((component, number)) if !component.is_empty() && !number.is_empty() => {
                Ok(Self { component: component.to_owned(), number: number.to_owned() })
            }
            _ => Err(TypedError::Lot(text.trim().to_owned())),
        }
    }
}

impl FromStr for Gel {
    type Err = TypedError;

    fn from_str(text: &str) -> Result<Self, TypedError> {
        let unknown = || TypedError::Layer(text.trim().to_owned());
        let (layer, time) = text.split_once('=').ok_or_else(unknown)?;
        let layer = match layer.trim().to_lowercase().as_str() {
            "skin" => Layer::Skin,
            "core" => Layer::Core,
            "cap" => Layer::Cap,
            _ => return Err(unknown()),
        };
        Ok(Self { layer, minutes: minutes(time)? })
    }
}

/// A room's temperature in °C: `22C`, `22`, `72F`.
///
/// # Errors
/// [`TypedError::Temperature`].
pub fn celsius(text: &str) -> Result<f64, TypedError> {
    let bad = || TypedError::Temperature(text.trim().to_owned());
    let word = text.trim().to_lowercase().replace('°', "");
    let (number, fahrenheit) = match word.strip_suffix('f') {
        Some(number) => (number, true),
        None => (word.strip_suffix('c').unwrap_or(&word), false),
    };
    let degrees = number_in(number).ok_or_else(bad)?;
    let celsius = if fahrenheit { (degrees - 32.0) / 1.8 } else { degrees };
    if ROOM_C.contains(&celsius) { Ok(celsius) } else { Err(bad()) }
}

/// The thickness of a skin, mm, from a length as it was measured.
///
/// # Errors
/// [`TypedError::Thickness`].
pub fn skin_mm(measured: Length) -> Result<f64, TypedError> {
    let mm = measured.mm();
    if SKIN_MM.contains(&mm) { Ok(mm) } else { Err(TypedError::Thickness(mm.to_string())) }
}

/// A time in minutes: `42min`, `42`, `1h`, `1h30min`, `1.5h`.
///
/// # Errors
/// [`TypedError::Time`].
pub fn minutes(text: &str) -> Result<f64, TypedError> {
    let bad = || TypedError::Time(text.trim().to_owned());
    let word = text.trim().to_lowercase();
    let (hours, rest) = match word.split_once('h') {
        Some((hours, rest)) => (number_in(hours).ok_or_else(bad)?, rest.trim()),
        None => (0.0, word.as_str()),
    };
    let rest = ["minutes", "mins", "min", "m"]
        .iter()
        .find_map(|unit| rest.strip_suffix(unit))
        .unwrap_or(rest);
    let more = match rest.trim() {
        "" if word.contains('h') => 0.0,
        digits => number_in(digits).ok_or_else(bad)?,
    };
    let minutes = 60.0 * hours + more;
    if (0.0..=MOST_MINUTES).contains(&minutes) { Ok(minutes) } else { Err(bad()) }
}

/// A plain decimal number, its sign in front.
fn number_in(text: &str) -> Option<f64> {
    let text = text.trim();
    let digits = text.strip_prefix('-').unwrap_or(text);
    let plain = digits.chars().all(|c| c.is_ascii_digit() || c == '.');
    text.parse().ok().filter(|_| plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_is_understood() {
        assert_eq!(celsius("22C"), Ok(22.0));
        assert_eq!(celsius("-5 °c"), Ok(-5.0));
        assert_eq!(celsius("68F"), Ok(20.0));
        for text in ["", "C", "warm", "220C", "1e1C", "nan"] {
            assert!(celsius(text).is_err(), "{text}");
        }
        assert_eq!(minutes("42min"), Ok(42.0));
        assert_eq!(minutes("1h"), Ok(60.0));
        assert_eq!(minutes("1 h 30 min"), Ok(90.0));
        assert_eq!(minutes("1.5h"), Ok(90.0));
        for text in ["", "h", "min", "soon", "-1min", "400h", "inf"] {
            assert!(minutes(text).is_err(), "{text}");
        }
        assert_eq!("Skin=42min".parse(), Ok(Gel { layer: Layer::Skin, minutes: 42.0 }));
        assert!("skim=42min".parse::<Gel>().is_err());
        assert_eq!(skin_mm(Length::from_mm(2.1)), Ok(2.1));
        for mm in [0.0, 0.001, 2100.0] {
            assert!(skin_mm(Length::from_mm(mm)).is_err(), "{mm}");
        }
        let lot: Lot = "A = 12=34".parse().unwrap();
        assert_eq!((lot.component.as_str(), lot.number.as_str()), ("A", "12=34"));
        assert!("A=".parse::<Lot>().is_err());
    }
}
