//! Parts of a mix ratio, as exact small rationals.

use std::fmt;
use std::str::FromStr;

/// Parts of one component, exactly: 1, 100, 9.8, 3/2.
///
/// Assumptions: a reduced fraction; numerator up to 100,000,000, denominator up to 10,000, so that
/// sums and ratios of a few of them fit 128-bit integers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Parts {
    numerator: u64,
    denominator: u64,
}

/// No mix ratio needs more: 100 : 3 is usual, 10000 parts are not.
const PARTS_MAX: u64 = 10_000;
const DENOMINATOR_MAX: u64 = 10_000;

/// Why something is no number of parts.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PartsError {
    /// It is not a number or a fraction.
    #[error("`{0}` is no number of parts; expected something like `2`, `1.5` or `3/2`")]
    NotANumber(String),
    /// It is too large or too fine to be a mix ratio.
    #[error("`{0}` parts: expected 0 to 10000, with at most four decimals")]
    OutOfRange(String),
}

impl Parts {
    /// None at all.
    pub const ZERO: Self = Self { numerator: 0, denominator: 1 };

    /// A whole number of parts.
    pub const fn whole(parts: u32) -> Self {
        Self { numerator: parts as u64, denominator: 1 }
    }

    /// As a decimal number.
    pub fn as_f64(self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }

    /// Whether there are none.
    pub const fn is_zero(self) -> bool {
        self.numerator == 0
    }

    /// The reduced fraction.
    pub const fn fraction(self) -> (u64, u64) {
        (self.numerator, self.denominator)
    }
}

impl FromStr for Parts {
    type Err = PartsError;

    /// Reads `2`, `1.5`, `.5` or `3/2`.
    fn from_str(text: &str) -> Result<Self, PartsError> {
        let trimmed = text.trim();
        let (numerator, denominator) = match trimmed.split_once('/') {
            Some((over, under)) => (whole(over.trim()), whole(under.trim())),
            None => decimal(trimmed).unzip(),
        };
        let (Some(numerator), Some(denominator)) = (numerator, denominator) else {
            return Err(PartsError::NotANumber(text.to_owned()));
        };
        let common = gcd(numerator, denominator);
        if common == 0 || denominator == 0 {
            return Err(PartsError::NotANumber(text.to_owned()));
        }
        let (numerator, denominator) = (numerator / common, denominator / common);
        if denominator > DENOMINATOR_MAX || numerator > PARTS_MAX * denominator {
            return Err(PartsError::OutOfRange(text.to_owned()));
        }
        Ok(Self { numerator, denominator })
    }
}

/// The decimal number as it would be typed, so that 9.8 is 49/5 and not its nearest binary.
impl TryFrom<f64> for Parts {
    type Error = PartsError;

    fn try_from(parts: f64) -> Result<Self, PartsError> {
        parts.to_string().parse()
    }
}

fn whole(digits: &str) -> Option<u64> {
    let plain = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit());
    // Nineteen digits and more overflow; they are out of range anyway.
    plain.then(|| digits.parse().unwrap_or(u64::MAX))
}

/// A decimal number as a fraction over a power of ten.
fn decimal(text: &str) -> Option<(u64, u64)> {
    let (before, after) = text.split_once('.').unwrap_or((text, ""));
    if before.is_empty() && after.is_empty() {
        return None;
    }
    let after = after.trim_end_matches('0');
    if after.len() > 9 {
        // Too fine; say so as out of range, provided that it is a number at all.
        return whole(after).map(|_| (1, u64::MAX));
    }
    let digits = format!("{before}{after}");
    Some((whole(if digits.is_empty() { "0" } else { &digits })?, 10_u64.pow(after.len() as u32)))
}

pub(super) const fn gcd(mut a: u64, mut b: u64) -> u64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

impl fmt::Display for Parts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.as_f64())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fraction(text: &str) -> Result<(u64, u64), PartsError> {
        text.parse::<Parts>().map(Parts::fraction)
    }

    #[test]
    fn decimals_and_fractions_are_exact_and_reduced() {
        assert_eq!(fraction("2"), Ok((2, 1)));
        assert_eq!(fraction(" 1.50 "), Ok((3, 2)));
        assert_eq!(fraction(".5"), Ok((1, 2)));
        assert_eq!(fraction("6 / 4"), Ok((3, 2)));
        assert_eq!(fraction("0"), Ok((0, 1)));
        assert_eq!(fraction("10000"), Ok((10_000, 1)));
        assert_eq!(Parts::try_from(9.8).map(Parts::fraction), Ok((49, 5)));
    }

    #[test]
    fn what_is_no_ratio_is_refused() {
        for text in
            ["", ".", "-1", "1e3", "nan", "inf", "two", "1/0", "0/0", "1/2/3", "1,5", "/2", "é"]
        {
            assert!(matches!(fraction(text), Err(PartsError::NotANumber(_))), "{text}");
        }
        for text in
            ["10001", "0.00001", "1/10001", "0.12345678901234567890", "99999999999999999999"]
        {
            assert!(matches!(fraction(text), Err(PartsError::OutOfRange(_))), "{text}");
        }
        assert!(Parts::try_from(f64::NAN).is_err());
    }
}
