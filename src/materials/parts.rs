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

    fn from_str(_text: &str) -> Result<Self, PartsError> {
        todo!()
    }
}

impl fmt::Display for Parts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.as_f64())
    }
}
