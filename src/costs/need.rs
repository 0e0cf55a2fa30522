//! What jobs need of each system, added up.

use crate::materials::{Role, System};
use crate::plan::{Plan, PlanRequest, Weighed};
use rust_decimal::Decimal;

/// What is needed of one component.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Need {
    /// As the tin says.
    pub component: String,
    /// What it is there for.
    pub role: Role,
    /// How much, g.
    pub grams: Decimal,
}

/// What is needed of one system.
#[derive(Debug, Clone, PartialEq)]
pub struct SystemNeeds {
    /// The system; its packs and their prices are those that are bought.
    pub system: System,
    /// What is needed, in the order of its components, softener, thickener, pigment.
    pub needs: Vec<Need>,
}

/// Decimals of grams: a tenth of a milligram, finer than any scale here.
const GRAM_DECIMALS: usize = 4;

/// What is weighed of one system, added up.
pub fn needs_of<'a>(
    system: &System,
    weighed: impl IntoIterator<Item = &'a Weighed>,
) -> SystemNeeds {
    let mut all = SystemNeeds { system: system.clone(), needs: Vec::new() };
    let needs = weighed.into_iter().map(|one| Need {
        component: one.name.clone(),
        role: one.role,
        grams: decimal_grams(one.grams),
    });
    all.take(needs.collect());
    all
}

/// What a plan needs for all castings of its run, by system.
///
/// Components of the same name are the same only within a system of the same id.
pub fn needs(plan: &Plan, materials: &PlanRequest) -> Vec<SystemNeeds> {
    let systems = [&materials.skin, &materials.core, &materials.cap].map(|recipe| &recipe.system);
    let mut all = Vec::new();
    for (system, weighed) in systems.into_iter().zip(&plan.totals) {
        add(&mut all, needs_of(system, weighed));
    }
    all
}

/// Adds what one more layer or job needs; a system comes by its id, the first one's packs stay.
pub(super) fn add(all: &mut Vec<SystemNeeds>, more: SystemNeeds) {
    if more.needs.is_empty() {
        return;
    }
    let Some(same) = all.iter_mut().find(|known| known.system.id == more.system.id) else {
        let mut first = SystemNeeds { needs: Vec::new(), ..more };
        first.take(more.needs);
        all.push(first);
        return;
    };
    same.take(more.needs);
}

impl SystemNeeds {
    fn take(&mut self, more: Vec<Need>) {
        for need in more {
            match self.needs.iter_mut().find(|known| known.component == need.component) {
                Some(known) => known.grams = known.grams.saturating_add(need.grams),
                None => self.needs.push(need),
            }
        }
        let order = names(&self.system);
        self.needs.sort_by_key(|need| order.iter().position(|name| *name == need.component));
    }

    /// The same, each so many times (`above`/`below`); `None` where that is too much to reckon
    /// with.
    pub fn times(mut self, above: Decimal, below: Decimal) -> Option<Self> {
        for need in &mut self.needs {
            need.grams = need.grams.checked_mul(above)?.checked_div(below)?;
        }
        Some(self)
    }
}

/// All that is weighed of a system, in order.
pub(super) fn names(system: &System) -> Vec<&str> {
    let components = system.components.iter().map(|c| c.name.as_str());
    let softener = system.softener.iter().map(|s| s.name.as_str());
    let thickener = system.thickener.iter().map(|t| t.name.as_str());
    let pigment = system.pigment.iter().map(|p| p.name.as_str());
    components.chain(softener).chain(thickener).chain(pigment).collect()
}

/// Grams as the scale shows them. A plan's grams are whole steps of the scale, so that their text
/// is exact.
pub(super) fn decimal_grams(grams: f64) -> Decimal {
    let text = format!("{grams:.GRAM_DECIMALS$}");
    Decimal::from_str_exact(&text).map_or(Decimal::MAX, |exact| exact.normalize())
}
