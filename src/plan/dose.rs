//! What to weigh for one mix.

use super::allowance::Purpose;
use super::weigh::{round_to_scale, steps_to_g};
use super::{Allowance, PlanRequest};
use crate::materials::{By, Mix, Parts};

/// One mix: what stays in the mould, what is allowed for, what to weigh.
///
/// `net_g` + allowances + `raised_g` + `rounding_g` = `mix_g`; nothing at all where there is
/// nothing to fill.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Dose {
    /// What stays in the mould, the flange included, g.
    pub net_g: f64,
    /// What is mixed beyond, line by line.
    pub allowances: Vec<Allowance>,
    /// What is mixed beyond only because less doesn't mix well: waste, g.
    pub raised_g: f64,
    /// Added by rounding to the scale's step, g.
    pub rounding_g: f64,
    /// What to weigh: the sum of the components in their order, g.
    pub mix_g: f64,
    /// What to weigh of each, in weighing order; empty where there is nothing to fill.
    pub components: Vec<Weighed>,
    /// How far the worst component is off the ratio after rounding, %.
    pub ratio_error_percent: f64,
    /// How far half a step of the scale is off the smallest component, %.
    pub reading_error_percent: f64,
    /// The next larger mix in the exact ratio, g, where this one isn't in it.
    pub exact_mix_g: Option<f64>,
}

/// One component on the scale.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighed {
    /// As the tin says.
    pub name: String,
    /// Its parts in the ratio.
    pub parts: Parts,
    /// How the parts are told; grams are grams either way.
    pub by: By,
    /// A multiple of the scale's step, g.
    pub grams: f64,
}

impl Dose {
    /// Nothing was to be filled, so nothing is mixed.
    pub fn is_empty(&self) -> bool {
        self.components.is_empty()
    }

    /// One mix, raised to the smallest batch and rounded to the scale.
    pub(super) fn of(mix: &Mix, purpose: &Purpose, request: &PlanRequest) -> Self {
        let allowances = request.shop.allowances.lines(purpose);
        let asked_g = purpose.net_g + allowances.iter().map(|a| a.grams).sum::<f64>();
        let required_g = asked_g.max(request.shop.allowances.smallest_batch_g);
        let step_g = request.shop.scale_step_g;
        let rounded = round_to_scale(required_g, step_g, mix);
        let components: Vec<Weighed> = mix
            .parts
            .iter()
            .zip(&rounded.steps)
            .map(|(part, &steps)| Weighed {
                name: part.name.clone(),
                parts: part.parts,
                by: mix.by,
                grams: steps_to_g(steps, step_g),
            })
            .collect();
        let mix_g: f64 = components.iter().map(|c| c.grams).sum();
        let smallest_g = components.iter().map(|c| c.grams).fold(f64::INFINITY, f64::min);
        Self {
            net_g: purpose.net_g,
            allowances,
            raised_g: required_g - asked_g,
            // Never −0.0 where the sum of decimals falls a hair short.
            rounding_g: (mix_g - required_g).max(0.0),
            mix_g,
            components,
            ratio_error_percent: rounded.error_percent,
            reading_error_percent: 50.0 * step_g / smallest_g,
            exact_mix_g: rounded.exact_total.map(|total| steps_to_g(total, step_g)),
        }
    }

    /// The doses of all coats together: grams added, errors those of the worst coat.
    pub(super) fn sum<'a>(doses: impl IntoIterator<Item = &'a Self>, step_g: f64) -> Self {
        let mut sum = Self::default();
        for dose in doses.into_iter().filter(|dose| !dose.is_empty()) {
            sum.net_g += dose.net_g;
            sum.raised_g += dose.raised_g;
            sum.rounding_g += dose.rounding_g;
            sum.ratio_error_percent = sum.ratio_error_percent.max(dose.ratio_error_percent);
            sum.reading_error_percent = sum.reading_error_percent.max(dose.reading_error_percent);
            add_allowances(&mut sum.allowances, &dose.allowances);
            if sum.components.is_empty() {
                sum.components = dose.components.clone();
            } else {
                for (all, one) in sum.components.iter_mut().zip(&dose.components) {
                    let steps = ((all.grams + one.grams) / step_g).round();
                    all.grams = steps_to_g(steps as u64, step_g);
                }
            }
        }
        sum.mix_g = sum.components.iter().map(|c| c.grams).sum();
        sum
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
