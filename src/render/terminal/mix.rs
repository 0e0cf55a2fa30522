//! One mix without a mesh.

use super::numbers::{grams, tenths, three};
use super::page::{PLAIN, Page, STRONG};
use super::pours;
use crate::sheet::{MixPurpose, MixSheet, Reach, Shelf};
use crate::units::Length;

/// What was asked for.
pub fn head(page: &mut Page, sheet: &MixSheet) {
    page.ends((STRONG, "one mix"), (PLAIN, "batch sheet"));
    page.rule();
    page.row("Asked", &asked(sheet));
    let volume = three(sheet.asked.volume_mm3 / 1000.0);
    let net = sheet.asked.volume_mm3 / 1000.0 * density(sheet);
    let step = sheet.plan.shop.scale_step_g;
    page.row("In place", &format!("{volume} cm³, {} g", grams(net, step)));
    if let Some(reach) = &sheet.reach {
        page.row("Thickness", &thickness(reach, sheet));
    }
    if let Some(shelf) = &sheet.shelf {
        on_the_shelf(page, shelf, step);
    }
}

/// What to weigh.
pub fn block(page: &mut Page, sheet: &MixSheet) {
    let layer = sheet.layer();
    let name = match sheet.purpose {
        MixPurpose::Coat => "COAT",
        MixPurpose::Core => "CORE",
        MixPurpose::Cap => "CAP",
    };
    let coat = layer.coats.first();
    let what = match (coat, sheet.asked.thickness_mm) {
        (Some(coat), Some(mm)) => {
            let thick = Length::from_mm((mm * 100.0).round() / 100.0);
            let kind = if coat.thickened { "thickened" } else { "plain" };
            format!("{thick}, {kind}")
        }
        (Some(coat), None) => if coat.thickened { "thickened" } else { "plain" }.to_owned(),
        (None, _) => "poured".to_owned(),
    };
    page.gap();
    pours::heading(page, 1, name, &what);
    pours::material(page, layer);
    pours::dose(page, sheet.dose(), sheet.plan.shop.scale_step_g, "in place");
    if let Some(coat) = coat {
        pours::coat_times(page, coat, layer);
    }
    page.gap();
}

fn density(sheet: &MixSheet) -> f64 {
    let layer = sheet.layer();
    layer.coats.first().map_or(layer.density_g_cm3, |coat| coat.density_g_cm3)
}

fn asked(sheet: &MixSheet) -> String {
    let asked = &sheet.asked;
    let area = asked.area_mm2.map(|mm2| format!("{} cm²", tenths(mm2 / 100.0)));
    let each = if sheet.plan.run.castings > 1 { ", for each casting" } else { "" };
    let much = match (asked.grams, area, asked.thickness_mm) {
        (Some(grams), Some(area), _) => format!("{} g on {area}", tenths(grams)),
        (Some(grams), None, _) => format!("{} g", tenths(grams)),
        (None, Some(area), Some(mm)) => format!("{} on {area}", Length::from_mm(mm)),
        _ => format!("{} cm³", three(asked.volume_mm3 / 1000.0)),
    };
    format!("{much} to stay in place, for a {}{each}", sheet.purpose.as_str())
}

fn thickness(reach: &Reach, sheet: &MixSheet) -> String {
    let all = format!("{:.2} mm if all {} g get there", reach.thickness_mm, tenths(reach.grams));
    if sheet.exact {
        return all;
    }
    match reach.mixed_thickness_mm {
        Some(mm) => format!(
            "{all}; {mm:.2} mm if {} g are what is mixed, and the usual losses stay behind",
            tenths(reach.grams)
        ),
        None => format!("{all}; mixed and not weighed in place, cup and brush keep it all"),
    }
}

fn on_the_shelf(page: &mut Page, shelf: &Shelf, step: f64) {
    let castings = match shelf.castings {
        0 => "not enough for one casting".to_owned(),
        1 => "enough for 1 casting".to_owned(),
        n => format!("enough for {n} castings"),
    };
    let first = match &shelf.first_out {
        Some(name) => format!("; {name} runs out first"),
        None => " and more".to_owned(),
    };
    page.row_in(STRONG, "Shelf", &format!("{castings}{first}"));
    for one in &shelf.components {
        let left = one.has_g - one.takes_g;
        page.row(
            "",
            &format!(
                "{}: {} g there, {} g taken, {} g left",
                one.name,
                grams(one.has_g, step),
                grams(one.takes_g, step),
                grams(left, step)
            ),
        );
    }
}
