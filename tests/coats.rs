//! Coats: what stands on a wall, what drains, what a test patch says, other ways to make a skin.

use cavigram::bounds::Bounds;
use cavigram::finding::{Finding, Severity};
use cavigram::materials::{Sourced, System};
use cavigram::plan::{
    AllowanceKind, CoatVolume, LayerVolumes, Plan, PlanError, PlanRequest, SkinBy, Stir, TwoPart,
    WallFacts, draining_film_mm, plan, yield_stress_pa,
};

#[path = "support/rubber.rs"]
mod rubber;

/// 250 cm² of wall, most of it steep, in coats of these thicknesses.
fn piece(coats_mm: &[f64]) -> LayerVolumes {
    let coat = |mm: &f64| CoatVolume {
        thickness_mm: *mm,
        volume_mm3: Bounds::exact(25_000.0 * mm),
        flange_mm3: 0.0,
    };
    let coats: Vec<CoatVolume> = coats_mm.iter().map(coat).collect();
    LayerVolumes {
        skin_mm3: coats.iter().map(|c| c.volume_mm3).sum(),
        coats,
        core_mm3: Bounds::exact(200_000.0),
        cap_mm3: Bounds::exact(40_000.0),
        inner_face_mm2: 25_000.0,
        level_area_mm2: 5_000.0,
        opening_area_mm2: 6_000.0,
        two_part: TwoPart::default(),
        wall: WallFacts {
            area_mm2: 25_000.0,
            floor_mm2: 5_000.0,
            steep_mm2: 20_000.0,
            overhanging_mm2: 0.0,
            depth_mm: 50.0,
        },
    }
}

fn planned(coats_mm: &[f64], system: System, change: fn(&mut PlanRequest)) -> Plan {
    let mut request = rubber::request(system);
    change(&mut request);
    plan(&piece(coats_mm), &request).unwrap()
}

fn finding<'a>(plan: &'a Plan, code: &str) -> Option<&'a Finding> {
    plan.findings.iter().find(|f| f.code == code)
}

/// Jeffreys 1930 (references B1): 1040 kg/m³, 50 mm down, 10 min; 3 Pa·s leave 0.157 mm, 30 Pa·s
/// 0.495 mm.
#[test]
fn a_film_drains_to_the_published_thickness() {
    assert!((draining_film_mm(3_000.0, 50.0, 1.04, 10.0) - 0.157).abs() < 0.0005);
    assert!((draining_film_mm(30_000.0, 50.0, 1.04, 10.0) - 0.495).abs() < 0.0005);
}

/// References B2: 1 mm at 1040 kg/m³ stands with 10.2 Pa.
#[test]
fn a_coat_stands_with_the_published_yield_stress() {
    assert!((yield_stress_pa(1.0, 1.04) - 10.2).abs() < 0.05);
}

#[test]
fn a_coat_too_thick_is_told_with_the_list_that_stands() {
    let one = planned(&[2.0], rubber::full(), |_| {});
    let told = finding(&one, "coat-runs").unwrap();
    assert_eq!(told.severity, Severity::Warning);
    let hint = told.hint.as_ref().unwrap();
    assert!(hint.contains("--coats 0.4mm,0.8mm,0.8mm"), "{hint}");
    assert!(hint.contains("turn the mould while it gels"), "{hint}");
    // The list that it gives stands.
    let listed = planned(&[0.4, 0.8, 0.8], rubber::full(), |_| {});
    assert!(finding(&listed, "coat-runs").is_none());
    // A skin of 2.5 mm comes out at 0.4 and three coats of 0.7 mm.
    let thick = planned(&[2.5], rubber::full(), |_| {});
    let hint = finding(&thick, "coat-runs").unwrap().hint.as_ref().unwrap();
    assert!(hint.contains("--coats 0.4mm,0.7mm,0.7mm,0.7mm"), "{hint}");
    // Without steep wall nothing runs.
    let mut lying = piece(&[2.0]);
    lying.wall.steep_mm2 = 0.0;
    let lying = plan(&lying, &rubber::request(rubber::full())).unwrap();
    assert!(finding(&lying, "coat-runs").is_none());
}

#[test]
fn a_thin_mix_of_unknown_build_is_told_what_it_leaves() {
    let mut system = rubber::bare();
    assert!(finding(&planned(&[2.0], system.clone(), |_| {}), "coat-stand-unknown").is_some());
    system.viscosity_mpa_s = Some(Sourced::bare(3_000.0));
    system.times.gel_minutes = Some(Sourced::bare(10.0));
    let plan = planned(&[2.0], system, |_| {});
    let told = finding(&plan, "coat-runs").unwrap();
    assert!(told.message.contains("0.16 mm are left 50 mm below"), "{}", told.message);
    assert!(told.message.contains("20 Pa"), "{}", told.message);
}

#[test]
fn build_coats_are_thickened_and_every_second_one_tinted() {
    let plan = planned(&[0.4, 0.8, 0.8], rubber::full(), |_| {});
    let coats = &plan.layers[0].coats;
    assert_eq!(coats.iter().map(|c| c.thickened).collect::<Vec<_>>(), [false, true, true]);
    assert_eq!(coats.iter().map(|c| c.tinted).collect::<Vec<_>>(), [false, true, false]);
    // 250 cm² at 50 and 80 cm²/min (references B5).
    let minutes: Vec<f64> = coats.iter().map(|c| c.dose.work.unwrap().laying_minutes).collect();
    assert_eq!(minutes, [5.0, 3.125, 3.125]);
    let none = planned(&[0.4, 0.8, 0.8], rubber::full(), |r| {
        r.coating.thicken = Stir::None;
        r.coating.tint = Stir::None;
    });
    assert!(none.layers[0].coats.iter().all(|c| !c.thickened && !c.tinted));
    let much = planned(&[0.4, 1.6], rubber::full(), |r| r.coating.thicken = Stir::Percent(9.0));
    assert!(finding(&much, "additive-outside").unwrap().message.contains("9 % of thickener"));
}

/// 20.8 g on 100 cm² at 1.04 g/cm³ are 2 mm (references B3).
#[test]
fn a_test_patch_tells_what_this_hand_lays() {
    let patched = |typed: &str| {
        let mut request = rubber::request(rubber::bare());
        request.coating.patch = Some(typed.parse().unwrap());
        plan(&piece(&[2.0]), &request).unwrap()
    };
    let as_planned = patched("20.8g@100cm2");
    let told = as_planned.patch.unwrap();
    assert!((told.thickness_mm - 2.0).abs() < 1e-9 && told.off_percent().abs() < 1e-9);
    assert!((told.skin_net_g - as_planned.layers[0].dose.net_g).abs() < 1e-9);
    assert_eq!(finding(&as_planned, "test-patch").unwrap().severity, Severity::Note);
    // Half as thick: 10 × 0.1 mm less on 250 cm² of inner face, 26 g.
    let thin = patched("2.08g@20cm2");
    let less = as_planned.layers[0].dose.net_g - thin.patch.unwrap().skin_net_g;
    assert!((less - 26.0).abs() < 1e-9, "{less}");
    assert_eq!(finding(&thin, "test-patch").unwrap().severity, Severity::Warning);
}

#[test]
fn other_ways_lose_other_things_once() {
    let kinds = |by: SkinBy| {
        let mut request = rubber::request(rubber::full());
        request.coating.by = by;
        let plan = plan(&piece(&[2.0]), &request).unwrap();
        assert_eq!(plan.layers[0].coats[0].thickened, by == SkinBy::Brush);
        plan.layers[0].dose.allowances.iter().map(|a| a.kind).collect::<Vec<_>>()
    };
    use AllowanceKind::{Brush, CupFilm, DrainedBack, Overspray, Remainder};
    assert_eq!(kinds(SkinBy::Brush), [Brush, Remainder, CupFilm]);
    assert_eq!(kinds(SkinBy::Slush), [DrainedBack, Remainder, CupFilm]);
    assert_eq!(kinds(SkinBy::Spray), [Overspray, Remainder, CupFilm]);
    assert_eq!(kinds(SkinBy::Former), [Remainder, CupFilm]);
    let mut request = rubber::request(rubber::full());
    request.coating.by = SkinBy::Former;
    let error = plan(&piece(&[1.0, 1.0]), &request).unwrap_err();
    assert_eq!(error, PlanError::CoatsRoundAFormer { coats: 2 });
}
