//! What is told of the air that stays in a cavity while it is filled.

use crate::cavity::{Air, AirPocket};
use crate::finding::Finding;
use crate::mesh::Vec3;

/// How many pockets, or highest points, are named one by one.
const NAMED: usize = 4;
/// A direction has a part along an axis where it leans that far to it: an eighth of a turn's half.
const ALONG_MIN: f64 = 0.383;

/// The warning about trapped air and the note about highest points, where there are any.
pub fn findings(air: &Air, behind_a_skin: bool) -> Vec<Finding> {
    let mut findings = Vec::new();
    if let Some(largest) = air.pockets.first() {
        findings.push(Finding { place_mm: Some(largest.top_mm), ..pockets(air, behind_a_skin) });
    } else if air.small > 0 {
        let message = match air.small {
            1 => "one small pocket of air stays under an overhang".to_owned(),
            n => format!("{n} small pockets of air stay under overhangs"),
        };
        let message = format!("{message}: too small to matter");
        findings.push(Finding::note("small-air-pockets", message));
    }
    if let Some(first) = air.tops_mm.first() {
        let places: Vec<_> = air.tops_mm.iter().take(NAMED).map(|p| place(*p)).collect();
        let (point, is) = match air.tops_mm.len() {
            1 => ("point", "is"),
            _ => ("points", "are"),
        };
        let message = format!("without an opening its highest {point} {is} {}", places.join(", "));
        let finding = Finding::note("highest-point", message)
            .with_hint("let the air out there, whatever it is filled through");
        findings.push(Finding { place_mm: Some(*first), ..finding });
    }
    findings
}

fn pockets(air: &Air, behind_a_skin: bool) -> Finding {
    let count = air.pockets.len();
    let whose = if behind_a_skin { "in the core " } else { "" };
    let mut message = match count {
        1 => format!("air stays {whose}under an overhang: {}", describe(&air.pockets[0])),
        _ => {
            let all: Vec<_> = air.pockets.iter().take(NAMED).map(describe).collect();
            let more = match count.saturating_sub(NAMED) {
                0 => String::new(),
                n => format!("; {n} more"),
            };
            format!(
                "air stays {whose}under overhangs in {count} pockets, {} cm³ together: {}{more}",
                rounded(air.volume_mm3()),
                all.join("; ")
            )
        }
    };
    if air.small > 0 {
        message += &format!("; and {} too small to matter", air.small);
    }
    message += ". It counts as cavity, so the grams are right only if it is let out";
    let hint = if air.pockets.iter().any(|pocket| pocket.raise.is_some()) {
        "vent the mould there, or tilt it while it fills: raise the side named"
    } else {
        "vent the mould there: tilting doesn't let it out"
    };
    Finding::warning("trapped-air", message).with_hint(hint)
}

fn describe(pocket: &AirPocket) -> String {
    let side = match pocket.raise {
        Some(way) => format!(" (raise {})", side(way)),
        None => String::new(),
    };
    format!("{} cm³, highest at {}{side}", rounded(pocket.volume_mm3), place(pocket.top_mm))
}

/// The side of the piece that lies in a direction, by the file's axes.
fn side(way: Vec3) -> String {
    let named = [(way.x, 'x'), (way.y, 'y'), (way.z, 'z')]
        .into_iter()
        .filter(|(part, _)| part.abs() >= ALONG_MIN)
        .map(|(part, axis)| format!("{}{axis}", if part > 0.0 { '+' } else { '-' }));
    named.collect::<Vec<_>>().join(" ")
}

fn place(p: Vec3) -> String {
    format!("({:.1}, {:.1}, {:.1}) mm", p.x, p.y, p.z)
}

/// cm³ with two digits that matter.
fn rounded(mm3: f64) -> String {
    let cm3 = mm3 / 1000.0;
    let digits = (1.0 - cm3.max(1e-9).log10().floor()).clamp(0.0, 3.0);
    format!("{cm3:.*}", digits as usize)
}
