//! What is in the mould already, and what the piece will weigh.

use super::head::limits;
use super::numbers::{grams, tenths, three};
use super::page::{PLAIN, Page, STRONG};
use crate::sheet::{BrushedSkin, Correction, Layer, LayerPlan, Sheet};

/// The block of a layer that is in the mould already; `false` where it is still to be weighed.
pub fn block(page: &mut Page, layer: &LayerPlan, sheet: &Sheet) -> bool {
    let Some(correction) = &sheet.correction else { return false };
    match (layer.layer, &correction.skin, correction.gap_mm) {
        (Layer::Skin, Some(skin), _) => brushed(page, layer, skin, sheet),
        (Layer::Core, _, Some(gap_mm)) => {
            poured(page, layer, gap_mm, correction.planned_cap_mm);
        }
        _ => return false,
    }
    true
}

fn heading(page: &mut Page, name: &str, what: &str) {
    page.line(&[(STRONG, &format!("=  {name}")), (PLAIN, &format!("  {what}"))]);
}

fn brushed(page: &mut Page, layer: &LayerPlan, skin: &BrushedSkin, sheet: &Sheet) {
    let step = sheet.plan.shop.scale_step_g;
    let (mm, used) = (skin.thickness_mm, grams(skin.grams, step));
    heading(
        page,
        "SKIN",
        &format!(
            "brushed: {used} g = {} mm ({:.2} to {:.2})",
            tenths(mm.best()),
            (mm.low() * 100.0).floor() / 100.0,
            (mm.high() * 100.0).ceil() / 100.0
        ),
    );
    page.row(
        "Planned",
        &format!(
            "{} mm, {} g in the mould",
            tenths_or_more(skin.planned_mm),
            grams(skin.planned_g, step)
        ),
    );
    if skin.flange_g > 0.0 {
        page.row("Flange", &format!("about {} g of it", grams(skin.flange_g, step)));
    }
    volume(page, layer);
}

fn poured(page: &mut Page, layer: &LayerPlan, gap_mm: f64, planned_mm: f64) {
    heading(
        page,
        "CORE",
        &format!("poured: its surface lies {} mm under the fill level", tenths_or_more(gap_mm)),
    );
    page.row("Planned", &format!("{} mm under it", tenths_or_more(planned_mm)));
    volume(page, layer);
}

fn volume(page: &mut Page, layer: &LayerPlan) {
    let volume = three(layer.volume_mm3.best() / 1000.0);
    page.row("Volume", &format!("{volume} cm³{}", limits(layer.volume_mm3)));
}

/// The cap's depth as it was planned, where a gap was measured instead.
pub fn planned_cap(page: &mut Page, correction: &Correction) {
    if correction.gap_mm.is_some() {
        let planned = tenths_or_more(correction.planned_cap_mm);
        page.row("Planned", &format!("{planned} mm deep"));
    }
}

/// What the cured piece is expected to weigh.
pub fn piece(page: &mut Page, sheet: &Sheet) {
    let (piece, step) = (sheet.piece_g, sheet.plan.shop.scale_step_g);
    let less = match sheet.inserts {
        Some(_) => "without flange and inserts",
        None => "without flange",
    };
    page.row(
        "Piece",
        &format!(
            "{} g expected when cured and trimmed, {less} ({} to {}; the densities may be off by \
             2 %, common practice)",
            grams(piece.best(), step),
            grams((piece.low() / step).floor() * step, step),
            grams((piece.high() / step).ceil() * step, step)
        ),
    );
}

/// Up to two decimals, as one reads them off a gauge.
fn tenths_or_more(mm: f64) -> String {
    let text = format!("{mm:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
