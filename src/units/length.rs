//! `2mm`, `0.2cm`, `1/8in`, `1 1/8"`: lengths and their units.

use std::fmt;
use std::str::FromStr;

use super::{LengthUnit, UnknownUnit};

/// A length, never negative when it comes from text.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Length {
    mm: f64,
}

/// Why a text is no length.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LengthError {
    /// Nothing was typed.
    #[error("the length is missing")]
    Empty,
    /// There is no number before the unit.
    #[error("\"{0}\" doesn't begin with a number")]
    NoNumber(String),
    /// The number is written with a comma.
    #[error("\"{0}\" has a comma where a decimal point belongs")]
    DecimalComma(String),
    /// The number can't be read as one.
    #[error("\"{0}\" is not a number")]
    BadNumber(String),
    /// NaN or infinite.
    #[error("\"{0}\" is not a finite number")]
    NotFinite(String),
    /// Below zero.
    #[error("a length can't be negative")]
    Negative,
    /// A fraction of nothing.
    #[error("\"{0}\" divides by zero")]
    ZeroDenominator(String),
    /// A fraction without a unit: nearly always meant in inches, so it isn't taken for mm.
    #[error("the fraction \"{0}\" needs a unit")]
    BareFraction(String),
    /// The unit isn't known.
    #[error(transparent)]
    Unit(#[from] UnknownUnit),
    /// Longer than [`Length::LONGEST`].
    #[error("\"{0}\" is over a kilometre")]
    TooLong(String),
}

impl LengthError {
    /// What to type instead, where that can be told.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::DecimalComma(text) => Some(format!("write {}", text.replace(',', "."))),
            Self::BareFraction(text) => Some(format!("write {text}in for a fraction of an inch")),
            Self::Unit(unit) => Some(unit.hint()),
            Self::Negative => None,
            Self::NotFinite(_) | Self::TooLong(_) => {
                Some("a casting's lengths are millimetres to metres".to_owned())
            }
            Self::Empty | Self::NoNumber(_) | Self::BadNumber(_) | Self::ZeroDenominator(_) => {
                Some("write a length as 2mm, 0.2cm, 1/8in or 0.125\"".to_owned())
            }
        }
    }
}

impl Length {
    /// The longest that is read from text: 1 km, so that squares and cubes of lengths stay finite
    /// and a slipped exponent is noticed.
    pub const LONGEST: Self = Self::from_mm(1e6);

    /// So many millimetres.
    pub const fn from_mm(mm: f64) -> Self {
        Self { mm }
    }

    /// In millimetres.
    pub const fn mm(self) -> f64 {
        self.mm
    }
}

/// Shows millimetres with as many decimals as are needed, up to six: `2 mm`, `3.175 mm`.
impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let digits = format!("{:.6}", self.mm);
        let digits = digits.trim_end_matches('0').trim_end_matches('.');
        write!(f, "{digits} mm")
    }
}

impl FromStr for Length {
    type Err = LengthError;

    fn from_str(text: &str) -> Result<Self, LengthError> {
        let whole = text.trim();
        let (sign, rest) = split_sign(whole);
        let (number, unit) = split_number(rest);
        let number = read_number(number, rest, whole)?;
        let unit = match unit.trim() {
            "" if number.is_fraction => return Err(LengthError::BareFraction(whole.to_owned())),
            "" => LengthUnit::Millimetre,
            word => word.parse()?,
        };
        if sign == Sign::Minus {
            return Err(LengthError::Negative);
        }
        let (numerator, denominator) = unit.mm_ratio();
        let mm = number.numerator * numerator / (number.denominator * denominator);
        if !mm.is_finite() || mm > Self::LONGEST.mm {
            return Err(LengthError::TooLong(whole.to_owned()));
        }
        Ok(Self { mm })
    }
}

#[derive(PartialEq)]
enum Sign {
    Plus,
    Minus,
}

fn split_sign(text: &str) -> (Sign, &str) {
    if let Some(rest) = text.strip_prefix(['-', '−']) {
        (Sign::Minus, rest.trim_start())
    } else {
        (Sign::Plus, text.strip_prefix('+').unwrap_or(text).trim_start())
    }
}

/// Splits behind the last character that can belong to a number.
fn split_number(text: &str) -> (&str, &str) {
    let mut end = 0;
    for (at, c) in text.char_indices() {
        let next = text[at + c.len_utf8()..].chars().next();
        let exponent = matches!(c, 'e' | 'E')
            && text[..at].ends_with(|p: char| p.is_ascii_digit() || p == '.')
            && next.is_some_and(|n| n.is_ascii_digit() || n == '-' || n == '+');
        if !exponent && !c.is_ascii_digit() && !" .,/-+⁄".contains(c) && vulgar_eighths(c).is_none()
        {
            break;
        }
        end = at + c.len_utf8();
    }
    text.split_at(end)
}

/// A number as a ratio; only fractions have a denominator other than 1.
struct Ratio {
    numerator: f64,
    denominator: f64,
    is_fraction: bool,
}

fn read_number(number: &str, rest: &str, whole: &str) -> Result<Ratio, LengthError> {
    let number = number.trim();
    if number.is_empty() {
        return Err(match rest.to_lowercase() {
            word if word.is_empty() => LengthError::Empty,
            word if word.starts_with("nan") || word.starts_with("inf") => {
                LengthError::NotFinite(whole.to_owned())
            }
            _ => LengthError::NoNumber(whole.to_owned()),
        });
    }
    if number.contains(',') {
        return Err(LengthError::DecimalComma(whole.to_owned()));
    }
    let bad = || LengthError::BadNumber(number.to_owned());
    // Its sign stands before it: of two neither can be meant.
    if number.starts_with(['+', '-']) {
        return Err(bad());
    }
    if let Some((last, c)) = number.char_indices().next_back()
        && let Some(eighths) = vulgar_eighths(c)
    {
        let wholes = number[..last].trim();
        let wholes =
            if wholes.is_empty() { 0 } else { wholes.parse::<u32>().map_err(|_| bad())? };
        return Ok(Ratio::of(wholes, eighths, 8));
    }
    let Some((above, below)) = number.split_once(['/', '⁄']) else {
        let value: f64 = number.parse().map_err(|_| bad())?;
        if !value.is_finite() {
            return Err(LengthError::TooLong(whole.to_owned()));
        }
        return Ok(Ratio { numerator: value, denominator: 1.0, is_fraction: false });
    };
    // `1 1/8` and `1-1/8` are both how a workshop writes one and an eighth.
    let (wholes, above) = above.trim().split_once([' ', '-']).unwrap_or(("0", above));
    let part = |text: &str| text.trim().parse::<u32>().map_err(|_| bad());
    let (wholes, above, below) = (part(wholes)?, part(above)?, part(below)?);
    if below == 0 {
        return Err(LengthError::ZeroDenominator(number.to_owned()));
    }
    Ok(Ratio::of(wholes, above, below))
}

impl Ratio {
    fn of(wholes: u32, above: u32, below: u32) -> Self {
        let (wholes, above, below) = (f64::from(wholes), f64::from(above), f64::from(below));
        Self { numerator: wholes * below + above, denominator: below, is_fraction: true }
    }
}

/// The fractions that have a character of their own, in eighths.
fn vulgar_eighths(c: char) -> Option<u32> {
    Some(match c {
        '⅛' => 1,
        '¼' => 2,
        '⅜' => 3,
        '½' => 4,
        '⅝' => 5,
        '¾' => 6,
        '⅞' => 7,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(text: &str) -> f64 {
        text.parse::<Length>().unwrap_or_else(|e| panic!("{text}: {e}")).mm()
    }

    fn error(text: &str) -> LengthError {
        match text.parse::<Length>() {
            Ok(length) => panic!("{text} was read as {length}"),
            Err(error) => error,
        }
    }

    #[test]
    fn of_two_signs_neither_is_meant() {
        assert_eq!(mm("+1.5"), 1.5);
        for text in ["+-1", "++1", "-+1", "+ -1mm", "+-1/8in", "+-⅛in"] {
            assert!(matches!(error(text), LengthError::BadNumber(_)), "{text}");
        }
    }

    /// Fractions of an inch in mm; the inch is 25.4 mm exactly (NIST Handbook 44, Appendix C).
    #[test]
    fn fractions_of_an_inch_are_exact() {
        for (text, expected) in [
            ("1/64in", 0.396875),
            ("1/32in", 0.79375),
            ("1/16in", 1.5875),
            ("3/32in", 2.38125),
            ("1/8in", 3.175),
            ("3/16in", 4.7625),
            ("1/4in", 6.35),
        ] {
            assert_eq!(mm(text), expected, "{text}");
        }
    }

    #[test]
    fn every_way_of_writing_an_eighth_is_the_same() {
        for text in
            ["1/8in", "1/8 in", "1/8\"", "1/8 inch", "0.125in", ".125\"", "⅛in", "1⁄8″", "+1/8in"]
        {
            assert_eq!(mm(text), 3.175, "{text}");
        }
        for text in ["1 1/8in", "1-1/8\"", "1⅛in", "1 ⅛ in", "1.125in", "9/8in"] {
            assert_eq!(mm(text), 28.575, "{text}");
        }
    }

    #[test]
    fn metric_and_bare_numbers_are_read() {
        for (text, expected) in [
            ("2", 2.0),
            ("2mm", 2.0),
            (" 2 MM ", 2.0),
            ("0.2cm", 2.0),
            ("2.", 2.0),
            ("2e-3m", 2.0),
            ("2e0", 2.0),
            ("0", 0.0),
            ("0.1m", 100.0),
            ("1ft", 304.8),
            ("1'", 304.8),
            ("0.3 centimetres", 3.0),
            ("0.3 centimeters", 3.0),
        ] {
            assert_eq!(mm(text), expected, "{text}");
        }
    }

    #[test]
    fn what_is_no_length_is_told_apart() {
        use LengthError::*;
        assert_eq!(error(""), Empty);
        assert_eq!(error("  "), Empty);
        assert_eq!(error("mm"), NoNumber("mm".into()));
        assert_eq!(error("-3mm"), Negative);
        assert_eq!(error("−3mm"), Negative);
        assert_eq!(error("2,5mm"), DecimalComma("2,5mm".into()));
        assert_eq!(error("2,5mm").hint().as_deref(), Some("write 2.5mm"));
        assert_eq!(error("nan"), NotFinite("nan".into()));
        assert_eq!(error("inf"), NotFinite("inf".into()));
        assert_eq!(error("-infmm"), NotFinite("-infmm".into()));
        assert_eq!(error("1e400mm"), TooLong("1e400mm".into()));
        assert_eq!(error("1e7mm"), TooLong("1e7mm".into()));
        assert_eq!(error("2 parsecs"), Unit(UnknownUnit("parsecs".into())));
        assert_eq!(error("1/0in"), ZeroDenominator("1/0".into()));
        assert_eq!(error("1/8"), BareFraction("1/8".into()));
        assert_eq!(error("1/8").hint().as_deref(), Some("write 1/8in for a fraction of an inch"));
        for text in ["1.2.3mm", "1/2/3in", "1.5/8in", "1--1/8in", "2-3mm", "1 2mm", "/8in", "."] {
            assert!(matches!(error(text), BadNumber(_)), "{text}: {:?}", error(text));
        }
    }

    #[test]
    fn a_length_shows_no_more_digits_than_it_has() {
        assert_eq!(Length::from_mm(2.0).to_string(), "2 mm");
        assert_eq!(Length::from_mm(3.175).to_string(), "3.175 mm");
        assert_eq!(Length::from_mm(100.0).to_string(), "100 mm");
        assert_eq!(Length::from_mm(0.4 + 0.8).to_string(), "1.2 mm");
    }
}
