//! The second page: more sections, views, the dip-stick curve, and all that was assumed.

use maud::{Markup, html};

use super::blocks;
use super::first::is_blocking;
use super::lots;
use super::several;
use super::stick;
use super::words::{apart, parts, terms, told};
use crate::finding::{Finding, Severity};
use crate::render::Lengths;
use crate::render::plain::clean;
use crate::render::svg::{self, Paper};
use crate::render::terminal::{Item, WHEN, Words};
use crate::sheet::Sheet;

/// Size of a section, mm.
const WIDTH_MM: f64 = 90.0;
const HEIGHT_MM: f64 = 30.0;
/// The same where many mixes leave less room on the second page.
const LOW_MM: f64 = 16.0;

/// Rows that stand on the first page.
const TOLD: [&str; 6] = ["Run", "Taken for", "Assumed", "Health", "Size", "Cavity"];

/// All of it.
pub fn page(sheet: &Sheet, lengths: Lengths, words: &Words, views: Markup) -> Markup {
    html! {
        section.split aria-label="more sections" {
            h2 { "Across and level" (several::behind(sheet)) }
            (sections(sheet, lengths))
        }
        (several::others(sheet, lengths))
        section aria-label="views" {
            h2 { "The cavity's wall" (several::behind(sheet)) }
            (views)
        }
        section.two aria-label="corrections" {
            div.stick {
                h2 { "Dip-stick curve" (several::behind(sheet)) }
                @if sheet.cavity.open { (stick::chart(sheet, lengths)) }
                @else { p { "The cavity is closed: there is no level to read." } }
            }
            div.correct {
                h2 { "Correct as you go" }
                (corrections(words))
                (terms(&words.piece))
                h2 { "Systems and lots" }
                (lots::blanks(sheet))
            }
        }
        section aria-label="all else" {
            h2 { "What was assumed and noticed" }
            div.small { (rest(sheet, words)) }
        }
        footer {
            "Numbers have a decimal point; blanks set thousands apart. Grams are to the scale's \
             step. Layers lie between the limits given, for the mesh as mended. \
             Drawings are true to scale on paper printed at 100 %."
        }
    }
}

fn sections(sheet: &Sheet, lengths: Lengths) -> Markup {
    let main = sheet.drawings.as_ref().and_then(|drawings| drawings.section.as_ref());
    let sections = sheet.drawings.iter().flat_map(|drawings| &drawings.more_sections);
    html! {
        div.two {
            @for (section, ids) in sections.zip(["across", "level"]) {
                @let what = svg::what(section, sheet, lengths);
                figure {
                    figcaption { (what) }
                    (svg::drawing(section, &what, &Paper {
                        width_mm: WIDTH_MM,
                        height_mm: if blocks::are_many(sheet) { LOW_MM } else { HEIGHT_MM },
                        ids,
                        lengths,
                        names: false,
                        told: main,
                    }))
                }
            }
        }
    }
}

/// The rows of the pours that tell how grams change with thickness and level.
fn corrections(words: &Words) -> Markup {
    let mut of = String::new();
    let mut rows = Vec::new();
    for item in &words.pours {
        match item {
            Item::Heading(text) => {
                let name = parts(text).into_iter().find(|part| part.parse::<u32>().is_err());
                of = name.unwrap_or_default().to_lowercase();
            }
            Item::Row { label, text, .. } if label == "Correct" => {
                rows.push(Item::Row { label: of.clone(), text: text.clone(), alert: false });
            }
            _ => {}
        }
    }
    terms(&rows)
}

fn rest(sheet: &Sheet, words: &Words) -> Markup {
    let of = |severity: Severity| {
        sheet.findings.iter().filter(move |f| f.severity == severity && !is_blocking(f))
    };
    let facts = not_told_yet(&words.facts);
    html! {
        section { h3 { "Piece" } (terms(facts)) }
        @for (heading, items) in by_pour(words) {
            section { h3 { (apart(&heading)) } (terms(items)) }
        }
        @if !words.later.is_empty() {
            section { h3 { "Later rounds and sums" } (as_lines(&words.later)) }
        }
        section { h3 { "Allowed for" } (terms(&words.allowed)) }
        (findings("Warnings", of(Severity::Warning)))
        (findings("Notes", of(Severity::Note)))
        section {
            h3 { "Care" }
            ul { @for caution in sheet.plan.cautions.iter().skip(1) { li { (clean(&caution.text)) } } }
        }
        section { h3 { "Notes by hand" } p { br; br; } }
    }
}

/// The rows that stand on the second page alone.
fn not_told_yet(facts: &[Item]) -> Vec<&Item> {
    let mut told = false;
    let mut left = Vec::new();
    for item in facts {
        if let Item::Row { label, .. } = item {
            told = if label.is_empty() { told } else { TOLD.contains(&label.as_str()) };
        }
        if !told {
            left.push(item);
        }
    }
    left
}

fn findings<'a>(heading: &str, findings: impl Iterator<Item = &'a Finding>) -> Markup {
    let findings: Vec<_> = findings.collect();
    html! {
        @if !findings.is_empty() {
            section {
                h3 { (heading) }
                ul {
                    @for finding in findings {
                        li {
                            (told(&finding.message))
                            @if let Some(hint) = &finding.hint { " → " (apart(hint)) }
                        }
                    }
                }
            }
        }
    }
}

/// The rows under each heading of the pours, those left out that have a place of their own.
fn by_pour(words: &Words) -> Vec<(String, Vec<&Item>)> {
    let mut found: Vec<(String, Vec<&Item>)> = Vec::new();
    for item in &words.pours {
        match item {
            Item::Heading(text) => found.push((parts(text).join(" "), Vec::new())),
            Item::Row { label, .. } if ["Correct", "Fill to", WHEN].contains(&label.as_str()) => {}
            Item::Row { .. } => {
                if let Some((_, rows)) = found.last_mut() {
                    rows.push(item);
                }
            }
            Item::Line(_) => {}
        }
    }
    found.retain(|(_, rows)| !rows.is_empty());
    found
}

/// Headings, lines and rows one under the other, columns kept.
fn as_lines(items: &[Item]) -> Markup {
    let text = |item: &Item| match item {
        Item::Heading(text) | Item::Line(text) => text.clone(),
        Item::Row { label, text, .. } => format!("{label:<11}{text}"),
    };
    let lines: Vec<String> = items.iter().map(text).map(|text| clean(&text)).collect();
    html! { p.lines { bdi { (lines.join("\n")) } } }
}
