//! Solids whose sizes stand in handbooks: the truth lies within the limits, always, and the value
//! near the truth. The closed forms and their sources stand beside each solid in `support::truth`;
//! G-numbers are those of docs/references.md.

mod support;

use std::f64::consts::PI;

use cavigram::cavity::CavityRequest;
use cavigram::layers::Layers;
use support::pipeline::{
    CLOSED, LEVEL, allowed_coat_reach, allowed_reach, cavity, holds, layers, miss, request,
};
use support::solids::{cuboid, revolved, roundness};
use support::truth::{
    self, Handbook, Span, handbook_ball, handbook_bowl, handbook_box, handbook_capsule,
    handbook_cylinder, handbook_frustum, handbook_half_ring, handbook_icosphere, handbook_l,
    handbook_pair, handbook_ring_prism, handbook_stepped, handbook_torus,
};

/// What the value may be off the truth on these solids, as a share of the cavity.
const VALUE_SHARE: f64 = 0.001;

fn request_of(book: &Handbook) -> CavityRequest {
    if book.open { LEVEL } else { CLOSED }
}

fn relative(value: f64, truth: f64) -> f64 {
    (value - truth).abs() / truth.abs().max(1.0)
}

/// The layers of one solid against its closed forms.
fn check(book: &Handbook, found: &Layers, t: f64, cap: f64, tolerance: f64) {
    let whole = book.volume.high;
    let unskinned = (book.unskinned)(t);
    let cap_truth = (book.cap)(t, cap);
    let tag = format!("{}, skin {t}, cap {cap}, tolerance {tolerance}", book.name);
    assert!(found.tolerance_reached, "{tag}: tolerance not reached");
    for (what, limits, truth) in [
        ("skin", found.skin_mm3, unskinned.left_of(book.volume)),
        ("core", found.core_mm3, cap_truth.left_of(unskinned)),
        ("cap", found.cap_mm3, cap_truth),
    ] {
        assert!(holds(&limits, truth), "{tag}: {what} {limits:?} misses {truth:?}");
        let off = miss(limits.best(), truth) / whole;
        assert!(off <= VALUE_SHARE, "{tag}: {what} {limits:?} is {off} off {truth:?}");
        let allowed = allowed_reach(limits.best(), whole, tolerance);
        assert!(limits.reach() <= allowed * 1.000_001, "{tag}: {what} {limits:?} over {allowed}");
        assert!(limits.low() >= 0.0, "{tag}: {what} {limits:?} below nothing");
    }
    let sum = found.skin_mm3.best() + found.core_mm3.best() + found.cap_mm3.best();
    assert!(miss(sum, book.volume) <= 1e-6 * whole, "{tag}: layers add up to {sum}");
}

fn check_all(books: &[Handbook], skins: &[f64], caps: &[f64], tolerance: f64) {
    for book in books {
        let cavity = cavity(&book.body, &request_of(book));
        for &t in skins.iter().filter(|t| **t <= book.thickest_mm) {
            for &cap in if book.open { caps } else { &caps[..1] } {
                check(book, &layers(&cavity, &request(t, cap, tolerance)), t, cap, tolerance);
            }
        }
    }
}

/// A few solids of every kind at another size, for the dearer settings.
fn some(size: f64) -> Vec<Handbook> {
    let books = [
        handbook_box(true, 1),
        handbook_l(true, 0),
        handbook_cylinder(48, true),
        handbook_bowl(64, 32, true),
        handbook_stepped(24, true),
        handbook_half_ring(400, 80),
    ];
    books.into_iter().map(|book| book.scaled(size)).collect()
}

#[test]
fn the_closed_forms_agree_with_the_published_examples() {
    let cm3 = 1000.0;
    let n = 120;
    let k = roundness(n);
    let exact = |span: Span| span.low;
    for (what, value, published) in [
        ("G7", exact(handbook_box(false, 0).volume) / cm3, 480.0),
        ("G15", exact((handbook_box(false, 0).unskinned)(3.0)) / cm3, 371.184),
        ("G4", exact(handbook_cylinder(n, false).volume) / k / cm3, 282.743_34),
        ("G4 area", exact(handbook_cylinder(n, false).wall_area) / k / 100.0, 245.044_23),
        ("G16", exact((handbook_cylinder(n, false).unskinned)(3.0)) / k / cm3, 215.280_78),
        ("G5", exact(handbook_frustum(n, false).volume) / k / cm3, 307.876_08),
        ("G5 area", exact(handbook_frustum(n, false).wall_area) / k / 100.0, 265.767_56),
        ("G18", exact((handbook_frustum(n, false).unskinned)(3.0)) / k / cm3, 234.793_09),
    ] {
        assert!(relative(value, published) < 2e-6, "{what}: {value}, published {published}");
    }
    let ring = handbook_torus(600, 180);
    for (span, published) in [(ring.volume, 266_479.32), ((ring.unskinned)(3.0), 170_546.76)] {
        assert!(miss(published, span) == 0.0 && span.high / span.low < 1.001, "G6, G17: {span:?}");
    }
    // Sides drawn about the sphere 0.25° apart: the profile's own excess over the sphere is 6e-6.
    let bowl = handbook_bowl(n, 720, true);
    let ball = handbook_ball(n, 720);
    let closed = handbook_bowl(n, 720, false);
    for (what, value, published) in [
        ("G1", exact(ball.volume) / k / cm3, 523.598_78),
        ("G14", exact((ball.unskinned)(3.0)) / k / cm3, 434.892_77),
        ("G19", exact((bowl.unskinned)(3.0)) / k / cm3, 956.160_48),
        ("G20", exact((closed.unskinned)(3.0)) / k / cm3, 900.309_25),
        ("G21 cap", exact((bowl.cap)(3.0, 5.0)) / k / cm3, 93.001_61),
    ] {
        assert!(relative(value, published) < 2e-5, "{what}: {value}, published {published}");
    }
}

#[test]
fn volume_and_areas_are_those_of_the_handbook() {
    for book in truth::all() {
        let measures = *cavity(&book.body, &request_of(&book)).measures();
        for (what, value, truth) in [
            ("volume", measures.volume_mm3.best(), book.volume),
            ("wall", measures.wall_area_mm2, book.wall_area),
            ("opening", measures.opening_area_mm2, book.opening_area),
        ] {
            let off = miss(value, truth) / truth.high.max(1.0);
            assert!(off < 1e-9, "{}: {what} {value}, truth {truth:?}", book.name);
        }
        let limits = measures.volume_mm3;
        assert_eq!((limits.low(), limits.high()), (limits.best(), limits.best()), "{}", book.name);
        let surface = measures.wall_area_mm2 + measures.opening_area_mm2;
        assert!(relative(measures.surface_area_mm2, surface) < 1e-9, "{}", book.name);
        let [low, high] = book.body.extent()[2];
        assert!((measures.fill_mm - (high - low)).abs() < 1e-9, "{}", book.name);
        assert_eq!(measures.fill_mm, measures.lip_mm, "{}", book.name);
    }
}

#[test]
fn the_opening_has_the_outline_of_the_flat_back() {
    let side = |n: usize, a: f64| 2.0 * n as f64 * a * (PI / n as f64).tan();
    for (book, outline) in [
        (handbook_box(true, 2), 400.0),
        (handbook_l(true, 1), 220.0),
        (handbook_cylinder(96, true), side(96, 30.0)),
        (handbook_ring_prism(48, true), side(48, 70.0) + side(48, 45.0)),
        (handbook_pair(20.0), 180.0 + 160.0),
        (handbook_box(false, 0), 0.0),
    ] {
        let perimeter = cavity(&book.body, &request_of(&book)).measures().opening_perimeter_mm;
        assert!(relative(perimeter, outline) < 1e-9, "{}: {perimeter}, {outline}", book.name);
    }
}

#[test]
fn the_truth_lies_within_the_limits_at_the_default_tolerance() {
    check_all(&truth::all(), &[2.0], &[3.0], 0.005);
}

#[test]
fn thick_skins_and_deep_caps_keep_the_limits() {
    check_all(&truth::all(), &[4.0, 9.0, 12.0], &[20.0], 0.005);
}

#[test]
fn thin_skins_on_small_pieces_keep_the_limits() {
    let small: Vec<Handbook> = truth::all().into_iter().map(|book| book.scaled(0.3)).collect();
    check_all(&small, &[0.5, 1.0], &[2.0], 0.005);
}

#[test]
fn a_tolerance_of_a_tenth_of_a_per_cent_is_kept() {
    check_all(&some(0.6), &[2.0], &[3.0], 0.001);
}

#[test]
fn a_tolerance_of_a_twentieth_of_a_per_cent_is_kept() {
    check_all(&some(0.4), &[2.0], &[5.0], 0.0005);
}

#[test]
fn every_coat_has_its_limits_and_they_add_up_to_the_skin() {
    for book in some(0.4) {
        let cavity = cavity(&book.body, &request_of(&book));
        let mut asked = request(2.0, 3.0, 0.005);
        asked.coats_mm = vec![0.4, 0.8, 0.8];
        let found = layers(&cavity, &asked);
        check(&book, &found, 2.0, 3.0, 0.005);
        assert_eq!(found.coats_mm3.len(), 3, "{}", book.name);
        let whole = book.volume.high;
        let faces = [0.0, 0.4, 1.2, 2.0];
        for (n, coat) in found.coats_mm3.iter().enumerate() {
            let behind = |t: f64| if t == 0.0 { book.volume } else { (book.unskinned)(t) };
            let truth = behind(faces[n + 1]).left_of(behind(faces[n]));
            let tag = format!("{}, coat {n}: {coat:?}, truth {truth:?}", book.name);
            assert!(holds(coat, truth), "{tag}");
            assert!(miss(coat.best(), truth) <= VALUE_SHARE * whole, "{tag}");
            let allowed = allowed_coat_reach(coat.best(), whole, 0.005);
            assert!(coat.reach() <= allowed * 1.000_001, "{tag}: over {allowed}");
        }
        let sum: f64 = found.coats_mm3.iter().map(|c| c.best()).sum();
        assert!(relative(sum, found.skin_mm3.best()) < 1e-9, "{}: {sum}", book.name);
    }
}

#[test]
fn no_skin_leaves_core_and_a_level_cap() {
    for book in [handbook_box(true, 1), handbook_bowl(64, 32, true), handbook_frustum(9, true)] {
        let found = layers(&cavity(&book.body, &LEVEL), &request(0.0, 8.0, 0.005));
        assert_eq!((found.skin_mm3.low(), found.skin_mm3.high()), (0.0, 0.0), "{}", book.name);
        assert!(found.coats_mm3.is_empty(), "{}", book.name);
        let cap = (book.cap)(0.0, 8.0);
        // Without a skin the cap is the part of the solid above a level: a plane section, exact.
        for (what, limits, truth) in
            [("cap", found.cap_mm3, cap), ("core", found.core_mm3, cap.left_of(book.volume))]
        {
            assert!(holds(&limits, truth), "{}: {what} {limits:?}, {truth:?}", book.name);
            let off = miss(limits.best(), truth) / book.volume.high;
            assert!(off < 1e-6, "{}: {what} {limits:?}, {truth:?}", book.name);
        }
    }
}

#[test]
fn no_cap_leaves_skin_and_core() {
    for book in some(0.7) {
        let found = layers(&cavity(&book.body, &LEVEL), &request(2.0, 0.0, 0.005));
        check(&book, &found, 2.0, 0.0, 0.005);
        assert_eq!((found.cap_mm3.low(), found.cap_mm3.high()), (0.0, 0.0), "{}", book.name);
    }
}

#[test]
fn neither_skin_nor_cap_is_all_core() {
    let book = handbook_l(true, 0);
    let found = layers(&cavity(&book.body, &LEVEL), &request(0.0, 0.0, 0.005));
    assert!(relative(found.core_mm3.best(), book.volume.low) < 1e-9, "{:?}", found.core_mm3);
    assert_eq!(found.skin_mm3.high() + found.cap_mm3.high(), 0.0);
}

#[test]
fn a_skin_thicker_than_the_piece_is_all_there_is() {
    for book in [handbook_box(true, 0), handbook_ball(24, 12), handbook_half_ring(60, 12)] {
        let found = layers(&cavity(&book.body, &request_of(&book)), &request(500.0, 3.0, 0.005));
        for limits in [found.core_mm3, found.cap_mm3] {
            let all = (limits.low(), limits.best(), limits.high());
            assert_eq!(all, (0.0, 0.0, 0.0), "{}", book.name);
        }
        let off = relative(found.skin_mm3.best(), book.body.volume());
        assert!(off < 1e-9, "{}: {:?}", book.name, found.skin_mm3);
    }
}

#[test]
fn a_cap_deeper_than_the_piece_leaves_no_core() {
    for book in [handbook_box(true, 0), handbook_bowl(64, 32, true), handbook_stepped(24, true)] {
        let found = layers(&cavity(&book.body, &LEVEL), &request(2.0, 500.0, 0.005));
        let core = (found.core_mm3.low(), found.core_mm3.best(), found.core_mm3.high());
        assert_eq!(core, (0.0, 0.0, 0.0), "{}", book.name);
        let unskinned = (book.unskinned)(2.0);
        assert!(holds(&found.cap_mm3, unskinned), "{}: {:?}", book.name, found.cap_mm3);
        assert!(holds(&found.skin_mm3, unskinned.left_of(book.volume)), "{}", book.name);
    }
}

#[test]
fn a_closed_cavity_has_no_cap() {
    for book in [handbook_box(false, 0), handbook_torus(100, 40), handbook_capsule(24, 12)] {
        let found = layers(&cavity(&book.body, &CLOSED), &request(2.0, 5.0, 0.005));
        assert_eq!((found.cap_mm3.low(), found.cap_mm3.high()), (0.0, 0.0), "{}", book.name);
    }
}

#[test]
fn round_bodies_without_a_flat_back_are_closed_without_being_told() {
    for book in [
        handbook_icosphere(4),
        handbook_torus(100, 40),
        handbook_capsule(96, 48),
        handbook_ball(120, 60),
    ] {
        let measures = *cavity(&book.body, &LEVEL).measures();
        assert_eq!(measures.opening_area_mm2, 0.0, "{}", book.name);
    }
}

#[test]
fn wall_area_is_told_by_slope() {
    // Upright walls lie between steep and overhanging: exactly 90°, and steep by definition.
    let slopes = cavity(&cuboid(60.0, 40.0, 30.0), &LEVEL).measures().slope_area_mm2;
    let all = [slopes.floor, slopes.steep, slopes.overhanging];
    assert_eq!(all, [2400.0, 6000.0, 0.0]);
    let closed = cavity(&cuboid(60.0, 40.0, 30.0), &CLOSED).measures().slope_area_mm2;
    assert_eq!([closed.floor, closed.steep, closed.overhanging], [2400.0, 6000.0, 2400.0]);
    // A cone's side that leans out by 18.4° from upright is steep; upside down it overhangs.
    let book = handbook_frustum(40, true);
    let slopes = cavity(&book.body, &LEVEL).measures().slope_area_mm2;
    let floor = roundness(40) * PI * 900.0;
    assert!(relative(slopes.floor, floor) < 1e-9, "{slopes:?}");
    assert!(relative(slopes.steep, book.wall_area.low - floor) < 1e-9, "{slopes:?}");
    assert_eq!(slopes.overhanging, 0.0, "{slopes:?}");
    let flask = [[0.0, 0.0], [50.0, 0.0], [30.0, 60.0], [0.0, 60.0]];
    let slopes = cavity(&revolved(&flask, 40), &LEVEL).measures().slope_area_mm2;
    assert!(relative(slopes.floor, roundness(40) * PI * 2500.0) < 1e-9, "{slopes:?}");
    assert_eq!(slopes.steep, 0.0, "{slopes:?}");
    assert!(relative(slopes.overhanging, book.wall_area.low - floor) < 1e-9, "{slopes:?}");
}

#[test]
fn any_direction_can_be_up() {
    let book = handbook_frustum(24, true);
    let level = layers(&cavity(&book.body, &LEVEL), &request(2.0, 5.0, 0.005));
    for (axis, angle) in [
        ([1.0, 0.0, 0.0], PI / 2.0),
        ([1.0, 0.0, 0.0], PI),
        ([0.0, 1.0, 0.0], -PI / 2.0),
        ([1.0, -2.0, 0.5], 1.1),
    ] {
        let body = book.body.clone().turned(axis, angle);
        let up = support::vector::turned([0.0, 0.0, 1.0], support::vector::unit(axis), angle);
        for length in [1.0, 0.02, 40.0] {
            let up = support::pipeline::vec3(support::vector::scale(up, length));
            let asked = CavityRequest { up, up_given: true, ..LEVEL };
            let cavity = cavity(&body, &asked);
            let measures = cavity.measures();
            assert!(relative(measures.opening_area_mm2, book.opening_area.low) < 1e-9);
            assert!(relative(measures.wall_area_mm2, book.wall_area.low) < 1e-9);
            assert!(relative(measures.fill_mm, 60.0) < 1e-9);
            let found = layers(&cavity, &request(2.0, 5.0, 0.005));
            check(&book, &found, 2.0, 5.0, 0.005);
            assert!(support::pipeline::meet(&found.cap_mm3, &level.cap_mm3));
        }
    }
}
