//! What stays in the gate of a two-part mould: poured with the core, and no part of it.

use super::{Allowance, AllowanceKind, Layer, LayerPlan, Plan};
use crate::bounds::Bounds;

impl Plan {
    /// The same plan where `gate_mm3` of the core's volume were added for the gate of each mould:
    /// they become an allowance, and the layer its own volume again.
    pub fn with_gate(mut self, gate_mm3: f64) -> Self {
        if gate_mm3 <= 0.0 {
            return self;
        }
        let at_once = f64::from(self.run.at_once());
        without_gate(&mut self.layers, gate_mm3, at_once);
        for rounds in &mut self.further {
            without_gate(&mut rounds.layers, gate_mm3, f64::from(rounds.castings));
        }
        self
    }
}

fn without_gate(layers: &mut [LayerPlan; 3], gate_mm3: f64, castings: f64) {
    for core in layers.iter_mut().filter(|plan| plan.layer == Layer::Core) {
        let volume = core.volume_mm3 - Bounds::exact(gate_mm3);
        core.volume_mm3 = volume.clamped(0.0, f64::INFINITY);
        if core.dose.is_empty() {
            continue;
        }
        let grams = (castings * gate_mm3 / 1000.0 * core.density_g_cm3).min(core.dose.net_g);
        core.dose.net_g -= grams;
        let reason = format!("{:.1} cm³ each", gate_mm3 / 1000.0);
        core.dose.allowances.push(Allowance { kind: AllowanceKind::Gate, grams, reason });
    }
}
