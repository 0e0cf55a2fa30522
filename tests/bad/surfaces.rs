//! Surfaces that are open, one-sided, doubled, crossing or wrongly turned.

use std::f64::consts::TAU;

use super::{BOX_CM3, Bad, Outcome, obj, plain};
use crate::shapes::Shape;

/// The plain box elsewhere.
fn at(x: f64, y: f64, z: f64) -> Shape {
    plain().moved([x, y, z])
}

/// Closed surfaces, and such as only look closed.
pub fn closed() -> Vec<Bad> {
    [turned(), doubled(), shells(), crossing(), fine()].into_iter().flatten().collect()
}

fn turned() -> Vec<Bad> {
    let flipped = |which: fn(usize) -> bool| {
        let mut shape = plain();
        let chosen = shape.triangles.iter_mut().enumerate().filter(|(i, _)| which(*i));
        chosen.for_each(|(_, t)| t.swap(1, 2));
        shape
    };
    let turned = Outcome::told(BOX_CM3, "turned-triangles");
    vec![
        obj(
            "inside-out.obj",
            "a box inside out",
            &plain().inside_out(),
            Outcome::told(BOX_CM3, "inverted"),
        ),
        obj("one-flipped.obj", "one triangle turned over", &flipped(|i| i == 5), turned.clone()),
        obj(
            "half-flipped.obj",
            "every other triangle turned over",
            &flipped(|i| i % 2 == 0),
            turned.clone(),
        ),
        obj("top-flipped.obj", "the top turned over", &flipped(|i| i == 2 || i == 3), turned),
    ]
}

fn doubled() -> Vec<Bad> {
    let mut repeated = plain();
    repeated.triangles.extend(plain().triangles);
    let mut two_sided = plain();
    two_sided.triangles.extend(plain().inside_out().triangles);
    let mut some_repeated = plain();
    some_repeated.triangles.extend_from_slice(&plain().triangles[..3]);
    let mut other_diagonals = plain();
    let mut quads = plain();
    for pair in quads.triangles.chunks_exact_mut(2) {
        let ([p, q, r], s) = (pair[0], pair[1][2]);
        (pair[0], pair[1]) = ([p, q, s], [q, r, s]);
    }
    other_diagonals = other_diagonals.and(quads);
    vec![
        obj("twice.obj", "every triangle twice", &repeated, Outcome::exactly(BOX_CM3)),
        obj("some-twice.obj", "three triangles twice", &some_repeated, Outcome::exactly(BOX_CM3)),
        obj(
            "both-sides.obj",
            "every triangle from both sides",
            &two_sided,
            Outcome::Untrusted("no volume"),
        ),
        obj(
            "same-shell.obj",
            "two shells in one place",
            &plain().and(plain()),
            Outcome::exactly(BOX_CM3),
        ),
        obj(
            "same-shell-otherwise.obj",
            "two shells in one place, cut into triangles otherwise",
            &other_diagonals,
            Outcome::told(BOX_CM3, "united"),
        ),
        obj(
            "shared-edge.obj",
            "two boxes that share an edge",
            &at(0.0, 0.0, 0.0).and(at(40.0, 30.0, 0.0)),
            Outcome::exactly(2.0 * BOX_CM3),
        ),
        obj(
            "shared-corner.obj",
            "two boxes that share a corner",
            &at(0.0, 0.0, 0.0).and(at(-40.0, -30.0, -20.0)),
            Outcome::exactly(2.0 * BOX_CM3),
        ),
        obj(
            "shared-side.obj",
            "two boxes that share a side",
            &at(0.0, 0.0, 0.0).and(at(40.0, 0.0, 0.0)),
            Outcome::exactly(2.0 * BOX_CM3),
        ),
    ]
}

fn shells() -> Vec<Bad> {
    let inner = Shape::cuboid([20.0, 10.0, 10.0]).moved([10.0; 3]).moved([0.0, 0.0, -5.0]);
    let mut dolls = plain();
    for k in 1..100 {
        let share = 1.0 - f64::from(k) / 100.0;
        let middle = [20.0, 15.0, 10.0].map(|c| c * (1.0 - share));
        dolls = dolls.and(plain().scaled(share).moved(middle));
    }
    let many = |count: u32, side: f64, gap: f64| {
        (0..count).fold(None, |all: Option<Shape>, i| {
            let (x, y, z) = (i % 22, i / 22 % 22, i / 484);
            let one = Shape::cuboid([side; 3]).moved([x, y, z].map(|c| gap * f64::from(c)));
            Some(match all {
                Some(all) => all.and(one),
                None => one,
            })
        })
    };
    let many = |count, side, gap| many(count, side, gap).unwrap_or_else(plain);
    vec![
        obj(
            "buried.obj",
            "a body within a body",
            &plain().and(inner.clone()),
            Outcome::exactly(BOX_CM3),
        ),
        obj(
            "void.obj",
            "a void within a body",
            &plain().and(inner.clone().inside_out()),
            Outcome::exactly(BOX_CM3 - 2.0),
        ),
        obj(
            "void-alone.obj",
            "body and void inside out",
            &plain().and(inner.inside_out()).inside_out(),
            Outcome::told(BOX_CM3 - 2.0, "inverted"),
        ),
        obj("dolls.obj", "a hundred bodies within each other", &dolls, Outcome::exactly(BOX_CM3)),
        obj(
            "ten-thousand.obj",
            "10,000 bodies apart",
            &many(10_000, 3.0, 4.0),
            Outcome::exactly(10_000.0 * 0.027),
        ),
        obj(
            "five-hundred-crossing.obj",
            "484 bodies that cross their neighbours",
            &many(484, 6.0, 5.0),
            Outcome::exactly(111.0 * 111.0 * 6.0 / 1000.0),
        ),
    ]
}

fn crossing() -> Vec<Bad> {
    let mut bow = Shape::cuboid([40.0, 30.0, 20.0]);
    // The upper side turned by half a turn about the vertical.
    for vertex in &mut bow.vertices[4..] {
        *vertex = [40.0 - vertex[0], 30.0 - vertex[1], vertex[2]];
    }
    let mut dented = plain();
    dented.vertices.push([20.0, 15.0, -5.0]);
    let [a, b, c, d] = [4, 5, 7, 6];
    dented.triangles.retain(|t| t.iter().any(|v| *v < 4));
    dented.triangles.extend([[a, b, 8], [b, c, 8], [c, d, 8], [d, a, 8]]);
    let hollow = Shape::cuboid([8.0; 3]).moved([5.0; 3]).inside_out();
    // What the second box adds to the first, cm³: itself without what they share.
    let added_cm3 = BOX_CM3 - 31.0 * 29.0 * 19.0 / 1000.0;
    // Twisted, it is two pyramids tip to tip. Pushed through, the pyramid of 10 cm³ is gone from the
    // box but for its tip, a fifth of its height, which lies outside of it.
    vec![
        obj(
            "crossing.obj",
            "two boxes that cross",
            &at(0.0, 0.0, 0.0).and(at(20.0, 15.0, 0.0)),
            Outcome::exactly(2.0 * BOX_CM3 - 20.0 * 15.0 * 20.0 / 1000.0),
        ),
        obj(
            "overlapping-sides.obj",
            "two boxes that cross, sides in one plane",
            &at(0.0, 0.0, 0.0).and(at(20.0, 0.0, 0.0)),
            Outcome::exactly(1.5 * BOX_CM3),
        ),
        obj(
            "bow-tie.obj",
            "a box twisted by half a turn",
            &bow,
            Outcome::told(BOX_CM3 / 3.0, "united"),
        ),
        obj(
            "dent-through.obj",
            "a top pushed through the bottom",
            &dented,
            Outcome::told(BOX_CM3 - (10.0 - 0.08), "united"),
        ),
        obj(
            "crossing-inward.obj",
            "two boxes that cross, one of them inside out",
            &at(0.0, 0.0, 0.0).and(at(20.0, 15.0, 5.0).inside_out()),
            Outcome::told(2.0 * BOX_CM3 - 4.5, "turned-and-united"),
        ),
        obj(
            "crossing-void-inside-out.obj",
            "two boxes that cross, a void in one of them, all inside out",
            &at(0.0, 0.0, 0.0).and(at(20.0, 15.0, 5.0)).and(hollow.clone()).inside_out(),
            Outcome::told(2.0 * BOX_CM3 - 4.5 - 0.512, "turned-and-united"),
        ),
        obj(
            "void-partly-filled.obj",
            "a void in a box, half of it filled by a box that crosses it",
            &at(0.0, 0.0, 0.0).and(at(9.0, 1.0, 1.0)).and(hollow),
            Outcome::told(BOX_CM3 + added_cm3 - 0.256, "united"),
        ),
        obj("klein-bottle.obj", "a Klein bottle", &klein_bottle(), Outcome::Untrusted("one-sided")),
        obj(
            "projective-plane.obj",
            "a closed surface of six corners and one side",
            &projective_plane(),
            Outcome::Untrusted("one-sided"),
        ),
    ]
}

/// The bottle as a tube in the shape of an eight, turned by half a turn on its way round.
fn klein_bottle() -> Shape {
    let (around, about) = (24_u32, 12_u32);
    let mut vertices = Vec::new();
    for i in 0..around {
        let u = TAU * f64::from(i) / f64::from(around);
        for j in 0..about {
            let v = TAU * f64::from(j) / f64::from(about);
            let (s, c) = (u / 2.0).sin_cos();
            let out = 20.0 + 6.0 * (c * v.sin() - s * (2.0 * v).sin());
            vertices.push([
                out * u.cos(),
                out * u.sin(),
                6.0 * (s * v.sin() + c * (2.0 * v).sin()),
            ]);
        }
    }
    let mut triangles = Vec::new();
    for i in 0..around {
        for j in 0..about {
            let k = (j + 1) % about;
            // After a whole turn v runs the other way.
            let next =
                |j: u32| if i + 1 == around { (about - j) % about } else { (i + 1) * about + j };
            let (p, q, r, s) = (i * about + j, i * about + k, next(j), next(k));
            triangles.extend([[p, q, s], [p, s, r]]);
        }
    }
    Shape { vertices, triangles }
}

/// The six-cornered projective plane: half an icosahedron, corners opposite each other joined.
fn projective_plane() -> Shape {
    let vertices = vec![
        [0.0, 0.0, 30.0],
        [30.0, 0.0, 10.0],
        [10.0, 28.0, 0.0],
        [-24.0, 17.0, 8.0],
        [-24.0, -17.0, -6.0],
        [9.0, -28.0, 5.0],
    ];
    let triangles = vec![
        [0, 1, 2],
        [0, 2, 3],
        [0, 3, 4],
        [0, 4, 5],
        [0, 5, 1],
        [1, 2, 4],
        [2, 3, 5],
        [3, 4, 1],
        [4, 5, 2],
        [5, 1, 3],
    ];
    Shape { vertices, triangles }
}

fn fine() -> Vec<Bad> {
    vec![
        obj("comb.obj", "a comb of 60 fins of 0.05 mm", &comb(60), Outcome::exactly(comb_cm3(60))),
        obj("needles.obj", "a top of 2000 needles", &needles(2000), Outcome::exactly(BOX_CM3)),
        obj(
            "t-junctions.obj",
            "corners in the middle of edges",
            &t_junctions(),
            Outcome::told(BOX_CM3, "split-t-junctions"),
        ),
        obj(
            "stray-fin.obj",
            "a stray triangle on an edge of a box",
            &stray_fin(),
            Outcome::Untrusted("too much is missing"),
        ),
    ]
}

/// A base of 2 mm with fins of 0.05 mm × 30 mm × 10 mm every 0.5 mm, as one prism along y.
fn comb(fins: u32) -> Shape {
    let mut outline = vec![[0.0, 0.0], [0.5 * f64::from(fins), 0.0], [0.5 * f64::from(fins), 2.0]];
    for fin in (0..fins).rev() {
        let x = 0.5 * f64::from(fin);
        outline.extend([[x + 0.05, 2.0], [x + 0.05, 12.0], [x, 12.0]]);
        if fin > 0 {
            outline.push([x, 2.0]);
        }
    }
    let n = outline.len() as u32;
    let corners = |y: f64| outline.iter().map(move |[x, z]| [*x, y, *z]);
    let vertices: Vec<[f64; 3]> = corners(0.0).chain(corners(30.0)).collect();
    let mut triangles = Vec::new();
    for i in 0..n {
        let j = (i + 1) % n;
        triangles.extend([[i, i + n, j + n], [i, j + n, j]]);
    }
    Shape { vertices, triangles: [triangles, comb_ends(fins, n)].concat() }
}

/// The two ends of the comb: its base in a fan over the feet of the fins, every fin two triangles.
fn comb_ends(fins: u32, n: u32) -> Vec<[u32; 3]> {
    let mut front = Vec::new();
    // From the right: 2 is the base's upper corner; each fin has foot, tip, tip and (but for the
    // last, whose second foot is the outline's first point's column) foot.
    let mut upper = vec![2];
    for fin in 0..fins {
        let foot = 3 + 4 * fin;
        let last = fin + 1 == fins;
        let left_foot = foot + 3;
        upper.push(foot);
        if last {
            front.extend([[foot, foot + 1, foot + 2], [foot, foot + 2, 0]]);
        } else {
            front.extend([[foot, foot + 1, foot + 2], [foot, foot + 2, left_foot]]);
            upper.push(left_foot);
        }
    }
    // The last fin stands on the left end: under it, a fan from the lower right corner.
    for pair in upper.windows(2) {
        front.push([1, pair[0], pair[1]]);
    }
    let last_foot = upper.last().copied().unwrap_or(2);
    front.push([1, last_foot, 0]);
    let back = front.iter().map(|[a, b, c]| [a + n, c + n, b + n]);
    front.iter().copied().chain(back).collect()
}

fn comb_cm3(fins: u32) -> f64 {
    let fins = f64::from(fins);
    (0.5 * fins * 2.0 + fins * 0.05 * 10.0) * 30.0 / 1000.0
}

/// The box with its top and one side in a fan of needles from one corner.
fn needles(count: u32) -> Shape {
    let mut shape = plain();
    // The edge from corner 4 (0, 0, 20) to 5 (40, 0, 20) in so many pieces.
    shape.triangles.retain(|t| !(t.contains(&4) && t.contains(&5)));
    let base = shape.vertices.len() as u32;
    shape.vertices.extend((1..count).map(|i| [40.0 * f64::from(i) / f64::from(count), 0.0, 20.0]));
    let chain: Vec<u32> = std::iter::once(4).chain(base..base + count - 1).chain([5]).collect();
    for pair in chain.windows(2) {
        shape.triangles.push([pair[0], pair[1], 7]);
        shape.triangles.push([pair[1], pair[0], 0]);
    }
    shape.triangles.push([0, 1, 5]);
    shape
}

/// The box whose top has corners on the middle of its edges that the sides know nothing of.
fn t_junctions() -> Shape {
    let mut shape = plain();
    shape.triangles.retain(|t| t.iter().any(|v| *v < 4));
    shape.vertices.extend([
        [20.0, 0.0, 20.0],
        [40.0, 15.0, 20.0],
        [20.0, 30.0, 20.0],
        [0.0, 15.0, 20.0],
        [20.0, 15.0, 20.0],
    ]);
    for (corner, after, before) in [(4, 8, 11), (5, 9, 8), (7, 10, 9), (6, 11, 10)] {
        shape.triangles.extend([[corner, after, 12], [corner, 12, before]]);
    }
    shape
}

fn stray_fin() -> Shape {
    let mut shape = plain();
    shape.vertices.push([60.0, 0.0, 30.0]);
    shape.triangles.push([5, 7, 8]);
    shape
}

/// Surfaces with borders.
pub fn open() -> Vec<Bad> {
    let tube = |lean: f64| {
        let mut shape = Shape { vertices: Vec::new(), triangles: Vec::new() };
        for i in 0..16_u32 {
            let angle = TAU * f64::from(i) / 16.0;
            shape
                .vertices
                .extend([0.0, 50.0].map(|z| [15.0 * angle.cos(), 15.0 * angle.sin(), z + lean]));
            let (p, q) = (2 * i, 2 * ((i + 1) % 16));
            shape.triangles.extend([[p, q, q + 1], [p, q + 1, p + 1]]);
        }
        shape
    };
    let mut lid_off = plain();
    lid_off.triangles.retain(|t| t.iter().any(|v| *v < 4));
    let mut bottom_off = plain();
    bottom_off.triangles.retain(|t| t.iter().any(|v| *v >= 4));
    let mut peppered = Shape::ball(20.0, 24);
    let ball_cm3 = peppered.volume_mm3() / 1000.0;
    let mut number = 0;
    peppered.triangles.retain(|_| {
        number += 1;
        number % 97 != 50
    });
    let mut cracked = plain();
    let mut seam = plain();
    seam.triangles.retain(|t| t.iter().all(|v| *v >= 4));
    cracked.triangles.retain(|t| t.iter().any(|v| *v < 4));
    let cracked = cracked.and(seam.moved([1e-6, 0.0, 0.0]));
    let one = Shape { vertices: plain().vertices, triangles: vec![[0, 1, 6]] };
    let strip = moebius();
    vec![
        obj("one-triangle.obj", "a single triangle", &one, Outcome::Untrusted("no open pit")),
        obj("moebius-strip.obj", "a Möbius strip", &strip, Outcome::Untrusted("one-sided")),
        obj("tube.obj", "a tube open at both ends", &tube(0.0), Outcome::Untrusted("border")),
        obj("no-lid.obj", "a box without its top: a mould", &lid_off, Outcome::exactly(BOX_CM3)),
        obj(
            "no-bottom.obj",
            "a box without its bottom: a mould upside down",
            &bottom_off,
            Outcome::Untrusted("--up"),
        ),
        obj(
            "one-missing.obj",
            "a ball with one triangle missing",
            &Shape::ball(20.0, 24).without(1),
            Outcome::about(ball_cm3, 0.001, "filled-holes"),
        ),
        obj(
            "peppered.obj",
            "a ball with one triangle in 97 missing",
            &peppered,
            Outcome::about(ball_cm3, 0.01, "filled-holes"),
        ),
        obj(
            "half-a-ball.obj",
            "a ball without its upper half: a mould",
            &half_ball(),
            Outcome::told(Shape::hemisphere(20.0, 16).volume_mm3() / 1000.0, "turned-inside-out"),
        ),
        obj(
            "side-missing.obj",
            "a box without a whole side",
            &plain().without_last(2),
            Outcome::Untrusted("too much is missing"),
        ),
        obj(
            "cracked.obj",
            "a top 1 nm beside its sides",
            &cracked,
            Outcome::told(BOX_CM3, "merged-vertices"),
        ),
    ]
}

fn moebius() -> Shape {
    let around = 24_u32;
    let mut shape = Shape { vertices: Vec::new(), triangles: Vec::new() };
    for i in 0..around {
        let u = TAU * f64::from(i) / f64::from(around);
        for side in [-6.0, 6.0] {
            let out = 20.0 + side * (u / 2.0).cos();
            shape.vertices.push([out * u.cos(), out * u.sin(), side * (u / 2.0).sin()]);
        }
        let (p, q) = (2 * i, 2 * i + 1);
        let (r, s) = if i + 1 == around { (1, 0) } else { (p + 2, q + 2) };
        shape.triangles.extend([[p, r, s], [p, s, q]]);
    }
    shape
}

fn half_ball() -> Shape {
    let mut shape = Shape::ball(20.0, 32);
    let points = shape.vertices.clone();
    shape.triangles.retain(|t| t.iter().all(|v| points[*v as usize][2] <= 20.0 + 1e-9));
    shape
}
