//! The flat back is found whatever its triangles, a little noise, a lean or a fillet; and what is
//! only nearly flat is not taken for one. Opening and wall are known by construction.

mod support;

use std::f64::consts::PI;

use cavigram::cavity::{Cavity, CavityMeasures, CavityRequest};
use support::pipeline::{LEVEL, cavity};
use support::remesh::{remeshed_top, rough, shuffled};
use support::solids::{Body, cuboid, icosphere, l_outline, prism, revolved, roundness};
use support::vector::Point;

const UP_GIVEN: CavityRequest = CavityRequest { up_given: true, ..LEVEL };

/// Noise of a scan, mm, either way.
const NOISE_MM: f64 = 0.02;

fn relative(value: f64, truth: f64) -> f64 {
    (value - truth).abs() / truth.abs().max(1.0)
}

fn measures(body: &Body) -> CavityMeasures {
    *cavity(body, &LEVEL).measures()
}

fn told(cavity: &Cavity) -> Vec<&'static str> {
    cavity.findings().iter().map(|f| f.code).collect()
}

/// A piece with a flat back at `height` and the numbers of back and wall.
struct Piece {
    name: &'static str,
    body: Body,
    height: f64,
    opening: f64,
    /// Outline of the back, mm.
    around: f64,
    wall: f64,
}

fn pieces() -> Vec<Piece> {
    let upright = |name, body: Body, height, base: f64, around: f64| Piece {
        name,
        body,
        height,
        opening: base,
        around,
        wall: base + around * height,
    };
    let outline = l_outline(60.0, 50.0, 25.0, 20.0);
    let k = roundness(40);
    let slant = (40.0f64 * 40.0 + 20.0 * 20.0).sqrt();
    vec![
        upright("box", cuboid(120.0, 80.0, 50.0).subdivided(2), 50.0, 9600.0, 400.0),
        upright("L-shape", prism(&outline, 30.0).subdivided(2), 30.0, 1950.0, 220.0),
        Piece {
            name: "frustum",
            body: revolved(&[[0.0, 0.0], [30.0, 0.0], [50.0, 40.0], [0.0, 40.0]], 40),
            height: 40.0,
            opening: k * PI * 2500.0,
            around: k * 2.0 * PI * 50.0,
            wall: k * PI * (900.0 + 80.0 * slant),
        },
    ]
}

fn on_top(height: f64) -> impl Fn(Point) -> bool {
    move |p| (p[2] - height).abs() < 1e-9
}

#[test]
fn other_triangles_over_the_same_back_change_nothing() {
    for piece in pieces() {
        for seed in 0..6 {
            let body = remeshed_top(piece.body.clone(), piece.height, 20 << seed, seed);
            let found = measures(&shuffled(body, seed));
            let (opening, wall) = (found.opening_area_mm2, found.wall_area_mm2);
            assert!(relative(opening, piece.opening) < 1e-9, "{} {seed}: {opening}", piece.name);
            assert!(relative(wall, piece.wall) < 1e-9, "{} {seed}: {wall}", piece.name);
            let around = found.opening_perimeter_mm;
            assert!(relative(around, piece.around) < 1e-9, "{} {seed}: {around}", piece.name);
            assert!(found.tilt_deg.is_some_and(|tilt| tilt < 1e-6), "{:?}", found.tilt_deg);
        }
    }
}

/// The back's points up and down: seen along its normal nothing moves but by the plane's lean,
/// and the wall's upper edge moves by no more than the noise.
#[test]
fn noise_across_the_back_is_borne() {
    for piece in pieces() {
        for seed in 0..6 {
            let body = remeshed_top(piece.body.clone(), piece.height, 200, seed);
            let noisy = rough(body, NOISE_MM, [0.0, 0.0, 1.0], seed, on_top(piece.height));
            let found = measures(&noisy);
            let (opening, wall) = (found.opening_area_mm2, found.wall_area_mm2);
            // 0.02 mm either way over 20 mm lean by 0.001 at most: 5e-7 of the area.
            assert!(relative(opening, piece.opening) < 1e-6, "{} {seed}: {opening}", piece.name);
            let off = (wall - piece.wall).abs();
            assert!(off <= NOISE_MM * piece.around * 1.1, "{} {seed}: {off}", piece.name);
            assert!((found.fill_mm - piece.height).abs() <= NOISE_MM, "{}", piece.name);
        }
    }
}

/// Every corner of the mesh moved in every direction.
#[test]
fn noise_of_a_scan_is_borne() {
    for piece in pieces() {
        for seed in 0..6 {
            let mut body = remeshed_top(piece.body.clone(), piece.height, 60, seed);
            for (axis, direction) in
                [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].into_iter().enumerate()
            {
                body = rough(body, NOISE_MM, direction, seed + 10 * axis as u64, |_| true);
            }
            let found = measures(&body);
            // The outline moves by no more than the noise along both axes.
            let most = NOISE_MM * 2f64.sqrt() * piece.around * 1.01;
            let opening = (found.opening_area_mm2 - piece.opening).abs();
            assert!(opening <= most, "{} {seed}: {opening} over {most}", piece.name);
            // The wall moves at its rim as the outline does; its own roughness adds half the
            // square of slopes of 0.04 mm over 3 mm and more: under 2e-4.
            let wall = (found.wall_area_mm2 - piece.wall).abs();
            assert!(wall <= most + 5e-4 * piece.wall, "{} {seed}: {wall}", piece.name);
        }
    }
}

/// A box whose top leans by an angle about its middle: the sides' mean height stays.
fn leaning(degrees: f64, subdivisions: usize) -> Body {
    let rise = degrees.to_radians().tan();
    let body = cuboid(120.0, 80.0, 50.0).subdivided(subdivisions);
    body.map(|p| if p[2] == 50.0 { [p[0], p[1], 50.0 + (p[0] - 60.0) * rise] } else { p })
}

#[test]
fn a_back_that_leans_a_little_is_levelled_and_told() {
    for degrees in [0.0f64, 0.05, 0.2, 1.0, 3.0, 4.9] {
        let body = leaning(degrees, 2);
        let opening = 9600.0 / degrees.to_radians().cos();
        for (request, code) in [(LEVEL, "levelled"), (UP_GIVEN, "tilted-back")] {
            let found = cavity(&body, &request);
            let m = *found.measures();
            assert!(relative(m.opening_area_mm2, opening) < 1e-9, "{degrees}: {m:?}");
            assert!(relative(m.wall_area_mm2, 29_600.0) < 1e-9, "{degrees}: {m:?}");
            assert!(relative(m.volume_mm3.best(), 480_000.0) < 1e-9, "{degrees}: {m:?}");
            assert!((m.tilt_deg.unwrap() - degrees).abs() < 1e-6, "{degrees}: {m:?}");
            let expected = if degrees >= 0.1 { vec![code] } else { Vec::new() };
            assert_eq!(told(&found), expected, "{degrees}");
            // Along the direction given the piece reaches up to the back's upper edge.
            let lip = match code {
                "levelled" => 50.0 * degrees.to_radians().cos(),
                _ => 50.0 + 60.0 * degrees.to_radians().tan(),
            };
            let low = 60.0 * degrees.to_radians().sin();
            let lip = if code == "levelled" { lip + low } else { lip };
            assert!(relative(m.lip_mm, lip) < 1e-9, "{degrees} {code}: {m:?}");
            assert_eq!(m.fill_mm, m.lip_mm);
        }
    }
}

#[test]
fn a_level_under_a_leaning_back_lies_across_the_direction_given() {
    for degrees in [1.0f64, 4.9] {
        let request = CavityRequest { below_lip_mm: 30.0, ..UP_GIVEN };
        let found = cavity(&leaning(degrees, 2), &request);
        let m = *found.measures();
        let level = 20.0 + 60.0 * degrees.to_radians().tan();
        assert!((m.fill_mm - level).abs() < 1e-9, "{m:?}");
        assert!(relative(m.volume_mm3.best(), 9600.0 * level) < 1e-9, "{m:?}");
        assert!(relative(m.opening_area_mm2, 9600.0) < 1e-9, "{m:?}");
        assert!(relative(m.wall_area_mm2, 9600.0 + 400.0 * level) < 1e-9, "{m:?}");
    }
}

#[test]
fn a_back_that_leans_more_is_wall_and_told_up_to_ten_degrees() {
    for degrees in [5.1, 7.0, 9.8, 10.6, 20.0, 35.0f64] {
        let found = cavity(&leaning(degrees, 0), &LEVEL);
        let m = *found.measures();
        assert!(!found.is_open() && m.opening_area_mm2 == 0.0, "{degrees}: {m:?}");
        let wall = 29_600.0 + 9600.0 / degrees.to_radians().cos();
        assert!(relative(m.wall_area_mm2, wall) < 1e-9, "{degrees}: {m:?}");
        let expected = if degrees <= 10.0 { vec!["leaning-back"] } else { Vec::new() };
        assert_eq!(told(&found), expected, "{degrees}");
    }
}

/// A round block of radius 30 mm, 40 mm high, its upper edge rounded with a radius in so many
/// steps.
fn filleted(radius: f64, steps: usize) -> Body {
    let mut profile = vec![[0.0, 0.0], [30.0, 0.0]];
    for i in 0..=steps {
        let (s, c) = (PI / 2.0 * i as f64 / steps as f64).sin_cos();
        profile.push([30.0 - radius * (1.0 - c), 40.0 - radius * (1.0 - s)]);
    }
    profile.push([0.0, 40.0]);
    revolved(&profile, 48)
}

#[test]
fn a_fillet_at_the_edge_does_not_hide_the_back() {
    for (radius, steps) in [(0.5, 3), (1.0, 3), (1.0, 4), (2.0, 6), (3.0, 6)] {
        let body = filleted(radius, steps);
        let inner = 30.0 - radius;
        let opening = roundness(48) * PI * inner * inner;
        for seed in 0..3 {
            let body = remeshed_top(body.clone(), 40.0, 100, seed);
            let found = measures(&body);
            let area = found.opening_area_mm2;
            assert!(relative(area, opening) < 1e-9, "radius {radius}: {area}, not {opening}");
            let wall = body.area() - opening;
            assert!(relative(found.wall_area_mm2, wall) < 1e-9, "radius {radius}: {found:?}");
        }
    }
}

/// Steps so small that the first of them count as flat: the opening ends somewhere in the fillet.
#[test]
fn a_finely_cut_fillet_does_not_hide_the_back_either() {
    for (radius, steps) in [(0.5, 12), (1.0, 20), (2.0, 40), (3.0, 60)] {
        let area = measures(&filleted(radius, steps)).opening_area_mm2 / roundness(48) / PI;
        // Flat is what lies within 0.05 mm of the plane, which the rim's own drop lowers a little.
        let flat = (2.0f64 * radius * 0.1).sqrt();
        let (least, most) = (30.0 - radius, 30.0 - radius + flat);
        let found = area.sqrt();
        assert!((least - 1e-9..=most).contains(&found), "radius {radius}: {found}, {least}–{most}");
    }
}

/// A dome of a sphere's radius on a round block.
fn domed(sphere: f64, rings: usize) -> Body {
    let widest = (30.0 / sphere).asin();
    let mut profile = vec![[0.0, 0.0], [30.0, 0.0]];
    for i in 0..rings {
        let angle = widest * (1.0 - i as f64 / rings as f64);
        profile.push([sphere * angle.sin(), 20.0 + sphere * angle.cos()]);
    }
    let lowest = profile[2][1] - 20.0;
    profile.iter_mut().skip(2).for_each(|p| p[1] -= lowest);
    profile.push([0.0, 20.0 + sphere - lowest]);
    revolved(&profile, 48)
}

#[test]
fn a_rounded_top_is_no_opening() {
    let lens = |h: f64, times| icosphere(40.0, times).map(|p| [p[0], p[1], h * p[2]]);
    for (name, body) in [
        ("ball", icosphere(40.0, 3)),
        ("fine ball", icosphere(40.0, 5)),
        ("flat lens", lens(0.3, 4)),
        ("flatter lens", lens(0.15, 5)),
        ("dome", domed(100.0, 30)),
        ("flat dome", domed(200.0, 60)),
        ("wide fillet", filleted(15.0, 40)),
        ("wider fillet", filleted(24.0, 60)),
    ] {
        for seed in 0..3 {
            let found = measures(&shuffled(body.clone(), seed));
            assert_eq!(found.opening_area_mm2, 0.0, "{name}: {found:?}");
            assert!(relative(found.wall_area_mm2, body.area()) < 1e-9, "{name}");
        }
    }
}

#[test]
fn lumps_and_dents_in_the_back_belong_to_it() {
    let mut body = cuboid(120.0, 80.0, 50.0).subdivided(4);
    let at =
        |body: &Body, x: f64, y: f64| body.points.iter().position(|p| *p == [x, y, 50.0]).unwrap();
    for (x, y, height) in [(30.0, 20.0, 50.7), (60.0, 50.0, 49.2), (90.0, 60.0, 51.5)] {
        let point = at(&body, x, y);
        body.points[point][2] = height;
    }
    for seed in 0..4 {
        let found = measures(&shuffled(body.clone(), seed));
        assert!(relative(found.opening_area_mm2, 9600.0) < 1e-6, "{found:?}");
        assert!(relative(found.opening_perimeter_mm, 400.0) < 1e-6, "{found:?}");
        assert!(relative(found.wall_area_mm2, 29_600.0) < 1e-6, "{found:?}");
    }
    // A tower on the back is no speck: it reaches higher, and the back is no longer the highest.
    let tower = cuboid(30.0, 30.0, 30.0).moved([20.0, 20.0, 60.0]);
    let pair = cuboid(120.0, 80.0, 50.0).and(tower);
    assert!(relative(measures(&pair).opening_area_mm2, 900.0) < 1e-9);
}

#[test]
fn all_patches_at_the_same_level_are_the_opening() {
    let pair = |drop: f64| {
        let right = cuboid(30.0, 50.0, 25.0 - drop).subdivided(2).moved([60.0, 0.0, 15.0]);
        cuboid(40.0, 50.0, 40.0).subdivided(2).and(right)
    };
    for seed in 0..4 {
        let found = measures(&shuffled(remeshed_top(pair(0.0), 40.0, 100, seed), seed));
        assert!(relative(found.opening_area_mm2, 3500.0) < 1e-9, "{found:?}");
        assert!(relative(found.opening_perimeter_mm, 340.0) < 1e-9, "{found:?}");
        assert!(relative(found.wall_area_mm2, 2000.0 + 7200.0 + 1500.0 + 4000.0) < 1e-9);
        let noisy = rough(pair(0.0), NOISE_MM, [0.0, 0.0, 1.0], seed, on_top(40.0));
        assert!(relative(measures(&noisy).opening_area_mm2, 3500.0) < 1e-6);
    }
    // Within what counts as flat both are; one that lies clearly lower is wall.
    assert!(relative(measures(&pair(0.03)).opening_area_mm2, 3500.0) < 1e-6);
    for drop in [0.15, 0.25, 0.4, 1.0] {
        let found = measures(&pair(drop));
        assert!(relative(found.opening_area_mm2, 2000.0) < 1e-9, "{drop}: {found:?}");
        let wall = 9200.0 + 3000.0 + 160.0 * (25.0 - drop);
        assert!(relative(found.wall_area_mm2, wall) < 1e-9, "{drop}: {found:?}");
    }
}
