//! What the person at the scale should know about a plan.

use super::notice_batch::{self, Told};
use super::{
    Dose, Layer, LayerPlan, LayerVolumes, PatchTold, PlanRequest, Recipe, Stir, asked, contact,
    stand,
};
use crate::finding::Finding;
use crate::materials::{By, Dosage, HardnessBasis, Role, Tack};

/// A patch that is off the plan by no more than this is as planned, % (common practice, no
/// source).
const PATCH_OFF_PERCENT: f64 = 15.0;

pub(super) fn findings(
    layers: &[LayerPlan; 3],
    recipes: [&Recipe; 3],
    patch: Option<&PatchTold>,
    volumes: &LayerVolumes,
    request: &PlanRequest,
) -> Vec<Finding> {
    let open = volumes.opening_area_mm2 > 0.0;
    let mut findings: Vec<Finding> = Vec::new();
    let used = || layers.iter().zip(recipes).filter(|(layer, _)| !layer.dose.is_empty());
    findings.extend(notice_batch::room(used().map(|(layer, _)| layer), request.shop.room_c));
    findings.extend(stand::coats_that_run(&layers[0], recipes[0], volumes, request.coating.by));
    findings.extend(patch.map(patch_off));
    findings.extend(stirred(&layers[0], request));
    for (layer, recipe) in layers.iter().zip(recipes) {
        if layer.dose.is_empty() {
            continue;
        }
        for (name, dose) in layer.mixes().into_iter().filter(|(_, dose)| !dose.is_empty()) {
            let told = Told { name: &name, dose, times: &layer.times, shop: &request.shop };
            findings.extend(told.findings(&recipe.system.id));
            findings.extend(stirred_by_the_scale(&name, dose, recipe));
        }
        if !layer.softener.is_zero() {
            findings.extend(softness(layer, recipe));
            findings.extend(tack(layer, layers, open));
        }
        findings.extend(foam(layer, recipe));
    }
    findings.extend(asked::out_of_reach(&layers[1], request));
    findings.extend(contact::findings(layers, recipes, request));
    findings
}

/// What a test patch says.
fn patch_off(patch: &PatchTold) -> Finding {
    let off = patch.off_percent();
    let message = format!(
        "test patch: this hand and mix lay {:.2} mm where {:.2} mm are planned ({:+.0} %); a skin \
         like that takes {:.1} g",
        patch.thickness_mm, patch.planned_mm, off, patch.skin_net_g
    );
    if off.abs() <= PATCH_OFF_PERCENT {
        return Finding::note("test-patch", message);
    }
    let hint = if off < 0.0 {
        "brush more coats, or thicken more, and plan with the thickness that you lay"
    } else {
        "brush thinner, or plan with the thickness that you lay"
    };
    Finding::warning("test-patch", message).with_hint(hint)
}

/// Amounts of additive that the system's own file doesn't cover.
fn stirred(skin: &LayerPlan, request: &PlanRequest) -> Vec<Finding> {
    let system = &request.skin.system;
    let coating = &request.coating;
    let mut findings = Vec::new();
    let asked = [
        ("thickener", coating.thicken, system.thickener.as_ref().map(|t| &t.dose)),
        ("pigment", coating.tint, system.pigment.as_ref().map(|p| &p.dose)),
    ];
    for (what, stir, dose) in asked {
        if let (Stir::Percent(percent), Some(dose), false) = (stir, dose, skin.dose.is_empty()) {
            findings.extend(outside("skin", what, percent, dose));
        }
    }
    findings
}

/// An additive that rounding to the scale takes out of its system's range.
fn stirred_by_the_scale(name: &str, dose: &Dose, recipe: &Recipe) -> Vec<Finding> {
    let system = &recipe.system;
    let ranges = [
        (Role::Thickener, system.thickener.as_ref().map(|t| &t.dose)),
        (Role::Pigment, system.pigment.as_ref().map(|p| &p.dose)),
    ];
    let of_ratio: f64 = dose.batch.iter().filter(|w| !w.role.is_additive()).map(|w| w.grams).sum();
    let share = |grams: f64| 100.0 * grams / of_ratio;
    // By volume grams are to cm³, which says nothing of a share by mass; then it counts as inside.
    let parts: f64 = dose
        .batch
        .iter()
        .filter(|w| !w.role.is_additive())
        .map(|w| if w.by == By::Weight { w.parts.as_f64() } else { f64::NAN })
        .sum();
    let mut findings = Vec::new();
    for weighed in &dose.batch {
        let range = ranges.iter().find(|(role, _)| *role == weighed.role);
        let Some((_, Some(range))) = range else { continue };
        let told = (share(weighed.grams) * 100.0).round() / 100.0;
        // What was asked for outside of the range is told by itself.
        let asked = 100.0 * weighed.parts.as_f64() / parts;
        // Parts keep four decimals.
        let asked = (asked * 100.0).round() / 100.0;
        if outside(name, &weighed.name, asked, range).is_none() {
            findings.extend(outside(name, &weighed.name, told, range).map(|finding| Finding {
                hint: Some("weigh on a finer scale, or mix more at once".to_owned()),
                message: format!("{}, as the scale rounds it", finding.message),
                ..finding
            }));
        }
    }
    findings
}

/// An amount of additive outside of what its system gives.
pub(super) fn outside(layer: &str, what: &str, percent: f64, dose: &Dosage) -> Option<Finding> {
    let least = dose.least_percent.as_ref().map(|p| p.value);
    let most = dose.most_percent.as_ref().map(|p| p.value);
    let (word, limit) = match (least, most) {
        (_, Some(most)) if percent > most => ("more", most),
        (Some(least), _) if percent > 0.0 && percent < least => ("less", least),
        _ => return None,
    };
    let message =
        format!("{layer}: {percent} % of {what} is {word} than the system gives ({limit} %)");
    Some(
        Finding::warning("additive-outside", message)
            .with_hint("stay within the data sheet, or pour a witness puck first"),
    )
}

fn softness(layer: &LayerPlan, recipe: &Recipe) -> Option<Finding> {
    let name = layer.layer.as_str();
    let softener = layer.softener;
    let Some(hardness) = layer.hardness else {
        return Some(Finding::warning(
            "hardness-unknown",
            format!(
                "{name}: nothing tells how hard system `{}` is with {softener} parts of softener",
                recipe.system.id
            ),
        ));
    };
    let scale = hardness.scale.as_str();
    match hardness.basis {
        HardnessBasis::Measured => None,
        HardnessBasis::Interpolated { between: (less, more), readings: (harder, softer) } => {
            let message = format!(
                "{name}: about Shore {scale} {:.0} with {softener} parts of softener, read between \
                 {less} parts (measured {harder}) and {more} parts ({softer})",
                hardness.reading
            );
            Some(Finding::note("hardness-interpolated", message))
        }
        HardnessBasis::Outside { nearest } => Some(
            Finding::warning(
                "hardness-outside",
                format!(
                    "{name}: {softener} parts of softener lie outside what was measured; the \
                     nearest is Shore {scale} {:.0} with {nearest} parts",
                    hardness.reading
                ),
            )
            .with_hint("pour a witness puck first, or stay within the measured amounts"),
        ),
    }
}

/// A tacky surface matters where it stays bare: a core without skin or cap, or a softened skin or
/// cap.
fn tack(layer: &LayerPlan, layers: &[LayerPlan; 3], open: bool) -> Option<Finding> {
    let words = match layer.hardness?.tack {
        Tack::Dry => return None,
        Tack::Between => "may stay tacky",
        Tack::Tacky => "stays tacky",
    };
    let message = format!(
        "{}: with {} parts of softener the surface {words}",
        layer.layer.as_str(),
        layer.softener
    );
    let [skin, _, cap] = layers;
    // In a closed cavity the skin runs all round the core.
    let closed_off = !open || !cap.dose.is_empty();
    let covered = layer.layer == Layer::Core && !skin.dose.is_empty() && closed_off;
    Some(if covered {
        Finding::note("tacky", message)
    } else {
        Finding::warning("tacky", message)
            .with_hint("take less softener, or cover it with a firm skin and cap")
    })
}

fn foam(layer: &LayerPlan, recipe: &Recipe) -> Option<Finding> {
    recipe.system.densities.moulded_g_cm3.as_ref()?;
    if layer.layer == Layer::Skin {
        let message = "skin: foam expands as it sets and can't be brushed to a thickness";
        let finding = Finding::warning("foam-brushed", message);
        return Some(finding.with_hint("take a solid rubber for the skin"));
    }
    Some(
        Finding::warning(
            "foam-vent",
            format!(
                "{}: {:.1} g of foam expand to fill {:.1} cm³ and set gas free; more than that presses \
                 the mould open",
                layer.layer.as_str(),
                layer.dose.net_g,
                (layer.volume_mm3.best() + layer.flange_mm3) / 1000.0
            ),
        )
        .with_hint("close the mould with a vented lid; an ordinary cap can't be poured on it"),
    )
}
