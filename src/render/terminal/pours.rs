//! The lower part of the batch sheet: one block per mix, in pouring order.

use super::head::limits;
use super::in_mould;
use super::numbers::{grams, tenths, three};
use super::page::{FAINT, LABEL, PLAIN, Page, STRONG, shortened};
use super::parting;
use crate::sheet::{
    Allowance, AllowanceKind, CoatPlan, Dose, HardnessBasis, Layer, LayerPlan, Parts, PatchTold,
    Run, Sheet, SkinBy, Tack,
};
use crate::units::{InchFraction, Length};

/// Columns of a component's name, of its grams, and of the running total.
const NAME: usize = 26;
const GRAMS: usize = 9;

/// Every mix in pouring order, and the layers that are absent.
pub fn all(page: &mut Page, sheet: &Sheet) {
    let mut number = 1;
    for layer in &sheet.plan.layers {
        page.gap();
        if in_mould::block(page, layer, sheet) {
            seam(page, layer, sheet, &mut number);
            continue;
        }
        if layer.dose.components.is_empty() {
            let why = why_none(layer.layer, sheet);
            page.line(&[(FAINT, &format!("-  {}  none: {why}", name(layer.layer)))]);
        } else if layer.layer == Layer::Skin {
            skin(page, layer, sheet, &mut number);
            seam(page, layer, sheet, &mut number);
        } else {
            poured(page, layer, sheet, number);
            number += 1;
        }
    }
    page.gap();
}

fn name(layer: Layer) -> &'static str {
    match layer {
        Layer::Skin => "SKIN",
        Layer::Core => "CORE",
        Layer::Cap => "CAP",
    }
}

/// Why there is nothing to weigh for a layer.
fn why_none(layer: Layer, sheet: &Sheet) -> &'static str {
    let facts = &sheet.layers;
    match layer {
        Layer::Skin if facts.skin_mm > 0.0 => "too little to weigh",
        Layer::Skin => "no thickness was asked for",
        Layer::Cap if !sheet.cavity.open => "the cavity is closed",
        _ if facts.skin_fills_all() => "the skin leaves no room",
        Layer::Cap if facts.cap_asked => "too little to weigh, if the skin leaves room at all",
        Layer::Cap => "no depth was asked for",
        Layer::Core if facts.skin_mm <= 0.0 => "the cap takes it all",
        Layer::Core => "skin and cap leave no room",
    }
}

/// The line that names a pour.
pub fn heading(page: &mut Page, number: usize, name: &str, what: &str) {
    page.line(&[(STRONG, &format!("{number}  {name}")), (PLAIN, &format!("  {what}"))]);
}

fn skin(page: &mut Page, layer: &LayerPlan, sheet: &Sheet, number: &mut usize) {
    let step = sheet.plan.shop.scale_step_g;
    let count = layer.coats.len();
    for (at, coat) in layer.coats.iter().enumerate() {
        let thickness = Length::from_mm(hundredths(coat.thickness_mm));
        let thick = match (coat.thickened, coat.tinted) {
            (true, true) => "thickened, tinted",
            (true, false) => "thickened",
            (false, true) => "plain, tinted",
            (false, false) => "plain",
        };
        let how = laid(sheet.plan.skin_by);
        let what = match count {
            1 => format!("one coat of {thickness} {how}, {thick}"),
            _ if how == laid(SkinBy::Brush) => {
                format!("coat {} of {count}: {thickness}, {thick}", at + 1)
            }
            _ => format!("coat {} of {count}: {thickness} {how}, {thick}", at + 1),
        };
        heading(page, *number, name(Layer::Skin), &what);
        if at == 0 {
            material(page, layer);
        }
        dose(page, &coat.dose, step, stays_in(sheet.plan.run));
        if !coat.dose.is_empty() {
            coat_times(page, coat, layer);
        }
        if count > 1 {
            page.row("Volume", &coat_volume(coat));
            page.gap();
        }
        *number += 1;
    }
    let stays = match count {
        1 => String::new(),
        _ => {
            let place = stays_in(sheet.plan.run);
            format!("; {} g stays {place}", grams(layer.dose.net_g, step))
        }
    };
    if count > 1 {
        page.line(&[(STRONG, "   SKIN"), (PLAIN, &format!("  all {count} coats together"))]);
    }
    let flange = if layer.flange_mm3 > 0.0 {
        let size = three(layer.flange_mm3 / 1000.0);
        format!(", and {size} cm³ on the flange, {} mm wide", tenths(sheet.layers.flange_mm))
    } else {
        String::new()
    };
    page.row(
        "Volume",
        &format!(
            "{} cm³{}{flange}{stays}",
            three(layer.volume_mm3.best() / 1000.0),
            limits(layer.volume_mm3)
        ),
    );
    if let Some(told) = &sheet.plan.patch {
        page.row("Test patch", &patch(told));
    }
    let per_area: f64 = layer.coats.iter().map(|c| c.g_per_100_cm2).sum();
    page.row(
        "Correct",
        &format!(
            "{per_area:.1} g per 100 cm² of wall; 0.1 mm of skin is {} g",
            fine_grams(sheet.plan.slopes.skin_g_per_tenth_mm)
        ),
    );
    if let Some(off) = sheet.layers.area_times_thickness_off_percent {
        let rule = three(sheet.layers.area_times_thickness_mm3 / 1000.0);
        let side = if off >= 0.0 { "too much" } else { "too little" };
        page.row(
            "Shop rule",
            &format!("area × thickness would say {rule} cm³, {:.1} % {side}", off.abs()),
        );
    }
}

/// Label of the row that says what has to be done before a mix is laid.
pub const WHEN: &str = "When";

/// The coat over the seam of a two-part mould.
fn seam(page: &mut Page, layer: &LayerPlan, sheet: &Sheet, number: &mut usize) {
    let (Some(coat), Some(laid)) = (&layer.seam, &sheet.volumes.two_part.seam) else { return };
    page.gap();
    heading(page, *number, "SEAM", &parting::seam_in_words(laid));
    page.row(WHEN, "the halves closed, within the last coat's bond window");
    dose(page, &coat.dose, sheet.plan.shop.scale_step_g, stays_in(sheet.plan.run));
    coat_times(page, coat, layer);
    let volume = three(laid.volume_mm3() / 1000.0);
    page.row("Volume", &format!("{volume} cm³, which the core is lessened by"));
    *number += 1;
}

/// How a skin gets on the wall.
fn laid(by: SkinBy) -> &'static str {
    match by {
        SkinBy::Brush => "on the wall",
        SkinBy::Slush => "slushed round the wall",
        SkinBy::Spray => "sprayed on the wall",
        SkinBy::Former => "poured round a core former",
    }
}

/// What a brushed test patch says of this hand.
fn patch(told: &PatchTold) -> String {
    let off = told.off_percent();
    let side = if off >= 0.0 { "more" } else { "less" };
    format!(
        "{} is {:.2} mm, {:.0} % {side} than the {} mm planned: brushed like this the skin of one \
         casting takes {:.1} g",
        told.patch,
        told.thickness_mm,
        off.abs(),
        hundredths(told.planned_mm),
        told.skin_net_g
    )
}

fn coat_volume(coat: &CoatPlan) -> String {
    format!(
        "{} cm³{}, {:.1} g per 100 cm² of wall",
        three(coat.volume_mm3.best() / 1000.0),
        limits(coat.volume_mm3),
        coat.g_per_100_cm2
    )
}

fn poured(page: &mut Page, layer: &LayerPlan, sheet: &Sheet, number: usize) {
    let step = sheet.plan.shop.scale_step_g;
    let facts = &sheet.layers;
    let plug_mm3 =
        Some(sheet.volumes.two_part.plug_mm3).filter(|mm3| layer.layer == Layer::Cap && *mm3 > 0.0);
    let (mark_mm, slope, what) = match layer.layer {
        Layer::Cap if plug_mm3.is_some() => (None, 0.0, "a plug in the gate".to_owned()),
        Layer::Cap => {
            let depth = Length::from_mm(hundredths(facts.cap_mm));
            (facts.cap_mark_mm(), sheet.plan.slopes.cap_g_per_mm, format!("{depth} deep"))
        }
        _ => {
            let where_ = if facts.skin_mm > 0.0 { "behind the skin" } else { "into the cavity" };
            (facts.core_mark_mm, sheet.plan.slopes.core_g_per_mm, where_.to_owned())
        }
    };
    heading(page, number, name(layer.layer), &what);
    if let Some(correction) = sheet.correction.as_ref().filter(|_| layer.layer == Layer::Cap) {
        in_mould::planned_cap(page, correction);
    }
    material(page, layer);
    dose(page, &layer.dose, step, stays_in(sheet.plan.run));
    let volume = three(layer.volume_mm3.best() / 1000.0);
    let volume_row = match plug_mm3 {
        Some(mm3) => format!("{} cm³", three(mm3 / 1000.0)),
        None => format!("{volume} cm³{}", limits(layer.volume_mm3)),
    };
    page.row("Volume", &volume_row);
    if layer.expands {
        let net = grams(layer.dose.net_g, step);
        let text =
            format!("{net} g at once, then close the vented lid: it expands to fill {volume} cm³");
        page.row_in(STRONG, "Pour", &text);
    } else if let Some(mark_mm) = mark_mm {
        let under = under_lip(sheet.cavity.under_lip_mm(mark_mm));
        page.row_in(
            STRONG,
            "Fill to",
            &format!("{} mm above the lowest point, {under}", tenths(mark_mm)),
        );
        let skin = &sheet.plan.layers[0];
        let skin_to_come = !skin.dose.components.is_empty();
        let instead = if layer.layer == Layer::Core && skin_to_come {
            let ratio = layer.density_g_cm3 / skin.density_g_cm3;
            format!("; every gram of skin too much takes {ratio:.2} g of core")
        } else {
            String::new()
        };
        page.row("Correct", &format!("1 mm of level is {} g{instead}", fine_grams(slope)));
    }
}

/// A depth under the lip as one marks it, in mm and in fractions of an inch.
fn under_lip(mm: f64) -> String {
    if mm < 0.05 {
        return "at the lip".to_owned();
    }
    let inches = InchFraction::nearest(mm);
    let inches = if inches.is_zero() { "< 1/64 in".to_owned() } else { format!("{inches} in") };
    format!("{} mm ({inches}) under the lip", tenths(mm))
}

/// A length as one reads it off a gauge.
fn hundredths(mm: f64) -> f64 {
    (mm * 100.0).round() / 100.0
}

/// Grams of a slope: small, so two digits behind the point below 10.
fn fine_grams(value: f64) -> String {
    if value < 10.0 { format!("{value:.2}") } else { format!("{value:.1}") }
}

/// A system in words, with its softener.
pub fn with_softener(title: &str, softener: Parts) -> String {
    if softener.is_zero() {
        return title.to_owned();
    }
    let parts = softener.to_string();
    let word = if parts == "1" { "part" } else { "parts" };
    format!("{title}, softener {parts} {word}")
}

/// What a layer is made of.
pub fn material(page: &mut Page, layer: &LayerPlan) {
    let mut text = with_softener(&layer.system_title, layer.softener);
    if let Some(hardness) = &layer.hardness {
        let basis = match hardness.basis {
            HardnessBasis::Measured => "about",
            HardnessBasis::Interpolated { .. } => "between measured amounts, about",
            HardnessBasis::Outside { .. } => "beyond what was measured, nearest",
        };
        text += &format!("; {basis} Shore {} {:.0}", hardness.scale.as_str(), hardness.reading);
        text += match hardness.tack {
            Tack::Dry => "",
            Tack::Between => ", may stay tacky",
            Tack::Tacky => ", stays tacky",
        };
    }
    page.row("Material", &format!("{text}; {} g/cm³ (typical)", density(layer.density_g_cm3)));
}

/// Up to three decimals, as data sheets give them.
pub fn density(g_cm3: f64) -> String {
    let text = format!("{g_cm3:.3}");
    text.strip_suffix('0').map_or(text.clone(), str::to_owned)
}

/// Components of one batch with what the scale shows after each, and where the grams go.
pub fn dose(page: &mut Page, dose: &Dose, step: f64, stays: &str) {
    if dose.batches > 1 {
        let text = format!(
            "batch 1 to {0} of {0}, each {1} g, {2} g in all",
            dose.batches,
            grams(dose.batch_g(), step),
            grams(dose.mix_g, step)
        );
        page.row_in(STRONG, "Batches", &text);
    }
    if let Some(cup) = dose.work.and_then(|work| work.cup_cm3) {
        page.row("Cup", &format!("the one of {} ml", tenths(cup)));
    }
    let mut total = 0.0;
    for (at, weighed) in dose.batch.iter().enumerate() {
        total += weighed.grams;
        let label = if at == 0 { "Weigh" } else { "" };
        let name = shortened(&weighed.name, NAME - 1);
        let pad = " ".repeat(NAME - super::page::width(&name));
        let (amount, reads) = match weighed.drops {
            // A scale too coarse to weigh it doesn't show it either.
            Some(drops) => {
                let word = if drops == 1 { "drop" } else { "drops" };
                (format!("{drops:>GRAMS$} {word}"), format!("    ({:.2} g)", weighed.grams))
            }
            None => (
                format!("{:>GRAMS$} g", grams(weighed.grams, step)),
                format!("    scale reads {:>GRAMS$} g", grams(shown(total, step), step)),
            ),
        };
        page.line(&[
            (FAINT, &format!("{label:<LABEL$}")),
            (STRONG, &format!("{name}{pad}{amount}")),
            (PLAIN, &reads),
        ]);
    }
    let label = if dose.batches > 1 { "Of all" } else { "Of this" };
    let mut shares = vec![format!("{} g stays {stays}", grams(dose.net_g, step))];
    shares.extend(dose.allowances.iter().map(|a| allowance(a, step)));
    if dose.raised_g > 0.0 {
        let waste = grams(dose.raised_g, step);
        shares.push(format!("{waste} g waste, as less doesn't mix or weigh well"));
    }
    if dose.rounding_g >= step / 2.0 {
        shares.push(format!("{} g rounding", grams(dose.rounding_g, step)));
    }
    page.row(label, &shares.join(", "));
}

/// What a scale with such steps shows: drops weigh less than it tells.
fn shown(total_g: f64, step_g: f64) -> f64 {
    (total_g / step_g).round() * step_g
}

/// Where what isn't lost stays.
fn stays_in(run: Run) -> &'static str {
    if run.at_once() > 1 { "in the moulds" } else { "in the mould" }
}

/// How long a coat takes to lay, and when the next layer may go on it.
pub fn coat_times(page: &mut Page, coat: &CoatPlan, layer: &LayerPlan) {
    let mut words = Vec::new();
    if let Some(work) = coat.dose.work.filter(|w| w.laying_minutes > 0.0) {
        let each = if coat.dose.batches > 1 { " a batch" } else { "" };
        words.push(format!("{:.1} min{each} to lay", work.laying_minutes));
    }
    let times = &layer.times;
    match (times.bond_from_minutes, times.bond_until_minutes) {
        (Some(from), Some(until)) => {
            words.push(format!("next layer {from:.0} to {until:.0} min after mixing"));
        }
        (Some(from), None) => words.push(format!("next layer from {from:.0} min after mixing")),
        (None, _) => {}
    }
    if !words.is_empty() {
        page.row("Time", &words.join("; "));
    }
}

fn allowance(allowance: &Allowance, step: f64) -> String {
    let what = match allowance.kind {
        AllowanceKind::CupFilm => "film in the cup",
        AllowanceKind::Brush => "in the brush",
        AllowanceKind::Levelling => "levelling",
        AllowanceKind::Remainder => "remainder",
        AllowanceKind::Overspray => "overspray",
        AllowanceKind::DrainedBack => "drained back",
        AllowanceKind::WitnessPuck => "for witness pucks",
        AllowanceKind::Gate => "in gate and tube",
    };
    format!("{} g {what} ({})", grams(allowance.grams, step), allowance.reason)
}
