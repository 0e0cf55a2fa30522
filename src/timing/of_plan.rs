//! From a plan to what is to be laid in time.

use super::{Pour, PourKind};
use crate::plan::{BatchWork, Dose, Layer, LayerPlan, Plan};

/// What a plan lays, in pouring order; layers that are absent are left out.
///
/// A layer that is in the mould already has nothing to weigh, and is left out too.
pub fn pours_of(plan: &Plan) -> Vec<Pour> {
    let mut pours = Vec::new();
    for layer in &plan.layers {
        for (name, dose) in layer.mixes().into_iter().filter(|(_, dose)| !dose.is_empty()) {
            pours.push(pour(name, dose, layer));
        }
    }
    pours
}

fn pour(name: String, dose: &Dose, layer: &LayerPlan) -> Pour {
    let work = dose.work.as_ref();
    let minutes = |of: &dyn Fn(&BatchWork) -> f64| work.map_or(0.0, of);
    Pour {
        name,
        system: layer.system_id.clone(),
        kind: match layer.layer {
            Layer::Skin => PourKind::Coat,
            Layer::Core => PourKind::Core,
            Layer::Cap => PourKind::Cap,
        },
        foam: layer.expands,
        batches: dose.batches.max(1),
        mixing_minutes: minutes(&|work| work.mixing_minutes),
        degassing_minutes: minutes(&|work| work.degassing_minutes),
        applying_minutes: minutes(&|work| work.laying_minutes),
        times: layer.times,
    }
}
