//! 3. Coats and pours: a block each, in working order.

use maud::{Markup, html};

use super::words::{apart, grouped, parts};
use crate::render::Lengths;
use crate::render::terminal::numbers::grams;
use crate::render::terminal::{Item, WHEN, Words, clock};
use crate::sheet::{Dose, Event, EventCode, Layer, LayerPlan, Sheet, Weighed};

/// More batches than this are told in a sentence, not cup by cup.
const CUPS: u32 = 48;
/// From so many cups on a block takes the whole width.
const WIDE_CUPS: u32 = 10;

/// One mix.
struct Mix<'a> {
    /// What the times call it.
    name: String,
    layer: &'a LayerPlan,
    dose: &'a Dose,
}

/// Everything that is mixed, in the order in which the sheet numbers it.
fn mixes(sheet: &Sheet) -> Vec<Mix<'_>> {
    let mut mixes = Vec::new();
    for layer in sheet.plan.layers.iter().filter(|layer| !layer.dose.components.is_empty()) {
        let each = layer.mixes().into_iter();
        mixes.extend(each.map(|(name, dose)| Mix { name, layer, dose }));
    }
    mixes
}

/// Mixes and cups that the first page has room for beside its drawing and times.
const MIXES_MOST: usize = 4;
const CUPS_MOST: u32 = 24;

/// More mixes or cups than the first page has room for beside its drawing and times. The two
/// halves of a mould take a mix's room.
pub fn are_many(sheet: &Sheet) -> bool {
    let mixes = mixes(sheet);
    let cups: u32 = mixes.iter().map(|mix| mix.dose.batches).sum();
    mixes.len() + usize::from(sheet.parting.is_some()) > MIXES_MOST || cups > CUPS_MOST
}

/// All blocks, and what is absent or in the mould already.
pub fn all(sheet: &Sheet, lengths: Lengths, words: &Words) -> Markup {
    let mixes = mixes(sheet);
    // One with many cups takes the whole width, and then all do: they stay in their order.
    let wide = mixes.iter().any(|mix| mix.dose.batches >= WIDE_CUPS);
    let three = !wide && !matches!(mixes.len(), 0 | 1 | 2 | 4);
    let mut mixes = mixes.into_iter();
    html! {
        section.pours.three[three] aria-label="coats and pours" {
            @for (at, item) in words.pours.iter().enumerate() {
                @match item {
                    Item::Heading(text) => {
                        @match parts(text).as_slice() {
                            [number, name, what @ ..] if number.parse::<u32>().is_ok() => {
                                @if let Some(mix) = mixes.next() {
                                    @let when = when(&words.pours[at + 1..]);
                                    (block(&mix, wide, [number, name, &what.join(" ")], when, sheet, lengths))
                                }
                            }
                            ["=", name, what @ ..] => {
                                p.none { b { (name) } " is in the mould: " (apart(&what.join(" "))) }
                            }
                            _ => {}
                        }
                    }
                    Item::Line(text) => {
                        @if let ["-", name, why @ ..] = parts(text).as_slice() {
                            p.none { b { (name) } " " (apart(&why.join(" "))) }
                        }
                    }
                    Item::Row { .. } => {}
                }
            }
        }
    }
}

/// What has to be done before a mix, where its rows say so: those behind its heading, up to the
/// next.
fn when(behind: &[Item]) -> Option<&str> {
    let mut own = behind.iter().take_while(|item| !matches!(item, Item::Heading(_)));
    own.find_map(|item| match item {
        Item::Row { label, text, .. } if label == WHEN => Some(text.as_str()),
        _ => None,
    })
}

fn block(
    mix: &Mix,
    wide: bool,
    [number, name, what]: [&str; 3],
    when: Option<&str>,
    sheet: &Sheet,
    lengths: Lengths,
) -> Markup {
    let step = sheet.plan.shop.scale_step_g;
    let dose = mix.dose;
    html! {
        article.pour.wide[wide] {
            header {
                span.number { (number) }
                h2 { (name) }
                span { (apart(what)) }
            }
            @if let Some(when) = when { p.mark { (WHEN) ": " (apart(when)) } }
            @if dose.is_empty() {
                p { "nothing to weigh" }
            } @else if wide {
                div.beside {
                    div {
                        (each_of(dose, step))
                        (weighing(&dose.batch, step))
                        (marks(mix, sheet, lengths))
                    }
                    div { (cups(mix, sheet)) }
                }
                (blanks(mix, sheet))
            } @else {
                (each_of(dose, step))
                (weighing(&dose.batch, step))
                (marks(mix, sheet, lengths))
                (cups(mix, sheet))
                (blanks(mix, sheet))
            }
        }
    }
}

/// How many batches there are, and what all of them are.
fn each_of(dose: &Dose, step: f64) -> Markup {
    html! {
        @if dose.batches > 1 {
            p { b { "Each of " (dose.batches) " batches" } " ("
                (grouped(&grams(dose.mix_g, step))) " g in all):" }
        }
    }
}

/// Component by component what the scale shows.
fn weighing(batch: &[Weighed], step: f64) -> Markup {
    let reads = batch.iter().scan(0.0, |total, weighed| {
        *total += weighed.grams;
        Some(*total)
    });
    html! {
        table {
            thead { tr {
                th scope="col" { "weigh in order" }
                th scope="col" { "grams" }
                th scope="col" { "scale reads" }
            } }
            tbody {
                @for (weighed, total) in batch.iter().zip(reads) {
                    tr {
                        td { (apart(&weighed.name)) }
                        @match weighed.drops {
                            Some(drops) => {
                                td.grams { (drops) small { @if drops == 1 { " drop" } @else { " drops" } } }
                                td.reads { "(" (format!("{:.2}", weighed.grams)) " g)" }
                            }
                            None => {
                                td.grams { (grouped(&grams(weighed.grams, step))) }
                                td.reads { (grouped(&grams(total, step))) " g" }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// How far it reaches, and when it bonds.
fn marks(mix: &Mix, sheet: &Sheet, lengths: Lengths) -> Markup {
    let facts = &sheet.layers;
    let mark_mm = match mix.layer.layer {
        Layer::Skin => None,
        Layer::Core => facts.core_mark_mm,
        Layer::Cap => facts.cap_mark_mm(),
    };
    let window = sheet.timeline.as_ref().and_then(|timeline| {
        let event = timeline.events.iter().find(|event| {
            event.code.is_window() && event.pour.as_deref() == Some(mix.name.as_str())
        })?;
        let from = clock(timeline, event.at);
        Some((from, event.until.map(|until| clock(timeline, Some(until))), event.kept))
    });
    html! {
        @if mix.layer.expands {
            p.mark { "Pour it all at once, then close the vented lid: it expands." }
        } @else if let Some(mark_mm) = mark_mm {
            p.mark { "Fill to " (lengths.under_lip(sheet.cavity.under_lip_mm(mark_mm)).trim_start_matches("at ")) }
        }
        @if let Some((from, until, kept)) = window {
            p {
                "Gel check " b { (from) }
                @match until {
                    Some(until) => { ", bonds until " b { (until) } }
                    None => ", bonds as its data sheet says",
                }
                @if kept == Some(false) { " " b.alert { "MISSED" } }
            }
        }
    }
}

/// A box to tick for every cup, with its times.
fn cups(mix: &Mix, sheet: &Sheet) -> Markup {
    let batches = mix.dose.batches.max(1);
    let verb = if mix.layer.layer == Layer::Skin { "lay by" } else { "pour by" };
    let timed = sheet.timeline.is_some();
    html! {
        @if batches > 1 && timed { p { "Each cup: mix at – " (verb) } }
        ul.cups {
            @for batch in 1..=batches.min(CUPS) {
                li {
                    span.box {}
                    span {
                        @if batches > 1 { b { (batch) " of " (batches) } ": " }
                        (cup_times(mix, batch, sheet, verb))
                    }
                }
            }
            @if batches > CUPS {
                li { "and " (batches - CUPS) " batches more, all weighed alike" }
            }
        }
    }
}

/// When its working time begins, and by when it is to be laid.
fn cup_times(mix: &Mix, batch: u32, sheet: &Sheet, verb: &str) -> Markup {
    let Some(timeline) = &sheet.timeline else {
        return html! { "at ______" };
    };
    let find = |codes: &[EventCode]| {
        let of = |event: &&Event| {
            codes.contains(&event.code)
                && event.pour.as_deref() == Some(mix.name.as_str())
                && event.batch.unwrap_or(1) == batch
        };
        timeline.events.iter().find(of)
    };
    let starts = find(&[EventCode::Mixing]).map(|mixing| clock(timeline, mixing.at));
    let by = find(&[EventCode::BrushBy, EventCode::PourBy]);
    let late = by.is_some_and(|by| by.kept == Some(false));
    let by = by.map(|by| clock(timeline, by.at));
    html! {
        @if mix.dose.batches > 1 {
            b { (starts.unwrap_or_default()) @if let Some(by) = by { "–" (by) } }
        } @else {
            @if let Some(starts) = starts { "mix at " b { (starts) } }
            @if let Some(by) = by { ", " (verb) " " b { (by) } }
        }
        @if late { " " b.alert { "TOO SHORT" } }
    }
}

/// What is written down by hand.
fn blanks(mix: &Mix, sheet: &Sheet) -> Markup {
    let is_marked = mix.layer.layer != Layer::Skin && sheet.cavity.open;
    html! {
        p.blanks {
            @for blank in ["used, g", "left in cup, g", "mould, g"] {
                span { (blank) i {} }
            }
            @if is_marked { span { "mark" i {} } }
        }
    }
}
