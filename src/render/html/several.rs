//! Which of several cavities is drawn, and small sections of the others.

use maud::{Markup, html};

use super::words::apart;
use crate::render::Lengths;
use crate::render::svg::{self, Paper};
use crate::sheet::Sheet;

/// Size of a small section, mm.
const WIDTH_MM: f64 = 60.0;
const HEIGHT_MM: f64 = 18.0;

/// Which cavity the drawings show, where there are several.
pub fn which(sheet: &Sheet) -> Option<String> {
    let all = sheet.cavity.impressions.len();
    let filled = 1 + sheet.drawings.as_ref().map_or(0, |drawings| drawings.others);
    match sheet.cavity.impression {
        _ if sheet.cavity.of_halves => Some(format!("half {}", sheet.mesh.file)),
        Some(number) if all > 1 => Some(format!("impression {number} of {all}")),
        _ if filled > 1 && filled == all => Some(format!("impression 1 of {all}, the largest")),
        _ if filled > 1 => Some(format!("the largest of {filled} impressions")),
        _ => None,
    }
}

/// The same behind a heading.
pub fn behind(sheet: &Sheet) -> Markup {
    html! { @if let Some(which) = which(sheet) { " (" (apart(&which)) ")" } }
}

/// A small section of each other cavity; nothing where there is one alone.
pub fn others(sheet: &Sheet, lengths: Lengths) -> Markup {
    let Some(drawings) = sheet.drawings.as_ref().filter(|drawings| drawings.others > 0) else {
        return html! {};
    };
    let left_out = drawings.others.saturating_sub(drawings.other_sections.len());
    let numbered = drawings.others + 1 == sheet.cavity.impressions.len();
    let name = |number: usize| match &sheet.parting {
        Some(parting) => match &parting.other {
            Some(other) => format!("half {}", other.mesh.file),
            None => "other half".to_owned(),
        },
        None if numbered => format!("impression {number}"),
        None => format!("number {number} by size"),
    };
    let heading = if sheet.cavity.of_halves { "The other half" } else { "The other impressions" };
    html! {
        section.split aria-label="other cavities" {
            h2 {
                (heading)
                @if left_out > 0 { " (" (left_out) " more are filled and not drawn)" }
            }
            div.others {
                @for (number, section) in (2..).zip(&drawings.other_sections) {
                    @let what = format!("{}: {}", name(number), svg::what(section, sheet, lengths));
                    figure {
                        figcaption { (apart(&what)) }
                        (svg::drawing(section, &what, &Paper {
                            width_mm: WIDTH_MM,
                            height_mm: HEIGHT_MM,
                            ids: &format!("other{number}"),
                            lengths,
                            names: false,
                            told: drawings.section.as_ref(),
                        }))
                    }
                }
            }
        }
    }
}
