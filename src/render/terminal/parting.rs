//! The two halves of a mould that closes round the piece: skin by half, gate.

use super::head::{self, limits};
use super::numbers::{grams, tenths, three};
use super::page::{PLAIN, Page, STRONG};
use crate::sheet::{Parting, SeamCoat, Sheet, SkinHalf};
use crate::units::Length;

/// What goes on each half, and what the gate holds.
pub fn block(page: &mut Page, sheet: &Sheet) {
    let Some(parting) = &sheet.parting else { return };
    let step = sheet.plan.shop.scale_step_g;
    let (how, labels) = match parting.level_mm.map(Length::from_mm) {
        Some(level) => (format!("parted {level} above the lowest point"), ["Lower", "Upper"]),
        None => ("two scans, closed on each other".to_owned(), ["First", "Other"]),
    };
    page.line(&[(STRONG, "   HALVES"), (PLAIN, &format!("  {how}"))]);
    for (label, half) in labels.into_iter().zip(&parting.halves) {
        page.row(label, &of_half(half, step));
    }
    if parting.halves.iter().any(|half| !half.coats.is_empty()) {
        let how = "brush both halves from the same mixes, each up to the parting, before closing";
        page.row("", how);
    }
    gate(page, parting, sheet);
    page.gap();
}

fn of_half(half: &SkinHalf, step: f64) -> String {
    let wall = format!("{} cm² of wall", three(half.wall_mm2 / 100.0));
    if half.coats.is_empty() {
        return format!("{wall}, without a skin");
    }
    let skin = format!(
        "{} cm³{} of skin, {} g",
        three(half.skin_mm3.best() / 1000.0),
        limits(half.skin_mm3),
        grams(half.net_g(), step)
    );
    let coats = match half.coats.as_slice() {
        [_] => String::new(),
        coats => {
            let each: Vec<String> = coats.iter().map(|(_, net)| grams(*net, step)).collect();
            format!(", coat by coat {} g", each.join(" + "))
        }
    };
    format!("{wall}; {skin}{coats}")
}

/// What was read of the other half, where each has a mesh of its own.
pub fn other_half(page: &mut Page, sheet: &Sheet) {
    let Some(other) = sheet.parting.as_ref().and_then(|parting| parting.other.as_ref()) else {
        return;
    };
    page.row("Other half", &other.mesh.file);
    head::mesh(page, &other.mesh);
    head::health(page, &other.health);
}

/// What the coat over the seam is, for its heading.
pub fn seam_in_words(seam: &SeamCoat) -> String {
    let hundredths = |mm: f64| Length::from_mm((100.0 * mm).round() / 100.0);
    let [thick, width] = [seam.thickness_mm, seam.width_mm].map(hundredths);
    format!("{thick}, {width} wide, over {} cm of seam", tenths(seam.length_mm / 10.0))
}

fn gate(page: &mut Page, parting: &Parting, sheet: &Sheet) {
    let Some(gate) = &parting.gate else { return };
    let [wide, long] = [gate.diameter_mm, gate.length_mm].map(Length::from_mm);
    let [.., cap] = &sheet.plan.layers;
    let plug = if cap.dose.is_empty() { "" } else { "; instead of a cap a plug closes it" };
    let text = format!(
        "{wide} across and {long} long: {} cm³ of core stay in it{plug}",
        three(sheet.volumes.two_part.gate_mm3 / 1000.0)
    );
    page.row("Gate", &text);
}
