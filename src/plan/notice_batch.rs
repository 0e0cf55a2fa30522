//! What the person at the scale should know about a batch: too small, too coarse, too slow.

use super::weigh::finer_scale;
use super::{Allowances, BatchWork, Dose, LayerPlan, Shop};
use crate::finding::Finding;
use crate::materials::RoomTimes;

/// Code of the warning that a batch takes longer than its working time.
pub const OVER_TIME: &str = "over-working-time";

/// A ratio further off than this by rounding is told, %.
const RATIO_ERROR_PERCENT_MAX: f64 = 1.0;
/// A room this near to the data sheet's temperature changes nothing worth telling, °C.
const SAME_ROOM_C: f64 = 0.5;

/// One coat or pour, with what to call it.
pub(super) struct Told<'a> {
    pub name: &'a str,
    pub dose: &'a Dose,
    pub times: &'a RoomTimes,
    pub shop: &'a Shop,
}

impl Told<'_> {
    /// All that is worth knowing of its batches.
    pub(super) fn findings(&self, system_id: &str) -> Vec<Finding> {
        let mut findings = Vec::new();
        findings.extend(self.raised());
        findings.extend(self.coarse());
        findings.extend(self.small_component());
        if let Some(work) = &self.dose.work {
            findings.extend(self.over_cup(work));
            findings.extend(self.over_time(work));
            if self.times.working_minutes.is_none() {
                let message = format!(
                    "{}: system `{system_id}` gives no working time, so that batches are split by \
                     cups alone",
                    self.name
                );
                findings.push(Finding::note("working-time-unknown", message));
            }
        }
        findings
    }

    fn raised(&self) -> Option<Finding> {
        let dose = self.dose;
        if dose.raised_g <= 0.0 {
            return None;
        }
        let by_hand_g = self.shop.allowances.smallest_batch_g;
        let count = f64::from(dose.batches.max(1));
        let raised_to_g = dose.batch_g() - dose.rounding_g / count;
        let would_do_g = raised_to_g * count - dose.raised_g;
        if raised_to_g <= by_hand_g * (1.0 + 1e-9) {
            return Some(Finding::warning(
                "smallest-batch",
                format!(
                    "{}: {would_do_g:.1} g would do, but less than {by_hand_g} g doesn't mix well \
                     by hand; {:.1} g are waste",
                    self.name, dose.raised_g
                ),
            ));
        }
        let smallest = self.smallest()?;
        let fair_g = would_do_g.max(by_hand_g) / count * smallest.grams / dose.batch_g();
        let tolerance = self.shop.allowances.ratio_tolerance;
        let hint = match finer_scale(self.shop.scale_step_g, fair_g, tolerance) {
            Some(step_g) => format!("weigh on a scale with steps of {step_g} g"),
            None => "weigh on a finer scale".to_owned(),
        };
        let message = format!(
            "{}: {would_do_g:.1} g would do, but a scale with steps of {} g weighs {} to {} % only \
             from {raised_to_g:.1} g; {:.1} g are waste",
            self.name,
            self.shop.scale_step_g,
            smallest.name,
            100.0 * tolerance,
            dose.raised_g
        );
        Some(Finding::warning("smallest-batch", message).with_hint(hint))
    }

    fn smallest(&self) -> Option<&super::Weighed> {
        let of_ratio = self.dose.batch.iter().filter(|w| !w.role.is_additive());
        of_ratio.min_by(|a, b| a.grams.total_cmp(&b.grams))
    }

    fn coarse(&self) -> Option<Finding> {
        let (dose, step_g) = (self.dose, self.shop.scale_step_g);
        let smallest = self.smallest()?;
        let tolerated = 100.0 * Allowances::default().ratio_tolerance;
        let message = if dose.ratio_error_percent > RATIO_ERROR_PERCENT_MAX {
            format!(
                "{}: a scale with steps of {step_g} g is too coarse for {:.1} g; the ratio is \
                 {:.1} % off",
                self.name,
                dose.batch_g(),
                dose.ratio_error_percent
            )
        } else if dose.reading_error_percent > tolerated * (1.0 + 1e-9) {
            format!(
                "{}: a scale with steps of {step_g} g is too coarse for {:.1} g of {}; half a \
                 step is {:.1} % of it",
                self.name, smallest.grams, smallest.name, dose.reading_error_percent
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

    fn small_component(&self) -> Option<Finding> {
        let least_g = self.shop.allowances.smallest_component_g;
        let smallest = self.smallest().filter(|w| w.grams < least_g * (1.0 - 1e-9))?;
        let message = format!(
            "{}: {} g of {} is little to weigh and easily lost on a stick; usually it is {least_g} g \
             or more",
            self.name, smallest.grams, smallest.name
        );
        Some(
            Finding::warning("small-component", message)
                .with_hint("weigh it into the cup last, drop by drop, or mix more"),
        )
    }

    fn over_cup(&self, work: &BatchWork) -> Option<Finding> {
        if !work.over_cup {
            return None;
        }
        let largest = self.shop.cups_cm3.iter().copied().max_by(f64::total_cmp)?;
        let message = format!(
            "{}: {:.1} g overfill the largest cup, {largest} cm³ brim-full",
            self.name,
            self.dose.batch_g()
        );
        let hint = if self.dose.batches == 1 {
            "take a larger cup"
        } else {
            "take a larger cup; a smaller batch doesn't mix well"
        };
        Some(Finding::warning("cup-too-small", message).with_hint(hint))
    }

    fn over_time(&self, work: &BatchWork) -> Option<Finding> {
        let (true, Some(left)) = (work.over_time, work.available_minutes) else { return None };
        let working = self.times.working_minutes.unwrap_or_default();
        let degassing = work.degassing_minutes > 0.0;
        let busy = if degassing { "mixing and degassing" } else { "mixing" };
        let reserve = 100.0 * self.shop.pace.reserve;
        let message = if left <= 0.0 {
            format!(
                "{}: {busy} take {:.1} minutes; of {working:.1} minutes of working time, less {reserve} % \
                 in reserve, nothing is left to lay it, in however small batches",
                self.name,
                work.mixing_minutes + work.degassing_minutes
            )
        } else {
            format!(
                "{}: a batch is laid in {:.1} minutes, but {busy} leave {left:.1} of {working:.1} \
                 minutes of working time",
                self.name, work.laying_minutes
            )
        };
        let air = if degassing { ", or leave out degassing" } else { "" };
        let hint = format!("work in a cooler room, or take a slower system{air}");
        Some(Finding::warning(OVER_TIME, message).with_hint(hint))
    }
}

/// The ten-degree rule is a rule of thumb: said where it changes anything.
pub(super) fn room<'a>(
    used: impl Iterator<Item = &'a LayerPlan>,
    room_c: Option<f64>,
) -> Option<Finding> {
    let room_c = room_c?;
    let mut told: Vec<(f64, f64)> = Vec::new();
    for layer in used {
        let times = &layer.times;
        let known = told.iter().any(|(sheet_c, _)| *sheet_c == times.sheet_c);
        if (times.sheet_c - room_c).abs() >= SAME_ROOM_C && !known {
            told.push((times.sheet_c, times.warmth_factor));
        }
    }
    let each: Vec<String> = told
        .iter()
        .map(|(sheet_c, factor)| {
            let sheet_c = (sheet_c * 10.0).round() / 10.0;
            format!("{factor:.2} times those at {sheet_c} °C")
        })
        .collect();
    (!each.is_empty()).then(|| {
        Finding::note(
            "room-temperature",
            format!(
                "at {room_c:.1} °C times are taken as {}, by the ten-degree rule: a rule of thumb",
                each.join(" and ")
            ),
        )
        .with_hint("the data sheet's own times for this temperature go before it")
    })
}
