//! The timeline is made.

use super::bench::Bench;
use super::lay::Laid;
use super::run::{Starts, out_of_the_mould, rounds};
use super::{
    Moment, PourKind, Round, Task, TaskCode, Timeline, TimelineRequest, TimingError, events, notice,
};
use crate::units::Start;

/// Makes a timeline: each pour as early as it may be, batches one after another, all rounds one
/// after another.
///
/// A mix is begun when what lies there has gelled and was checked, so a window holds the whole
/// pour from its first stir. Attended is all but drying, gelling and curing; where nobody is there,
/// a pour waits for the next opening if it certainly still bonds then, and is flagged if not. All
/// moulds are filled at once; the next round begins when its castings are out. Hours without a
/// start are those of a day that starts at opening.
///
/// Units: minutes.
/// Assumptions: the release agent's drying holds its spraying or brushing; demoulding takes no
/// time that is known; a last round with fewer castings takes as long as a full one.
///
/// # Errors
/// [`TimingError`] where a number is no time, the pours stand in no order, or the calendar ends.
///
/// # Example
/// A core by itself, begun at nine:
/// ```
/// use cavigram::materials::{Parts, builtin};
/// use cavigram::timing::{Pour, PourKind, TimelineRequest, timeline};
///
/// let system = builtin("urethane-a5")?;
/// let core = Pour {
///     name: "core".into(),
///     system: system.id.clone(),
///     kind: PourKind::Core,
///     foam: false,
///     batches: 1,
///     mixing_minutes: 3.0,
///     degassing_minutes: 0.0,
///     applying_minutes: 2.0,
///     times: system.times_in(Parts::ZERO, None)?,
/// };
/// let request = TimelineRequest {
///     pours: vec![core],
///     reserve: 0.2,
///     release_minutes: 15.0,
///     start: "2026-11-27 09:00".parse()?,
///     hours: None,
///     castings: 1,
///     moulds: 1,
/// };
/// let timeline = timeline(&request)?;
/// let mixing = timeline.events.iter().find(|e| e.code.as_str() == "mixing");
/// assert_eq!(mixing.and_then(|e| e.at).map(|at| at.to_string()), Some("2026-11-27 09:15".into()));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn timeline(request: &TimelineRequest) -> Result<Timeline, TimingError> {
    request.check()?;
    let mut request = request.clone();
    if let (Start::Unsaid, Some(hours)) = (request.start, request.hours) {
        request.start = Start::OnDayOne(hours.opens());
    }
    let lost_cap = cap_over_foam(&mut request);
    let bench = Bench::new(request.start, request.hours);
    let free = Laid::new(&request, &Bench::ALWAYS, 0.0);
    let first = Laid::new(&request, &bench, 0.0);
    let starts = Starts::new(&request, &bench, &free);
    let events = events::events(&request, &first, &bench)?;
    let laid = rounds(&request, &bench, &starts, first);
    let mut findings = notice::findings(&request, &laid, &bench, &starts)?;
    findings.extend(lost_cap);
    let ends = laid.last().filter(|_| laid.len() == request.rounds() as usize);
    let end = ends.and_then(|last| out_of_the_mould(last, &bench));
    Ok(Timeline {
        start: request.start,
        hours: request.hours,
        events,
        attended_minutes: free.attended_until(),
        latest_start_minute: starts.latest,
        rounds: (1..)
            .zip(&laid)
            .map(|(n, l)| round(&request, &bench, n, l))
            .collect::<Result<Vec<_>, _>>()?,
        tasks: tasks(&request, &bench, &laid)?,
        end: end.map(|end| Moment::begins(request.start, end)).transpose()?,
        findings,
    })
}

/// Nothing is poured on a foam that still rises.
fn cap_over_foam(request: &mut TimelineRequest) -> Option<crate::finding::Finding> {
    let over_foam = request.pours.windows(2).position(
        |pair| matches!(pair, [under, over] if under.foam && over.kind == PourKind::Cap),
    )?;
    let cap = request.pours.remove(over_foam + 1);
    Some(notice::no_cap_on_foam(&cap))
}

fn round(
    request: &TimelineRequest,
    bench: &Bench,
    number: u32,
    laid: &Laid,
) -> Result<Round, TimingError> {
    let begun = (number - 1) * request.at_once();
    let out = out_of_the_mould(laid, bench);
    Ok(Round {
        number,
        castings: request.at_once().min(request.castings.saturating_sub(begun)),
        start: Moment::begins(request.start, laid.begins)?,
        demould: out.map(|out| Moment::begins(request.start, out)).transpose()?,
    })
}

/// What one person does; rounds follow one another, so their tasks do too.
fn tasks(
    request: &TimelineRequest,
    bench: &Bench,
    laid: &[Laid],
) -> Result<Vec<Task>, TimingError> {
    let moment = |minutes: f64| Moment::begins(request.start, minutes);
    let mut tasks = Vec::new();
    for (round, laid) in (1..).zip(laid) {
        let mut add = |code, pour: Option<&str>, from: f64, until: f64| {
            let (from, until) = (moment(from)?, moment(until)?);
            tasks.push(Task { round, code, pour: pour.map(str::to_owned), from, until });
            Ok::<(), TimingError>(())
        };
        if request.release_minutes > 0.0 {
            add(TaskCode::Release, None, laid.begins, laid.begins)?;
        }
        for (pour, done) in request.pours.iter().zip(&laid.pours) {
            if let (Some(begins), Some(ends)) = (done.begins(), done.ends()) {
                add(TaskCode::Lay, Some(&pour.name), begins, ends)?;
            }
        }
        if let Some(out) = out_of_the_mould(laid, bench) {
            add(TaskCode::Demould, None, out, out)?;
        }
    }
    Ok(tasks)
}
