//! What can't be done in time, with the way out, and which times are missing.

use super::bench::Bench;
use super::lay::{Laid, LaidPour, Window};
use super::run::Starts;
use super::{Moment, Pour, PourKind, SLACK_MINUTES, TimelineRequest, TimingError};
use crate::finding::Finding;
use crate::units::Minutes;

/// Code of the warning that a batch takes longer than its working time.
pub const OVER_TIME: &str = "working-time-too-short";

pub(super) fn findings(
    request: &TimelineRequest,
    rounds: &[Laid],
    bench: &Bench,
    starts: &Starts,
) -> Result<Vec<Finding>, TimingError> {
    let mut findings = unknown_times(request);
    let Some(first) = rounds.first() else { return Ok(findings) };
    for (at, (pour, laid)) in request.pours.iter().zip(&first.pours).enumerate() {
        findings.extend(working_time(request, pour));
        findings.extend(between_batches(pour, laid));
        let under = at.checked_sub(1).and_then(|before| request.pours.get(before));
        if let (Some(under), Some(window)) = (under, &laid.window) {
            findings.extend(window_missed(request, pour, under, laid, window)?);
        }
    }
    findings.extend(outside_hours(request, rounds, bench, starts)?);
    Ok(findings)
}

/// A foam is closed by its lid.
pub(super) fn no_cap_on_foam(cap: &Pour) -> Finding {
    Finding::warning(
        "no-cap-on-foam",
        format!("{}: it can't be poured on a foam, and is left out of the times", cap.name),
    )
    .with_hint("close the mould with a vented lid, or take a solid rubber for the core")
}

fn told(minutes: f64) -> String {
    Minutes::new(minutes).map_or_else(|_| format!("{minutes:.0} min"), |m| m.to_string())
}

/// One note for each system whose times leave something open.
fn unknown_times(request: &TimelineRequest) -> Vec<Finding> {
    let mut missing: Vec<(&str, Vec<&str>)> = Vec::new();
    for (at, pour) in request.pours.iter().enumerate() {
        let times = &pour.times;
        // What lies last bonds to nothing any more; the skin's edge waits for the cap.
        let lies_under = at + 1 < request.pours.len();
        for (time, name, counts) in [
            (times.working_minutes, "working time", true),
            (pour.carries_minutes(), "gel time", lies_under),
            (times.bond_until_minutes, "end of its bond window", lies_under),
            (times.demould_minutes, "demould time", true),
            (times.full_cure_minutes, "time of full cure", true),
        ] {
            if !counts || time.is_some() {
                continue;
            }
            match missing.iter_mut().find(|(system, _)| *system == pour.system) {
                Some((_, names)) if names.contains(&name) => {}
                Some((_, names)) => names.push(name),
                None => missing.push((&pour.system, vec![name])),
            }
        }
    }
    let note = |(system, names): (&str, Vec<&str>)| {
        Finding::note(
            "time-unknown",
            format!(
                "system `{system}` gives no {}; what hangs on it is as the data sheet says",
                names.join(", no ")
            ),
        )
    };
    missing.into_iter().map(note).collect()
}

fn working_time(request: &TimelineRequest, pour: &Pour) -> Option<Finding> {
    let working = pour.times.working_minutes?;
    let (usable, takes) = (working * (1.0 - request.reserve), pour.batch_minutes());
    if takes <= usable + SLACK_MINUTES {
        return None;
    }
    let work = if pour.kind == PourKind::Coat { "brushing" } else { "pouring" };
    let message = format!(
        "{}: mixing and {work} a batch take {}, and its working time of {} leaves {} with {:.0} % \
         in reserve",
        pour.name,
        told(takes),
        told(working),
        told(usable),
        100.0 * request.reserve
    );
    Some(Finding::warning(OVER_TIME, message).with_hint(
        "make smaller batches, take a slower system, or work in a cooler room, within 10 °C of the \
         data sheet's",
    ))
}

/// A late batch doesn't bond to the one before.
fn between_batches(pour: &Pour, laid: &LaidPour) -> Option<Finding> {
    let until = pour.times.bond_until_minutes?;
    let late = laid
        .batches
        .windows(2)
        .any(|pair| matches!(pair, [one, next] if next.ends > one.begins + until + SLACK_MINUTES));
    late.then(|| {
        Finding::warning(
            "window-missed",
            format!(
                "{}: a batch is laid {} after the one before was mixed, which bonds only for {}",
                pour.name,
                told(2.0 * pour.batch_minutes()),
                told(until)
            ),
        )
        .with_hint("make smaller batches, or take a slower system")
    })
}

fn window_missed(
    request: &TimelineRequest,
    pour: &Pour,
    under: &Pour,
    laid: &LaidPour,
    window: &Window,
) -> Result<Option<Finding>, TimingError> {
    let (Some(false), Some(closes), Some(ends)) = (window.kept, window.closes, laid.ends()) else {
        return Ok(None);
    };
    let closes = Moment::ends(request.start, closes)?;
    let ready = window.opens.map(|opens| Moment::begins(request.start, opens)).transpose()?;
    let done = Moment::begins(request.start, ends)?;
    if pour.kind == PourKind::Cap && under.kind != PourKind::Coat {
        let carries = ready.map_or_else(String::new, |at| format!("carries it from {at}"));
        let bonds = if window.closed_by_skin { "the skin's edge" } else { under.name.as_str() };
        let message = format!(
            "{}: {} {carries}, it is laid by {done}, but {bonds} bonds by itself only until {closes}",
            pour.name, under.name
        );
        return Ok(Some(Finding::warning("cap-window-missed", message).with_hint(
            "brush the skin's edge afresh while it is tacky, shortly before the cap, or abrade and \
             prime it as the data sheet says; less softener or a faster core gels sooner",
        )));
    }
    let message = format!(
        "{}: it is laid by {done}, but {} bonds by itself only until {closes}",
        pour.name, under.name
    );
    Ok(Some(Finding::warning("window-missed", message).with_hint(
        "make it in less time (fewer castings at once, smaller batches), take a slower system, or \
         abrade and prime as the data sheet says",
    )))
}

/// Something that a person must be there for while the shop is closed.
struct AtNight {
    /// What, as a clause.
    what: String,
    at: f64,
    /// It waits for the morning and still bonds.
    waits: bool,
}

/// The first thing of a round outside the hours.
fn at_night(request: &TimelineRequest, laid: &Laid, bench: &Bench) -> Option<AtNight> {
    if !bench.is_attended(laid.begins, laid.begins) {
        return Some(AtNight { what: "the work begins".into(), at: laid.begins, waits: false });
    }
    let pours: Vec<_> = request.pours.iter().zip(&laid.pours).collect();
    let late = pours.iter().find_map(|(pour, laid)| {
        let (begins, ends) = (laid.begins()?, laid.ends()?);
        (!bench.is_attended(begins, ends)).then(|| AtNight {
            what: format!("{} is to be mixed and laid", pour.name),
            at: begins,
            waits: false,
        })
    });
    late.or_else(|| {
        pours.iter().find_map(|(pour, laid)| {
            let opens = laid.window.as_ref()?.opens?;
            (!bench.is_attended(opens, opens)).then(|| AtNight {
                what: format!("the window for {} opens", pour.name),
                at: opens,
                waits: true,
            })
        })
    })
}

fn outside_hours(
    request: &TimelineRequest,
    rounds: &[Laid],
    bench: &Bench,
    starts: &Starts,
) -> Result<Option<Finding>, TimingError> {
    let Some(hours) = bench.hours() else { return Ok(None) };
    let at_night = rounds.iter().find_map(|laid| at_night(request, laid, bench));
    let Some(AtNight { what, at, waits }) = at_night else { return Ok(None) };
    let at = Moment::begins(request.start, at)?;
    let opens = hours.opens_text();
    let (code, hint) = match (starts.latest, starts.over_night()) {
        (Some(latest), _) => {
            let hint = format!(
                "start between {opens} and {}, that day or the next",
                minute_text(latest.into())
            );
            ("outside-hours", hint)
        }
        (None, Some((first, last))) => {
            let hint = format!(
                "start between {} and {}, and go on when the shop opens again",
                minute_text(first),
                minute_text(last)
            );
            ("outside-hours", hint)
        }
        (None, None) => {
            let hint = "keep longer hours that day, brush fewer coats, or take a core that gels \
                        sooner";
            ("no-start-fits", hint.to_owned())
        }
    };
    if waits {
        let message = format!(
            "{what} at {at}, outside {hours}; it waits for the shop to open, and still bonds then"
        );
        let avoidable = starts.latest.is_some();
        let tell = if avoidable { Finding::warning } else { Finding::note };
        return Ok(Some(tell("window-outside-hours", message).with_hint(hint)));
    }
    let message = match code {
        "no-start-fits" => format!(
            "{what} at {at}, outside {hours}, and no start keeps all of the work within the hours"
        ),
        _ => format!("{what} at {at}, outside {hours}"),
    };
    Ok(Some(Finding::warning(code, message).with_hint(hint)))
}

fn minute_text(minute: usize) -> String {
    format!("{:02}:{:02}", minute / 60, minute % 60)
}
