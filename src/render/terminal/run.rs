//! Several castings: how they go round, what later rounds take, and all of it together.

use super::numbers::grams;
use super::page::{PLAIN, Page, STRONG};
use crate::sheet::{Dose, FurtherRounds, LayerPlan, Plan, Weighed};

/// How many castings in how many moulds, ahead of the pours; nothing for a single casting.
pub fn row(page: &mut Page, plan: &Plan) {
    let run = plan.run;
    if run.castings == 1 && !run.first_casting {
        return;
    }
    let moulds = match run.at_once() {
        1 => "one mould".to_owned(),
        n => format!("{n} moulds at once"),
    };
    let mut text = match run.castings {
        1 => "one casting".to_owned(),
        n => format!("{n} castings in {moulds}"),
    };
    if run.rounds() > 1 {
        text += &format!(", so {} rounds; the pours below are for the first", run.rounds());
    } else if run.at_once() > 1 {
        text += "; the pours below are for all of them together";
    }
    if run.first_casting {
        text += match run.at_once() {
            1 => "; the first in a new mould: film, brush and remainder are doubled",
            _ => "; the first in new moulds: film, brush and remainder are doubled",
        };
    }
    if run.castings > 1 {
        text += "; volumes, marks and corrections are those of one casting";
    }
    page.row("Run", &text);
    let like_first = run.rounds() - plan.further.iter().map(FurtherRounds::count).sum::<u32>();
    if run.rounds() > 1 && like_first > 1 {
        page.row("", &format!("rounds 1 to {like_first} are weighed alike"));
    }
}

/// Rounds that are weighed otherwise than the first, and the grams of the whole run.
pub fn later(page: &mut Page, plan: &Plan) {
    let step = plan.shop.scale_step_g;
    for rounds in &plan.further {
        let which = if rounds.count() == 1 {
            format!("ROUND {}", rounds.from)
        } else {
            format!("ROUNDS {} TO {}", rounds.from, rounds.to)
        };
        let castings = match rounds.castings {
            1 => "1 casting".to_owned(),
            n => format!("{n} castings"),
        };
        let each = if rounds.count() == 1 { "" } else { " each" };
        page.line(&[(STRONG, &format!("   {which}")), (PLAIN, &format!("  {castings}{each}"))]);
        for layer in &rounds.layers {
            of_layer(page, layer, step);
        }
        page.gap();
    }
    if plan.run.rounds() > 1 {
        let all = format!("  all {} castings, to have at hand", plan.run.castings);
        page.line(&[(STRONG, "   IN ALL"), (PLAIN, &all)]);
        for (layer, total) in plan.layers.iter().zip(&plan.totals) {
            if !total.is_empty() {
                page.row(&capital(layer.layer.as_str()), &listed(total, step));
            }
        }
        page.gap();
    }
}

fn of_layer(page: &mut Page, layer: &LayerPlan, step: f64) {
    let name = capital(layer.layer.as_str());
    if layer.dose.is_empty() {
        return;
    }
    let mixes = layer.mixes();
    let several = mixes.len() > 1;
    for (at, (mix, each)) in mixes.into_iter().enumerate() {
        let label = if at == 0 { name.as_str() } else { "" };
        let which = mix.strip_prefix(layer.layer.as_str()).unwrap_or_default();
        let which = which.trim_start_matches(", ");
        let which = if several && which.is_empty() { "coat" } else { which };
        let before = if which.is_empty() { String::new() } else { format!("{which}: ") };
        page.row(label, &format!("{before}{}", dose(each, step)));
    }
}

fn dose(dose: &Dose, step: f64) -> String {
    let weighed = listed(&dose.batch, step);
    if dose.batches > 1 { format!("{} batches of {weighed}", dose.batches) } else { weighed }
}

fn listed(weighed: &[Weighed], step: f64) -> String {
    let one = |w: &Weighed| match w.drops {
        Some(drops) => format!("{} {drops} drops", w.name),
        None => format!("{} {} g", w.name, grams(w.grams, step)),
    };
    weighed.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}
