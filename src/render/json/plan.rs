//! `cavigram/plan/1`: the layers with their grams.

use serde::Serialize;

use super::dose::DoseWire;
use super::in_mould::{CorrectionWire, WeightWire};
use super::inserts::{InsertWire, TogetherWire, inserts};
use super::parting::PartingWire;
use super::run::{FurtherWire, PatchWire, RunWire, TotalWire, WorkshopWire, further, totals};
use super::shared::{
    Cavity, Health, Impression, Mesh, Volume, Warning, cm3, impressions, warnings,
};
use super::timeline::TimelineWire;
use crate::sheet::{self, Change, Hardness, Layer, LayerFacts, LayerPlan, Sheet, WaterCheck};
use crate::units::{InchFraction, WeighingMeans};

/// `cavigram/plan/1`.
#[derive(Serialize)]
pub struct Plan<'a> {
    schema: &'static str,
    mesh: Mesh<'a>,
    health: Health,
    cavity: Cavity,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    impressions: Vec<Impression>,
    cavity_band_percent: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    water_check: Option<Water>,
    layers: Vec<LayerWire<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    inserts: Vec<InsertWire<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    inserts_together: Option<TogetherWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    parting: Option<PartingWire<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    timeline: Option<TimelineWire<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    correction: Option<CorrectionWire>,
    expected_piece_g: WeightWire,
    tolerance_percent: f64,
    tolerance_reached: bool,
    thin_share_percent: f64,
    core_pockets: Vec<Pocket>,
    run: RunWire,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    further_rounds: Vec<FurtherWire<'a>>,
    totals: Vec<TotalWire<'a>>,
    skin_by: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    test_patch: Option<PatchWire>,
    scale_step_g: f64,
    workshop: WorkshopWire<'a>,
    allowances: Allowances,
    cautions: Vec<&'a str>,
    warnings: Vec<Warning<'a>>,
}

#[derive(Serialize)]
struct LayerWire<'a> {
    name: &'static str,
    #[serde(flatten)]
    volume: Volume,
    density_g_cm3: f64,
    #[serde(flatten)]
    dose: DoseWire<'a>,
    #[serde(flatten)]
    skin: Option<Skin<'a>>,
    #[serde(flatten)]
    level: Option<Level>,
    system: &'a str,
    system_title: &'a str,
    softener_parts: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    hardness: Option<HardnessWire>,
}

/// What a skin tells beside the rest.
#[derive(Serialize)]
struct Skin<'a> {
    coats: Vec<Coat<'a>>,
    thickness_mm: f64,
    flange_volume_cm3: f64,
    area_times_thickness_cm3: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    area_times_thickness_off_percent: Option<f64>,
    g_per_100_cm2_wall: f64,
    net_g_per_0_1_mm: f64,
}

/// What a poured layer tells beside the rest.
#[derive(Serialize)]
struct Level {
    #[serde(skip_serializing_if = "Option::is_none")]
    fill_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    below_lip_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    below_lip_in: Option<String>,
    net_g_per_mm_level: f64,
}

#[derive(Serialize)]
struct Coat<'a> {
    thickness_mm: f64,
    #[serde(flatten)]
    volume: Volume,
    #[serde(flatten)]
    dose: DoseWire<'a>,
    flange_volume_cm3: f64,
    thickened: bool,
    tinted: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    stands_mm: Option<f64>,
    yield_stress_pa: f64,
    g_per_100_cm2_wall: f64,
}

#[derive(Serialize)]
struct HardnessWire {
    shore: &'static str,
    reading: f64,
}

#[derive(Serialize)]
struct Pocket {
    volume_cm3: f64,
    reaches_opening: bool,
    place_mm: [f64; 3],
}

/// What a weighed filling says of the volume; `computed` is before any change.
#[derive(Serialize)]
struct Water {
    weighed: &'static str,
    volume_cm3: f64,
    computed_cm3: f64,
    difference_percent: f64,
    means: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    scaled_by: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    below_lip_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    within_limits: Option<bool>,
}

/// What was allowed for, as set.
#[derive(Serialize)]
struct Allowances {
    film_plain_mm: f64,
    film_thickened_mm: f64,
    brush_g_per_coat: f64,
    levelling_mm: f64,
    skin_remainder_percent: f64,
    core_remainder_percent: f64,
    cap_remainder_percent: f64,
    overspray_percent: f64,
    slush_surplus_percent: f64,
    puck_cm3: f64,
    smallest_batch_g: f64,
    smallest_component_g: f64,
    ratio_tolerance_percent: f64,
}

impl<'a> Plan<'a> {
    pub fn new(sheet: &'a Sheet) -> Self {
        let facts = &sheet.layers;
        let [skin, _, cap] = &sheet.plan.layers;
        let layers = sheet.plan.layers.iter().map(|layer| LayerWire::new(layer, sheet)).collect();
        let pocket = |p: &sheet::Pocket| Pocket {
            volume_cm3: cm3(p.volume_mm3),
            reaches_opening: p.reaches_opening,
            place_mm: p.place_mm.to_array(),
        };
        Self {
            schema: "cavigram/plan/1",
            mesh: Mesh::new(&sheet.mesh),
            health: Health::new(&sheet.health),
            cavity: Cavity::new(&sheet.cavity),
            impressions: impressions(&sheet.cavity),
            cavity_band_percent: sheet.cavity.band_percent(),
            water_check: sheet.water.as_ref().map(Water::new),
            layers,
            inserts: inserts(sheet.inserts.as_ref()),
            inserts_together: sheet.inserts.as_ref().map(TogetherWire::new),
            parting: sheet
                .parting
                .as_ref()
                .map(|parting| PartingWire::new(parting, &sheet.volumes.two_part, [skin, cap])),
            timeline: sheet.timeline.as_ref().map(TimelineWire::new),
            correction: sheet.correction.as_ref().map(CorrectionWire::new),
            expected_piece_g: WeightWire::new(sheet.piece_g),
            tolerance_percent: 100.0 * facts.tolerance,
            tolerance_reached: facts.tolerance_reached,
            thin_share_percent: 100.0 * facts.thin_share,
            core_pockets: facts.pockets.iter().map(pocket).collect(),
            run: RunWire::new(sheet.plan.run),
            further_rounds: further(&sheet.plan),
            totals: totals(&sheet.plan),
            skin_by: sheet.plan.skin_by.as_str(),
            test_patch: sheet.plan.patch.as_ref().map(PatchWire::new),
            workshop: WorkshopWire::new(&sheet.plan.shop, &sheet.shop_told),
            scale_step_g: sheet.plan.shop.scale_step_g,
            allowances: Allowances::new(&sheet.plan.shop.allowances),
            cautions: sheet.plan.cautions.iter().map(|c| c.text.as_str()).collect(),
            warnings: warnings(&sheet.findings),
        }
    }
}

impl<'a> LayerWire<'a> {
    fn new(layer: &'a LayerPlan, sheet: &'a Sheet) -> Self {
        let (facts, slopes) = (&sheet.layers, &sheet.plan.slopes);
        let level = |fill_mm: Option<f64>, net_g_per_mm_level| {
            let below_lip_mm = fill_mm.map(|height| sheet.cavity.under_lip_mm(height));
            let below_lip_in = below_lip_mm.map(|mm| InchFraction::nearest(mm).to_string());
            Some(Level { fill_mm, below_lip_mm, below_lip_in, net_g_per_mm_level })
        };
        let (skin, level) = match layer.layer {
            Layer::Skin => (Some(Skin::new(layer, facts, slopes)), None),
            Layer::Core => (None, level(facts.core_mark_mm, slopes.core_g_per_mm)),
            Layer::Cap => (None, level(facts.cap_mark_mm(), slopes.cap_g_per_mm)),
        };
        Self {
            name: layer.layer.as_str(),
            volume: Volume::new(layer.volume_mm3),
            density_g_cm3: layer.density_g_cm3,
            dose: DoseWire::new(&layer.dose),
            skin,
            level,
            system: &layer.system_id,
            system_title: &layer.system_title,
            softener_parts: layer.softener.as_f64(),
            hardness: layer.hardness.as_ref().map(HardnessWire::new),
        }
    }
}

impl<'a> Skin<'a> {
    fn new(layer: &'a LayerPlan, facts: &LayerFacts, slopes: &sheet::Slopes) -> Self {
        let coats = layer.coats.iter().map(|coat| Coat {
            thickness_mm: coat.thickness_mm,
            volume: Volume::new(coat.volume_mm3),
            dose: DoseWire::new(&coat.dose),
            flange_volume_cm3: cm3(coat.flange_mm3),
            thickened: coat.thickened,
            tinted: coat.tinted,
            stands_mm: coat.stands_mm,
            yield_stress_pa: coat.yield_stress_pa,
            g_per_100_cm2_wall: coat.g_per_100_cm2,
        });
        Self {
            coats: coats.collect(),
            thickness_mm: facts.skin_mm,
            flange_volume_cm3: cm3(layer.flange_mm3),
            area_times_thickness_cm3: cm3(facts.area_times_thickness_mm3),
            area_times_thickness_off_percent: facts.area_times_thickness_off_percent,
            g_per_100_cm2_wall: layer.coats.iter().map(|c| c.g_per_100_cm2).sum(),
            net_g_per_0_1_mm: slopes.skin_g_per_tenth_mm,
        }
    }
}

impl HardnessWire {
    fn new(hardness: &Hardness) -> Self {
        Self { shore: hardness.scale.as_str(), reading: hardness.reading }
    }
}

impl Water {
    fn new(check: &WaterCheck) -> Self {
        let (scaled_by, below_lip_mm) = match check.change {
            Change::Nothing => (None, None),
            Change::Size(factor) => (Some(factor), None),
            Change::Level(mm) => (None, Some(mm)),
        };
        Self {
            weighed: check.weighing.what(),
            volume_cm3: cm3(check.volume_mm3()),
            computed_cm3: cm3(check.computed_mm3.best()),
            difference_percent: check.difference_percent(),
            means: check.means().map(WeighingMeans::as_str),
            scaled_by,
            below_lip_mm,
            within_limits: check.is_within_limits(),
        }
    }
}

impl Allowances {
    fn new(set: &sheet::Allowances) -> Self {
        Self {
            film_plain_mm: set.film_plain_mm,
            film_thickened_mm: set.film_thickened_mm,
            brush_g_per_coat: set.brush_g,
            levelling_mm: set.levelling_mm,
            skin_remainder_percent: 100.0 * set.skin_remainder,
            core_remainder_percent: 100.0 * set.core_remainder,
            cap_remainder_percent: 100.0 * set.cap_remainder,
            overspray_percent: 100.0 * set.overspray,
            slush_surplus_percent: 100.0 * set.slush_surplus,
            puck_cm3: set.puck_cm3,
            smallest_batch_g: set.smallest_batch_g,
            smallest_component_g: set.smallest_component_g,
            ratio_tolerance_percent: 100.0 * set.ratio_tolerance,
        }
    }
}
