//! What was allowed for in all mixes, as set, and who set it.

use super::numbers::tenths;
use super::page::Page;
use crate::sheet::{Layer, Plan, ShopTold, SkinBy};

/// What is allowed for, as far as this piece has it, and where the workshop's values come from.
pub fn rows(page: &mut Page, plan: &Plan, told: &ShopTold) {
    page.rule();
    let usual = if told.said.is_empty() { " (common practice)" } else { "" };
    page.row("Allowed", &format!("{}{usual}", allowances(plan).join("; ")));
    let cups = cups(plan);
    if !cups.is_empty() {
        page.row("Cups", &cups);
    }
    if !told.said.is_empty() {
        page.row("Workshop", &workshop(told));
    }
}

fn percent(share: f64) -> String {
    format!("{} %", tenths(100.0 * share))
}

fn allowances(plan: &Plan) -> Vec<String> {
    let set = &plan.shop.allowances;
    let has = |layer: Layer| {
        plan.layers.iter().any(|planned| planned.layer == layer && !planned.dose.is_empty())
    };
    let mut words = vec![format!(
        "film in the cup {} mm ({} mm thickened)",
        tenths(set.film_plain_mm),
        tenths(set.film_thickened_mm)
    )];
    if has(Layer::Skin) {
        match plan.skin_by {
            SkinBy::Brush => words.push(format!("brush {} g a coat", tenths(set.brush_g))),
            SkinBy::Spray => words.push(format!("overspray {}", percent(set.overspray))),
            SkinBy::Slush => words.push(format!("drained back {}", percent(set.slush_surplus))),
            SkinBy::Former => {}
        }
    }
    if has(Layer::Cap) {
        words.push(format!("levelling the cap {} mm", tenths(set.levelling_mm)));
    }
    let remainders = [
        (Layer::Skin, set.skin_remainder),
        (Layer::Core, set.core_remainder),
        (Layer::Cap, set.cap_remainder),
    ];
    let remainders: Vec<String> = remainders
        .into_iter()
        .filter(|(layer, _)| has(*layer))
        .map(|(layer, share)| format!("{} {}", percent(share), layer.as_str()))
        .collect();
    words.push(format!("remainder {}", remainders.join(", ")));
    if set.puck_cm3 > 0.0 {
        words.push(format!("a witness puck of {} cm³ a batch", tenths(set.puck_cm3)));
    }
    words.push(format!("no batch under {} g", tenths(set.smallest_batch_g)));
    words.push(format!("scale in steps of {} g", plan.shop.scale_step_g));
    if set.ratio_tolerance < 1.0 {
        let most = percent(set.ratio_tolerance);
        words.push(format!("half a step is at most {most} of any component of the ratio"));
    }
    words
}

fn cups(plan: &Plan) -> String {
    let shop = &plan.shop;
    if shop.cups_cm3.is_empty() {
        return String::new();
    }
    let sizes: Vec<String> = shop.cups_cm3.iter().map(|cup| tenths(*cup)).collect();
    let full = |share: f64| format!("{:.0} %", 100.0 * share);
    let how_full = if shop.vacuum {
        format!(
            "{} full as they foam up under vacuum, {} with silicone",
            full(shop.cup_fill_vacuum),
            full(shop.cup_fill_vacuum_silicone)
        )
    } else {
        format!("{} full to stir in", full(shop.cup_fill))
    };
    format!("{} ml brim-full; at most {how_full}", sizes.join(", "))
}

/// What the workshop said itself, table by table.
fn workshop(told: &ShopTold) -> String {
    let mut tables: Vec<(&str, Vec<&str>)> = Vec::new();
    for key in &told.said {
        match tables.iter_mut().find(|(table, _)| *table == key.table()) {
            Some((_, names)) => names.push(key.name()),
            None => tables.push((key.table(), vec![key.name()])),
        }
    }
    let said: Vec<String> =
        tables.into_iter().map(|(table, names)| format!("{table}: {}", names.join(", "))).collect();
    let from = match &told.file {
        Some(file) => format!("from {file} or typed"),
        None => "typed".to_owned(),
    };
    format!("{from}: {}; the rest is common practice", said.join("; "))
}
