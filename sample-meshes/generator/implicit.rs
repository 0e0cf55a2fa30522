//! Implicit shapes: functions of a point that are negative inside and about the distance outside.
//!
//! Only `+ − × ÷` and the square root are used. IEEE 754 fixes their results to the last bit, so
//! every machine writes the same files.

use super::vector::{Point, add, dot, length, scale, sub};

/// A shape: negative inside, positive outside, mm.
pub type Shape = Box<dyn Fn(Point) -> f64>;

/// A ball.
pub fn ball(centre: Point, radius: f64) -> Shape {
    Box::new(move |p| length(sub(p, centre)) - radius)
}

/// An ellipsoid along the axes; the value is the distance to first order near the surface.
pub fn ellipsoid(centre: Point, radii: Point) -> Shape {
    Box::new(move |p| {
        let q = sub(p, centre);
        let once = [q[0] / radii[0], q[1] / radii[1], q[2] / radii[2]];
        let twice = [once[0] / radii[0], once[1] / radii[1], once[2] / radii[2]];
        let (k, slope) = (length(once), length(twice));
        if slope == 0.0 { -radii[0].min(radii[1]).min(radii[2]) } else { k * (k - 1.0) / slope }
    })
}

/// All points within `radius` of the segment from `a` to `b`.
pub fn capsule(a: Point, b: Point, radius: f64) -> Shape {
    let axis = sub(b, a);
    Box::new(move |p| {
        let along = (dot(sub(p, a), axis) / dot(axis, axis)).clamp(0.0, 1.0);
        length(sub(p, add(a, scale(axis, along)))) - radius
    })
}

/// A box along the axes whose edges are rounded by `radius`.
pub fn rounded_box(centre: Point, half: Point, radius: f64) -> Shape {
    Box::new(move |p| {
        let q = sub(p, centre);
        let beyond = [0, 1, 2].map(|i| q[i].abs() - half[i] + radius);
        let inside = beyond[0].max(beyond[1]).max(beyond[2]).min(0.0);
        length(beyond.map(|d| d.max(0.0))) + inside - radius
    })
}

/// The shapes as one, with hollows between them filled over about `blend` mm.
pub fn smooth_union(shapes: Vec<Shape>, blend: f64) -> Shape {
    Box::new(move |p| {
        shapes.iter().map(|s| s(p)).reduce(|a, b| smooth_min(a, b, blend)).unwrap_or(f64::MAX)
    })
}

/// The lesser of two values, rounded off by a parabola where they differ by less than `blend`.
fn smooth_min(a: f64, b: f64, blend: f64) -> f64 {
    let overlap = (blend - (a - b).abs()).max(0.0);
    a.min(b) - overlap * overlap / (4.0 * blend)
}

/// A gentle rise (or, with a negative height, a dent) of a surface around a point.
#[derive(Clone, Copy)]
pub struct Bump {
    /// Where it is centred, mm.
    pub centre: Point,
    /// How far it reaches, mm.
    pub reach: f64,
    /// How far it lifts the surface at its centre, mm.
    pub height: f64,
}

/// The shape with its surface lifted by the bumps.
pub fn with_bumps(shape: Shape, bumps: Vec<Bump>) -> Shape {
    Box::new(move |p| {
        let lift: f64 = bumps
            .iter()
            .map(|b| {
                let away = sub(p, b.centre);
                let fade = (1.0 - dot(away, away) / (b.reach * b.reach)).max(0.0);
                b.height * fade * fade * fade
            })
            .sum();
        shape(p) - lift
    })
}

/// A fixed sequence of numbers that look random (Steele, Lea & Flood 2014, SplitMix64).
pub struct Random(u64);

impl Random {
    pub fn from_seed(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number in `[low, high)`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^= z >> 31;
        // 53 bits make every step exact.
        low + (high - low) * ((z >> 11) as f64 / (1u64 << 53) as f64)
    }

    /// A point of the box between two corners.
    pub fn point(&mut self, low: Point, high: Point) -> Point {
        [0, 1, 2].map(|i| self.between(low[i], high[i]))
    }
}
