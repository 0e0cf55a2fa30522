//! A body's way through the program's library, with the defaults of the checks.

use cavigram::bounds::Bounds;
use cavigram::cavity::{Cavity, CavityRequest};
use cavigram::health::{Examined, SoundMesh, examine};
use cavigram::layers::{LayerRequest, Layers, split};
use cavigram::mesh::Vec3;

use super::solids::Body;
use super::truth::Span;
use super::vector::Point;

/// +z up, not said by the user, a flat top is the opening, filled to the lip.
pub const LEVEL: CavityRequest = CavityRequest {
    up: Vec3::new(0.0, 0.0, 1.0),
    up_given: false,
    opening_auto: true,
    below_lip_mm: 0.0,
};

/// As [`LEVEL`], but a flat top is wall.
pub const CLOSED: CavityRequest = CavityRequest { opening_auto: false, ..LEVEL };

pub fn vec3(p: Point) -> Vec3 {
    Vec3::new(p[0], p[1], p[2])
}

pub fn looked_over(body: &Body) -> Examined {
    examine(body.mesh())
}

pub fn sound(body: &Body) -> SoundMesh {
    let examined = looked_over(body);
    examined.sound.unwrap_or_else(|e| panic!("refused: {e}; {:?}", examined.health))
}

pub fn cavity(body: &Body, request: &CavityRequest) -> Cavity {
    Cavity::of_casting(&sound(body), request).unwrap_or_else(|e| panic!("no cavity: {e}"))
}

/// One coat, a cap and a tolerance.
pub fn request(skin_mm: f64, cap_mm: f64, tolerance: f64) -> LayerRequest {
    let coats_mm = if skin_mm > 0.0 { vec![skin_mm] } else { Vec::new() };
    LayerRequest { coats_mm, cap_mm, tolerance }
}

pub fn layers(cavity: &Cavity, request: &LayerRequest) -> Layers {
    split(cavity, request, &|_| {})
}

/// A truth known to lie in `truth` can lie within the limits, which are given the rounding that
/// the closed form itself carries.
pub fn holds(limits: &Bounds, truth: Span) -> bool {
    let rounding = 1e-9 * truth.high.abs().max(1.0);
    limits.low() <= truth.high + rounding && limits.high() >= truth.low - rounding
}

/// How far the value certainly is from a truth known to lie in `truth`.
pub fn miss(value: f64, truth: Span) -> f64 {
    (truth.low - value).max(value - truth.high).max(0.0)
}

/// The two limits meet: one truth can lie within both.
pub fn meet(a: &Bounds, b: &Bounds) -> bool {
    a.low() <= b.high() && b.low() <= a.high()
}

/// How far a limit may lie from the value of skin, core or cap by the contract: the tolerance's
/// share of the cavity, never more than 5 % of the layer itself (or 0.1 cm³, if that is more).
pub fn allowed_reach(layer_mm3: f64, cavity_mm3: f64, tolerance: f64) -> f64 {
    (tolerance * cavity_mm3).min((0.05 * layer_mm3).max(100.0))
}

/// The same for one coat of several: never more than 10 % of it.
pub fn allowed_coat_reach(coat_mm3: f64, cavity_mm3: f64, tolerance: f64) -> f64 {
    (tolerance * cavity_mm3).min((0.10 * coat_mm3).max(100.0))
}
