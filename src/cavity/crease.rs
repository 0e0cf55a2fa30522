//! Does a flat patch end in a crease, or does the surface go on smoothly?

use crate::mesh::{
    EdgeTable, HalfEdge, Mesh, Plane, Vec3, area_vector_doubled, runs_to, starts_at,
};

use super::back::ends;

/// The surface has turned enough to be a crease, degrees.
const TURN_DEG_MIN: f64 = 20.0;
/// Triangles crossed on one walk before it is given up.
const STEPS_MAX: usize = 100_000;
/// Border edges walked from at most; of more, evenly spread ones are taken.
const WALKS_MAX: usize = 2000;

/// The share of a patch's border, by length, from which the surface `step` mm further on has
/// turned by at least 20° against the patch's plane.
///
/// `border` are the half-edges of the patch's own triangles along its rim.
pub fn creased_share(
    mesh: &Mesh,
    edges: &EdgeTable,
    plane: &Plane,
    border: &[HalfEdge],
    step: f64,
) -> f64 {
    let (mut creased, mut whole) = (0.0, 0.0);
    for h in border.iter().step_by(border.len().div_ceil(WALKS_MAX).max(1)) {
        let [a, b] = ends(mesh, *h);
        whole += a.distance(b);
        let turned = edges
            .across(mesh, *h)
            .and_then(|outside| normal_further_on(mesh, edges, outside, plane.normal, step))
            .is_some_and(|n| n.dot(plane.normal) <= TURN_DEG_MIN.to_radians().cos());
        if turned {
            creased += a.distance(b);
        }
    }
    if whole > 0.0 { creased / whole } else { 0.0 }
}

/// Walks over the surface straight away from the half-edge `start` (of the first triangle
/// outside the patch), in the upright plane across it, and returns the unit normal there: the
/// mean over the walk from 3/4 to 5/4 of `step`.
fn normal_further_on(
    mesh: &Mesh,
    edges: &EdgeTable,
    start: HalfEdge,
    up: Vec3,
    step: f64,
) -> Option<Vec3> {
    let [a, b] = ends(mesh, start);
    let along = (b - a - up * (b - a).dot(up)).normalize_or_zero();
    let mut here = 0.5 * (a + b);
    let offset = along.dot(here);
    let side = |v: u32| along.dot(mesh.vertices()[v as usize]) - offset;
    let (mut entry, mut walked, mut sum) = (start, 0.0, Vec3::ZERO);
    for _ in 0..STEPS_MAX {
        let t = entry / 3;
        let (from, to) = (starts_at(mesh, entry), runs_to(mesh, entry));
        let third = mesh.triangles()[t as usize][(entry as usize % 3 + 2) % 3];
        // The walk leaves over the side whose ends lie on either side of its plane.
        let leaves_over_to = (side(third) > 0.0) == (side(from) > 0.0);
        let (p, q, exit) = if leaves_over_to {
            (to, third, next_corner(entry))
        } else {
            (third, from, next_corner(next_corner(entry)))
        };
        let (sp, sq) = (side(p), side(q));
        let share = if sp == sq { 0.5 } else { (sp / (sp - sq)).clamp(0.0, 1.0) };
        let [vp, vq] = [p, q].map(|v| mesh.vertices()[v as usize]);
        let there = vp + (vq - vp) * share;
        let length = there.distance(here);
        let weight = (walked + length).min(1.25 * step) - walked.max(0.75 * step);
        let normal = area_vector_doubled(mesh.corners(t as usize)).normalize_or_zero();
        if weight > 0.0 {
            sum += normal * weight;
        }
        (here, walked) = (there, walked + length);
        if walked >= 1.25 * step {
            break;
        }
        match edges.across(mesh, exit) {
            Some(next) => entry = next,
            None => {
                sum += normal * f64::MIN_POSITIVE.max(step * 1e-9);
                break;
            }
        }
    }
    let normal = sum.normalize_or_zero();
    (normal != Vec3::ZERO).then_some(normal)
}

fn next_corner(h: HalfEdge) -> HalfEdge {
    h - h % 3 + (h % 3 + 1) % 3
}
