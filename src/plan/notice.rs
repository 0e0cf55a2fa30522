//! What the person at the scale should know about a plan.

use super::{Dose, Layer, LayerPlan, PlanRequest, Recipe, asked, contact};
use crate::finding::Finding;
use crate::materials::{HardnessBasis, Tack};

/// A ratio further off than this is told, %.
const RATIO_ERROR_PERCENT_MAX: f64 = 1.0;

pub(super) fn findings(
    layers: &[LayerPlan; 3],
    recipes: [&Recipe; 3],
    open: bool,
    request: &PlanRequest,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (layer, recipe) in layers.iter().zip(recipes) {
        if layer.dose.is_empty() {
            continue;
        }
        for (name, dose) in mixes(layer) {
            findings.extend(raised(&name, dose, request));
            findings.extend(coarse(&name, dose, request));
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

/// Each mix of a layer with what to call it.
fn mixes(layer: &LayerPlan) -> Vec<(String, &Dose)> {
    let name = layer.layer.as_str();
    match layer.coats.as_slice() {
        [] => vec![(name.to_owned(), &layer.dose)],
        [only] => vec![(name.to_owned(), &only.dose)],
        coats => {
            let numbered = coats.iter().enumerate().filter(|(_, coat)| !coat.dose.is_empty());
            numbered.map(|(i, coat)| (format!("{name}, coat {}", i + 1), &coat.dose)).collect()
        }
    }
}

fn raised(name: &str, dose: &Dose, request: &PlanRequest) -> Option<Finding> {
    let smallest_g = request.shop.allowances.smallest_batch_g;
    (dose.raised_g > 0.0).then(|| {
        Finding::warning(
            "smallest-batch",
            format!(
                "{name}: {:.1} g would do, but less than {smallest_g} g doesn't mix well by hand; \
                 {:.1} g are waste",
                smallest_g - dose.raised_g,
                dose.raised_g
            ),
        )
    })
}

fn coarse(name: &str, dose: &Dose, request: &PlanRequest) -> Option<Finding> {
    let step_g = request.shop.scale_step_g;
    let smallest = dose.components.iter().min_by(|a, b| a.grams.total_cmp(&b.grams))?;
    let message = if dose.ratio_error_percent > RATIO_ERROR_PERCENT_MAX {
        format!(
            "{name}: a scale with steps of {step_g} g is too coarse for {:.1} g; the ratio is \
             {:.1} % off",
            dose.mix_g, dose.ratio_error_percent
        )
    } else if dose.reading_error_percent > RATIO_ERROR_PERCENT_MAX {
        format!(
            "{name}: a scale with steps of {step_g} g is too coarse for {:.1} g of {}; half a \
             step is {:.1} % of it",
            smallest.grams, smallest.name, dose.reading_error_percent
        )
    } else {
        return None;
    };
    let hint = match dose.exact_mix_g {
        Some(grams) => format!("weigh on a finer scale; {grams} g is the next exact mix"),
        None => "weigh on a finer scale, or mix more".to_owned(),
    };
    Some(Finding::warning("scale-too-coarse", message).with_hint(hint))
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
