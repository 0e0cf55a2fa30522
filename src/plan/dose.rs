//! What to weigh for one coat or pour, in one or several equal batches.

use super::Allowance;
use super::weigh::steps_to_g;
use crate::materials::{By, Parts, Role};

/// One coat or pour: what stays in the mould, what is allowed for, what to weigh.
///
/// `net_g` + allowances + `raised_g` + `rounding_g` = `mix_g`; nothing at all where there is
/// nothing to fill. Castings that are made at once share it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Dose {
    /// What stays in the moulds, the flange included, g.
    pub net_g: f64,
    /// What is mixed beyond, line by line.
    pub allowances: Vec<Allowance>,
    /// What is mixed beyond only because less doesn't mix or weigh well: waste, g.
    pub raised_g: f64,
    /// Added by rounding to the scale's step, g.
    pub rounding_g: f64,
    /// What to weigh: the sum of the components in their order, g.
    pub mix_g: f64,
    /// What to weigh of each, in weighing order, all batches together; empty where there is
    /// nothing to fill.
    pub components: Vec<Weighed>,
    /// In how many equal batches; of a skin the sum over its coats.
    pub batches: u32,
    /// What goes into each cup, in weighing order: times `batches` it is `components`. Empty for
    /// the sum over several coats.
    pub batch: Vec<Weighed>,
    /// How long a batch takes and what it fits into; `None` for the sum over several coats.
    pub work: Option<BatchWork>,
    /// How far the worst component is off the ratio after rounding, %.
    pub ratio_error_percent: f64,
    /// How far half a step of the scale is off the smallest component of the ratio, %.
    pub reading_error_percent: f64,
    /// The next larger batch in the exact ratio, g, where this one isn't in it.
    pub exact_mix_g: Option<f64>,
}

/// How long one batch takes, and whether it fits.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BatchWork {
    /// Mixing, min; the working time begins with it.
    pub mixing_minutes: f64,
    /// Degassing, min; 0 without vacuum.
    pub degassing_minutes: f64,
    /// Brushing, spraying or pouring it, min.
    pub laying_minutes: f64,
    /// Left for laying it, min: the working time less the reserve, mixing and degassing. Negative
    /// where mixing alone takes longer; `None` where the working time is not known.
    pub available_minutes: Option<f64>,
    /// The smallest cup at hand that it fits into, brim-full cm³; `None` for cups of any size or
    /// where it fits none.
    pub cup_cm3: Option<f64>,
    /// Even the smallest batch that mixes well fits none of the cups.
    pub over_cup: bool,
    /// It can't be laid within the working time, in however small batches.
    pub over_time: bool,
}

/// One component on the scale.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighed {
    /// As the tin says.
    pub name: String,
    /// What it is there for.
    pub role: Role,
    /// Its parts in the ratio; of an additive the grams to so many grams (or cm³) of the others as
    /// they have parts, to four decimals.
    pub parts: Parts,
    /// How the parts are told; grams are grams either way.
    pub by: By,
    /// A multiple of the scale's step, g; of something counted in drops what they weigh.
    pub grams: f64,
    /// Counted in drops rather than weighed.
    pub drops: Option<u32>,
}

impl BatchWork {
    /// From the first stir until the last of it is laid, min.
    pub fn minutes(&self) -> f64 {
        self.mixing_minutes + self.degassing_minutes + self.laying_minutes
    }
}

impl Dose {
    /// Nothing was to be filled, so nothing is mixed.
    pub fn is_empty(&self) -> bool {
        self.components.is_empty()
    }

    /// Grams of one batch; all of it where that is not told.
    pub fn batch_g(&self) -> f64 {
        if self.batch.is_empty() {
            self.mix_g
        } else {
            self.batch.iter().map(|weighed| weighed.grams).sum()
        }
    }

    /// The doses of all coats together: grams added, errors those of the worst coat. Of a single
    /// coat its own.
    pub(super) fn sum<'a>(doses: impl IntoIterator<Item = &'a Self>, step_g: f64) -> Self {
        let doses: Vec<&Self> = doses.into_iter().filter(|dose| !dose.is_empty()).collect();
        if let [only] = doses.as_slice() {
            return (*only).clone();
        }
        let mut sum = Self::default();
        for dose in doses {
            sum.net_g += dose.net_g;
            sum.raised_g += dose.raised_g;
            sum.rounding_g += dose.rounding_g;
            sum.batches += dose.batches;
            sum.ratio_error_percent = sum.ratio_error_percent.max(dose.ratio_error_percent);
            sum.reading_error_percent = sum.reading_error_percent.max(dose.reading_error_percent);
            add_allowances(&mut sum.allowances, &dose.allowances);
            add_components(&mut sum.components, &dose.components, step_g);
        }
        sum.mix_g = sum.components.iter().map(|c| c.grams).sum();
        sum
    }
}

/// So many times what is weighed.
pub(super) fn times(components: &[Weighed], count: u32, step_g: f64) -> Vec<Weighed> {
    let each = components.iter().map(|one| {
        let grams = f64::from(count) * one.grams;
        let grams = on_scale(grams, step_g);
        Weighed { grams, drops: one.drops.map(|d| d.saturating_mul(count)), ..one.clone() }
    });
    each.collect()
}

/// Grams as the decimals that the scale shows, where they are whole steps of it.
fn on_scale(grams: f64, step_g: f64) -> f64 {
    let steps = (grams / step_g).round();
    if (grams / step_g - steps).abs() < 1e-6 { steps_to_g(steps as u64, step_g) } else { grams }
}

/// Adds up what is weighed, by name; what is new comes last.
pub(super) fn add_components(sum: &mut Vec<Weighed>, more: &[Weighed], step_g: f64) {
    for one in more {
        match sum.iter_mut().find(|all| all.name == one.name && all.role == one.role) {
            None => sum.push(one.clone()),
            Some(all) => {
                // Drops and grams of one thing come together as grams.
                let both = all.drops.zip(one.drops);
                all.drops = both.map(|(a, b)| a.saturating_add(b));
                all.grams = on_scale(all.grams + one.grams, step_g);
            }
        }
    }
}

fn add_allowances(sum: &mut Vec<Allowance>, more: &[Allowance]) {
    for line in more {
        match sum.iter_mut().find(|s| s.kind == line.kind) {
            Some(same) => {
                same.grams += line.grams;
                if !same.reason.split("; ").any(|reason| reason == line.reason) {
                    same.reason = format!("{}; {}", same.reason, line.reason);
                }
            }
            None => sum.push(line.clone()),
        }
    }
}
