//! Plain vectors of the checks, kept apart from the program's own.

pub type Point = [f64; 3];

pub fn add(a: Point, b: Point) -> Point {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

pub fn sub(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

pub fn scale(a: Point, s: f64) -> Point {
    [a[0] * s, a[1] * s, a[2] * s]
}

pub fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub fn cross(a: Point, b: Point) -> Point {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

pub fn norm(a: Point) -> f64 {
    dot(a, a).sqrt()
}

pub fn unit(a: Point) -> Point {
    scale(a, 1.0 / norm(a))
}

/// The point `f` of the way from `a` to `b`.
pub fn between(a: Point, b: Point, f: f64) -> Point {
    add(a, scale(sub(b, a), f))
}

/// `p` turned about a unit axis through the origin (Rodrigues' rotation formula).
pub fn turned(p: Point, axis: Point, angle_rad: f64) -> Point {
    let (s, c) = angle_rad.sin_cos();
    let along = scale(axis, dot(axis, p) * (1.0 - c));
    add(add(scale(p, c), scale(cross(axis, p), s)), along)
}
