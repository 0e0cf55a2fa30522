//! What came of a hardness that was asked for.

use super::{LayerPlan, PlanRequest};
use crate::finding::Finding;

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
    let hint = "pour a witness puck with another amount, and add it to the system's file";
    Some(Finding::warning("hardness-out-of-reach", message).with_hint(hint))
}
