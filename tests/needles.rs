//! Fans of very many needles: what meets what is found without holding each against each.

mod support;

use std::f64::consts::TAU;
use std::sync::atomic::{AtomicUsize, Ordering};

use cavigram::health::crossings;
use cavigram::mesh::{Mesh, Patches, Vec3, Work};
use support::chance::Chance;
use support::moulds::polygon_area;
use support::pipeline::{looked_over, sound};
use support::solids::Body;
use support::vector::Point;

/// A closed body whose two ends are fans about their middles; the rims run through the points of
/// `rim`, given from 0 to 1, counter-clockwise seen from above.
fn between_fans(count: u32, heights: [f64; 2], rim: impl Fn(f64) -> [f64; 2]) -> Body {
    let mut body = Body::default();
    let corners: Vec<[u32; 2]> = (0..count)
        .map(|k| {
            let [x, y] = rim(f64::from(k) / f64::from(count));
            heights.map(|z| body.push([x, y, z]))
        })
        .collect();
    let [foot, head] = heights.map(|z| body.push([0.0, 0.0, z]));
    for k in 0..count as usize {
        let [[a, c], [b, d]] = [corners[k], corners[(k + 1) % count as usize]];
        body.faces.extend([[foot, b, a], [head, c, d], [a, b, d], [a, d, c]]);
    }
    body
}

fn round(radius: f64) -> impl Fn(f64) -> [f64; 2] {
    move |share| [radius * (TAU * share).cos(), radius * (TAU * share).sin()]
}

/// Along the sides of a square, where the boxes of needles hold one another's far sides.
fn square(half: f64) -> impl Fn(f64) -> [f64; 2] {
    move |share| {
        let along = half * (2.0 * (4.0 * share).fract() - 1.0);
        match (4.0 * share) as u32 {
            0 => [half, along],
            1 => [-along, half],
            2 => [-half, -along],
            _ => [along, -half],
        }
    }
}

/// A cone over a fan: two hubs whose needles stand in one another's boxes.
fn cone(count: u32, radius: f64, height: f64) -> Body {
    let mut body = Body::default();
    let rim: Vec<u32> = (0..count)
        .map(|k| {
            let [x, y] = round(radius)(f64::from(k) / f64::from(count));
            body.push([x, y, 0.0])
        })
        .collect();
    let [foot, tip] = [[0.0; 3], [0.0, 0.0, height]].map(|p| body.push(p));
    for k in 0..count as usize {
        let (a, b) = (rim[k], rim[(k + 1) % count as usize]);
        body.faces.extend([[foot, b, a], [tip, a, b]]);
    }
    body
}

const AXIS: Point = [1.0, 2.0, 0.5];

#[test]
fn the_pairs_looked_at_grow_with_the_needles_and_not_with_their_square() {
    let upright = |count: u32| between_fans(count, [0.0, 30.0], round(20.0));
    let leaning = |count: u32| cone(count, 20.0, 30.0).turned(AXIS, 0.7);
    let cylinder = |count: u32| upright(count).turned(AXIS, 0.7);
    for (name, few, many) in [
        ("between fans", upright(8_000), upright(32_000)),
        ("a cone", cone(8_000, 20.0, 30.0), cone(32_000, 20.0, 30.0)),
        ("a leaning cone", leaning(8_000), leaning(32_000)),
        ("a leaning cylinder", cylinder(8_000), cylinder(32_000)),
    ] {
        // Each against each would be thousands for a triangle, and four times as many.
        let [few, many] = [few, many].map(|body| pairs_each(&body));
        assert!(few < 20.0 && many < 20.0, "{name}: {few}, then {many} pairs for a triangle");
    }
}

/// Pairs that are looked at for each triangle.
fn pairs_each(body: &Body) -> f64 {
    let mesh = body.mesh().in_neighbour_order();
    let pairs = AtomicUsize::new(0);
    Patches::new(&mesh).touching_pairs(0.0, &Work::unlimited(), |_, _, _: &mut Vec<()>| {
        pairs.fetch_add(1, Ordering::Relaxed);
    });
    pairs.into_inner() as f64 / mesh.triangles().len() as f64
}

/// Volumes by the closed form of a prism or pyramid over a regular polygon.
#[test]
fn bodies_between_fans_are_sound_and_hold_their_closed_form() {
    let base_mm2 = polygon_area(6_000, 20.0);
    for (body, volume_mm3) in [
        (between_fans(6_000, [0.0, 30.0], round(20.0)), 30.0 * base_mm2),
        (between_fans(6_000, [0.0, 30.0], square(20.0)), 30.0 * 1600.0),
        (cone(6_000, 20.0, 30.0), 10.0 * base_mm2),
    ] {
        for body in [body.clone(), body.turned(AXIS, 0.7)] {
            let examined = looked_over(&body);
            assert!(examined.health.repairs.is_empty(), "{:?}", examined.health);
            let found = examined.sound.unwrap().mesh().signed_volume_mm3();
            assert!((found - volume_mm3).abs() < 1e-9 * volume_mm3, "{found} for {volume_mm3}");
        }
    }
}

/// A thin rod of needles through a disc of needles, both about one axis: the disc's ends are
/// crossed all round their hubs. The union is the disc and what stands out of it of the rod.
#[test]
fn fans_that_are_crossed_around_their_hubs_are_united() {
    let count = 800;
    let disc = between_fans(count, [0.0, 10.0], round(20.0));
    let rod = between_fans(count, [-5.0, 17.0], round(3.0));
    let truth_mm3 = 10.0 * polygon_area(800, 20.0) + 12.0 * polygon_area(800, 3.0);
    for body in [disc.clone().and(rod.clone()), disc.and(rod).turned(AXIS, 0.7)] {
        let found = sound(&body).mesh().signed_volume_mm3();
        assert!((found - truth_mm3).abs() < 1e-6 * truth_mm3, "{found} for {truth_mm3}");
    }
}

/// A fan about `hub` that runs round a little more than once, so that it lies on itself or,
/// where it waves, passes through itself.
fn overlapping_fan(body: &mut Body, hub: Point, count: u32, waves: f64) {
    let middle = body.push(hub);
    let rim: Vec<u32> = (0..=count)
        .map(|k| {
            let share = f64::from(k) / f64::from(count);
            let [x, y] = round(12.0)(1.1 * share);
            body.push([hub[0] + x, hub[1] + y, hub[2] + waves * (40.0 * share).sin()])
        })
        .collect();
    body.faces.extend(rim.windows(2).map(|pair| [middle, pair[0], pair[1]]));
}

/// Whether the boxes of two triangles touch: those of others can't meet.
fn boxes_touch(a: [Vec3; 3], b: [Vec3; 3]) -> bool {
    let low = |t: [Vec3; 3]| t[0].min(t[1]).min(t[2]);
    let high = |t: [Vec3; 3]| t[0].max(t[1]).max(t[2]);
    low(a).cmple(high(b)).all() && low(b).cmple(high(a)).all()
}

/// Held against each pair by itself, as a mesh of two triangles.
#[test]
fn in_a_crowd_the_same_pairs_cross_as_one_by_one() {
    let mut body = Body::default();
    overlapping_fan(&mut body, [0.0; 3], 700, 0.0);
    overlapping_fan(&mut body, [2.0, 1.0, 0.5], 700, 1.5);
    let mut chance = Chance::new(7);
    for _ in 0..200 {
        let mut point = || [0; 3].map(|_| chance.within(-12.0, 12.0));
        let (from, to) = (point(), point());
        let beside = [from[0] + 0.05, from[1], from[2] + 0.02];
        let corners = [from, beside, to].map(|p| body.push(p));
        body.faces.push(corners);
    }
    let mesh = body.turned(AXIS, 0.7).mesh().in_neighbour_order();
    let count = mesh.triangles().len();
    let found: Vec<[u32; 2]> = crossings(&Patches::new(&mesh))
        .unwrap()
        .iter()
        .map(|crossing| crossing.triangles)
        .collect();
    let mut expected = Vec::new();
    for a in 0..count {
        for b in a + 1..count {
            if boxes_touch(mesh.corners(a), mesh.corners(b)) && cross(&mesh, a, b) {
                expected.push([a as u32, b as u32]);
            }
        }
    }
    assert!(expected.len() > 1_000, "{}", expected.len());
    assert_eq!(found.len(), expected.len());
    assert!(found == expected);
}

fn cross(mesh: &Mesh, a: usize, b: usize) -> bool {
    let triangles = [mesh.triangles()[a], mesh.triangles()[b]];
    let mut names: Vec<u32> = triangles.concat();
    names.sort_unstable();
    names.dedup();
    let points = names.iter().map(|name| mesh.vertices()[*name as usize]).collect();
    let pair = triangles.map(|t| {
        t.map(|name| names.iter().position(|known| *known == name).expect("it is there") as u32)
    });
    let pair = Mesh::new(points, pair.to_vec()).expect("two of a mesh's triangles");
    !crossings(&Patches::new(&pair)).unwrap().is_empty()
}
