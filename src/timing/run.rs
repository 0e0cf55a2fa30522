//! All rounds, one after another, for one person.

use super::bench::Bench;
use super::lay::Laid;
use super::{DAY, SLACK_MINUTES, TimelineRequest};
use crate::units::Hours;

/// When a day's work may begin.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Starts {
    /// The latest minute of the day at which all is done within the day's hours.
    pub latest: Option<u16>,
    /// Where there is none: each minute of the day from which a person is there for everything,
    /// if some of it waits for the next opening.
    by_minute: Vec<bool>,
}

impl Starts {
    /// Nothing where there are no hours, or times are missing.
    pub fn new(request: &TimelineRequest, bench: &Bench, free: &Laid) -> Self {
        let none = Self { latest: None, by_minute: Vec::new() };
        let (Some(hours), Some(attended)) = (bench.hours(), free.attended_until()) else {
            return none;
        };
        let latest = latest_start(hours, attended - free.begins);
        if latest.is_some() {
            return Self { latest, ..none };
        }
        let midnight = bench.midnight_before(0.0);
        let fits = |minute: u16| {
            let begins = midnight + f64::from(minute);
            Laid::new(request, bench, begins).is_attended(bench)
        };
        Self { latest, by_minute: (0..DAY as u16).map(fits).collect() }
    }

    /// First and last minute of the day to begin at, if some of the work waits for the next
    /// opening.
    pub fn over_night(&self) -> Option<(usize, usize)> {
        let first = self.by_minute.iter().position(|fits| *fits)?;
        Some((first, self.by_minute.iter().rposition(|fits| *fits)?))
    }

    /// The first good start from `ready` on; `ready`'s next opening where there is none.
    pub fn next(&self, bench: &Bench, ready: f64) -> f64 {
        let Some(hours) = bench.hours() else { return ready };
        let ready = bench.next_attended(ready, 0.0).unwrap_or(ready);
        if let Some(latest) = self.latest {
            return if bench.minute_of_day(ready) <= f64::from(latest) + SLACK_MINUTES {
                ready
            } else {
                bench.midnight_before(ready) + DAY + hours.opens_minute()
            };
        }
        let midnight = bench.midnight_before(ready);
        let first = (ready - midnight - SLACK_MINUTES).ceil().max(0.0) as usize;
        let day = self.by_minute.len();
        let good = (first..first + day).find(|minute| self.by_minute[minute % day]);
        good.map_or(ready, |minute| midnight + minute as f64)
    }
}

/// The latest whole minute of a day to begin at so that so much attended work is done when the
/// shop closes.
fn latest_start(hours: Hours, attended_minutes: f64) -> Option<u16> {
    let latest = (hours.closes_minute() - attended_minutes + SLACK_MINUTES).floor();
    // A day has no minute 24:00 to begin at.
    (latest >= hours.opens_minute()).then_some(latest.min(DAY - 1.0) as u16)
}

/// All rounds: the next begins when the castings are out of their moulds. Only the first where
/// nothing tells when that is.
pub(super) fn rounds(
    request: &TimelineRequest,
    bench: &Bench,
    starts: &Starts,
    first: Laid,
) -> Vec<Laid> {
    let mut rounds = vec![first];
    for _ in 1..request.rounds() {
        let ready = rounds.last().and_then(|last| out_of_the_mould(last, bench));
        let Some(ready) = ready else { break };
        rounds.push(Laid::new(request, bench, starts.next(bench, ready)));
    }
    rounds
}

/// When a person takes the castings out.
pub(super) fn out_of_the_mould(laid: &Laid, bench: &Bench) -> Option<f64> {
    laid.demould.and_then(|ready| bench.next_attended(ready, 0.0))
}
