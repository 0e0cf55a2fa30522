//! The options that tell when the work begins, and when somebody is there.

use cavigram::job::ClockRequest;
use cavigram::units::{ClockError, Hours, Minutes, MinutesError, Start};
use clap::Args;
use jiff::ZonedDateTime;
use jiff::civil::Time;

use super::request::{UsageError, read, usage, word};

/// When the work begins, and when somebody is there.
#[derive(Debug, Args)]
#[command(next_help_heading = "Order and times")]
pub struct ClockArgs {
    /// When the release agent goes on:
    /// "2026-11-27 09:00", "tomorrow 09:00", 09:00 of a
    /// day left open, or now
    /// [default: times count from +0:00]
    #[arg(long, value_name = "WHEN", allow_hyphen_values = true, verbatim_doc_comment)]
    pub start: Option<String>,

    /// When the shop is open, 08:00-18:00: the sheet
    /// warns of work outside, and tells the latest start
    /// [default: somebody is always there]
    #[arg(long, value_name = "FROM-TO", allow_hyphen_values = true, verbatim_doc_comment)]
    pub hours: Option<String>,

    /// From putting the release agent on until the first
    /// coat may go on it; 0 for none [default: 15min]
    #[arg(long, value_name = "TIME", allow_hyphen_values = true, verbatim_doc_comment)]
    pub release: Option<String>,
}

/// What the options mean.
pub fn clock(args: &ClockArgs) -> Result<ClockRequest, UsageError> {
    let start = match word(&args.start).as_deref() {
        Some("now") => now()?,
        Some(word) if word.starts_with("today") || word.starts_with("tomorrow") => on_day(word)?,
        _ => read::<Start>("--start", &args.start, ClockError::hint)?.unwrap_or_default(),
    };
    let hours: Option<Hours> = read("--hours", &args.hours, ClockError::hint)?;
    let release: Option<Minutes> = read("--release", &args.release, MinutesError::hint)?;
    Ok(ClockRequest { start, hours, release })
}

/// A time of today or tomorrow: "tomorrow 09:00".
fn on_day(word: &str) -> Result<Start, UsageError> {
    let hint = Some("write it as \"tomorrow 09:00\"");
    let wrong = || usage("--start", word, "this names a day but no time", hint);
    let (day, time) = word.split_once(' ').ok_or_else(wrong)?;
    let today = ZonedDateTime::now().date();
    let date = match day {
        "today" => today,
        "tomorrow" => {
            today.tomorrow().map_err(|error| usage("--start", word, &error.to_string(), None))?
        }
        _ => return Err(wrong()),
    };
    match time.parse::<Start>() {
        Ok(Start::OnDayOne(time)) => Ok(Start::At(date.to_datetime(time))),
        _ => Err(usage("--start", word, "there is no time of a day behind the day", hint)),
    }
}

/// What the clock on the wall shows, without its seconds.
fn now() -> Result<Start, UsageError> {
    let now = ZonedDateTime::now().datetime();
    let minute = Time::new(now.hour(), now.minute(), 0, 0)
        .map_err(|error| usage("--start", "now", &error.to_string(), None))?;
    Ok(Start::At(now.date().to_datetime(minute)))
}
