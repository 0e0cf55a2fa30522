//! The mould sheet: box or blanket, what to weigh part by part, and what is lifted.

use super::head::limits;
use super::numbers::{grams, tenths, three};
use super::page::{FAINT, LABEL, PLAIN, Page, STRONG, width};
use super::pours::{density, dose, heading};
use crate::bounds::Bounds;
use crate::sheet::{
    BoxInside, BoxShape, MixFor, MouldBody, MouldJacket, MouldMix, MouldPart, MouldSheet, WhichPart,
};
use crate::units::Length;

/// Where a mix's net grams are.
const STAYS: &str = "in place";
/// Columns of a component's name and of its grams.
const NAME: usize = 26;
const GRAMS: usize = 9;

/// The pattern, how the mould is made on it, and in what order.
pub fn head(page: &mut Page, sheet: &MouldSheet) {
    let pattern = &sheet.pattern;
    page.row(
        "Pattern",
        &format!(
            "{} cm³{}, {} cm² of surface in rubber, {} mm high",
            three(cm3(pattern.volume_mm3)),
            limits(pattern.volume_mm3),
            three(pattern.surface_mm2 / 100.0),
            tenths(pattern.height_mm)
        ),
    );
    let stands = if pattern.on_back {
        "on its flat back, which lies on the board: up when it is cast is down here"
    } else {
        "free: it has no flat back, and rubber lies all round it"
    };
    page.row("Stands", stands);
    body(page, sheet);
    if let Some(parting_mm) = sheet.parting_mm {
        let on_board = if pattern.on_back {
            format!(", {} over the board", mm(pattern.height_mm - parting_mm))
        } else {
            String::new()
        };
        let text = format!(
            "{} over the lowest point it has as it is cast{on_board}; the lower half is the one \
             with that point",
            mm(parting_mm)
        );
        page.row("Parting", &text);
    }
    page.row("Rubber", &format!("{} (typical values)", sheet.system_title));
    for (at, step) in sheet.order.iter().enumerate() {
        page.row(if at == 0 { "Order" } else { "" }, &format!("{}. {step}", at + 1));
    }
}

fn body(page: &mut Page, sheet: &MouldSheet) {
    match &sheet.body {
        MouldBody::Block { shape, inside, height_mm, sides_mm, over_mm } => {
            let plan = match inside {
                BoxInside::Rectangular([length, width]) => {
                    format!("{} × {} mm", up(*length), up(*width))
                }
                BoxInside::Round(diameter) => format!("{} mm across", up(*diameter)),
            };
            let shape = match shape {
                BoxShape::Rectangular => "rectangular",
                BoxShape::Round => "round",
            };
            let over = if sheet.pattern.on_back { "over it" } else { "over and under it" };
            page.row_in(
                STRONG,
                "Mould box",
                &format!("{shape}, inside {plan}, filled {} mm high, rounded up", up(*height_mm)),
            );
            let text = format!(
                "{} beside the pattern and {} {over} (10 to 15 mm is common practice)",
                mm(*sides_mm),
                mm(*over_mm)
            );
            page.row("Clear", &text);
        }
        MouldBody::Blanket { thick_mm, flange_mm, undercut_share, jacket, .. } => {
            let out = match (*flange_mm > 0.0, sheet.pattern.on_back, sheet.parting_mm.is_some()) {
                (false, ..) => "without a flange".to_owned(),
                (true, true, false) => format!("with a flange of {} on the board", mm(*flange_mm)),
                (true, true, true) => {
                    format!(
                        "with a flange of {} on the board and along the parting",
                        mm(*flange_mm)
                    )
                }
                (true, false, true) => {
                    format!("with a flange of {} along the parting", mm(*flange_mm))
                }
                (true, false, false) => "which has nothing to run out on".to_owned(),
            };
            let text = format!(
                "{} thick, {out}; undercuts filled with {} % of it (8 to 12 mm and 10 to 20 % are \
                 common practice)",
                mm(*thick_mm),
                tenths(100.0 * undercut_share)
            );
            page.row_in(STRONG, "Blanket", &text);
            let text = match jacket {
                None => "none: something else has to hold the blanket in shape".to_owned(),
                Some((of, thick)) => format!("{}, {} thick", of.as_str(), mm(*thick)),
            };
            page.row("Jacket", &text);
        }
    }
}

/// What to weigh part by part, then what is lifted.
pub fn parts(page: &mut Page, sheet: &MouldSheet) {
    let mut number = 1;
    for part in &sheet.parts {
        let coats = part.mixes.len() > 1;
        for mix in &part.mixes {
            page.gap();
            self::mix(page, mix, part, sheet, number);
            number += 1;
        }
        if coats {
            page.gap();
            page.line(&[
                (STRONG, &format!("   {}", title(part.which, "RUBBER"))),
                (PLAIN, "  all of it"),
            ]);
            let net: f64 = part.mixes.iter().map(|mix| mix.single.dose.net_g).sum();
            let text = format!("{}; {} g in place", volume(part.rubber_mm3), whole(net));
            page.row("Volume", &text);
        }
        if let Some(jacket) = &part.jacket {
            page.gap();
            self::jacket(page, jacket, part.which, sheet, number);
            number += 1;
        }
    }
    page.gap();
    lifted(page, sheet);
}

fn title(which: WhichPart, name: &str) -> String {
    match which {
        WhichPart::Whole => name.to_owned(),
        WhichPart::Lower => format!("LOWER HALF, {name}"),
        WhichPart::Upper => format!("UPPER HALF, {name}"),
    }
}

fn mix(page: &mut Page, mix: &MouldMix, part: &MouldPart, sheet: &MouldSheet, number: usize) {
    let single = &mix.single;
    let thick = match (single.thickened, single.tinted) {
        (true, true) => "thickened, tinted",
        (true, false) => "thickened",
        (false, true) => "plain, tinted",
        (false, false) => "plain",
    };
    let (name, what) = match mix.what {
        MixFor::Block => {
            let high = format!("poured, {} high", mm(part.height_mm));
            ("BLOCK", if part.which == WhichPart::Whole { "poured".to_owned() } else { high })
        }
        MixFor::Coat { count: 1, thickness_mm, .. } => {
            ("BLANKET", format!("one coat of {}, {thick}", mm(thickness_mm)))
        }
        MixFor::Coat { index, count, thickness_mm } => {
            ("BLANKET", format!("coat {} of {count}: {}, {thick}", index + 1, mm(thickness_mm)))
        }
        MixFor::Undercuts => ("UNDERCUTS", format!("filled, {thick}")),
    };
    heading(page, number, &title(part.which, name), &what);
    if single.dose.is_empty() {
        page.row("", "too little to weigh");
        return;
    }
    dose(page, &single.dose, sheet.shop.scale_step_g, STAYS);
    let flange = match mix.flange_mm3.best() > 0.0 {
        true => format!(", and {} on the flange", volume(mix.flange_mm3)),
        false => String::new(),
    };
    let g_cm3 = density(single.density_g_cm3);
    page.row("Volume", &format!("{}{flange}; {g_cm3} g/cm³", volume(mix.volume_mm3)));
    times(page, mix, sheet);
}

fn times(page: &mut Page, mix: &MouldMix, sheet: &MouldSheet) {
    let mut words = Vec::new();
    let lay = match mix.what {
        MixFor::Block => Some("pour"),
        MixFor::Coat { .. } => Some("lay"),
        MixFor::Undercuts => None,
    };
    let work = mix.single.dose.work.filter(|work| work.laying_minutes > 0.0);
    if let (Some(work), Some(lay)) = (work, lay) {
        let each = if mix.single.dose.batches > 1 { " a batch" } else { "" };
        words.push(format!("{:.1} min{each} to {lay}", work.laying_minutes));
    }
    if let Some(working) = mix.single.times.working_minutes {
        words.push(format!("workable for {working:.0} min"));
    }
    match mix.what {
        MixFor::Coat { .. } => {
            match (mix.single.times.bond_from_minutes, mix.single.times.bond_until_minutes) {
                (Some(from), Some(until)) => {
                    words.push(format!("next coat {from:.0} to {until:.0} min after mixing"));
                }
                (Some(from), None) => {
                    words.push(format!("next coat from {from:.0} min after mixing"))
                }
                (None, _) => {}
            }
        }
        MixFor::Block | MixFor::Undercuts => {
            words.extend(
                sheet.demould_minutes.map(|min| format!("demould after {:.1} h", min / 60.0)),
            );
        }
    }
    if !words.is_empty() {
        page.row("Time", &words.join("; "));
    }
}

fn jacket(
    page: &mut Page,
    jacket: &MouldJacket,
    which: WhichPart,
    sheet: &MouldSheet,
    number: usize,
) {
    let what = match &sheet.body {
        MouldBody::Blanket { jacket: Some((of, thick)), .. } => {
            format!("{}, {} thick", of.as_str(), mm(*thick))
        }
        _ => String::new(),
    };
    heading(page, number, &title(which, "JACKET"), &what);
    for (at, (name, weight_g)) in jacket.dose.components.iter().enumerate() {
        let label = if at == 0 { "Weigh" } else { "" };
        let pad = " ".repeat(NAME.saturating_sub(width(name)));
        page.line(&[
            (FAINT, &format!("{label:<LABEL$}")),
            (STRONG, &format!("{name}{pad}{:>GRAMS$} g", whole(*weight_g))),
        ]);
    }
    let remainder = tenths(100.0 * jacket.dose.remainder);
    let net = whole(jacket.dose.net_g);
    page.row(
        "Of this",
        &format!("{net} g on the mould, {remainder} % remainder (common practice)"),
    );
    let flange = match jacket.flange_mm3.best() > 0.0 {
        true => format!(", and {} on the flange", volume(jacket.flange_mm3)),
        false => String::new(),
    };
    let g_cm3 = density(jacket.dose.fresh_g_cm3);
    page.row(
        "Volume",
        &format!("{}{flange}; {g_cm3} g/cm³ as it is laid", volume(jacket.volume_mm3)),
    );
}

fn lifted(page: &mut Page, sheet: &MouldSheet) {
    page.rule();
    let with = match sheet.pattern.weight_g {
        Some(weight_g) => format!(", the pattern's {} g included", whole(weight_g)),
        None => ", without the pattern, whose weight isn't known (--pattern-weight)".to_owned(),
    };
    let what = match &sheet.body {
        MouldBody::Block { .. } => "rubber alone, the box not counted",
        MouldBody::Blanket { jacket: Some(_), .. } => "rubber and fresh jacket",
        MouldBody::Blanket { jacket: None, .. } => "rubber alone",
    };
    let halves: Vec<String> = match sheet.parts.as_slice() {
        [lower, upper] => vec![format!(
            "; of it the lower half {} g, the upper {} g",
            whole(lower.own_g),
            whole(upper.own_g)
        )],
        _ => Vec::new(),
    };
    let all = sheet.all_g();
    page.row_in(
        STRONG,
        "To lift",
        &format!("{:.2} kg: {what}{with}{}", all / 1000.0, halves.concat()),
    );
    let set = &sheet.shop.allowances;
    page.row(
        "Allowed",
        &format!(
            "film in the cup {} mm ({} mm thickened); brush {} g a coat; remainder {} % laid on, \
             {} % poured; no batch under {} g; scale in steps of {} g",
            tenths(set.film_plain_mm),
            tenths(set.film_thickened_mm),
            tenths(set.brush_g),
            tenths(100.0 * set.skin_remainder),
            tenths(100.0 * set.core_remainder),
            tenths(set.smallest_batch_g),
            sheet.shop.scale_step_g
        ),
    );
}

fn cm3(volume_mm3: Bounds) -> f64 {
    volume_mm3.best() / 1000.0
}

fn volume(volume_mm3: Bounds) -> String {
    format!("{} cm³{}", three(cm3(volume_mm3)), limits(volume_mm3))
}

fn whole(weight_g: f64) -> String {
    grams(weight_g, 1.0)
}

/// A length as one reads it off a gauge.
fn mm(length_mm: f64) -> String {
    Length::from_mm((length_mm * 100.0).round() / 100.0).to_string()
}

/// The inside of a box in tenths, rounded up: a box that is a hair too wide does no harm.
fn up(length_mm: f64) -> String {
    tenths((length_mm * 10.0 - 1e-6).ceil() / 10.0)
}
