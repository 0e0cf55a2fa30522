//! From a round as laid out to what happens when.

use super::bench::Bench;
use super::lay::{Laid, LaidPour, Window};
use super::{Event, EventCode, Moment, Pour, PourKind, TimelineRequest, TimingError};

/// What happens in a round, in the order of the clock; what nothing tells the time of stays where
/// it stands in the work.
pub(super) fn events(
    request: &TimelineRequest,
    laid: &Laid,
    bench: &Bench,
) -> Result<Vec<Event>, TimingError> {
    let mut list = List { request, at_least: laid.begins, events: Vec::new() };
    if request.release_minutes > 0.0 {
        list.add(EventCode::ReleaseOn, Some(laid.begins))?;
        list.add(EventCode::ReleaseDry, Some(laid.begins + request.release_minutes))?;
    }
    for (pour, done) in request.pours.iter().zip(&laid.pours) {
        list.pour(pour, done)?;
    }
    list.add(EventCode::Demould, laid.demould)?;
    let at_opening = laid.demould.and_then(|ready| bench.next_attended(ready, 0.0));
    if at_opening > laid.demould {
        list.add(EventCode::DemouldAtOpening, at_opening)?;
    }
    list.add(EventCode::FullCure, laid.full_cure)?;
    Ok(list.in_order())
}

/// Events in the order of the work, each with its place on the time line.
struct List<'a> {
    request: &'a TimelineRequest,
    /// Where something without a time of its own stands.
    at_least: f64,
    events: Vec<(f64, Event)>,
}

impl List<'_> {
    fn in_order(mut self) -> Vec<Event> {
        // Stable: what happens at the same time stays in the order of the work.
        self.events.sort_by(|a, b| a.0.total_cmp(&b.0));
        self.events.into_iter().map(|(_, event)| event).collect()
    }

    fn add(&mut self, code: EventCode, minutes: Option<f64>) -> Result<(), TimingError> {
        self.push(code, minutes, |_| {})
    }

    fn push(
        &mut self,
        code: EventCode,
        minutes: Option<f64>,
        fill: impl FnOnce(&mut Event),
    ) -> Result<(), TimingError> {
        let ends = matches!(code, EventCode::BrushBy | EventCode::PourBy);
        let moment = if ends { Moment::ends } else { Moment::begins };
        let at = minutes.map(|m| moment(self.request.start, m)).transpose()?;
        let mut event =
            Event { code, pour: None, batch: None, batches: 0, at, until: None, kept: None };
        fill(&mut event);
        let place = minutes.unwrap_or(self.at_least);
        self.events.push((place, event));
        // The end of a cup's time isn't what the next thing waits for.
        if !ends && !code.is_window() {
            self.at_least = self.at_least.max(place);
        }
        Ok(())
    }

    fn pour(&mut self, pour: &Pour, done: &LaidPour) -> Result<(), TimingError> {
        if let Some(window) = &done.window {
            self.window(pour, window)?;
            self.push(EventCode::GelCheck, done.begins(), |event| name(event, pour, None))?;
        }
        let (lay, by) = match pour.kind {
            PourKind::Coat => (EventCode::Brush, EventCode::BrushBy),
            PourKind::Core | PourKind::Cap => (EventCode::Pour, EventCode::PourBy),
        };
        for (number, batch) in (1..).zip(&done.batches) {
            let named = |event: &mut Event| name(event, pour, Some(number));
            self.push(EventCode::Mixing, Some(batch.begins), named)?;
            self.push(lay, Some(batch.lays), named)?;
            self.push(by, batch.by, |event| {
                named(event);
                event.kept = batch.in_time();
            })?;
        }
        if done.batches.is_empty() {
            for code in [EventCode::Mixing, lay, by] {
                self.push(code, None, |event| name(event, pour, None))?;
            }
        }
        if pour.foam {
            self.push(EventCode::CloseLid, done.ends(), |event| name(event, pour, None))?;
        }
        Ok(())
    }

    fn window(&mut self, pour: &Pour, window: &Window) -> Result<(), TimingError> {
        let code = match pour.kind {
            PourKind::Coat => EventCode::CoatWindow,
            PourKind::Core => EventCode::CoreWindow,
            PourKind::Cap => EventCode::CapWindow,
        };
        // An end that may come sooner isn't told as the end.
        let closes = window.closes.filter(|_| window.closes_for_sure || window.kept.is_some());
        let until = closes.map(|m| Moment::ends(self.request.start, m)).transpose()?;
        self.push(code, window.opens, |event| {
            name(event, pour, None);
            event.until = until;
            event.kept = window.kept;
        })
    }
}

fn name(event: &mut Event, pour: &Pour, batch: Option<u32>) {
    event.pour = Some(pour.name.clone());
    event.batch = batch;
    event.batches = pour.batches;
}
