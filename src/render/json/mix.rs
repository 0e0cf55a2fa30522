//! `cavigram/mix/1`: one mix without a mesh.

use serde::Serialize;

use super::dose::DoseWire;
use super::run::{FurtherWire, RunWire, TotalWire, WorkshopWire, further, totals};
use super::shared::{Warning, cm3, warnings};
use crate::sheet::{MixSheet, Reach, Shelf, Shelved};

/// `cavigram/mix/1`.
#[derive(Serialize)]
pub struct Mix<'a> {
    schema: &'static str,
    #[serde(rename = "for")]
    purpose: &'static str,
    volume_cm3: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    area_cm2: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    thickness_mm: Option<f64>,
    density_g_cm3: f64,
    system: &'a str,
    system_title: &'a str,
    softener_parts: f64,
    #[serde(flatten)]
    dose: DoseWire<'a>,
    #[serde(skip_serializing_if = "Option::is_none")]
    reach: Option<ReachWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    shelf: Option<ShelfWire<'a>>,
    exact: bool,
    run: RunWire,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    further_rounds: Vec<FurtherWire<'a>>,
    totals: Vec<TotalWire<'a>>,
    scale_step_g: f64,
    workshop: WorkshopWire<'a>,
    cautions: Vec<&'a str>,
    warnings: Vec<Warning<'a>>,
}

#[derive(Serialize)]
struct ReachWire {
    grams: f64,
    thickness_mm: f64,
    mixed_thickness_mm: Option<f64>,
}

#[derive(Serialize)]
struct ShelfWire<'a> {
    castings: u32,
    more: bool,
    first_out: Option<&'a str>,
    components: Vec<ShelvedWire<'a>>,
}

#[derive(Serialize)]
struct ShelvedWire<'a> {
    name: &'a str,
    has_g: f64,
    takes_g: f64,
    left_g: f64,
}

impl<'a> Mix<'a> {
    pub fn new(sheet: &'a MixSheet) -> Self {
        let layer = sheet.layer();
        let coat = layer.coats.first();
        Self {
            schema: "cavigram/mix/1",
            purpose: sheet.purpose.as_str(),
            volume_cm3: cm3(sheet.asked.volume_mm3),
            area_cm2: sheet.asked.area_mm2.map(|mm2| mm2 / 100.0),
            thickness_mm: sheet.asked.thickness_mm,
            density_g_cm3: coat.map_or(layer.density_g_cm3, |coat| coat.density_g_cm3),
            system: &layer.system_id,
            system_title: &layer.system_title,
            softener_parts: layer.softener.as_f64(),
            dose: DoseWire::new(sheet.dose()),
            reach: sheet.reach.as_ref().map(ReachWire::new),
            shelf: sheet.shelf.as_ref().map(ShelfWire::new),
            exact: sheet.exact,
            run: RunWire::new(sheet.plan.run),
            further_rounds: further(&sheet.plan),
            totals: totals(&sheet.plan),
            scale_step_g: sheet.plan.shop.scale_step_g,
            workshop: WorkshopWire::new(&sheet.plan.shop, &sheet.shop_told),
            cautions: sheet.plan.cautions.iter().map(|c| c.text.as_str()).collect(),
            warnings: warnings(&sheet.findings),
        }
    }
}

impl ReachWire {
    fn new(reach: &Reach) -> Self {
        Self {
            grams: reach.grams,
            thickness_mm: reach.thickness_mm,
            mixed_thickness_mm: reach.mixed_thickness_mm,
        }
    }
}

impl<'a> ShelfWire<'a> {
    fn new(shelf: &'a Shelf) -> Self {
        Self {
            castings: shelf.castings,
            more: shelf.first_out.is_none(),
            first_out: shelf.first_out.as_deref(),
            components: shelf.components.iter().map(ShelvedWire::new).collect(),
        }
    }
}

impl<'a> ShelvedWire<'a> {
    fn new(one: &'a Shelved) -> Self {
        Self {
            name: &one.name,
            has_g: one.has_g,
            takes_g: one.takes_g,
            left_g: one.has_g - one.takes_g,
        }
    }
}
