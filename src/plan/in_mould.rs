//! A layer that is in the mould already: nothing is weighed for it any more.

use super::{Dose, Layer, Plan};
use crate::finding::Finding;

impl Plan {
    /// The same plan with one layer in the mould already, `net_g` grams of it: there is nothing
    /// left to weigh for it, and nothing to be said of weighing it.
    pub fn with_in_mould(mut self, layer: Layer, net_g: f64) -> Self {
        for plan in self.layers.iter_mut().filter(|plan| plan.layer == layer) {
            let share = if plan.dose.net_g > 0.0 { net_g / plan.dose.net_g } else { 0.0 };
            for coat in &mut plan.coats {
                coat.dose = Dose { net_g: coat.dose.net_g * share, ..Dose::default() };
            }
            // The seam's coat is still to come.
            let to_come = plan.seam.as_ref().map(|seam| seam.dose.clone()).unwrap_or_default();
            plan.dose = Dose { net_g: net_g + to_come.net_g, ..to_come };
        }
        self.findings.retain(|finding| !is_about(finding, layer));
        self
    }
}

/// What is noticed of a layer's mix begins with the layer's name.
fn is_about(finding: &Finding, layer: Layer) -> bool {
    let rest = finding.message.strip_prefix(layer.as_str());
    rest.is_some_and(|rest| {
        rest.starts_with(':') || rest.starts_with(',') && !rest.starts_with(", seam")
    })
}
