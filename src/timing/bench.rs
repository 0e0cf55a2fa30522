//! The bench in its hours: when a person is there.

use super::{DAY, SLACK_MINUTES};
use crate::units::{Hours, Start};

/// Hours on the time line of a run, whose minutes count from the start.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bench {
    /// Minutes from midnight to the start.
    start_minute: f64,
    /// `None` where a person is always there.
    hours: Option<Hours>,
}

impl Bench {
    /// Without a start the hours have no place on the time line and count for nothing.
    pub fn new(start: Start, hours: Option<Hours>) -> Self {
        let time = match start {
            Start::Unsaid => return Self::ALWAYS,
            Start::OnDayOne(time) => time,
            Start::At(at) => at.time(),
        };
        let start_minute = f64::from(time.hour()) * 60.0
            + f64::from(time.minute())
            + f64::from(time.second()) / 60.0;
        Self { start_minute, hours }
    }

    /// A person is always there.
    pub const ALWAYS: Self = Self { start_minute: 0.0, hours: None };

    pub const fn hours(&self) -> Option<Hours> {
        self.hours
    }

    /// Minutes after midnight.
    pub fn minute_of_day(&self, minutes: f64) -> f64 {
        (self.start_minute + minutes).rem_euclid(DAY)
    }

    /// The midnight before, on the time line.
    pub fn midnight_before(&self, minutes: f64) -> f64 {
        let day = ((self.start_minute + minutes + SLACK_MINUTES) / DAY).floor();
        day * DAY - self.start_minute
    }

    /// All of it lies within the hours of one day.
    pub fn is_attended(&self, from: f64, until: f64) -> bool {
        let Some(hours) = self.hours else { return true };
        let midnight = self.midnight_before(from);
        from + SLACK_MINUTES >= midnight + hours.opens_minute()
            && until <= midnight + hours.closes_minute() + SLACK_MINUTES
    }

    /// The first time from `earliest` on at which something of this length fits into the hours of
    /// one day; `None` where no day is long enough.
    pub fn next_attended(&self, earliest: f64, length: f64) -> Option<f64> {
        let Some(hours) = self.hours else { return Some(earliest) };
        if length > hours.closes_minute() - hours.opens_minute() + SLACK_MINUTES {
            return None;
        }
        if self.is_attended(earliest, earliest + length) {
            return Some(earliest);
        }
        let opens = self.midnight_before(earliest) + hours.opens_minute();
        Some(if opens >= earliest { opens } else { opens + DAY })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::time;

    #[test]
    fn work_is_put_into_the_hours_of_one_day() {
        let hours = "08:00-18:00".parse().ok();
        let bench = Bench::new(Start::OnDayOne(time(9, 30, 0, 0)), hours);
        assert_eq!(bench.next_attended(0.0, 60.0), Some(0.0));
        // 17:30 to 18:30 doesn't fit; the next opening is 22.5 h after the start.
        assert_eq!(bench.next_attended(480.0, 60.0), Some(1350.0));
        assert_eq!(bench.next_attended(480.0, 30.0), Some(480.0));
        // 03:00 of the next day.
        assert_eq!(bench.next_attended(1050.0, 60.0), Some(1350.0));
        assert_eq!(bench.next_attended(0.0, 601.0), None);
        assert_eq!(Bench::ALWAYS.next_attended(7.0, 1e6), Some(7.0));
    }

    #[test]
    fn a_start_before_opening_waits_for_it() {
        let bench = Bench::new(Start::OnDayOne(time(7, 0, 0, 0)), "08:00-24:00".parse().ok());
        assert_eq!(bench.next_attended(0.0, 10.0), Some(60.0));
        // Up to midnight itself.
        assert!(bench.is_attended(1010.0, 1020.0) && !bench.is_attended(1010.0, 1021.0));
    }
}
