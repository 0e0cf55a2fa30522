//! The levels of the pours: lines across an upright section, with their names beside it.

use maud::{Markup, html};

use super::{EDGE_MM, LINE_MM, Paper, Place, mm};
use crate::render::Lengths;
use crate::render::lengths::AT_LIP_MM;
use crate::sheet::Section;

/// Where a mould parts, and the dashes of its line.
pub const PARTING: &str = "the mould parts";
pub const PARTING_DASHES: &str = "3 .8 .4 .8";
/// Height that the name of a level takes.
pub const EACH_MM: f64 = 2.0 * LINE_MM + 1.2;

/// One level.
pub struct Mark {
    height_mm: f64,
    name: &'static str,
    depth: String,
}

/// The levels of a section, the highest first.
pub fn marks(section: &Section, lengths: Lengths) -> Vec<Mark> {
    let Some(levels) = section.levels else {
        let parting = section.parting_mm.map(|height_mm| Mark {
            height_mm,
            name: PARTING,
            depth: format!("{} from below", lengths.mark(height_mm)),
        });
        return parting.into_iter().collect();
    };
    let under = |height_mm: f64| format!("{} under lip", lengths.mark(levels.lip_mm - height_mm));
    let to_lip = levels.lip_mm - levels.fill_mm < AT_LIP_MM;
    let last = if section.cap.is_empty() { "core" } else { "cap" };
    let mut marks = Vec::new();
    let deep = |height_mm: f64| lengths.mark(height_mm);
    if to_lip {
        let name = if last == "cap" { "lip, cap to here" } else { "lip, core to here" };
        let depth = format!("{} deep", deep(levels.lip_mm));
        marks.push(Mark { height_mm: levels.lip_mm, name, depth });
    } else {
        let depth = format!("{} deep", deep(levels.lip_mm));
        marks.push(Mark { height_mm: levels.lip_mm, name: "lip", depth });
        let name = if last == "cap" { "cap to here" } else { "core to here" };
        let (height_mm, depth) = (levels.fill_mm, under(levels.fill_mm));
        marks.push(Mark { height_mm, name, depth });
    }
    if let Some(core_mm) = levels.core_mm {
        marks.push(Mark { height_mm: core_mm, name: "core to here", depth: under(core_mm) });
    }
    marks
}

/// The lip is a whole line, a parting dashes and dots, other levels dashes.
fn dashes(mark: &Mark) -> &'static str {
    match mark.name {
        PARTING => PARTING_DASHES,
        name if name.starts_with("lip") => "none",
        _ => "2.2 1",
    }
}

/// Draws them beside a section of a size on paper.
pub fn draw(marks: &[Mark], place: &Place, paper: &Paper, on_paper: [f64; 2]) -> Markup {
    let left = place.at[0] - 1.0;
    let right = place.at[0] + on_paper[0] + 1.5;
    let beside = paper.names;
    let names = paper.width_mm - EDGE_MM - super::NAMES_MM + 4.0;
    // Names stand at their line or as far under the one before as they need; the first begins
    // so high that all fit.
    let mut at = EDGE_MM;
    let placed: Vec<(&Mark, f64, f64)> = marks
        .iter()
        .map(|mark| {
            let y = place.y(mark.height_mm);
            let top = at.max(y - 1.0);
            at = top + EACH_MM;
            (mark, y, top)
        })
        .collect();
    html! {
        g stroke="#000" stroke-width=".22" fill="none" {
            @for (mark, y, top) in &placed {
                path stroke-dasharray=(dashes(mark))
                    d={ "M" (mm(left)) " " (mm(*y)) "H" (mm(right)) }  {}
                @if beside {
                    path d={ "M" (mm(right)) " " (mm(*y)) "L" (mm(names - 1.0)) " " (mm(top + 1.6)) } {}
                }
            }
        }
        @for (mark, _, top) in placed.iter().filter(|_| beside) {
            text x=(mm(names)) y=(mm(top + 2.5)) font-weight="bold" { (mark.name) }
            text x=(mm(names)) y=(mm(top + 2.5 + LINE_MM)) { (mark.depth) }
        }
    }
}
