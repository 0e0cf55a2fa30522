//! The times as a band: a row for every pour, true to scale in time.

use maud::{Markup, html};

use crate::render::plain::clean;
use crate::render::svg::mm;
use crate::render::terminal::clock;
use crate::sheet::{Clock, Event, EventCode, TaskCode, Timeline};

/// Columns of a row: its name, what is to scale, its times in words; mm.
const WIDTH: f64 = 186.0;
const LEFT: f64 = 24.0;
const RIGHT: f64 = 112.0;
const WORDS: f64 = 114.5;
/// Height of a row, of a bar in it, and of what stands under the rows, mm.
const ROW: f64 = 4.3;
const BAR: f64 = 2.6;
const BELOW: f64 = 4.2;
const TEXT: f64 = 2.6;
/// Steps between the times under the band, min, and the most of them.
const STEPS: [f64; 13] =
    [1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 180.0, 360.0, 720.0, 1440.0, 10_080.0];
const STEPS_MOST: f64 = 8.0;
/// A window that stays open longer than so many times the work isn't drawn to its end.
const WORTH_DRAWING: f64 = 2.0;
const DAY: f64 = 1440.0;

/// One pour of the first round. Times in minutes from the start.
struct Row<'a> {
    name: &'a str,
    batches: u32,
    /// From the first stir until the last of it is laid.
    laid: Option<[f64; 2]>,
    /// When it bonds, and until when where that is known.
    window: Option<(f64, Option<f64>)>,
    /// The last moment for laying the last of it.
    by: Option<f64>,
    words: String,
    alert: bool,
}

/// The band; nothing where no time can be told.
pub fn band(timeline: &Timeline) -> Markup {
    let rows = rows(timeline);
    let ends = rows.iter().flat_map(|row| [row.laid.map(|laid| laid[1]), row.by]);
    let work = ends.flatten().fold(0.0, f64::max);
    if work <= 0.0 {
        return html! {};
    }
    let closes = rows.iter().filter_map(|row| row.window?.1).fold(work, f64::max);
    let end = closes.min(WORTH_DRAWING * work);
    let x = |minutes: f64| LEFT + (RIGHT - LEFT) * (minutes / end).clamp(0.0, 1.0);
    let bottom = ROW * rows.len() as f64;
    let height = bottom + BELOW;
    let title = "what is mixed and laid when, and when it bonds";
    html! {
        svg.band xmlns="http://www.w3.org/2000/svg" role="img" aria-label=(title)
            width={ (WIDTH) "mm" } height={ (mm(height)) "mm" }
            viewBox={ "0 0 " (WIDTH) " " (mm(height)) }
            font-family="'Liberation Sans', Arial, Helvetica, sans-serif" font-size=(TEXT)
        {
            title { (title) }
            (ticks(timeline, end, &x, bottom))
            @for (k, row) in rows.iter().enumerate() {
                (drawn(row, ROW * k as f64, end, &x))
            }
            (legend(bottom + BELOW - 0.6))
        }
    }
}

/// Every pour, in the order in which they are mixed.
fn rows(timeline: &Timeline) -> Vec<Row<'_>> {
    let mut rows: Vec<Row<'_>> = Vec::new();
    for event in &timeline.events {
        let Some(name) = event.pour.as_deref().filter(|_| event.code == EventCode::Mixing) else {
            continue;
        };
        if rows.iter().all(|row| row.name != name) {
            rows.push(row(timeline, name, event.batches.max(1)));
        }
    }
    rows
}

fn row<'a>(timeline: &Timeline, name: &'a str, batches: u32) -> Row<'a> {
    let of = |e: &&Event| e.pour.as_deref() == Some(name);
    let own = || timeline.events.iter().filter(of);
    let window = own().find(|event| event.code.is_window());
    let is_by = |code| matches!(code, EventCode::BrushBy | EventCode::PourBy);
    let by = own().rfind(|event| is_by(event.code));
    let mixing = own().find(|event| event.code == EventCode::Mixing).and_then(|event| event.at);
    let mut tasks = timeline.tasks.iter().filter(|task| task.round == 1);
    let task = tasks.find(|t| t.code == TaskCode::Lay && t.pour.as_deref() == Some(name));
    let verb = if by.is_some_and(|by| by.code == EventCode::PourBy) { "pour" } else { "lay" };
    let mut words = format!("mix at {}", clock(timeline, mixing));
    if batches > 1 {
        words = format!("from {}", clock(timeline, mixing));
    }
    if let Some(at) = by.and_then(|by| by.at) {
        let last = if batches > 1 { "last " } else { "" };
        words += &format!(", {verb} {last}by {}", clock(timeline, Some(at)));
    }
    if let Some(until) = window.and_then(|window| window.until) {
        words += &format!("; bonds to {}", clock(timeline, Some(until)));
    }
    let missed = window.is_some_and(|window| window.kept == Some(false));
    let late = own().any(|event| is_by(event.code) && event.kept == Some(false));
    if missed || late {
        words += if missed { ": MISSED" } else { ": TOO SHORT" };
    }
    Row {
        name,
        batches,
        laid: task.map(|task| [task.from.minutes, task.until.minutes]),
        window: window
            .and_then(|window| Some((window.at?.minutes, window.until.map(|until| until.minutes)))),
        by: by.and_then(|by| by.at).map(|at| at.minutes),
        words,
        alert: missed || late,
    }
}

fn drawn(row: &Row<'_>, top: f64, end: f64, x: &impl Fn(f64) -> f64) -> Markup {
    let y = top + 0.5 * (ROW - BAR);
    let write = mm(top + 0.5 * ROW + 0.35 * TEXT);
    html! {
        text x="0" y=(write) font-weight="bold" {
            (clean(row.name))
            @if row.batches > 1 { " × " (row.batches) }
        }
        @if let Some((opens, closes)) = row.window {
            // A window whose end isn't known, or isn't drawn, stays open to the right.
            @let shut = closes.is_some_and(|closes| closes <= end);
            @let to = x(closes.unwrap_or(end));
            path fill="#fff" stroke="#000" stroke-width=".25"
                d={ "M" (mm(to)) " " (mm(y)) "H" (mm(x(opens))) "V" (mm(y + BAR)) "H" (mm(to))
                    @if shut { "Z" } } {}
        }
        @if let Some([from, until]) = row.laid {
            rect x=(mm(x(from))) y=(mm(y)) width=(mm((x(until) - x(from)).max(0.7)))
                height=(mm(BAR)) fill="#000"
                data-what=(clean(row.name)) data-batches=(row.batches)
                data-from-minutes=(format!("{from:.2}")) data-until-minutes=(format!("{until:.2}")) {}
        }
        @if let Some(by) = row.by {
            path stroke="#000" stroke-width=".5"
                d={ "M" (mm(x(by))) " " (mm(top + 0.3)) "V" (mm(top + ROW - 0.3)) } {}
        }
        text x=(mm(WORDS)) y=(write) font-weight=(if row.alert { "bold" } else { "normal" }) {
            (clean(&row.words))
        }
    }
}

/// Times under the band, with lines up through it.
fn ticks(timeline: &Timeline, end: f64, x: &impl Fn(f64) -> f64, bottom: f64) -> Markup {
    let step = STEPS.into_iter().find(|step| end / step <= STEPS_MOST).unwrap_or(end);
    // On a clock at whole steps of the day.
    let from_midnight = match timeline.moment(0.0).map(|moment| moment.clock) {
        Some(Clock::Day { time, .. }) => minute_of(time),
        Some(Clock::At(at)) => minute_of(at.time()),
        _ => 0.0,
    };
    let first = (step - from_midnight % step) % step;
    let count = if first <= end { ((end - first) / step) as usize + 1 } else { 0 };
    html! {
        g stroke="#999" stroke-width=".15" {
            @for k in 0..count {
                @let at = first + step * k as f64;
                path d={ "M" (mm(x(at))) " 0V" (mm(bottom + 0.8)) } {}
            }
        }
        g text-anchor="middle" {
            @for k in 0..count {
                @let at = first + step * k as f64;
                text x=(mm(x(at))) y=(mm(bottom + BELOW - 0.6)) {
                    (clean(&clock(timeline, timeline.moment(at))))
                }
            }
        }
    }
}

fn minute_of(time: jiff::civil::Time) -> f64 {
    (60.0 * f64::from(time.hour()) + f64::from(time.minute())) % DAY
}

fn legend(y: f64) -> Markup {
    let top = y - 0.85 * BAR;
    html! {
        rect x=(mm(WORDS + 7.0)) y=(mm(top)) width="4" height=(mm(BAR)) fill="#000" {}
        text x=(mm(WORDS + 12.0)) y=(mm(y)) { "mixed, laid" }
        path stroke="#000" stroke-width=".5" d={ "M" (mm(WORDS + 30.0)) " " (mm(top)) "v" (mm(BAR)) } {}
        text x=(mm(WORDS + 31.5)) y=(mm(y)) { "laid by" }
        rect x=(mm(WORDS + 44.0)) y=(mm(top)) width="4" height=(mm(BAR)) fill="#fff" stroke="#000"
            stroke-width=".25" {}
        text x=(mm(WORDS + 49.0)) y=(mm(y)) { "bonds" }
    }
}
