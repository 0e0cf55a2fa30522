//! Surfaces that cross or lie on one another: what is left bounds the union. Boxes are exact by
//! counting, so every way they can meet is tried on them, then turned so that nothing lies along
//! an axis; round bodies are held against closed forms.

mod support;

use std::f64::consts::PI;

use cavigram::health::crossings;
use cavigram::mesh::{Mesh, Patches};
use support::pipeline::{LEVEL, cavity, looked_over};
use support::solids::{Body, cuboid, icosphere, prism};
use support::vector::Point;

const CUBE: f64 = 20.0;

fn cube() -> Body {
    cuboid(CUBE, CUBE, CUBE)
}

fn relative(value: f64, truth: f64) -> f64 {
    (value - truth).abs() / truth.abs().max(1.0)
}

/// The union as it is worked with.
fn united(name: &str, body: &Body) -> Mesh {
    let found = looked_over(body);
    match found.sound {
        Ok(sound) => {
            let mesh = sound.mesh();
            assert!(sound.volume_margin_mm3() <= 1e-6 * mesh.signed_volume_mm3(), "{name}");
            mesh.clone()
        }
        Err(error) => panic!("{name}: {error}; {:?}", found.health),
    }
}

/// Boxes that meet, with volume and area of their union.
fn pairs() -> Vec<(&'static str, Body, f64, f64)> {
    let (v, a) = (CUBE.powi(3), 6.0 * CUBE * CUBE);
    vec![
        (
            "corner in corner",
            cube().and(cube().moved([7.0, 8.0, 9.0])),
            2.0 * v - 13.0 * 12.0 * 11.0,
            2.0 * a - 2.0 * (13.0 * 12.0 + 12.0 * 11.0 + 11.0 * 13.0),
        ),
        (
            "a rod that goes in and out",
            cube().and(cuboid(2.0, 3.0, 60.0).moved([9.0, 8.0, -20.0])),
            v + 2.0 * 3.0 * 40.0,
            a + 2.0 * 6.0 + 300.0 * 2.0 - (2.0 * 6.0 + 10.0 * 20.0),
        ),
        (
            "a rod through the middle of the faces' diagonals",
            cube().and(cuboid(2.0, 2.0, 60.0).moved([9.0, 9.0, -20.0])),
            v + 4.0 * 40.0,
            a + 8.0 + 8.0 * 60.0 - (8.0 + 8.0 * 20.0),
        ),
        (
            "a face laid on a part of another",
            cube().and(cuboid(5.0, 6.0, 7.0).moved([3.0, 4.0, CUBE])),
            v + 210.0,
            a + 2.0 * (30.0 + 42.0 + 35.0) - 60.0,
        ),
        (
            "a face laid on another up to its edge",
            cube().and(cuboid(5.0, 6.0, 7.0).moved([3.0, 0.0, CUBE])),
            v + 210.0,
            a + 2.0 * (30.0 + 42.0 + 35.0) - 60.0,
        ),
        (
            "a face laid on another in its corner",
            cube().and(cuboid(5.0, 6.0, 7.0).moved([0.0, 0.0, CUBE])),
            v + 210.0,
            a + 2.0 * (30.0 + 42.0 + 35.0) - 60.0,
        ),
        ("the same body twice", cube().and(cube()), v, a),
        (
            "pushed along, four faces in one plane each",
            cube().and(cube().moved([5.0, 0.0, 0.0])),
            1.25 * v,
            a + 4.0 * 5.0 * CUBE,
        ),
        (
            "pushed along two ways",
            cube().and(cube().moved([5.0, 6.0, 0.0])),
            2.0 * v - 15.0 * 14.0 * CUBE,
            2.0 * a - 2.0 * (15.0 * 14.0 + 14.0 * CUBE + 15.0 * CUBE),
        ),
        (
            "a shared face, cut along the other diagonal",
            cube().and(cube().moved([-CUBE, 0.0, 0.0])).joined(),
            2.0 * v,
            10.0 * CUBE * CUBE,
        ),
        (
            "a corner in a face's middle, on the diagonal",
            cube().and(cube().moved([10.0, 10.0, 10.0])),
            2.0 * v - 1000.0,
            2.0 * a - 600.0,
        ),
        (
            "three of them",
            cube().and(cube().moved([7.0, 8.0, 9.0])).and(cube().moved([14.0, 16.0, 18.0])),
            // Inclusion and exclusion; all three share the box of the outer two.
            3.0 * v - 2.0 * (13.0 * 12.0 * 11.0) - 6.0 * 4.0 * 2.0 + 6.0 * 4.0 * 2.0,
            3.0 * a - 4.0 * (13.0 * 12.0 + 12.0 * 11.0 + 11.0 * 13.0),
        ),
    ]
}

#[test]
fn boxes_that_meet_are_one() {
    for (name, body, volume, area) in pairs() {
        for (axis, angle) in [([0.0, 0.0, 1.0], 0.0), ([1.0, 2.0, -0.7], 0.83)] {
            for far in [0.0, 1e4] {
                let moved = body.clone().turned(axis, angle).moved([far, -far, 2.0 * far]);
                let mesh = united(name, &moved);
                let (found, around) = (mesh.signed_volume_mm3(), mesh.area_mm2());
                // Far away the corners' own last digits are 1e-12 mm of them.
                assert!(relative(found, volume) < 1e-9, "{name} {angle} {far}: {found} {volume}");
                assert!(relative(around, area) < 1e-9, "{name} {angle} {far}: {around} {area}");
            }
        }
    }
}

#[test]
fn uniting_is_told_with_the_buried_area() {
    let found = looked_over(&cube().and(cube().moved([7.0, 8.0, 9.0])));
    let repair = found.health.repairs.iter().find(|r| r.code == "united").unwrap();
    let buried = 2.0 * (13.0 * 12.0 + 12.0 * 11.0 + 11.0 * 13.0);
    assert!(relative(repair.area_mm2, buried) < 1e-9, "{repair:?}");
    assert_eq!(found.health.bodies, 2);
    // Nothing crosses any more.
    let mesh = found.sound.unwrap().mesh().clone();
    assert_eq!(crossings(&Patches::new(&mesh)).unwrap().len(), 0);
}

#[test]
fn a_united_mesh_gives_a_cavity_like_any_other() {
    // Two blocks side by side whose tops lie in one plane: one opening, as of one block.
    let pair = cuboid(40.0, 30.0, 25.0).and(cuboid(40.0, 30.0, 25.0).moved([30.0, 0.0, 0.0]));
    let m = *cavity(&pair, &LEVEL).measures();
    assert!(relative(m.volume_mm3.best(), 70.0 * 30.0 * 25.0) < 1e-9, "{m:?}");
    assert!(relative(m.opening_area_mm2, 2100.0) < 1e-9, "{m:?}");
    assert!(relative(m.opening_perimeter_mm, 200.0) < 1e-9, "{m:?}");
    assert!(relative(m.wall_area_mm2, 2100.0 + 200.0 * 25.0) < 1e-9, "{m:?}");
}

/// Two balls: closed form of their lens (Weisstein, "Sphere-Sphere Intersection", MathWorld).
#[test]
fn balls_that_overlap_hold_as_much_as_the_closed_form() {
    let (r, d): (f64, f64) = (20.0, 23.0);
    let ball = icosphere(r, 5);
    let faceted = ball.volume() / (4.0 / 3.0 * PI * r.powi(3));
    let by: Point = [0.61 * d, -0.47 * d, d * (1.0 - 0.61f64.powi(2) - 0.47f64.powi(2)).sqrt()];
    let mesh = united("balls", &ball.clone().and(ball.turned([0.3, 0.2, 1.0], 0.4).moved(by)));
    let lens = PI * (4.0 * r + d) * (2.0 * r - d).powi(2) / 12.0;
    let truth = faceted * (8.0 / 3.0 * PI * r.powi(3) - lens);
    assert!(relative(mesh.signed_volume_mm3(), truth) < 3e-4, "{}", mesh.signed_volume_mm3());
    let caps = 2.0 * (2.0 * PI * r * (r - 0.5 * d));
    let area = 8.0 * PI * r * r - caps;
    assert!(relative(mesh.area_mm2(), area) < 2e-3, "{}", mesh.area_mm2());
}

#[test]
fn voids_stay_and_what_faces_inward_is_turned() {
    let shell = cube().and(cuboid(6.0, 6.0, 6.0).moved([7.0, 7.0, 7.0]).inside_out());
    let rod = cuboid(4.0, 4.0, 40.0).moved([1.0, 1.0, -10.0]);
    let mesh = united("void", &shell.and(rod));
    assert!(relative(mesh.signed_volume_mm3(), 8000.0 - 216.0 + 16.0 * 20.0) < 1e-9);
    // A rod into the void fills what it passes through.
    let shell = cube().and(cuboid(6.0, 6.0, 6.0).moved([7.0, 7.0, 7.0]).inside_out());
    let rod = cuboid(4.0, 4.0, 40.0).moved([8.0, 8.0, -10.0]);
    let mesh = united("filled", &shell.and(rod));
    assert!(relative(mesh.signed_volume_mm3(), 8000.0 - 216.0 + 96.0 + 320.0) < 1e-9);
    let inward = cube().inside_out().and(cube().moved([7.0, 8.0, 9.0]));
    let mesh = united("inward", &inward);
    assert!(relative(mesh.signed_volume_mm3(), 16_000.0 - 13.0 * 12.0 * 11.0) < 1e-9);
}

/// A bar bent round by more than a whole turn, so that its ends pass through one another, and
/// rising so that they are not the same there: what they share counts once.
#[test]
fn a_body_that_passes_through_itself_counts_once() {
    let (side, long, turns, rise) = (4.0, 100.0, 1.15, 0.02);
    let bar = prism(&[[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]], long).subdivided(6);
    let bent = bar.map(|p| {
        let angle = turns * 2.0 * PI * p[2] / long;
        let r = 12.0 + p[0];
        [r * angle.sin(), r * angle.cos(), p[1] + rise * p[2]]
    });
    let mesh = united("loop", &bent);
    // Where it passes a second time it lies higher by the rise of one turn.
    let shared = (1.0 - rise * long / turns / side) * (turns - 1.0) / turns;
    let found = mesh.signed_volume_mm3() / bent.volume();
    assert!((found - (1.0 - shared)).abs() < 2e-3, "{found} for {}", 1.0 - shared);
}
