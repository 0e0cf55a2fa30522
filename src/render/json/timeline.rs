//! `timeline` of `cavigram/plan/1`: what happens when, and what one person does.

use serde::Serialize;

use crate::sheet::{Clock, Event, Moment, Round, Task, Timeline};

/// What happens when.
#[derive(Serialize)]
pub struct TimelineWire<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    hours: Option<HoursWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    latest_start: Option<String>,
    attended_minutes: Option<f64>,
    events: Vec<EventWire<'a>>,
    rounds: Vec<RoundWire>,
    tasks: Vec<TaskWire<'a>>,
    end: Option<MomentWire>,
}

#[derive(Serialize)]
struct HoursWire {
    opens: String,
    closes: String,
}

/// A point in time; `clock` is a civil time, `day` counts from 1 where the day is left open.
#[derive(Serialize)]
struct MomentWire {
    minutes: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    clock: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    day: Option<u32>,
}

/// `minutes` is null where the time is as the data sheet says.
#[derive(Serialize)]
struct EventWire<'a> {
    code: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pour: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    batch: Option<u32>,
    minutes: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    clock: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    day: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    until: Option<MomentWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    kept: Option<bool>,
}

#[derive(Serialize)]
struct RoundWire {
    number: u32,
    castings: u32,
    start: MomentWire,
    demould: Option<MomentWire>,
}

#[derive(Serialize)]
struct TaskWire<'a> {
    round: u32,
    code: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pour: Option<&'a str>,
    from: MomentWire,
    until: MomentWire,
}

impl<'a> TimelineWire<'a> {
    pub fn new(timeline: &'a Timeline) -> Self {
        let hours = timeline
            .hours
            .map(|hours| HoursWire { opens: hours.opens_text(), closes: hours.closes_text() });
        let latest = timeline.latest_start_minute;
        Self {
            hours,
            latest_start: latest.map(|minute| format!("{:02}:{:02}", minute / 60, minute % 60)),
            attended_minutes: timeline.attended_minutes.map(hundredths),
            events: timeline.events.iter().map(EventWire::new).collect(),
            rounds: timeline.rounds.iter().map(RoundWire::new).collect(),
            tasks: timeline.tasks.iter().map(TaskWire::new).collect(),
            end: timeline.end.map(MomentWire::new),
        }
    }
}

impl MomentWire {
    fn new(moment: Moment) -> Self {
        let (clock, day) = match moment.clock {
            Clock::Counted(_) => (None, None),
            Clock::Day { day, time } => (Some(time.to_string()), Some(day)),
            Clock::At(at) => (Some(at.to_string()), None),
        };
        Self { minutes: hundredths(moment.minutes), clock, day }
    }
}

impl<'a> EventWire<'a> {
    fn new(event: &'a Event) -> Self {
        let at = event.at.map(MomentWire::new);
        let minutes = at.as_ref().map(|at| at.minutes);
        let (clock, day) = at.map_or((None, None), |at| (at.clock, at.day));
        Self {
            code: event.code.as_str(),
            pour: event.pour.as_deref(),
            batch: event.batch,
            minutes,
            clock,
            day,
            until: event.until.map(MomentWire::new),
            kept: event.kept,
        }
    }
}

impl RoundWire {
    fn new(round: &Round) -> Self {
        Self {
            number: round.number,
            castings: round.castings,
            start: MomentWire::new(round.start),
            demould: round.demould.map(MomentWire::new),
        }
    }
}

impl<'a> TaskWire<'a> {
    fn new(task: &'a Task) -> Self {
        Self {
            round: task.round,
            code: task.code.as_str(),
            pour: task.pour.as_deref(),
            from: MomentWire::new(task.from),
            until: MomentWire::new(task.until),
        }
    }
}

/// Minutes as finely as anybody reads them.
fn hundredths(minutes: f64) -> f64 {
    (minutes * 100.0).round() / 100.0
}
