//! The plan's order and times.

use crate::finding::Finding;
use crate::plan::Plan;
use crate::timing::{Pour, Timeline, TimelineRequest, TimingError, timeline};
use crate::units::{Hours, Minutes, Start};

/// When the work begins, and when somebody is there.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ClockRequest {
    /// When the release agent goes on.
    pub start: Start,
    /// When the shop is open, where that matters.
    pub hours: Option<Hours>,
    /// Drying of the release agent, where it was said; the shop's own otherwise.
    pub release: Option<Minutes>,
}

/// The timeline of a plan that lays these pours; a warning instead where a
/// time is beyond all reason: grams stand without it.
///
/// # Errors
/// [`TimingError::BeyondCalendar`] where the start lies too late for what follows.
pub(super) fn timeline_of(
    plan: &Plan,
    pours: Vec<Pour>,
    clock: &ClockRequest,
) -> Result<Result<Timeline, Finding>, TimingError> {
    let pace = &plan.shop.pace;
    let request = TimelineRequest {
        pours,
        reserve: pace.reserve,
        release_minutes: clock.release.map_or(pace.release_minutes, Minutes::minutes),
        start: clock.start,
        hours: clock.hours,
        castings: plan.run.castings,
        moulds: plan.run.moulds,
    };
    match timeline(&request) {
        Err(error @ TimingError::BeyondCalendar) => Err(error),
        Err(error) => Ok(Err(no_times(&error))),
        Ok(timeline) => Ok(Ok(timeline)),
    }
}

fn no_times(error: &TimingError) -> Finding {
    let finding = Finding::warning("no-timeline", format!("no times can be told: {error}"));
    match error.hint() {
        Some(hint) => finding.with_hint(hint),
        None => finding,
    }
}
