//! `45 min`, `1.5h`, `1h 30m`: how long something takes.

use std::fmt;
use std::str::FromStr;

use jiff::{Span, SpanRelativeTo};

/// A length of time, at least 0.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Minutes {
    minutes: f64,
}

/// Why a text is no length of time.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MinutesError {
    /// The unit is missing, so that 45 might mean hours.
    #[error("\"{0}\" doesn't say whether it means minutes or hours")]
    NoUnit(String),
    /// The number is written with a comma.
    #[error("\"{0}\" has a comma where a decimal point belongs")]
    DecimalComma(String),
    /// It can't be read.
    #[error("\"{0}\" is no length of time")]
    Unreadable(String),
    /// Below zero.
    #[error("a length of time can't be negative here")]
    Negative,
    /// Far beyond any cure.
    #[error("a length of time is at most {} days", Minutes::MOST / 1440.0)]
    TooLong,
}

impl MinutesError {
    /// What to type instead.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::NoUnit(text) => Some(format!("write {text}min or {text}h")),
            Self::DecimalComma(text) => Some(format!("write {}", text.replace(',', "."))),
            Self::Unreadable(_) => {
                Some("write it as 45min, 1.5h, \"1h 30m\" or 1:30:00".to_owned())
            }
            Self::Negative | Self::TooLong => None,
        }
    }
}

impl Minutes {
    /// The most that is read, min: 1000 days, far beyond any cure.
    pub const MOST: f64 = 1_440_000.0;

    /// So many minutes.
    ///
    /// # Errors
    /// [`MinutesError`] below 0 and beyond [`Minutes::MOST`].
    pub fn new(minutes: f64) -> Result<Self, MinutesError> {
        match minutes {
            m if m < 0.0 => Err(MinutesError::Negative),
            m if m <= Self::MOST => Ok(Self { minutes: m }),
            _ => Err(MinutesError::TooLong),
        }
    }

    /// In minutes.
    pub const fn minutes(self) -> f64 {
        self.minutes
    }
}

impl FromStr for Minutes {
    type Err = MinutesError;

    fn from_str(text: &str) -> Result<Self, MinutesError> {
        let whole = text.trim();
        if whole.contains(',') {
            return Err(MinutesError::DecimalComma(whole.to_owned()));
        }
        if let Ok(number) = whole.parse::<f64>() {
            return match number {
                // Nothing is nothing in any unit.
                0.0 => Ok(Self::default()),
                n if n < 0.0 => Err(MinutesError::Negative),
                n if n.is_finite() => Err(MinutesError::NoUnit(whole.to_owned())),
                _ => Err(MinutesError::Unreadable(whole.to_owned())),
            };
        }
        let unreadable = |_| MinutesError::Unreadable(whole.to_owned());
        let span: Span = whole.parse().map_err(unreadable)?;
        // Months and years have no fixed length and are refused here.
        let long = span.to_duration(SpanRelativeTo::days_are_24_hours()).map_err(unreadable)?;
        Self::new(long.as_secs_f64() / 60.0)
    }
}

impl fmt::Display for Minutes {
    /// `45 min`, `1 h 30 min`, `2 d 4 h`: to the minute, from a day on to the hour.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let all = self.minutes.round() as u64;
        let (days, hours, minutes) = (all / 1440, all / 60 % 24, all % 60);
        match (days, hours, minutes) {
            (0, 0, 0) if self.minutes > 0.0 => write!(f, "{:.0} s", 60.0 * self.minutes),
            (0, 0, m) => write!(f, "{m} min"),
            (0, h, 0) => write!(f, "{h} h"),
            (0, h, m) => write!(f, "{h} h {m} min"),
            (d, 0, 0) => write!(f, "{d} d"),
            (d, h, 0) => write!(f, "{d} d {h} h"),
            (d, h, m) => write!(f, "{d} d {h} h {m} min"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_of_time_are_read_as_people_write_them() {
        let minutes = |text: &str| text.parse::<Minutes>().unwrap().minutes();
        for (text, expected) in [
            ("45min", 45.0),
            ("45 min", 45.0),
            ("1.5h", 90.0),
            ("1h 30m", 90.0),
            ("1:30:00", 90.0),
            ("90s", 1.5),
            ("2 days", 2880.0),
            ("0", 0.0),
            (" 0min ", 0.0),
        ] {
            assert_eq!(minutes(text), expected, "{text}");
        }
    }

    #[test]
    fn what_is_no_length_of_time_is_refused() {
        let error = |text: &str| text.parse::<Minutes>().unwrap_err();
        assert_eq!(error("45"), MinutesError::NoUnit("45".into()));
        assert_eq!(error("1,5h"), MinutesError::DecimalComma("1,5h".into()));
        assert_eq!(error("-5min"), MinutesError::Negative);
        assert_eq!(error("-5"), MinutesError::Negative);
        assert_eq!(error("1001 days"), MinutesError::TooLong);
        for text in ["", "soon", "5 parsecs", "2 months", "nan", "inf", "1.2.3h", "9e99h"] {
            assert_eq!(error(text), MinutesError::Unreadable(text.into()));
        }
        assert!(Minutes::new(f64::NAN).is_err() && Minutes::new(f64::INFINITY).is_err());
    }

    #[test]
    fn lengths_of_time_are_told_briefly() {
        let told = |m: f64| Minutes::new(m).unwrap().to_string();
        assert_eq!(told(0.0), "0 min");
        assert_eq!(told(0.25), "15 s");
        assert_eq!(told(45.2), "45 min");
        assert_eq!(told(60.0), "1 h");
        assert_eq!(told(135.0), "2 h 15 min");
        assert_eq!(told(2880.0), "2 d");
        assert_eq!(told(1501.0), "1 d 1 h 1 min");
    }
}
