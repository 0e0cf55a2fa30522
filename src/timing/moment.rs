//! A point on the time line, and what a clock shows then.

use std::fmt;

use jiff::SignedDuration;
use jiff::civil::{DateTime, Time};

use super::{DAY, SLACK_MINUTES, TimingError};
use crate::units::Start;

/// A point on the time line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// From the start, min.
    pub minutes: f64,
    /// What a clock shows, to the minute on the safe side: what begins is rounded up, what ends
    /// is rounded down.
    pub clock: Clock,
}

/// What a clock shows, to the minute.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clock {
    /// Nobody said when it starts: whole minutes from the start.
    Counted(u64),
    /// The day is left open; the first is day 1.
    Day {
        /// Which day.
        day: u32,
        /// What time of it.
        time: Time,
    },
    /// A day of the calendar.
    At(DateTime),
}

impl Moment {
    /// Something begins.
    pub(super) fn begins(start: Start, minutes: f64) -> Result<Self, TimingError> {
        Ok(Self { minutes, clock: Clock::new(start, minutes, |m| (m - SLACK_MINUTES).ceil())? })
    }

    /// Something ends.
    pub(super) fn ends(start: Start, minutes: f64) -> Result<Self, TimingError> {
        Ok(Self { minutes, clock: Clock::new(start, minutes, |m| (m + SLACK_MINUTES).floor())? })
    }
}

impl Clock {
    fn new(start: Start, minutes: f64, round: impl Fn(f64) -> f64) -> Result<Self, TimingError> {
        let beyond = || TimingError::BeyondCalendar;
        let time = match start {
            Start::Unsaid => return Ok(Self::Counted(round(minutes).max(0.0) as u64)),
            Start::OnDayOne(time) => time,
            Start::At(at) => at.time(),
        };
        let start_minute = f64::from(time.hour()) * 60.0
            + f64::from(time.minute())
            + f64::from(time.second()) / 60.0;
        let whole = round(start_minute + minutes);
        if !(0.0..1e12).contains(&whole) {
            return Err(beyond());
        }
        if let Start::At(at) = start {
            let from_midnight = SignedDuration::try_from_mins(whole as i64).ok_or_else(beyond)?;
            let midnight = at.date().to_datetime(Time::midnight());
            return Ok(Self::At(midnight.checked_add(from_midnight).map_err(|_| beyond())?));
        }
        let (day, minute) = ((whole / DAY).floor(), whole.rem_euclid(DAY));
        let (hour, minute) = ((minute / 60.0).floor() as i8, (minute % 60.0) as i8);
        let time = Time::new(hour, minute, 0, 0).map_err(|_| beyond())?;
        Ok(Self::Day { day: day as u32 + 1, time })
    }

    /// The day: 0 for the first.
    pub fn days_after(self, first: Self) -> i64 {
        match (first, self) {
            (Self::At(first), Self::At(at)) => {
                at.date().duration_since(first.date()).as_hours() / 24
            }
            (Self::Day { day: first, .. }, Self::Day { day, .. }) => {
                i64::from(day) - i64::from(first)
            }
            _ => 0,
        }
    }
}

impl fmt::Display for Clock {
    /// `+3:20`, `09:15`, `09:15 of day 2`, `2026-11-27 09:15`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let time = |time: &Time| format!("{:02}:{:02}", time.hour(), time.minute());
        match self {
            Self::Counted(minutes) => write!(f, "+{}:{:02}", minutes / 60, minutes % 60),
            Self::Day { day: 1, time: at } => f.write_str(&time(at)),
            Self::Day { day, time: at } => write!(f, "{} of day {day}", time(at)),
            Self::At(at) => write!(f, "{} {}", at.date(), time(&at.time())),
        }
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.clock.fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::{date, time};

    fn begins(start: Start, minutes: f64) -> String {
        Moment::begins(start, minutes).unwrap().to_string()
    }

    #[test]
    fn months_and_leap_days_are_the_calendar_s() {
        let at = |y, m, d, hour| Start::At(date(y, m, d).at(hour, 0, 0, 0));
        assert_eq!(begins(at(2026, 11, 30, 23), 90.0), "2026-12-01 00:30");
        assert_eq!(begins(at(2028, 2, 28, 23), 90.0), "2028-02-29 00:30");
        assert_eq!(begins(at(2027, 2, 28, 23), 90.0), "2027-03-01 00:30");
        assert_eq!(begins(at(2026, 12, 31, 23), 90.0), "2027-01-01 00:30");
        let end = Moment::begins(at(9999, 12, 31, 23), 90.0);
        assert_eq!(end, Err(TimingError::BeyondCalendar));
    }

    #[test]
    fn a_day_left_open_is_counted_from_one() {
        let start = Start::OnDayOne(time(22, 0, 0, 0));
        assert_eq!(begins(start, 119.0), "23:59");
        assert_eq!(begins(start, 120.0), "00:00 of day 2");
        assert_eq!(begins(start, 120.0 + 1440.0), "00:00 of day 3");
        assert_eq!(begins(Start::Unsaid, 200.0), "+3:20");
    }

    #[test]
    fn minutes_are_rounded_to_the_safe_side() {
        let start = Start::OnDayOne(time(9, 0, 0, 0));
        assert_eq!(begins(start, 10.2), "09:11");
        assert_eq!(Moment::ends(start, 10.8).unwrap().to_string(), "09:10");
        // Rounding of a sum moves nothing.
        assert_eq!(begins(start, 10.0 + 1e-9), "09:10");
        assert_eq!(Moment::ends(start, 10.0 - 1e-9).unwrap().to_string(), "09:10");
    }
}
