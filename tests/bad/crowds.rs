//! Meshes of which very much stands in one place: what takes the square of their size to look at,
//! or room for it, unless care is taken.

use std::f64::consts::TAU;

use super::{BOX_CM3, Bad, Outcome, obj, plain};
use crate::shapes::Shape;

/// All of them.
pub fn all() -> Vec<Bad> {
    let wedge_cm3 = 50.0 * 40.0 * 40.0 * (TAU / 1000.0).sin() / 6.0 / 1000.0;
    vec![
        obj(
            "soup.obj",
            "3000 loose triangles, all through one another",
            &loose(3000, 100.0),
            Outcome::Untrusted("encloses no volume"),
        ),
        obj(
            "dust.obj",
            "20,000 loose triangles within a thousandth of a millimetre, far from a box",
            &loose(20_000, 0.001).moved([60.0, 0.0, 0.0]).and(plain()),
            Outcome::told(BOX_CM3, "dropped-scraps"),
        ),
        obj(
            "book.obj",
            "10,000 triangles on one edge",
            &book(10_000),
            Outcome::Untrusted("no volume"),
        ),
        obj(
            "along-one-line.obj",
            "5000 triangles with edges on one line",
            &on_one_line(5000),
            Outcome::Untrusted("no volume"),
        ),
        obj(
            "wedges.obj",
            "500 wedges about one edge",
            &wedges(500),
            Outcome::exactly(500.0 * wedge_cm3),
        ),
        obj(
            "tetrahedra.obj",
            "500 bodies, each through most of the others",
            &tetrahedra(500),
            Outcome::Untrusted("too much of the surface"),
        ),
        obj("deep.obj", "2000 bodies within each other", &dolls(2000), Outcome::exactly(BOX_CM3)),
    ]
}

/// Points all over a cube, the same every time: multiples of irrational numbers.
fn scattered(side: f64) -> impl Iterator<Item = [f64; 3]> {
    // Powers of one over the root of x⁴ = x + 1, which lie evenly in three dimensions.
    let step = [0.819_172_513_396_164_4, 0.671_043_606_703_789_3, 0.549_700_477_901_967_1];
    (1_u32..).map(move |k| step.map(|s| side * (f64::from(k) * s).fract()))
}

fn of_triangles(corners: Vec<[f64; 3]>) -> Shape {
    let count = corners.len() as u32 / 3;
    let triangles = (0..count).map(|t| [3 * t, 3 * t + 1, 3 * t + 2]).collect();
    Shape { vertices: corners, triangles }
}

fn loose(count: usize, side: f64) -> Shape {
    of_triangles(scattered(side).take(3 * count).collect())
}

fn book(leaves: u32) -> Shape {
    let mut vertices = vec![[0.0; 3], [0.0, 0.0, 50.0]];
    vertices.extend((0..leaves).map(|k| on_circle(k, leaves, 0.0)));
    Shape { vertices, triangles: (0..leaves).map(|k| [0, 1, k + 2]).collect() }
}

/// Edges of any length on the x axis, their triangles turned about it.
fn on_one_line(count: u32) -> Shape {
    let corners = scattered(40.0).zip(0..count).flat_map(|([from, to, _], k)| {
        let [y, z, _] = on_circle(k, count, 0.0);
        [[from, 0.0, 0.0], [60.0 + to, 0.0, 0.0], [50.0, y, z]]
    });
    of_triangles(corners.collect())
}

fn wedges(count: u32) -> Shape {
    let mut shape = Shape { vertices: vec![[0.0; 3], [0.0, 0.0, 50.0]], triangles: Vec::new() };
    for k in 0..count {
        let (c, d) = (shape.vertices.len() as u32, shape.vertices.len() as u32 + 1);
        shape.vertices.extend([on_circle(k, count, 0.0), on_circle(k, count, 0.5)]);
        shape.triangles.extend([[0, d, c], [1, c, d], [0, c, 1], [0, 1, d]]);
    }
    shape
}

/// One of so many points on a circle of 40 mm half-way up the edge, some share of a step on.
fn on_circle(k: u32, count: u32, share: f64) -> [f64; 3] {
    let angle = TAU * (f64::from(k) + share) / f64::from(count);
    [40.0 * angle.cos(), 40.0 * angle.sin(), 25.0]
}

fn tetrahedra(count: u32) -> Shape {
    let one = Shape {
        vertices: vec![[0.0; 3], [40.0, 0.0, 0.0], [0.0, 40.0, 0.0], [0.0, 0.0, 40.0]],
        triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]],
    };
    let places = scattered(12.0).take(count as usize);
    places.fold(one.clone(), |all, place| all.and(one.clone().moved(place)))
}

fn dolls(count: u32) -> Shape {
    let mut shape = plain();
    for k in 1..count {
        let share = 1.0 - f64::from(k) / f64::from(count);
        let middle = [20.0, 15.0, 10.0].map(|c| c * (1.0 - share));
        shape = shape.and(plain().scaled(share).moved(middle));
    }
    shape
}
