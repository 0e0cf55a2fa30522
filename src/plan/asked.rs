//! What came of a hardness that was asked for.

use super::{LayerPlan, PlanRequest};
use crate::finding::Finding;
use crate::materials::ShoreReading;

/// A hardness that lies outside what the core's system was measured at.
pub(super) fn out_of_reach(core: &LayerPlan, request: &PlanRequest) -> Option<Finding> {
    let asked = request.core_hardness?;
    if core.dose.is_empty() {
        return None;
    }
    let found = request.core.system.softener_for(asked).ok()?;
    let nearest = found.nearest?;
    let end = if nearest.reading > asked.reading { "softest" } else { "hardest" };
    let message = format!(
        "core: Shore {asked} was asked for; the {end} that was measured is Shore {nearest} with \
         {} parts of softener",
        found.parts
    );
    let elsewhere = request.core.system.softener.iter().flat_map(|softener| &softener.points);
    let elsewhere = elsewhere.filter(|point| {
        point.scale != asked.scale && point.parts.value.as_f64() > found.parts.as_f64()
    });
    let hint =
        match elsewhere.map(|p| ShoreReading { scale: p.scale, reading: p.reading.value }).next() {
            Some(other) if nearest.reading > asked.reading => format!(
                "softer mixes were measured in Shore {}, a scale of its own: ask for one of these, \
             such as {other}",
                other.scale.as_str()
            ),
            _ => "pour a witness puck with another amount, and add it to the system's file"
                .to_owned(),
        };
    Some(Finding::warning("hardness-out-of-reach", message).with_hint(hint))
}
