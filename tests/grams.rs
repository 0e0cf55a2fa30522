//! From typed-in volumes to grams: net, allowances, components on the scale, findings.
//!
//! Sources are named beside each check ("references" is the list of facts in docs); "common
//! practice" has none.

use cavigram::bounds::Bounds;
use cavigram::finding::Severity;
use cavigram::materials::{Additives, Hazard, Mix, MixError, Parts, Shore, System, builtin};
use cavigram::plan::{
    Allowance, AllowanceKind, Allowances, CoatVolume, Dose, Layer, LayerVolumes, Plan, PlanError,
    PlanRequest, Recipe, Shop, TwoPart, WallFacts, Weighed, plan, wetted_area_mm2,
    wetted_cup_area_mm2, yield_stress_pa,
};
use proptest::prelude::*;
use std::sync::LazyLock;

#[path = "support/rubber.rs"]
mod rubber;

/// The usual request, with nothing to stir in.
static TYPICAL: LazyLock<PlanRequest> = LazyLock::new(|| rubber::request(rubber::bare()));

fn without_allowances() -> PlanRequest {
    PlanRequest {
        shop: Shop { allowances: Allowances::NONE, ..Shop::default() },
        ..TYPICAL.clone()
    }
}

fn cm3(volume: f64) -> Bounds {
    Bounds::exact(1000.0 * volume)
}

fn coat(thickness_mm: f64, volume_cm3: f64) -> CoatVolume {
    CoatVolume { thickness_mm, volume_mm3: cm3(volume_cm3), flange_mm3: 0.0 }
}

/// A piece of 300 cm³: 2 mm skin on 250 cm² of wall, an opening of 60 cm².
fn piece() -> LayerVolumes {
    LayerVolumes {
        skin_mm3: cm3(48.0),
        coats: vec![coat(2.0, 48.0)],
        core_mm3: cm3(235.0),
        cap_mm3: cm3(17.0),
        inner_face_mm2: 23_000.0,
        level_area_mm2: 5_500.0,
        opening_area_mm2: 6_000.0,
        wall: WallFacts::default(),
        two_part: TwoPart::default(),
    }
}

fn only_core(volume_cm3: f64) -> LayerVolumes {
    LayerVolumes {
        skin_mm3: Bounds::ZERO,
        coats: vec![],
        core_mm3: cm3(volume_cm3),
        cap_mm3: Bounds::ZERO,
        inner_face_mm2: 0.0,
        level_area_mm2: 0.0,
        opening_area_mm2: 0.0,
        wall: WallFacts::default(),
        two_part: TwoPart::default(),
    }
}

/// A system of two components with these parts.
fn system(a: &str, b: &str, by: &str, density_a: f64, density_b: f64) -> System {
    let toml = format!(
        "id = \"s\"\ntitle = \"s\"\nfamily = \"urethane\"\nratio = \"{by}\"\n\
         [[components]]\nname = \"A\"\nparts = \"{a}\"\ndensity_g_cm3 = {density_a}\n\
         [[components]]\nname = \"B\"\nparts = \"{b}\"\ndensity_g_cm3 = {density_b}\n"
    );
    System::from_toml(&toml).unwrap()
}

fn grams(dose: &Dose) -> Vec<f64> {
    dose.components.iter().map(|c| c.grams).collect()
}

fn allowance(dose: &Dose, kind: AllowanceKind) -> f64 {
    dose.allowances.iter().filter(|a| a.kind == kind).map(|a| a.grams).sum()
}

fn core(plan: &Plan) -> &Dose {
    &plan.layers[1].dose
}

fn core_of(plan: &Plan) -> &Dose {
    core(plan)
}

fn on_a_scale(step_g: f64, request: PlanRequest) -> PlanRequest {
    PlanRequest { shop: Shop { scale_step_g: step_g, ..request.shop }, ..request }
}

fn codes(plan: &Plan) -> Vec<&str> {
    plan.findings.iter().map(|f| f.code).collect()
}

/// Grams of a core of `system` on a scale, nothing allowed for.
fn weigh(system: System, required_g: f64, step_g: f64) -> Dose {
    try_weigh(system, required_g, step_g).unwrap()
}

fn try_weigh(mut system: System, required_g: f64, step_g: f64) -> Result<Dose, PlanError> {
    // Without a working time it is one batch.
    system.times.working_minutes = None;
    let density = Mix::new(&system, Parts::ZERO).unwrap().density_g_cm3;
    let request = PlanRequest { core: Recipe::plain(system), ..without_allowances() };
    let plan = plan(&only_core(required_g / density), &on_a_scale(step_g, request))?;
    Ok(core(&plan).clone())
}

#[track_caller]
fn near(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected} ± {tolerance}");
}

// ---- published values ----

/// A cup 8.5 cm across wetted 9 cm high has 297 cm²; a film of 0.3 mm on it is 8.9 cm³
/// (references, Q2).
#[test]
fn film_in_a_cup() {
    let area_mm2 = wetted_area_mm2(85.0, 90.0);
    near(area_mm2 / 100.0, 297.0, 0.5);
    near(area_mm2 * 0.3 / 1000.0, 8.9, 0.05);
    // A litre: d = (4/π)^(1/3) = 1.0838521 dm, 5/4·π·d² = 4.6131754 dm² (in 30-digit decimals).
    near(wetted_cup_area_mm2(1e6) / 1e4, 4.6131754, 1e-7);
}

/// 2 mm at 1.04 g/cm³ are 20.8 g per 100 cm² (references, B3).
#[test]
fn grams_of_a_coat_on_100_cm2() {
    let plan = plan(&piece(), &TYPICAL).unwrap();
    near(plan.layers[0].coats[0].g_per_100_cm2, 20.8, 1e-9);
}

/// At 1040 kg/m³ 1 mm stands with 10.2 Pa and 2 mm with 20.4 Pa (references, B2).
#[test]
fn yield_stress_of_a_standing_coat() {
    near(yield_stress_pa(1.0, 1.04), 10.2, 0.05);
    near(yield_stress_pa(2.0, 1.04), 20.4, 0.05);
    let plan = plan(&piece(), &TYPICAL).unwrap();
    near(plan.layers[0].coats[0].yield_stress_pa, 20.4, 0.05);
}

/// Half a step of a 0.1 g scale on 100:3 is 8.6 % of the smaller component in a 20 g batch, 1.7 %
/// in 100 g (references, B4; there 20 and 100 g exactly, here the next that the scale can show).
#[test]
fn reading_error_on_a_hundred_to_three() {
    let system = || system("100", "3", "weight", 1.0, 1.0);
    for (batch_g, published_percent) in [(20.0, 8.6), (100.0, 1.7)] {
        let dose = weigh(system(), batch_g, 0.1);
        let exact = 100.0 * 0.05 / (batch_g * 3.0 / 103.0);
        near(exact, published_percent, 0.05);
        near(dose.reading_error_percent, exact, 0.06 * exact);
    }
}

/// 1:1 by volume of 1.02 and 1.12 is 100 : 109.804 by mass (references, U6).
#[test]
fn parts_by_volume_in_grams() {
    let dose = weigh(builtin("urethane-a20-by-volume").unwrap(), 209.804, 0.001);
    near(dose.components[0].grams, 100.0, 0.02);
    near(dose.components[1].grams, 109.804, 0.02);
    near(dose.components[1].grams / dose.components[0].grams, 1.09804, 1e-5);
    assert_eq!(dose.components[0].parts, dose.components[1].parts);
}

/// The bowl of R 8 cm with a 0.3 cm skin and a 0.5 cm cap: 116.16981, 863.15886 and 93.00161 cm³
/// (references, G21), at 1.04 and, softened 1:1:2 with 0.97, 4/(2/1.04 + 2/0.97) g/cm³.
#[test]
fn net_grams_of_the_three_layer_bowl() {
    let bowl = LayerVolumes {
        skin_mm3: cm3(116.16981),
        coats: vec![coat(3.0, 116.16981)],
        core_mm3: cm3(863.15886),
        cap_mm3: cm3(93.00161),
        inner_face_mm2: 37_253.006,
        level_area_mm2: 18_600.322,
        opening_area_mm2: 20_106.193,
        wall: WallFacts::default(),
        two_part: TwoPart::default(),
    };
    let plan = plan(&bowl, &TYPICAL).unwrap();
    let [skin, core, cap] = &plan.layers;
    near(skin.dose.net_g, 120.8166, 1e-4);
    near(core.dose.net_g, 863.15886 * 1.003781, 1e-3);
    near(cap.dose.net_g, 96.7217, 1e-4);
    assert_eq!([skin.layer, core.layer, cap.layer], [Layer::Skin, Layer::Core, Layer::Cap]);
    // Slopes: half a ball of R 7.7, 2π·7.7² = 372.53006 cm², × 0.01 cm × 1.04; the cap's mean
    // section 93.00161/0.5 = 186.00322 cm² × 0.1 cm × density.
    near(plan.slopes.skin_g_per_tenth_mm, 3.874313, 1e-6);
    near(plan.slopes.cap_g_per_mm, 19.344335, 1e-6);
    near(plan.slopes.core_g_per_mm, 18.670652, 1e-5);
}

// ---- trade facts (common practice, no source) ----

#[test]
fn one_and_two_parts_of_softener_weigh_out_exactly() {
    for (softener, ratio) in [(1, [1.0, 1.0, 1.0]), (2, [1.0, 1.0, 2.0])] {
        for step_g in [0.01, 0.1, 0.5, 1.0, 5.0] {
            let firm = builtin("urethane-a5").unwrap();
            let request = PlanRequest {
                core: Recipe::for_core(firm, Some(Parts::whole(softener))),
                ..TYPICAL.clone()
            };
            let request = on_a_scale(step_g, request);
            let plan = plan(&piece(), &request).unwrap();
            let dose = core(&plan);
            // In weighing order, which is the system's own: told apart by name.
            let of = |name: &str| dose.components.iter().find(|c| c.name == name).unwrap();
            let unit = of("A").grams;
            for (name, parts) in ["A", "B", "softener"].into_iter().zip(ratio) {
                near(of(name).grams, parts * unit, 1e-9);
                near(of(name).parts.as_f64(), parts, 0.0);
            }
            assert_eq!(dose.ratio_error_percent, 0.0);
        }
    }
}

#[test]
fn the_usual_request_is_firm_skin_and_cap_and_a_softened_core() {
    let plan = plan(&piece(), &TYPICAL).unwrap();
    let [skin, core, cap] = &plan.layers;
    assert_eq!([&skin.system_id, &core.system_id, &cap.system_id], ["urethane-a5"; 3]);
    assert_eq!((skin.dose.components.len(), cap.dose.components.len()), (2, 2));
    assert_eq!(core.softener, Parts::whole(2));
    let hardness = core.hardness.unwrap();
    assert_eq!((hardness.scale, hardness.reading), (Shore::OO, 20.0));
    assert_eq!(skin.hardness.unwrap().reading, 5.0);
    assert_eq!(plan.shop.scale_step_g, 0.1);
    // A system that takes no softener is a core without one.
    let silicone = builtin("silicone-00-30").unwrap();
    assert!(Recipe::for_core(silicone, None).softener.is_zero());
}

// ---- allowances ----

/// Skin of 48 cm³, in 30-digit decimals: net 49.92, brush 8, remainder 4.992; the cup holds 62.912 g = 60.492
/// cm³, so it is 4.25471 cm wide and 71.0886 cm² wet; 0.3 mm of film there is 2.217964 g.
#[test]
fn allowances_of_a_single_coat() {
    let plan = plan(&piece(), &TYPICAL).unwrap();
    let dose = &plan.layers[0].dose;
    near(dose.net_g, 49.92, 1e-9);
    near(allowance(dose, AllowanceKind::Brush), 8.0, 1e-9);
    near(allowance(dose, AllowanceKind::Remainder), 4.992, 1e-9);
    near(allowance(dose, AllowanceKind::CupFilm), 2.217964, 1e-5);
    assert_eq!(allowance(dose, AllowanceKind::Levelling), 0.0);
    assert_eq!(dose.mix_g, 65.2);
    assert_eq!(grams(dose), [32.6, 32.6]);
    assert!(!plan.layers[0].coats[0].thickened);
    let reasons: Vec<_> = dose.allowances.iter().map(|a| a.reason.as_str()).collect();
    assert_eq!(reasons, ["8 g a coat", "10 % of net", "0.3 mm on 71 cm² of cup"]);
}

/// Cap of 17 cm³ under 60 cm² of opening: net 17.68, levelling 6 cm³ = 6.24 g, remainder 0.7072 g;
/// the core is not levelled.
#[test]
fn allowances_of_cap_and_core() {
    let plan = plan(&piece(), &TYPICAL).unwrap();
    let [_, core, cap] = &plan.layers;
    near(allowance(&cap.dose, AllowanceKind::Levelling), 6.24, 1e-9);
    near(allowance(&cap.dose, AllowanceKind::Remainder), 0.7072, 1e-9);
    assert_eq!(allowance(&cap.dose, AllowanceKind::Brush), 0.0);
    assert_eq!(allowance(&core.dose, AllowanceKind::Levelling), 0.0);
    near(allowance(&core.dose, AllowanceKind::Remainder), 0.04 * core.dose.net_g, 1e-9);
    let rest_g = 1.04 * core.dose.net_g;
    let area = wetted_cup_area_mm2(rest_g / core.density_g_cm3 * 1000.0);
    let film_g = 0.3 * area / 1000.0 * core.density_g_cm3;
    near(allowance(&core.dose, AllowanceKind::CupFilm), film_g, 1e-9);
}

#[test]
fn each_allowance_can_be_set_and_is_counted_once() {
    let bare = plan(&piece(), &without_allowances()).unwrap();
    let net: Vec<f64> = bare.layers.iter().map(|l| l.dose.net_g).collect();
    for (layer, net_g) in bare.layers.iter().zip(&net) {
        assert_eq!(layer.dose.allowances, []);
        assert!(layer.dose.mix_g >= *net_g && layer.dose.mix_g < net_g + 0.4 + 1e-9);
    }
    type Set = fn(&mut Allowances);
    let settings: [(Set, [f64; 3]); 5] = [
        (|a| a.brush_g = 5.0, [5.0, 0.0, 0.0]),
        (|a| a.levelling_mm = 2.0, [0.0, 0.0, 12.48]),
        (|a| a.skin_remainder = 0.2, [0.2 * net[0], 0.0, 0.0]),
        (|a| a.core_remainder = 0.2, [0.0, 0.2 * net[1], 0.0]),
        (|a| a.cap_remainder = 0.2, [0.0, 0.0, 0.2 * net[2]]),
    ];
    for (set, expected) in settings {
        let mut request = without_allowances();
        set(&mut request.shop.allowances);
        let plan = plan(&piece(), &request).unwrap();
        for (layer, expected) in plan.layers.iter().zip(expected) {
            let sum: f64 = layer.dose.allowances.iter().map(|a: &Allowance| a.grams).sum();
            near(sum, expected, 1e-9);
        }
    }
}

#[test]
fn several_coats_begin_with_a_plain_print_coat() {
    let mut volumes = piece();
    volumes.coats = vec![coat(0.4, 9.8), coat(0.8, 19.2), coat(0.8, 19.0)];
    let system = System { pigment: None, ..rubber::full() };
    let plan = plan(&volumes, &rubber::request(system)).unwrap();
    let skin = &plan.layers[0];
    assert_eq!(skin.coats.iter().map(|c| c.thickened).collect::<Vec<_>>(), [false, true, true]);
    assert!(skin.coats[0].dose.allowances.iter().any(|a| a.reason.starts_with("0.3 mm on")));
    assert!(skin.coats[1].dose.allowances.iter().any(|a| a.reason.starts_with("0.7 mm on")));
    // 0.4 mm at 1.04 g/cm³ on 100 cm²: 4.16 g (as B3).
    near(skin.coats[0].g_per_100_cm2, 4.16, 1e-9);
    // Thickened: 102/(100/1.04 + 2/2.2) less 3 % of air.
    let thick = 0.97 * 102.0 / (100.0 / 1.04 + 2.0 / 2.2);
    near(skin.coats[1].g_per_100_cm2, 8.0 * thick, 1e-9);
    near(skin.dose.net_g, 9.8 * 1.04 + 38.2 * thick, 1e-9);
    near(skin.density_g_cm3, skin.dose.net_g / 48.0, 1e-9);
    near(allowance(&skin.dose, AllowanceKind::Brush), 24.0, 1e-9);
    let of_coats: f64 = skin.coats.iter().map(|c| c.dose.mix_g).sum();
    near(skin.dose.mix_g, of_coats, 1e-9);
    assert_eq!(skin.dose.components.len(), 3);
    for component in &skin.dose.components {
        let same = |w: &&Weighed| w.name == component.name;
        let of_coat = |d: &Dose| d.components.iter().find(same).map_or(0.0, |w| w.grams);
        let of_coats: f64 = skin.coats.iter().map(|c| of_coat(&c.dose)).sum();
        near(component.grams, of_coats, 1e-9);
    }
    near(skin.volume_mm3.best(), 48_000.0, 1e-9);
}

#[test]
fn the_flange_counts_in_net_and_mix_but_not_in_the_cavity() {
    let mut volumes = piece();
    volumes.coats[0].flange_mm3 = 10_000.0;
    let with = plan(&volumes, &TYPICAL).unwrap();
    let without = plan(&piece(), &TYPICAL).unwrap();
    near(with.layers[0].dose.net_g - without.layers[0].dose.net_g, 10.4, 1e-9);
    assert!(with.layers[0].dose.mix_g > without.layers[0].dose.mix_g + 10.4);
    assert_eq!(with.layers[0].volume_mm3, without.layers[0].volume_mm3);
    assert_eq!(with.layers[0].flange_mm3, 10_000.0);
}

// ---- smallest batch, nothing at all ----

#[test]
fn a_batch_too_small_to_mix_is_raised_and_the_waste_told() {
    let mut volumes = piece();
    volumes.coats = vec![coat(2.0, 9.11)];
    let plan = plan(&volumes, &TYPICAL).unwrap();
    let dose = &plan.layers[0].dose;
    assert_eq!(dose.mix_g, 30.0);
    assert_eq!(grams(dose), [15.0, 15.0]);
    let asked_g = dose.net_g + dose.allowances.iter().map(|a| a.grams).sum::<f64>();
    near(dose.raised_g, 30.0 - asked_g, 1e-9);
    let raised = plan.findings.iter().find(|f| f.code == "smallest-batch").unwrap();
    assert_eq!(raised.severity, Severity::Warning);
    assert!(raised.message.starts_with("skin: "), "{}", raised.message);
    assert!(raised.message.contains(&format!("{:.1} g are waste", dose.raised_g)));
}

#[test]
fn layers_without_volume_have_nothing_to_weigh() {
    let nothing =
        LayerVolumes { coats: vec![coat(2.0, 0.0)], opening_area_mm2: 6000.0, ..only_core(0.0) };
    let plan = plan(&nothing, &TYPICAL).unwrap();
    for layer in &plan.layers {
        assert!(layer.dose.is_empty());
        assert_eq!(layer.dose, Dose::default());
        assert!(layer.density_g_cm3 > 0.9);
    }
    assert!(plan.layers[0].coats[0].dose.is_empty());
    assert!(plan.findings.is_empty());
    assert_eq!(plan.cautions.len(), 1, "only the general one");
}

#[test]
fn a_coat_without_volume_is_left_out_of_the_skin() {
    let mut volumes = piece();
    volumes.coats = vec![coat(0.4, 9.8), coat(0.8, 0.0)];
    let plan = plan(&volumes, &TYPICAL).unwrap();
    assert!(plan.layers[0].coats[1].dose.is_empty());
    assert_eq!(plan.layers[0].dose.components, plan.layers[0].coats[0].dose.components);
    // No build coat, no thickener, no dust.
    assert!(plan.cautions.iter().all(|c| c.hazard != Some(Hazard::Dust)));
}

#[test]
fn what_rounding_leaves_of_a_difference_is_nothing() {
    let mut volumes = piece();
    volumes.cap_mm3 = Bounds::new(-1e-3, 1e-7, 1e-3);
    assert!(plan(&volumes, &TYPICAL).unwrap().layers[2].dose.is_empty());
    volumes.cap_mm3 = Bounds::new(-1e-3, -1e-7, 1e-3);
    assert!(plan(&volumes, &TYPICAL).unwrap().layers[2].dose.is_empty());
}

// ---- foam ----

/// A foam fills its space: grams are volume × moulded density.
#[test]
fn a_pour_that_may_be_nothing_and_shows_on_no_scale_is_left_out() {
    // 1.5 mm³ is 1.5 mg; with a lower limit over 0 there is something to fill.
    for (low, absent) in [(0.0, true), (0.5, false)] {
        let volumes = LayerVolumes { core_mm3: Bounds::new(low, 1.5, 73.0), ..piece() };
        let plan = plan(&volumes, &TYPICAL).unwrap();
        assert_eq!(core(&plan).is_empty(), absent, "{low}");
    }
}

#[test]
fn the_skins_own_limits_are_kept() {
    let skin_mm3 = Bounds::new(47_000.0, 48_000.0, 49_000.0);
    let plan = plan(&LayerVolumes { skin_mm3, ..piece() }, &TYPICAL).unwrap();
    assert_eq!(plan.layers[0].volume_mm3, skin_mm3);
}

#[test]
fn a_tacky_core_is_covered_by_the_cap_or_by_a_skin_all_round() {
    let severity = |volumes: &LayerVolumes| {
        let plan = plan(volumes, &TYPICAL).unwrap();
        plan.findings.iter().find(|f| f.code == "tacky").map(|f| f.severity)
    };
    let bare = LayerVolumes { cap_mm3: Bounds::ZERO, ..piece() };
    let all_round = LayerVolumes { opening_area_mm2: 0.0, level_area_mm2: 0.0, ..bare.clone() };
    assert_eq!(severity(&piece()), Some(Severity::Note));
    assert_eq!(severity(&bare), Some(Severity::Warning));
    assert_eq!(severity(&all_round), Some(Severity::Note));
}

#[test]
fn a_foam_can_not_be_brushed() {
    let foam = builtin("foam-flexible").unwrap();
    let request = PlanRequest { skin: Recipe::plain(foam), ..TYPICAL.clone() };
    let plan = plan(&piece(), &request).unwrap();
    assert!(plan.layers[0].expands && !plan.layers[1].expands);
    assert!(codes(&plan).contains(&"foam-brushed"), "{:?}", codes(&plan));
    assert!(!codes(&plan).contains(&"foam-vent"));
}

#[test]
fn a_foam_core_weighs_its_moulded_density() {
    let request = PlanRequest {
        core: Recipe::for_core(builtin("foam-flexible").unwrap(), None),
        ..TYPICAL.clone()
    };
    let mut volumes = piece();
    volumes.core_mm3 = cm3(900.0);
    let plan = plan(&volumes, &request).unwrap();
    near(core(&plan).net_g, 90.0, 1e-9);
    assert_eq!(plan.layers[1].density_g_cm3, 0.10);
    // 55 cm² of level × 0.1 cm × 0.10 g/cm³.
    near(plan.slopes.core_g_per_mm, 0.55, 1e-9);
    // The cup holds liquid: 93.6 g of 140/(100/1.03 + 40/1.2) = 1.07327 g/cm³.
    let liquid = 140.0 / (100.0 / 1.03 + 40.0 / 1.2);
    let film_g = 0.3 * wetted_cup_area_mm2(93.6 / liquid * 1000.0) / 1000.0 * liquid;
    near(allowance(core(&plan), AllowanceKind::CupFilm), film_g, 1e-9);
    // Levelled over 60 cm², a foam cap needs 6 cm³ more of foam, not of liquid: 0.6 g.
    let foam_cap = PlanRequest { cap: request.core.clone(), ..request.clone() };
    let levelled = cavigram::plan::plan(&volumes, &foam_cap).unwrap();
    near(allowance(&levelled.layers[2].dose, AllowanceKind::Levelling), 0.6, 1e-9);
    let vent = plan.findings.iter().find(|f| f.code == "foam-vent").unwrap();
    assert!(vent.message.contains("90.0 g of foam expand to fill 900.0 cm³"), "{}", vent.message);
    assert!(vent.hint.as_ref().unwrap().contains("vented lid"));
    assert!(plan.cautions.iter().any(|c| c.hazard == Some(Hazard::Expansion)));
}

// ---- the scale ----

#[test]
fn a_scale_too_coarse_for_the_ratio_is_told_with_the_way_out() {
    let request = PlanRequest {
        core: Recipe::plain(system("10", "1", "weight", 1.0, 1.0)),
        ..without_allowances()
    };
    let request = on_a_scale(1.0, request);
    let plan = plan(&only_core(34.0), &request).unwrap();
    let dose = core(&plan);
    // Totals 34 to 38: 3.09, 3.18, 3.27, 3.36, 3.45 of B are wanted; 3 of 34 is nearest, 2.94 % off.
    assert_eq!(grams(dose), [31.0, 3.0]);
    near(dose.ratio_error_percent, 100.0 / 34.0, 1e-9);
    let coarse = plan.findings.iter().find(|f| f.code == "scale-too-coarse").unwrap();
    assert!(coarse.message.contains("2.9 % off"), "{}", coarse.message);
    assert!(coarse.hint.as_ref().unwrap().contains("44 g is the next exact mix"));
}

#[test]
fn a_small_component_read_too_coarsely_is_told() {
    // 20 g of 100:3 hold 0.6 g: half a step of 0.1 g is over 8 % of it (as B4).
    let request = PlanRequest {
        core: Recipe::plain(system("100", "3", "weight", 1.0, 1.0)),
        ..without_allowances()
    };
    let plan = plan(&only_core(20.6), &request).unwrap();
    assert_eq!(grams(core(&plan)), [20.0, 0.6]);
    let coarse = plan.findings.iter().find(|f| f.code == "scale-too-coarse").unwrap();
    assert!(coarse.message.contains("0.6 g of B; half a step is 8.3 %"), "{}", coarse.message);
}

/// At 2 % a scale of 0.1 g weighs 100:3 from 2.5 g of the smaller component, 85.83 g in all; in
/// 100 g half a step is 1.7 % (references B4).
#[test]
fn a_batch_is_raised_until_the_scale_weighs_the_ratio() {
    let core_of = |cm3: f64, step_g: f64| {
        let core = Recipe::plain(system("100", "3", "weight", 1.0, 1.0));
        let request = on_a_scale(step_g, PlanRequest { core, ..TYPICAL.clone() });
        plan(&only_core(cm3), &request).unwrap()
    };
    let raised = core_of(40.0, 0.1);
    let dose = core(&raised);
    near(dose.mix_g, 85.83, 1.1);
    assert!(dose.mix_g >= 2.5 * 103.0 / 3.0 && dose.reading_error_percent <= 2.0);
    let told = raised.findings.iter().find(|f| f.code == "smallest-batch").unwrap();
    assert!(told.message.contains("weighs B to 2 %"), "{}", told.message);
    assert_eq!(told.hint.as_deref(), Some("weigh on a scale with steps of 0.05 g"));
    // On a finer scale nothing is raised: 5 g of the smallest component is advice only.
    let fine = core_of(40.0, 0.01);
    assert_eq!(core(&fine).raised_g, 0.0);
    assert!(codes(&fine).contains(&"small-component"));
    assert_eq!(core(&core_of(100.0, 0.1)).raised_g, 0.0);
}

/// What a scale can't show is refused, with the mix and the scale that would do.
#[test]
fn a_trace_component_that_rounds_to_nothing_is_refused() {
    let error = try_weigh(system("10000", "1", "weight", 1.0, 1.0), 40.0, 0.1).unwrap_err();
    let text = error.to_string();
    assert!(text.contains("B would round to nothing on a scale with steps of 0.1 g"), "{text}");
    // Half a step of 0.1 g in one part of 10001.
    assert!(text.contains("500.1 g of mix"), "{text}");
    assert!(error.hint().unwrap().contains("steps of 0.001 g"), "{:?}", error.hint());
}

// ---- additives ----

#[test]
fn additives_leave_the_ratio_alone_and_come_last() {
    let system = rubber::full();
    let core = Recipe::softened(system, Parts::whole(1))
        .with(Additives { thickener_percent: 2.0, pigment_percent: 0.2 });
    let plan = plan(&only_core(100.0), &PlanRequest { core, ..TYPICAL.clone() }).unwrap();
    let batch = &core_of(&plan).batch;
    let names: Vec<_> = batch.iter().map(|w| w.name.as_str()).collect();
    assert_eq!(names, ["A", "B", "softener", "powder", "paste"]);
    assert_eq!((batch[0].grams, batch[1].grams), (batch[2].grams, batch[2].grams));
    let base_g = 3.0 * batch[0].grams;
    near(batch[3].grams, 0.02 * base_g, 0.05);
    // 0.2 g is two steps of the scale, so drops are counted: 0.03 g each.
    let drops = batch[4].drops.unwrap();
    near(f64::from(drops), 0.002 * base_g / 0.03, 0.5);
    near(batch[4].grams, 0.03 * f64::from(drops), 1e-12);
    assert_eq!(core_of(&plan).ratio_error_percent, 0.0);
    near(batch[3].parts.as_f64(), 0.06, 1e-9);
}

#[test]
fn the_weighing_order_is_the_systems() {
    let mut system = rubber::full();
    system.weighing_order = vec!["B".into(), "powder".into()];
    let core =
        Recipe::plain(system).with(Additives { thickener_percent: 2.0, pigment_percent: 0.0 });
    let plan = plan(&only_core(100.0), &PlanRequest { core, ..TYPICAL.clone() }).unwrap();
    let names: Vec<_> = core_of(&plan).batch.iter().map(|w| w.name.as_str()).collect();
    assert_eq!(names, ["B", "powder", "A"]);
}

#[test]
fn an_additive_that_the_scale_does_not_show_is_refused_or_counted() {
    let mut system = rubber::full();
    let recipe = |system: &System, pigment_percent: f64, thickener_percent: f64| {
        let additives = Additives { thickener_percent, pigment_percent };
        let core = Recipe::plain(system.clone()).with(additives);
        plan(&only_core(20.0), &on_a_scale(1.0, PlanRequest { core, ..TYPICAL.clone() }))
    };
    let drops = core_of(&recipe(&system, 0.2, 0.0).unwrap()).batch[2].drops;
    assert!(drops.is_some());
    system.pigment.as_mut().unwrap().grams_per_drop = None;
    let error = recipe(&system, 0.2, 0.0).unwrap_err();
    assert!(error.to_string().contains("paste would round to nothing"), "{error}");
    assert!(error.hint().unwrap().contains("leave it out"));
    let error = recipe(&system, 0.0, 0.5).unwrap_err();
    assert!(error.to_string().contains("powder would round to nothing"), "{error}");
    let none = Mix::with_additives(
        &rubber::bare(),
        Parts::ZERO,
        Additives { thickener_percent: 1.0, pigment_percent: 0.0 },
    );
    assert_eq!(none, Err(MixError::NoThickener { system: "urethane-a5".into() }));
}

/// ρ = Σm/Σ(m/ρ): 100 of 1.02, 50 of 1.12 and 50 of softener 0.97 come to 1.029715 g/cm³
/// (references U6); 4 of powder, 2.2 g/cm³, more and 3 % of air.
#[test]
fn additives_count_in_the_density_and_hold_air() {
    let mut mixed = system("100", "50", "weight", 1.02, 1.12);
    mixed.softener = rubber::bare().softener;
    mixed.thickener = Some(rubber::thickener());
    let softened = Mix::new(&mixed, Parts::whole(50)).unwrap();
    near(softened.density_g_cm3, 1.029715, 1e-6);
    near(Mix::new(&mixed, Parts::ZERO).unwrap().density_g_cm3, 1.051288, 1e-6);
    let additives = Additives { thickener_percent: 2.0, pigment_percent: 0.0 };
    let thick = Mix::with_additives(&mixed, Parts::whole(50), additives).unwrap();
    let airless = 204.0 / (200.0 / 1.029_715_4 + 4.0 / 2.2);
    near(thick.density_g_cm3, 0.97 * airless, 1e-6);
    near(thick.parts.iter().map(|p| p.mass_share).sum(), 1.0, 1e-12);
}

// ---- softness and cautions ----

#[test]
fn softness_findings_follow_the_measured_points() {
    let with = |softener: &str| {
        let firm = builtin("urethane-a5").unwrap();
        let core = Recipe::for_core(firm, Some(softener.parse().unwrap()));
        // A cap that is no smaller than a batch mixes well.
        let volumes = LayerVolumes { cap_mm3: cm3(40.0), ..piece() };
        plan(&volumes, &PlanRequest { core, ..TYPICAL.clone() }).unwrap()
    };
    assert_eq!(codes(&with("0")), [""; 0]);
    assert_eq!(codes(&with("1")), [""; 0]);
    assert_eq!(codes(&with("3/2")), ["hardness-interpolated", "tacky"]);
    assert_eq!(codes(&with("2")), ["tacky"]);
    let beyond = with("3");
    assert_eq!(codes(&beyond), ["hardness-outside", "tacky"]);
    assert_eq!(beyond.findings[0].severity, Severity::Warning);
    // Under a firm skin and cap a tacky core is only worth knowing; bare it is a warning.
    assert_eq!(beyond.findings[1].severity, Severity::Note);
    let bare = plan(&only_core(200.0), &TYPICAL).unwrap();
    let tacky = bare.findings.iter().find(|f| f.code == "tacky").unwrap();
    assert_eq!(tacky.severity, Severity::Warning);
}

#[test]
fn cautions_come_from_the_systems_that_are_poured() {
    let silicone = builtin("silicone-00-30").unwrap();
    let request = PlanRequest { core: Recipe::plain(silicone), ..TYPICAL.clone() };
    let hazards = |plan: &Plan| plan.cautions.iter().filter_map(|c| c.hazard).collect::<Vec<_>>();
    let all = plan(&piece(), &request).unwrap();
    assert_eq!(
        hazards(&all),
        [Hazard::Isocyanate, Hazard::Exotherm, Hazard::CureInhibition, Hazard::Vacuum]
    );
    let bare = plan(&only_core(200.0), &request).unwrap();
    assert_eq!(hazards(&bare), [Hazard::CureInhibition, Hazard::Vacuum]);
}

#[test]
fn softener_without_a_measured_point_is_told() {
    let mut core = TYPICAL.core.clone();
    core.system.softener.as_mut().unwrap().points.clear();
    core.system.hardness = None;
    let plan = plan(&piece(), &PlanRequest { core, ..TYPICAL.clone() }).unwrap();
    assert!(codes(&plan).contains(&"hardness-unknown"));
    assert_eq!(plan.layers[1].hardness, None);
}

// ---- refusals ----

#[test]
fn softener_for_a_system_without_one_names_the_layer() {
    let mut request = TYPICAL.clone();
    request.core = Recipe::for_core(builtin("silicone-00-30").unwrap(), Some(Parts::whole(1)));
    let error = plan(&piece(), &request).unwrap_err();
    assert_eq!(error.to_string(), "core: system `silicone-00-30` has no softener");
    assert!(error.hint().unwrap().contains("0 parts"));
    let source = MixError::NoSoftener { system: "silicone-00-30".into() };
    assert_eq!(error, PlanError::Mix { layer: Layer::Core, source });
}

#[test]
fn numbers_out_of_range_are_refused_by_name() {
    type Spoil = fn(&mut LayerVolumes, &mut PlanRequest);
    let cases: [(Spoil, &str); 10] = [
        (|v, _| v.core_mm3 = Bounds::exact(-1.0), "core's volume"),
        (|v, _| v.cap_mm3 = Bounds::exact(f64::NAN), "cap's volume"),
        (|v, _| v.coats[0].volume_mm3 = Bounds::exact(f64::INFINITY), "volume of a coat"),
        (|v, _| v.coats[0].thickness_mm = -2.0, "coat's thickness"),
        (|v, _| v.inner_face_mm2 = f64::NAN, "skin's inner face"),
        (|v, _| v.opening_area_mm2 = -1.0, "opening's area"),
        (|_, r| r.shop.scale_step_g = 0.0, "scale's step"),
        (|_, r| r.shop.allowances.film_plain_mm = -0.1, "film of a plain mix"),
        (|_, r| r.shop.allowances.core_remainder = f64::NAN, "core's remainder"),
        (|_, r| r.shop.allowances.smallest_batch_g = -1.0, "smallest batch"),
    ];
    for (spoil, words) in cases {
        let (mut volumes, mut request) = (piece(), TYPICAL.clone());
        spoil(&mut volumes, &mut request);
        let error = plan(&volumes, &request).unwrap_err();
        assert!(matches!(error, PlanError::OutOfRange { .. }), "{error:?}");
        assert!(error.to_string().contains(words), "{error}");
    }
}

// ---- properties ----

/// Steps of scales that there are.
fn scale_step() -> impl Strategy<Value = f64> {
    prop::sample::select(vec![0.001, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0])
}

fn parts() -> impl Strategy<Value = String> {
    prop_oneof![
        (1_u32..=100).prop_map(|n| n.to_string()),
        (1_u32..=999).prop_map(|n| format!("{}", f64::from(n) / 10.0)),
        (1_u32..=12, 1_u32..=12).prop_map(|(n, d)| format!("{n}/{d}")),
    ]
}

fn density() -> impl Strategy<Value = f64> {
    (90_u32..=180).prop_map(|n| f64::from(n) / 100.0)
}

proptest! {
    /// What every mix must be, whatever the ratio, the scale and the amount.
    #[test]
    fn components_are_steps_of_the_scale_near_the_ratio(
        a in parts(),
        b in parts(),
        by in prop::sample::select(vec!["weight", "volume"]),
        densities in (density(), density()),
        step_g in scale_step(),
        required_g in 1.0..5000.0_f64,
    ) {
        let system = system(&a, &b, by, densities.0, densities.1);
        let shown = Mix::new(&system, Parts::ZERO).unwrap();
        let shown = shown.parts.iter().all(|p| p.mass_share * required_g >= step_g);
        let dose = match try_weigh(system, required_g, step_g) {
            Ok(dose) => dose,
            Err(error) => {
                // Only what the scale can't show may be refused.
                prop_assert!(matches!(error, PlanError::RoundsToNothing { .. }), "{error}");
                prop_assert!(!shown, "{error}");
                return Ok(());
            }
        };
        let sum: f64 = grams(&dose).iter().sum();
        prop_assert_eq!(dose.mix_g, sum);
        prop_assert!(dose.mix_g >= required_g * (1.0 - 1e-9));
        let mut steps_sum = 0.0;
        for component in &dose.components {
            let steps = component.grams / step_g;
            prop_assert!((steps - steps.round()).abs() < 1e-6, "{} of {step_g}", component.grams);
            prop_assert!(steps.round() >= 1.0);
            steps_sum += steps.round();
        }
        prop_assert!((steps_sum - dose.mix_g / step_g).abs() < 1e-6);

        // The ratio's error told is the true one, and within what one step on the smallest
        // component explains.
        let (a, b): (Parts, Parts) = (a.parse().unwrap(), b.parse().unwrap());
        let weight = |parts: Parts, density| {
            parts.as_f64() * if by == "volume" { density } else { 1.0 }
        };
        let (a, b) = (weight(a, densities.0), weight(b, densities.1));
        let shares = [a / (a + b), b / (a + b)];
        let off = |i: usize| {
            100.0 * (dose.components[i].grams / dose.mix_g / shares[i] - 1.0).abs()
        };
        prop_assert!((dose.ratio_error_percent - off(0).max(off(1))).abs() < 1e-6);
        let smallest_g = required_g * shares[0].min(shares[1]);
        prop_assert!(dose.ratio_error_percent <= 100.0 * step_g / smallest_g + 1e-9);

        // Rounding mixes no more than it may: 1 g, 1 % or two steps a component, and the steps
        // that it takes to reach a step at all.
        let extra_g = dose.mix_g - required_g;
        let allowed_g = (4.0 * step_g).max(1.0).max(0.01 * required_g) + 2.0 * step_g;
        prop_assert!(extra_g <= allowed_g, "{extra_g} over {required_g}");
    }

    /// Parts in, equal parts out, on any scale.
    #[test]
    fn equal_parts_come_out_equal(
        parts in parts(),
        step_g in scale_step(),
        required_g in 0.1..5000.0_f64,
    ) {
        let dose = weigh(system(&parts, &parts, "weight", 1.0, 1.2), required_g, step_g);
        prop_assert_eq!(dose.components[0].grams, dose.components[1].grams);
        prop_assert_eq!(dose.ratio_error_percent, 0.0);
    }

    /// Everything mixed is accounted for, once, in every layer and coat.
    #[test]
    fn net_allowances_raise_and_rounding_add_up_to_the_mix(
        coats in prop::collection::vec(0.0..200.0_f64, 0..4),
        core_cm3 in 0.0..2000.0_f64,
        cap_cm3 in 0.0..100.0_f64,
        opening_mm2 in 0.0..30_000.0_f64,
        step_g in scale_step(),
    ) {
        let volumes = LayerVolumes {
            skin_mm3: cm3(coats.iter().sum()),
            coats: coats.iter().map(|&v| coat(0.5, v)).collect(),
            core_mm3: cm3(core_cm3),
            cap_mm3: cm3(cap_cm3),
            inner_face_mm2: 23_000.0,
            level_area_mm2: opening_mm2,
            opening_area_mm2: opening_mm2,
            wall: WallFacts::default(),
            two_part: TwoPart::default(),
        };
        let plan = plan(&volumes, &on_a_scale(step_g, TYPICAL.clone())).unwrap();
        let of_layers = plan.layers.iter().map(|l| &l.dose);
        for dose in of_layers.chain(plan.layers[0].coats.iter().map(|c| &c.dose)) {
            let allowed: f64 = dose.allowances.iter().map(|a| a.grams).sum();
            let all = dose.net_g + allowed + dose.raised_g + dose.rounding_g;
            prop_assert!((all - dose.mix_g).abs() < 1e-6, "{all} {}", dose.mix_g);
            let sum: f64 = grams(dose).iter().sum();
            prop_assert_eq!(dose.mix_g, sum);
            prop_assert!(dose.is_empty() || dose.mix_g >= 30.0 - 1e-9);
        }
    }

    /// Net grams scale with the volume; the film with the cup's area, the power 2/3 of it.
    #[test]
    fn grams_scale_with_volume(volume_cm3 in 50.0..100.0_f64, times in 1.0..9.0_f64) {
        let one = plan(&only_core(volume_cm3), &TYPICAL).unwrap();
        let more = plan(&only_core(volume_cm3 * times), &TYPICAL).unwrap();
        let ratio = core(&more).net_g / core(&one).net_g;
        prop_assert!((ratio / times - 1.0).abs() < 1e-12);
        let film = |plan: &Plan| allowance(core(plan), AllowanceKind::CupFilm);
        prop_assert!((film(&more) / film(&one) / times.powf(2.0 / 3.0) - 1.0).abs() < 1e-9);
        let bare = without_allowances();
        let mix = |v| core(&plan(&only_core(v), &bare).unwrap()).mix_g;
        // 1:1:2 on 0.1 g comes in units of 0.4 g.
        prop_assert!((mix(volume_cm3 * times) - times * mix(volume_cm3)).abs() <= 0.4 * times + 1e-9);
    }
}
