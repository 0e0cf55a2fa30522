//! Order and times, after the pours.

use super::page::{ALERT, FAINT, PLAIN, Page, STRONG};
use crate::sheet::{Clock, Event, EventCode, Moment, Round, Sheet, TaskCode, Timeline};
use crate::units::Start;
use anstyle::Style;

/// Columns of a time, with the space behind it.
const TIME: usize = 14;
/// More rounds than this aren't listed.
const ROUNDS: usize = 12;
/// A cup's time shorter than this is told as such: a clock to the minute says too little.
const SHORT_MINUTES: f64 = 5.0;
/// What stands for a time that nothing tells.
const UNKNOWN: &str = "data sheet";

/// What happens when, and the rounds of a run.
pub fn block(page: &mut Page, sheet: &Sheet) {
    told(page, sheet, &|_| true);
}

/// The same without what a drawn row of each pour tells: when it is mixed, and when it bonds.
pub fn beside_band(page: &mut Page, sheet: &Sheet) {
    told(page, sheet, &|event| {
        event.at.is_none() || event.pour.is_none() || event.code == EventCode::CloseLid
    });
}

fn told(page: &mut Page, sheet: &Sheet, is_told: &dyn Fn(&Event) -> bool) {
    let Some(timeline) = &sheet.timeline else { return };
    let Some(first) = timeline.events.iter().find_map(|event| event.at) else { return };
    page.rule();
    page.line(&[(STRONG, "ORDER AND TIMES"), (PLAIN, &format!("  {}", heading(timeline, first)))]);
    if let Some(hours) = shop(timeline) {
        row(page, PLAIN, "", &hours);
    }
    let told = Told { timeline, first };
    for event in timeline.events.iter().filter(|event| is_told(event)) {
        if let Some((style, text)) = told.event(event) {
            row(page, style, &told.label(event.at), &text);
        }
    }
    told.rounds(page);
    page.gap();
}

fn heading(timeline: &Timeline, first: Moment) -> String {
    match timeline.start {
        Start::Unsaid => "hours and minutes from the start".to_owned(),
        Start::OnDayOne(_) => format!("from {first}"),
        Start::At(at) => format!("from {} {first}", weekday(&Clock::At(at))),
    }
}

fn shop(timeline: &Timeline) -> Option<String> {
    let hours = timeline.hours?;
    let latest = timeline.latest_start_minute.map_or_else(String::new, |minute| {
        let (hour, minute) = (minute / 60, minute % 60);
        format!("; the latest start that gets all poured in a day is {hour:02}:{minute:02}")
    });
    Some(format!("shop open {hours}{latest}"))
}

fn row(page: &mut Page, style: Style, label: &str, text: &str) {
    page.row_beside(TIME, style, label, text);
}

/// What a clock shows at a moment, as in the list of times.
pub fn clock(timeline: &Timeline, at: Option<Moment>) -> String {
    match timeline.events.iter().find_map(|event| event.at) {
        Some(first) => Told { timeline, first }.label(at),
        None => UNKNOWN.to_owned(),
    }
}

struct Told<'a> {
    timeline: &'a Timeline,
    first: Moment,
}

impl Told<'_> {
    /// `+0:15`, `09:15`, `Sat 09:15`, `12-05 09:15`, `day 2 09:15`.
    fn label(&self, at: Option<Moment>) -> String {
        let Some(at) = at else { return UNKNOWN.to_owned() };
        let days = at.clock.days_after(self.first.clock);
        match at.clock {
            Clock::Counted(_) => at.to_string(),
            Clock::Day { day, time } if days > 0 => format!("day {day} {}", hour_minute(time)),
            Clock::Day { time, .. } => hour_minute(time),
            Clock::At(at) if days == 0 => hour_minute(at.time()),
            Clock::At(at) if days < 7 => {
                format!("{} {}", weekday(&Clock::At(at)), hour_minute(at.time()))
            }
            Clock::At(at) => {
                let (month, day) = (at.date().month(), at.date().day());
                format!("{month:02}-{day:02} {}", hour_minute(at.time()))
            }
        }
    }

    /// What to say of an event; nothing of what another one's row tells already.
    fn event(&self, event: &Event) -> Option<(Style, String)> {
        let pour = event.pour.as_deref().unwrap_or_default();
        let text = match event.code {
            EventCode::ReleaseOn => "release agent on".to_owned(),
            EventCode::ReleaseDry => "release agent dry".to_owned(),
            EventCode::CoatWindow | EventCode::CoreWindow | EventCode::CapWindow => {
                return Some(self.window(event, pour));
            }
            EventCode::GelCheck => return None,
            EventCode::Mixing => return Some(self.batch(event, pour)),
            EventCode::Brush | EventCode::Pour | EventCode::BrushBy | EventCode::PourBy => {
                return None;
            }
            EventCode::CloseLid => format!("{pour}: vented lid on"),
            EventCode::Demould => "ready to demould".to_owned(),
            EventCode::DemouldAtOpening => "take them out: the shop opens".to_owned(),
            EventCode::FullCure => "final hardness".to_owned(),
        };
        Some((PLAIN, text))
    }

    fn window(&self, event: &Event, pour: &str) -> (Style, String) {
        let check = match event.code {
            EventCode::CapWindow => "check that the core carries it",
            _ => "check the gel on the flange's patch",
        };
        let until = match event.until {
            Some(until) => format!("bonds until {}", self.label(Some(until))),
            None => "bonds as its sheet says".to_owned(),
        };
        match event.kept {
            Some(false) => (ALERT, format!("{pour}: {check}; {until}, MISSED")),
            _ => (PLAIN, format!("{pour}: {check}; {until}")),
        }
    }

    fn batch(&self, event: &Event, pour: &str) -> (Style, String) {
        let same = |code: EventCode| {
            let of = |e: &&Event| e.pour == event.pour && e.batch == event.batch && e.code == code;
            self.timeline.events.iter().find(of)
        };
        let brushed = same(EventCode::Brush).is_some();
        let (verb, by) = if brushed {
            ("brush", same(EventCode::BrushBy))
        } else {
            ("pour", same(EventCode::PourBy))
        };
        let mut text = format!("{pour}: mix");
        if let (Some(batch), true) = (event.batch, event.batches > 1) {
            text += &format!(" batch {batch} of {}", event.batches);
        }
        let late = by.is_some_and(|by| by.kept == Some(false));
        let by = by.and_then(|by| by.at);
        text += &match (event.at, by) {
            (Some(at), Some(by)) if by.minutes - at.minutes < SHORT_MINUTES => {
                let within = 60.0 * (by.minutes - at.minutes);
                format!(", {verb} within {within:.0} s of it")
            }
            (_, Some(by)) => format!(", {verb} by {}", self.label(Some(by))),
            (_, None) => format!(", {verb} within the data sheet's working time"),
        };
        if late {
            return (ALERT, text + ", TOO SHORT");
        }
        (STRONG, text)
    }

    fn rounds(&self, page: &mut Page) {
        let rounds = &self.timeline.rounds;
        if rounds.len() < 2 {
            return;
        }
        let castings: u32 = rounds.iter().map(|round| round.castings).sum();
        let end = self.timeline.end.map_or_else(String::new, |end| {
            format!(", all out of their moulds {}", self.label(Some(end)))
        });
        let heading = format!("  {castings} castings in {} rounds, one person{end}", rounds.len());
        page.line(&[(STRONG, "   ROUNDS"), (PLAIN, &heading)]);
        for round in rounds.iter().take(ROUNDS) {
            row(page, PLAIN, &self.label(Some(round.start)), &self.round(round));
        }
        if let Some(more) = rounds.len().checked_sub(ROUNDS).filter(|more| *more > 0) {
            row(page, FAINT, "", &format!("and {more} more, all of them in --json"));
        }
    }

    /// A person's tasks of a round, in the order of the clock.
    fn round(&self, round: &Round) -> String {
        let plural = if round.castings == 1 { "casting" } else { "castings" };
        let tasks = self.timeline.tasks.iter().filter(|task| task.round == round.number);
        let tasks = tasks.map(|task| {
            let what = match task.code {
                TaskCode::Release => "release agent",
                TaskCode::Lay => task.pour.as_deref().unwrap_or("pour"),
                TaskCode::Demould => "out of the moulds",
            };
            format!("{} {what}", self.label(Some(task.from)))
        });
        let tasks: Vec<_> = tasks.collect();
        format!("{}, {} {plural}: {}", round.number, round.castings, tasks.join("; "))
    }
}

fn hour_minute(time: jiff::civil::Time) -> String {
    format!("{:02}:{:02}", time.hour(), time.minute())
}

fn weekday(clock: &Clock) -> &'static str {
    use jiff::civil::Weekday;
    let Clock::At(at) = clock else { return "" };
    match at.date().weekday() {
        Weekday::Monday => "Mon",
        Weekday::Tuesday => "Tue",
        Weekday::Wednesday => "Wed",
        Weekday::Thursday => "Thu",
        Weekday::Friday => "Fri",
        Weekday::Saturday => "Sat",
        Weekday::Sunday => "Sun",
    }
}
