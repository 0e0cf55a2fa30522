//! `2026-11-27 09:00`, `09:00`, `08:00-18:00`: when something begins, and when a shop is open.
//!
//! Civil times, as a clock on the wall tells them: no time zones, no change of clocks.

use std::fmt;
use std::str::FromStr;

use jiff::civil::{Date, DateTime, Time};

/// When the work begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Start {
    /// Nobody said: times count from 0.
    #[default]
    Unsaid,
    /// At this time of a day that is left open, "day 1".
    OnDayOne(Time),
    /// On this day, at this time.
    At(DateTime),
}

/// When a shop is open: from one time to a later one of the same day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hours {
    opens: Time,
    closes_minute: u16,
}

/// Why a text is no time of a day or no opening hours.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ClockError {
    /// No time of a day.
    #[error("\"{0}\" is no time of a day")]
    BadTime(String),
    /// No day of the calendar.
    #[error("\"{0}\" is no day of the calendar")]
    BadDay(String),
    /// A day without a time.
    #[error("\"{0}\" names a day but no time")]
    NoTime(String),
    /// One time alone, or three.
    #[error("\"{0}\" doesn't say from when to when")]
    NoHours(String),
    /// It closes before it opens.
    #[error("a shop that opens at {opens} can't close at {closes} of the same day")]
    ClosesFirst {
        /// When it opens.
        opens: String,
        /// When it closes.
        closes: String,
    },
}

impl ClockError {
    /// What to type instead.
    pub fn hint(&self) -> Option<String> {
        let text = match self {
            Self::BadTime(_) => "write a time as 09:00 or 17:30, by the 24-hour clock",
            Self::BadDay(_) => "write a day and a time as \"2026-11-27 09:00\"",
            Self::NoTime(day) => return Some(format!("write \"{day} 09:00\"")),
            Self::NoHours(_) => "write hours as 08:00-18:00",
            Self::ClosesFirst { .. } => "write the earlier time first, such as 08:00-18:00",
        };
        Some(text.to_owned())
    }
}

impl FromStr for Start {
    type Err = ClockError;

    fn from_str(text: &str) -> Result<Self, ClockError> {
        let whole = text.trim();
        // The T of the standard's way to write it stands between digits, that of a word doesn't.
        let iso = whole.get(..11).filter(|head| head.ends_with(['T', 't']));
        let split = match iso {
            Some(head) => Some((head.trim_end_matches(['T', 't']), whole.get(11..).unwrap_or(""))),
            None => whole.split_once(' '),
        };
        let (day, time) = match split {
            Some((day, time)) => (Some(day.trim()), time.trim()),
            None if is_day_shaped(whole) => return Err(ClockError::NoTime(whole.to_owned())),
            None => (None, whole),
        };
        let Some(day) = day else { return Ok(Self::OnDayOne(time_of_day(time)?)) };
        let bad_day = || ClockError::BadDay(day.to_owned());
        let date: Date = Some(day)
            .filter(|day| is_day_shaped(day))
            .and_then(|day| day.parse().ok())
            .ok_or_else(bad_day)?;
        Ok(Self::At(date.to_datetime(time_of_day(time)?)))
    }
}

impl Hours {
    /// Open from one time to a later one; seconds are left out.
    ///
    /// # Errors
    /// [`ClockError::ClosesFirst`] where the second isn't later.
    pub fn new(opens: Time, closes: Time) -> Result<Self, ClockError> {
        Self::from_minutes(minute_of(opens), minute_of(closes))
    }

    /// When it opens, minutes after midnight.
    pub fn opens_minute(self) -> f64 {
        f64::from(minute_of(self.opens))
    }

    /// When it closes, minutes after midnight; 1440 for midnight.
    pub fn closes_minute(self) -> f64 {
        f64::from(self.closes_minute)
    }

    /// When it opens.
    pub const fn opens(self) -> Time {
        self.opens
    }

    /// When it opens, `08:00`.
    pub fn opens_text(self) -> String {
        minute_text(minute_of(self.opens))
    }

    /// When it closes, `18:00`; `24:00` for midnight.
    pub fn closes_text(self) -> String {
        minute_text(self.closes_minute)
    }

    fn from_minutes(opens: u16, closes: u16) -> Result<Self, ClockError> {
        let closes_first =
            || ClockError::ClosesFirst { opens: minute_text(opens), closes: minute_text(closes) };
        if closes <= opens {
            return Err(closes_first());
        }
        let opens = time_at(opens).ok_or_else(closes_first)?;
        Ok(Self { opens, closes_minute: closes })
    }
}

impl FromStr for Hours {
    type Err = ClockError;

    fn from_str(text: &str) -> Result<Self, ClockError> {
        let whole = text.trim();
        let (opens, closes) = whole
            .split_once(['-', '–'])
            .filter(|(_, closes)| !closes.contains(['-', '–']))
            .ok_or_else(|| ClockError::NoHours(whole.to_owned()))?;
        let opens = minute_of(time_of_day(opens.trim())?);
        let closes = match closes.trim() {
            "24:00" => 1440,
            time => minute_of(time_of_day(time)?),
        };
        Self::from_minutes(opens, closes)
    }
}

impl fmt::Display for Hours {
    /// `08:00–18:00`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}–{}", self.opens_text(), self.closes_text())
    }
}

/// `2026-11-27`: ten characters, so that no other form of a date passes.
fn is_day_shaped(text: &str) -> bool {
    let digits = |range: std::ops::Range<usize>| {
        text.get(range).is_some_and(|part| part.bytes().all(|b| b.is_ascii_digit()))
    };
    text.len() == 10
        && digits(0..4)
        && digits(5..7)
        && digits(8..10)
        && text.get(4..5) == Some("-")
        && text.get(7..8) == Some("-")
}

/// `9:00` or `09:00`.
fn time_of_day(text: &str) -> Result<Time, ClockError> {
    let bad = || ClockError::BadTime(text.to_owned());
    let (hour, minute) = text.split_once(':').ok_or_else(bad)?;
    let number = |part: &str, longest: usize| {
        let plain = part.bytes().all(|b| b.is_ascii_digit()) && part.len() <= longest;
        part.parse::<i8>().ok().filter(|_| plain)
    };
    let hour = number(hour, 2).ok_or_else(bad)?;
    let minute = number(minute, 2).filter(|_| minute.len() == 2).ok_or_else(bad)?;
    Time::new(hour, minute, 0, 0).map_err(|_| bad())
}

fn minute_of(time: Time) -> u16 {
    // An hour is 0 to 23, a minute 0 to 59.
    u16::from(time.hour().unsigned_abs()) * 60 + u16::from(time.minute().unsigned_abs())
}

fn time_at(minute: u16) -> Option<Time> {
    let (hour, minute) = (i8::try_from(minute / 60).ok()?, i8::try_from(minute % 60).ok()?);
    Time::new(hour, minute, 0, 0).ok()
}

fn minute_text(minute: u16) -> String {
    format!("{:02}:{:02}", minute / 60, minute % 60)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::{date, time};

    #[test]
    fn a_start_is_a_time_or_a_day_with_a_time() {
        let start = |text: &str| text.parse::<Start>();
        assert_eq!(start("09:00"), Ok(Start::OnDayOne(time(9, 0, 0, 0))));
        assert_eq!(start(" 9:05 "), Ok(Start::OnDayOne(time(9, 5, 0, 0))));
        let at = Start::At(date(2026, 11, 27).at(9, 0, 0, 0));
        assert_eq!(start("2026-11-27 09:00"), Ok(at));
        assert_eq!(start("2026-11-27T09:00"), Ok(at));
        // 2028 is a leap year, 2027 is none.
        assert_eq!(start("2028-02-29 23:59"), Ok(Start::At(date(2028, 2, 29).at(23, 59, 0, 0))));
        assert_eq!(start("2027-02-29 09:00"), Err(ClockError::BadDay("2027-02-29".into())));
    }

    #[test]
    fn what_is_no_start_is_refused() {
        let error = |text: &str| text.parse::<Start>().unwrap_err();
        assert_eq!(error("2026-11-27"), ClockError::NoTime("2026-11-27".into()));
        assert_eq!(error("27.11.2026 09:00"), ClockError::BadDay("27.11.2026".into()));
        assert_eq!(error("2026-13-01 09:00"), ClockError::BadDay("2026-13-01".into()));
        for text in ["", "9", "24:00", "09:60", "9:5", "09:00:00", "-1:00", "nine", "999:00"] {
            assert_eq!(error(text), ClockError::BadTime(text.into()), "{text}");
        }
        assert_eq!(error("2026-11-27 soon"), ClockError::BadTime("soon".into()));
    }

    #[test]
    fn hours_open_before_they_close() {
        let hours: Hours = "08:00-18:00".parse().unwrap();
        assert_eq!((hours.opens_minute(), hours.closes_minute()), (480.0, 1080.0));
        assert_eq!(hours.to_string(), "08:00–18:00");
        assert_eq!("8:00 – 18:00".parse(), Ok(hours));
        let late: Hours = "20:00-24:00".parse().unwrap();
        assert_eq!(late.closes_minute(), 1440.0);
        let error = |text: &str| text.parse::<Hours>().unwrap_err();
        for text in ["18:00-08:00", "08:00-08:00"] {
            assert!(matches!(error(text), ClockError::ClosesFirst { .. }), "{text}");
        }
        for text in ["", "08:00", "8-12-18", "08:00-12:00-18:00"] {
            assert_eq!(error(text), ClockError::NoHours(text.into()));
        }
        assert_eq!(error("08:00-25:00"), ClockError::BadTime("25:00".into()));
        assert_eq!(error("24:00-24:00"), ClockError::BadTime("24:00".into()));
    }
}
