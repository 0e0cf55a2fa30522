//! What stands before and around the pours on the first page.

use maud::{Markup, html};

use super::Heading;
use super::band::band;
use super::blocks::are_many;
use super::several;
use super::words::{apart, parts, terms, told};
use crate::finding::{Finding, Severity};
use crate::render::Lengths;
use crate::render::plain::clean;
use crate::render::svg::{self, Paper};
use crate::render::terminal::{Item, Words};
use crate::sheet::Sheet;

/// What has to be settled before anything is mixed, beside every conflict.
const BLOCKING: [&str; 9] = [
    "unit-assumed",
    "size-implausible",
    "filled-holes",
    "accepted-large-holes",
    "scale-too-coarse",
    "smallest-batch",
    "cup-too-small",
    "working-time-too-short",
    "over-working-time",
];

/// Whether a finding stands at the head of the page.
pub fn is_blocking(finding: &Finding) -> bool {
    finding.severity == Severity::Conflict
        || (finding.severity == Severity::Warning && BLOCKING.contains(&finding.code))
}

/// 1. What blocks, and the cautions.
pub fn before(sheet: &Sheet) -> Markup {
    let mut blocking: Vec<&Finding> = sheet.findings.iter().filter(|f| is_blocking(f)).collect();
    blocking.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    let mut cautions = sheet.plan.cautions.iter();
    let general = cautions.next();
    let hazards: Vec<&str> = sheet
        .plan
        .cautions
        .iter()
        .filter_map(|c| c.hazard)
        .map(|hazard| hazard.in_short())
        .collect();
    html! {
        section.stop aria-label="before pouring" {
            @if blocking.is_empty() {
                h2 { "Nothing blocks: check the size and the room, then pour" }
            } @else {
                h2 { "Do not pour until" }
                ul {
                    @for finding in blocking {
                        li {
                            span.box {}
                            @if finding.severity == Severity::Conflict { b { "STOP: " } }
                            (told(&settled(finding)))
                        }
                    }
                }
            }
            p.care {
                @if let Some(general) = general { b { (clean(&general.text)) } }
                @if !hazards.is_empty() {
                    " Here: " (hazards.join("; ")) ". The cautions in full stand at the end."
                }
            }
        }
    }
}

/// What is to be settled, and how.
fn settled(finding: &Finding) -> String {
    match &finding.hint {
        Some(hint) => format!("{} → {hint}", finding.message),
        None => finding.message.clone(),
    }
}

/// 2. Which piece.
pub fn piece(sheet: &Sheet, heading: &Heading, words: &Words) -> Markup {
    let room = match sheet.plan.shop.room_c {
        Some(room_c) => format!("{room_c} °C"),
        None => "as the data sheets have it".to_owned(),
    };
    let row = |wanted: &str| told_under(wanted, &words.facts);
    html! {
        section.piece aria-label="which piece" {
            h1 { (apart(&sheet.mesh.file)) }
            p.when {
                @match &heading.date {
                    Some(date) => (date),
                    None => "date ____________",
                }
                @if let Some(job) = &heading.job {
                    br; (apart(job))
                    @if let Some(revision) = heading.revision { ", revision " (revision) }
                }
            }
            p.facts {
                b { "Mesh " } (heading.lengths.sides(sheet.mesh.extent_mm))
                " · " b { "room " } (room)
                @if let Some(run) = row("Run") { " · " b { "run " } (apart(&run)) }
                @if let Some(taken) = row("Taken for") { br; b { "Taken for " } (apart(&taken)) }
                @if let Some(assumed) = row("Assumed") { " · " b { "assumed " } (apart(&assumed)) }
                @if let Some(health) = row("Health") { br; b { "Health " } (told(&health)) }
                @if let Some(cavity) = row("Cavity") { " · " b { "cavity " } (told(&cavity)) }
            }
        }
    }
}

/// All that stands under a label.
fn told_under(wanted: &str, items: &[Item]) -> Option<String> {
    let mut under = false;
    let mut texts = Vec::new();
    for item in items {
        let Item::Row { label, text, .. } = item else { continue };
        under = if label.is_empty() { under } else { label == wanted };
        if under {
            texts.push(text.as_str());
        }
    }
    (!texts.is_empty()).then(|| texts.join("; "))
}

/// The two parts of a mould that closes round the piece.
pub fn halves(words: &Words) -> Markup {
    html! {
        @if let Some(heading) = behind_name(&words.halves) {
            section.halves aria-label="halves" {
                h2 { "Halves: " (apart(&heading)) }
                (terms(&words.halves))
            }
        }
    }
}

/// The section's greatest height on the page, mm; the same beside many pours.
const SECTION_MM: f64 = 44.0;
const LOW_MM: f64 = 24.0;
/// Its width with the levels' names.
const WIDTH_MM: f64 = 186.0;

/// 4. The section along the piece.
pub fn section(sheet: &Sheet, lengths: Lengths) -> Markup {
    let drawn = sheet.drawings.as_ref().and_then(|drawings| drawings.section.as_ref());
    html! {
        @if let Some(section) = drawn {
            @let what = svg::what(section, sheet, lengths);
            section aria-label="section" {
                h2 {
                    (capital(&what))
                    (several::behind(sheet))
                }
                (svg::drawing(section, &what, &Paper {
                    width_mm: WIDTH_MM,
                    height_mm: if are_many(sheet) { LOW_MM } else { SECTION_MM },
                    ids: "along",
                    lengths,
                    names: true,
                    told: None,
                }))
            }
        }
    }
}

/// A sentence's beginning.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    first + letters.as_str()
}

/// What stands behind the name in the first heading.
fn behind_name(items: &[Item]) -> Option<String> {
    items.iter().find_map(|item| match item {
        Item::Heading(text) => Some(parts(text).into_iter().skip(1).collect::<Vec<_>>().join(" ")),
        _ => None,
    })
}

/// 5. What happens when.
pub fn times(sheet: &Sheet, words: &Words) -> Markup {
    let heading = behind_name(&words.times);
    html! {
        section.order aria-label="order and times" {
            h2 { "Order and times" @if let Some(heading) = heading { ": " (heading) } }
            @if words.times.is_empty() {
                p { "No times can be told: go by the data sheets." }
            }
            @if let Some(timeline) = &sheet.timeline { (band(timeline)) }
            ol.times {
                @for item in &words.times {
                    @match item {
                        Item::Row { label, text, alert } => li {
                            b { (label) }
                            span.alert[*alert] { (apart(text)) }
                        },
                        Item::Heading(text) if text.starts_with(' ') => li {
                            b {}
                            b { (parts(text).join(" ")) }
                        },
                        _ => {}
                    }
                }
            }
        }
    }
}
