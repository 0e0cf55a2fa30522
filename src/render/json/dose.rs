//! What to weigh, as all schemas tell it.

use serde::Serialize;

use crate::sheet::{Allowance, AllowanceKind, By, Dose, Weighed};

/// What to weigh for one mix, in all its batches.
#[derive(Serialize)]
pub struct DoseWire<'a> {
    net_g: f64,
    mix_g: f64,
    components: Vec<Component<'a>>,
    allowances_g: Vec<AllowanceWire<'a>>,
    raised_g: f64,
    ratio_error_percent: f64,
    batches: u32,
    /// Of one batch; left out where the layer is mixed coat by coat.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    batch: Vec<Component<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    batch_times: Option<BatchTimes>,
}

/// How long one batch takes.
#[derive(Serialize)]
struct BatchTimes {
    mixing_minutes: f64,
    degassing_minutes: f64,
    laying_minutes: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    available_minutes: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cup_cm3: Option<f64>,
}

/// One component with its grams.
#[derive(Serialize)]
pub struct Component<'a> {
    name: &'a str,
    role: &'static str,
    parts: f64,
    by: &'static str,
    grams: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    drops: Option<u32>,
}

#[derive(Serialize)]
struct AllowanceWire<'a> {
    code: &'static str,
    grams: f64,
    reason: &'a str,
}

impl<'a> DoseWire<'a> {
    pub fn new(dose: &'a Dose) -> Self {
        Self {
            net_g: dose.net_g,
            mix_g: dose.mix_g,
            components: dose.components.iter().map(Component::new).collect(),
            allowances_g: dose.allowances.iter().map(AllowanceWire::new).collect(),
            raised_g: dose.raised_g,
            ratio_error_percent: dose.ratio_error_percent,
            batches: dose.batches,
            batch: dose.batch.iter().map(Component::new).collect(),
            batch_times: dose.work.map(|work| BatchTimes {
                mixing_minutes: work.mixing_minutes,
                degassing_minutes: work.degassing_minutes,
                laying_minutes: work.laying_minutes,
                available_minutes: work.available_minutes,
                cup_cm3: work.cup_cm3,
            }),
        }
    }
}

impl<'a> Component<'a> {
    pub fn new(weighed: &'a Weighed) -> Self {
        Self {
            name: &weighed.name,
            role: weighed.role.as_str(),
            parts: weighed.parts.as_f64(),
            by: match weighed.by {
                By::Weight => "weight",
                By::Volume => "volume",
            },
            grams: weighed.grams,
            drops: weighed.drops,
        }
    }
}

impl<'a> AllowanceWire<'a> {
    pub fn new(allowance: &'a Allowance) -> Self {
        Self {
            code: match allowance.kind {
                AllowanceKind::CupFilm => "cup-film",
                AllowanceKind::Brush => "brush",
                AllowanceKind::Levelling => "levelling",
                AllowanceKind::Remainder => "remainder",
                AllowanceKind::Overspray => "overspray",
                AllowanceKind::DrainedBack => "drained-back",
                AllowanceKind::WitnessPuck => "witness-puck",
                AllowanceKind::Gate => "gate",
            },
            grams: allowance.grams,
            reason: &allowance.reason,
        }
    }
}
