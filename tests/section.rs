//! Sections of handbook solids against closed forms: the areas of coats, core, cap, air and
//! inserts as they are drawn.

mod support;

use std::f64::consts::PI;

use cavigram::cavity::{AirShape, Cavity};
use cavigram::drawing::{DrawingRequest, Drawings, Region, Section, Subject, draw};
use cavigram::layers::LayerRequest;
use cavigram::mesh::{Mesh, Vec3};

use support::pipeline::{CLOSED, LEVEL, cavity, request};
use support::solids::{Body, cuboid, ngon, prism};

const ALL: DrawingRequest = DrawingRequest { section: true, sheet: true, picture: false };

fn drawn(cavity: &Cavity, request: &LayerRequest, air: &[AirShape], inserts: &[&Mesh]) -> Drawings {
    draw(&Subject { cavity, request, parting_mm: None, air, inserts, holes: &[] }, ALL)
}

/// The section along, the one across, and the level one.
fn sections(body: &Body, request: &LayerRequest) -> [Section; 3] {
    of(drawn(&cavity(body, &LEVEL), request, &[], &[]))
}

fn of(drawings: Drawings) -> [Section; 3] {
    let more = drawings.more_sections;
    [vec![drawings.section.unwrap()], more].concat().try_into().unwrap()
}

/// Within a share of the truth, or of the square millimetre.
#[track_caller]
fn agrees(what: &str, region: &Region, truth_mm2: f64) {
    let off = (region.area_mm2 - truth_mm2).abs();
    let allowed = 0.001 * truth_mm2.max(1.0);
    assert!(off <= allowed, "{what}: {} mm² drawn, {truth_mm2} mm² is right", region.area_mm2);
}

#[track_caller]
fn layers_agree(section: &Section, [cavity, skin, core, cap]: [f64; 4]) {
    agrees("cavity", &section.cavity, cavity);
    let skin_mm2: f64 = section.coats.iter().map(|coat| coat.region.area_mm2).sum();
    agrees("skin", &Region { area_mm2: skin_mm2, rings: Vec::new() }, skin);
    agrees("core", &section.core, core);
    agrees("cap", &section.cap, cap);
}

/// A box is cut into rectangles: the skin stands on floor and walls, and the top is open.
#[test]
fn a_box_is_cut_into_rectangles() {
    let [along, across, level] = sections(&cuboid(60.0, 40.0, 20.0), &request(2.0, 3.0, 0.005));
    layers_agree(&along, [1200.0, 1200.0 - 56.0 * 18.0, 56.0 * 15.0, 56.0 * 3.0]);
    layers_agree(&across, [800.0, 800.0 - 36.0 * 18.0, 36.0 * 15.0, 36.0 * 3.0]);
    layers_agree(&level, [2400.0, 2400.0 - 56.0 * 36.0, 56.0 * 36.0, 0.0]);
    let levels = along.levels.unwrap();
    assert!((levels.fill_mm - 20.0).abs() < 1e-9 && (levels.lip_mm - 20.0).abs() < 1e-9);
    assert!((levels.core_mm.unwrap() - 17.0).abs() < 1e-9);
    assert_eq!(level.levels, None);
}

/// Each coat is a rectangle less the next one.
#[test]
fn coats_lie_inside_one_another() {
    let coats = LayerRequest { coats_mm: vec![0.4, 0.8, 0.8], ..request(2.0, 0.0, 0.005) };
    let [along, ..] = sections(&cuboid(60.0, 40.0, 20.0), &coats);
    let inside = |t: f64| (60.0 - 2.0 * t) * (20.0 - t);
    let faces = [inside(0.0), inside(0.4), inside(1.2), inside(2.0)];
    assert_eq!(along.coats.len(), 3);
    for (coat, face) in along.coats.iter().zip(faces.windows(2)) {
        agrees("coat", &coat.region, face[0] - face[1]);
    }
    agrees("core", &along.core, inside(2.0));
    assert!(along.cap.is_empty());
}

/// A bowl of radius r: half discs of r and r − t, the inner one cut at the cap's depth c, where
/// the part over the cut is c·√(r² − c²) + r²·asin(c/r) (twice the integral of √(r² − z²) from 0 to c).
#[test]
fn a_bowl_is_cut_into_half_discs() {
    let (r, t, c) = (30.0, 2.0, 4.0);
    let body = bowl(r, 96);
    let [along, across, level] = sections(&body, &request(t, c, 0.005));
    let inner = r - t;
    let cap = c * (inner * inner - c * c).sqrt() + inner * inner * (c / inner).asin();
    let (outer, deep) = (0.5 * PI * r * r, 0.5 * PI * inner * inner);
    for section in [along, across] {
        layers_agree(&section, [outer, outer - deep, deep - cap, cap]);
    }
    // Half way down: d(p) = r − |p|, so that circles of √(r² − z²) and √((r − t)² − z²) are cut.
    let z = 0.5 * r;
    let (outer, deep) = (PI * (r * r - z * z), PI * (inner * inner - z * z));
    layers_agree(&level, [outer, outer - deep, deep, 0.0]);
}

fn bowl(r: f64, rings: u32) -> Body {
    let shape = support::shapes::Shape::hemisphere(r, rings);
    Body { points: shape.vertices, faces: shape.triangles }
}

/// Of a prism on a regular polygon of apothem a the inside of a coat is the polygon of a − t:
/// n·a²·tan(π/n).
#[test]
fn a_cylinder_is_cut_level() {
    let (n, a, t) = (48, 25.0, 1.5);
    let body = prism(&ngon(n, a), 40.0);
    let [.., level] = sections(&body, &request(t, 3.0, 0.005));
    let area = |a: f64| n as f64 * a * a * (PI / n as f64).tan();
    layers_agree(&level, [area(a), area(a) - area(a - t), area(a - t), 0.0]);
}

/// A section goes with the piece: turned about the upright axis and moved it stays what it was.
#[test]
fn place_and_turn_change_nothing() {
    let turned = cuboid(60.0, 40.0, 20.0).turned([0.0, 0.0, 1.0], 0.7).moved([500.0, -80.0, 33.0]);
    let [along, across, _] = sections(&turned, &request(2.0, 3.0, 0.005));
    layers_agree(&along, [1200.0, 1200.0 - 56.0 * 18.0, 56.0 * 15.0, 56.0 * 3.0]);
    layers_agree(&across, [800.0, 800.0 - 36.0 * 18.0, 36.0 * 15.0, 36.0 * 3.0]);
    let right = along.right;
    let expected = Vec3::new(0.7f64.cos(), 0.7f64.sin(), 0.0);
    assert!(right.dot(expected).abs() > 1.0 - 1e-6, "{right}");
}

/// A closed cavity has skin all round and no levels.
#[test]
fn a_closed_box_has_skin_on_its_ceiling() {
    let cavity = cavity(&cuboid(60.0, 40.0, 20.0), &CLOSED);
    let [along, ..] = of(drawn(&cavity, &request(2.0, 3.0, 0.005), &[], &[]));
    layers_agree(&along, [1200.0, 1200.0 - 56.0 * 16.0, 56.0 * 16.0, 0.0]);
    assert_eq!(along.levels, None);
}

/// A shaft with a chamber behind a lintel that hangs lower than the chamber's ceiling.
fn chamber() -> Body {
    let outline = [
        [0.0, 0.0],
        [50.0, 0.0],
        [50.0, 30.0],
        [24.0, 30.0],
        [24.0, 20.0],
        [20.0, 20.0],
        [20.0, 40.0],
        [0.0, 40.0],
    ];
    prism(&outline, 30.0).turned([1.0, 0.0, 0.0], 0.5 * PI)
}

/// The air is what lies over the lintel's edge in the chamber; behind a skin it is what the core
/// has of it, with what the skin's round about the edge leaves of a square: t² − π·t²/4.
#[test]
fn air_under_a_ceiling_is_drawn() {
    let cavity = cavity(&chamber(), &LEVEL);
    for (t, truth) in [(0.0, 26.0 * 10.0), (2.0, 22.0 * 10.0 + 4.0 - PI)] {
        let (air, shapes) = cavity.air_and_shapes(t);
        assert_eq!((air.pockets.len(), shapes.len()), (1, 1));
        let drawings = drawn(&cavity, &request(t, 0.0, 0.005), &shapes, &[]);
        let [along, _, level] = of(drawings);
        agrees("air", &along.air, truth);
        // The pocket's own volume is counted by places, the drawn area is not.
        assert!((air.volume_mm3() / (30.0 - 2.0 * t) / truth - 1.0).abs() < 0.02);
        // Half way up is the lintel's edge: behind the skin all of the chamber has air there.
        if t > 0.0 {
            agrees("air at a level", &level.air, 22.0 * 26.0);
        }
    }
}

/// An insert takes its own section out of core and cap.
#[test]
fn an_insert_is_cut_too() {
    let insert = cuboid(10.0, 10.0, 12.0).moved([25.0, 15.0, 8.0]).mesh();
    let cavity = cavity(&cuboid(60.0, 40.0, 20.0), &LEVEL);
    let [along, ..] = of(drawn(&cavity, &request(2.0, 3.0, 0.005), &[], &[&insert]));
    agrees("insert", &along.inserts, 120.0);
    assert!((along.inserts_in_core_mm2 - 90.0).abs() < 0.1, "{}", along.inserts_in_core_mm2);
    assert!((along.inserts_in_cap_mm2 - 30.0).abs() < 0.1, "{}", along.inserts_in_cap_mm2);
}

/// A slot thinner than two skins has no core, and all of its long sides are marked.
#[test]
fn places_without_a_core_are_marked() {
    let [along, across, _] = sections(&cuboid(60.0, 3.0, 20.0), &request(2.0, 3.0, 0.005));
    assert!(along.core.is_empty() && along.cap.is_empty() && across.core.is_empty());
    assert!((along.coats[0].region.area_mm2 - 1200.0).abs() < 1.2);
    let length: f64 = across
        .marks
        .thin
        .iter()
        .flat_map(|line| line.windows(2))
        .map(|ends| (ends[1][0] - ends[0][0]).hypot(ends[1][1] - ends[0][1]))
        .sum();
    assert!((length - 40.0).abs() < 0.1, "{length} mm of both sides are marked");
    let [thick, ..] = sections(&cuboid(60.0, 40.0, 20.0), &request(2.0, 3.0, 0.005));
    assert!(thick.marks.thin.is_empty());
}

/// The dip-stick curve of a box is a straight line to its volume.
#[test]
fn the_curve_of_a_box_is_straight() {
    let cavity = cavity(&cuboid(60.0, 40.0, 20.0), &LEVEL);
    let stick = drawn(&cavity, &request(2.0, 3.0, 0.005), &[], &[]).stick;
    assert!(stick.len() > 20);
    for point in &stick {
        assert!((point.volume_mm3 - 2400.0 * point.height_mm).abs() < 1e-6 * 48_000.0);
    }
    assert_eq!(stick.last().unwrap().height_mm, 20.0);
}

/// Views have the piece in them and white around it.
#[test]
fn views_show_the_piece() {
    let cavity = cavity(&bowl(30.0, 24), &LEVEL);
    let drawings = drawn(&cavity, &request(2.0, 3.0, 0.005), &[], &[]);
    let views = drawings.views.unwrap();
    for picture in [&views.above, &views.below, &views.slope, views.thickness.as_ref().unwrap()] {
        let pixels = (picture.width * picture.height) as usize;
        assert_eq!(picture.rgb.len(), 3 * pixels);
        let white = picture.rgb.chunks_exact(3).filter(|p| **p == [255; 3]).count();
        let share = 1.0 - white as f64 / pixels as f64;
        assert!((0.5..0.95).contains(&share), "{share} of the picture is piece");
        assert_eq!(picture.rgb[..3], [255; 3]);
    }
    // The same drawing again is the same to the last bit.
    assert_eq!(drawn(&cavity, &request(2.0, 3.0, 0.005), &[], &[]).views.unwrap(), views);
}

/// A bowl's floor seen from above: where liquid lies (under 30°), runs and hangs.
#[test]
fn nothing_of_an_open_bowl_hangs() {
    let cavity = cavity(&bowl(30.0, 24), &LEVEL);
    let drawings = drawn(&cavity, &request(2.0, 3.0, 0.005), &[], &[]);
    let slope = drawings.views.unwrap().slope;
    // The tint of what hangs is the one with far more red than blue.
    let hangs = |p: &[u8]| i32::from(p[0]) - i32::from(p[2]) > 60;
    assert_eq!(slope.rgb.chunks_exact(3).filter(|p| hangs(p)).count(), 0);
    let chamber = self::cavity(&chamber(), &LEVEL);
    let of_chamber = drawn(&chamber, &request(2.0, 3.0, 0.005), &[], &[]).views.unwrap().slope;
    assert!(of_chamber.rgb.chunks_exact(3).filter(|p| hangs(p)).count() > 100);
}

fn corners(region: &Region) -> f64 {
    region.rings.iter().map(|ring| ring.len() as f64).sum()
}

/// A drawing has few enough corners to be small, and enough to be round.
#[test]
fn rings_have_as_many_corners_as_they_need() {
    let [along, ..] = sections(&bowl(30.0, 96), &request(2.0, 3.0, 0.005));
    let count = corners(&along.cavity);
    assert!((30.0..600.0).contains(&count), "{count}");
    let [boxed, ..] = sections(&cuboid(60.0, 40.0, 20.0), &request(2.0, 3.0, 0.005));
    assert!(corners(&boxed.cavity) < 20.0, "{:?}", boxed.cavity);
}
