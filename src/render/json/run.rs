//! Several castings, and the workshop, as `cavigram/plan/1` tells them.

use serde::Serialize;

use super::dose::{Component, DoseWire};
use crate::sheet::{FurtherRounds, LayerPlan, PatchTold, Plan, Run, Shop, ShopTold};

/// How the castings of a run go round.
#[derive(Serialize)]
pub struct RunWire {
    castings: u32,
    moulds: u32,
    at_once: u32,
    rounds: u32,
    first_casting: bool,
}

/// Rounds that are weighed otherwise than the first.
#[derive(Serialize)]
pub struct FurtherWire<'a> {
    from: u32,
    to: u32,
    castings: u32,
    layers: Vec<LayerWire<'a>>,
}

#[derive(Serialize)]
struct LayerWire<'a> {
    name: &'static str,
    #[serde(flatten)]
    dose: DoseWire<'a>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    coats: Vec<DoseWire<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    seam: Option<DoseWire<'a>>,
}

/// Grams of a layer for all castings of a run.
#[derive(Serialize)]
pub struct TotalWire<'a> {
    name: &'static str,
    components: Vec<Component<'a>>,
}

/// What a brushed test patch says.
#[derive(Serialize)]
pub struct PatchWire {
    grams: f64,
    area_cm2: f64,
    thickness_mm: f64,
    planned_mm: f64,
    off_percent: f64,
    skin_net_g: f64,
}

/// What the workshop has, and what of it was said rather than usual.
#[derive(Serialize)]
pub struct WorkshopWire<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    file: Option<&'a str>,
    said: Vec<String>,
    cups_cm3: &'a [f64],
    vacuum: bool,
    room_c: Option<f64>,
}

impl RunWire {
    pub fn new(run: Run) -> Self {
        Self {
            castings: run.castings,
            moulds: run.moulds,
            at_once: run.at_once(),
            rounds: run.rounds(),
            first_casting: run.first_casting,
        }
    }
}

/// The rounds that are weighed otherwise than the first.
pub fn further(plan: &Plan) -> Vec<FurtherWire<'_>> {
    plan.further.iter().map(FurtherWire::new).collect()
}

impl<'a> FurtherWire<'a> {
    fn new(rounds: &'a FurtherRounds) -> Self {
        Self {
            from: rounds.from,
            to: rounds.to,
            castings: rounds.castings,
            layers: rounds.layers.iter().map(LayerWire::new).collect(),
        }
    }
}

impl<'a> LayerWire<'a> {
    fn new(layer: &'a LayerPlan) -> Self {
        Self {
            name: layer.layer.as_str(),
            dose: DoseWire::new(&layer.dose),
            coats: layer.coats.iter().map(|coat| DoseWire::new(&coat.dose)).collect(),
            seam: layer.seam.as_ref().map(|seam| DoseWire::new(&seam.dose)),
        }
    }
}

/// Grams of each layer for all castings of the run.
pub fn totals(plan: &Plan) -> Vec<TotalWire<'_>> {
    let layers = plan.layers.iter().zip(&plan.totals);
    let total = layers.map(|(layer, total)| TotalWire {
        name: layer.layer.as_str(),
        components: total.iter().map(Component::new).collect(),
    });
    total.collect()
}

impl PatchWire {
    pub fn new(told: &PatchTold) -> Self {
        Self {
            grams: told.patch.weight().grams(),
            area_cm2: told.patch.area().cm2(),
            thickness_mm: told.thickness_mm,
            planned_mm: told.planned_mm,
            off_percent: told.off_percent(),
            skin_net_g: told.skin_net_g,
        }
    }
}

impl<'a> WorkshopWire<'a> {
    pub fn new(shop: &'a Shop, told: &'a ShopTold) -> Self {
        let said = told.said.iter().map(|key| format!("{}.{}", key.table(), key.name()));
        Self {
            file: told.file.as_deref(),
            said: said.collect(),
            cups_cm3: &shop.cups_cm3,
            vacuum: shop.vacuum,
            room_c: shop.room_c,
        }
    }
}
