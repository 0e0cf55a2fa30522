//! From a plan to what is to be laid in time.

use super::{Pour, PourKind};
use crate::materials::TooFarFromSheet;
use crate::plan::{CoatPlan, Dose, Layer, LayerPlan, Pace, Plan, PlanRequest, Recipe};

/// Grams that count as a large mix, g.
///
/// Source: common practice, no source.
const LARGE_G: f64 = 1000.0;

/// What a plan lays, in pouring order; layers that are absent are left out.
///
/// Assumptions: every coat and pour is one batch; a coat's area is its grams over its grams per
/// area.
///
/// # Errors
/// [`TooFarFromSheet`] where the room is too far from the temperature of a system's times.
pub fn pours_of(plan: &Plan, request: &PlanRequest) -> Result<Vec<Pour>, TooFarFromSheet> {
    let mut pours = Vec::new();
    for layer in &plan.layers {
        let (recipe, kind) = match layer.layer {
            Layer::Skin => (&request.skin, PourKind::Coat),
            Layer::Core => (&request.core, PourKind::Core),
            Layer::Cap => (&request.cap, PourKind::Cap),
        };
        for (name, dose, coat) in mixes(layer).into_iter().filter(|(_, dose, _)| !dose.is_empty()) {
            pours.push(pour(name, dose, coat, layer, recipe, kind, request)?);
        }
    }
    Ok(pours)
}

fn mixes(layer: &LayerPlan) -> Vec<(String, &Dose, Option<&CoatPlan>)> {
    let name = layer.layer.as_str();
    match layer.coats.as_slice() {
        [] => vec![(name.to_owned(), &layer.dose, None)],
        [only] => vec![(name.to_owned(), &only.dose, Some(only))],
        coats => (1..)
            .zip(coats)
            .map(|(number, coat)| (format!("{name}, coat {number}"), &coat.dose, Some(coat)))
            .collect(),
    }
}

fn pour(
    name: String,
    dose: &Dose,
    coat: Option<&CoatPlan>,
    layer: &LayerPlan,
    recipe: &Recipe,
    kind: PourKind,
    request: &PlanRequest,
) -> Result<Pour, TooFarFromSheet> {
    let shop = &request.shop;
    let pace = &shop.pace;
    Ok(Pour {
        name,
        system: layer.system_id.clone(),
        kind,
        foam: layer.expands,
        batches: 1,
        mixing_minutes: if dose.mix_g > LARGE_G {
            pace.mixing_large_minutes
        } else {
            pace.mixing_minutes
        },
        degassing_minutes: if shop.vacuum { pace.degassing_minutes } else { 0.0 },
        applying_minutes: coat
            .map_or(dose.mix_g / pace.pour_g_per_minute, |coat| brushing_minutes(coat, pace)),
        times: recipe.system.times_in(recipe.softener, shop.room_c)?,
    })
}

fn brushing_minutes(coat: &CoatPlan, pace: &Pace) -> f64 {
    let cm2 = 100.0 * coat.dose.net_g / coat.g_per_100_cm2;
    cm2 / if coat.thickened { pace.build_cm2_per_minute } else { pace.print_cm2_per_minute }
}
