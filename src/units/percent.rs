//! `0.5%`.

use std::str::FromStr;

/// A share given in per cent, at least 0.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Percent {
    value: f64,
}

/// Why a text is no percentage.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PercentError {
    /// The sign is missing, so that 0.5 might mean a half.
    #[error("\"{0}\" has no % behind it")]
    NoSign(String),
    /// The number is written with a comma.
    #[error("\"{0}\" has a comma where a decimal point belongs")]
    DecimalComma(String),
    /// Not a finite number.
    #[error("\"{0}\" is not a percentage")]
    BadNumber(String),
    /// Below zero.
    #[error("a percentage can't be negative here")]
    Negative,
}

impl PercentError {
    /// What to type instead.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::NoSign(text) if text.trim_matches(['0', '.']).is_empty() => None,
            Self::NoSign(text) => Some(format!("write {text}%")),
            Self::DecimalComma(text) => Some(format!("write {}", text.replace(',', "."))),
            Self::BadNumber(_) => Some("write a percentage as 0.5%".to_owned()),
            Self::Negative => None,
        }
    }
}

impl Percent {
    /// So many per cent.
    pub const fn new(value: f64) -> Self {
        Self { value }
    }

    /// In per cent.
    pub const fn value(self) -> f64 {
        self.value
    }

    /// As a share of one: 0.5 % is 0.005.
    pub fn share(self) -> f64 {
        self.value / 100.0
    }
}

impl FromStr for Percent {
    type Err = PercentError;

    fn from_str(text: &str) -> Result<Self, PercentError> {
        let whole = text.trim();
        let bad = || PercentError::BadNumber(whole.to_owned());
        let number = whole.strip_suffix('%').map(str::trim_end);
        let digits = number.unwrap_or(whole);
        if digits.contains(',') {
            return Err(PercentError::DecimalComma(whole.to_owned()));
        }
        let value: f64 = digits.parse().map_err(|_| bad())?;
        if !value.is_finite() {
            return Err(bad());
        }
        if value.is_sign_negative() {
            return Err(PercentError::Negative);
        }
        if number.is_none() {
            return Err(PercentError::NoSign(whole.to_owned()));
        }
        Ok(Self { value })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_percentage_takes_its_sign() {
        assert_eq!("0.5%".parse(), Ok(Percent::new(0.5)));
        assert_eq!(" 5 % ".parse(), Ok(Percent::new(5.0)));
        assert_eq!("0.5%".parse::<Percent>().map(Percent::share), Ok(0.005));
        assert_eq!("0.5".parse::<Percent>(), Err(PercentError::NoSign("0.5".into())));
        assert_eq!("0,5%".parse::<Percent>(), Err(PercentError::DecimalComma("0,5%".into())));
        assert_eq!("-1%".parse::<Percent>(), Err(PercentError::Negative));
        for text in ["%", "", "nan%", "inf%", "five%", "1%%"] {
            assert_eq!(text.parse::<Percent>(), Err(PercentError::BadNumber(text.into())));
        }
    }
}
