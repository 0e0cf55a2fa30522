//! Which triangles enclose material between them where more than two meet along an edge.

use std::f64::consts::TAU;

use crate::mesh::{Edge, HalfEdge, Mesh, Vec3, starts_at};

/// Faces this close in angle lie on one another, radians: rounding, far below any real wedge.
const SAME_ANGLE: f64 = 1e-9;

/// A triangle seen along the edge.
#[derive(Debug, Clone, Copy)]
struct Leaf {
    half_edge: HalfEdge,
    angle: f64,
    /// Turning on from here one comes into material.
    opens: bool,
}

/// Pairs of half-edges along an edge with material between their triangles. A half-edge that
/// has no partner is in no pair.
///
/// Going round the edge, a triangle either opens a wedge of material or closes one; each that
/// opens belongs with the next that closes and is not yet taken.
pub fn of(mesh: &Mesh, edge: &Edge) -> Vec<[HalfEdge; 2]> {
    let leaves = in_turning_order(mesh, edge);
    let mut open: Vec<HalfEdge> = Vec::new();
    let mut pairs = Vec::new();
    let mut taken = vec![false; leaves.len()];
    // Twice round: what opens near the end of the first round closes in the second.
    for k in 0..2 * leaves.len() {
        let leaf = leaves[k % leaves.len()];
        let taken = &mut taken[k % leaves.len()];
        if *taken {
            continue;
        }
        if leaf.opens {
            if k < leaves.len() {
                open.push(leaf.half_edge);
                *taken = true;
            }
        } else if let Some(other) = open.pop() {
            pairs.push([other, leaf.half_edge]);
            *taken = true;
        }
    }
    pairs
}

fn in_turning_order(mesh: &Mesh, edge: &Edge) -> Vec<Leaf> {
    let [from, to] = [edge.low, edge.high].map(|v| mesh.vertices()[v as usize]);
    let along = (to - from).normalize_or(Vec3::Z);
    let away = |h: HalfEdge| mesh.corners(h as usize / 3)[(h as usize + 2) % 3] - from;
    // The first triangle lies at angle zero, so that faces on one another aren't told apart by
    // the jump from a whole turn to none.
    let first = edge.half_edges().next().map(away).unwrap_or_default();
    let zero = (first - along * first.dot(along)).normalize_or(along.any_orthonormal_vector());
    let quarter = along.cross(zero);
    let turn = |away: Vec3| {
        let angle = away.dot(quarter).atan2(away.dot(zero)).rem_euclid(TAU);
        if angle > TAU - SAME_ANGLE { 0.0 } else { angle }
    };
    let mut leaves: Vec<Leaf> = edge
        .half_edges()
        .map(|h| {
            // Outward lies where the turn goes on, if the triangle runs along the edge.
            let opens = starts_at(mesh, h) != edge.low;
            Leaf { half_edge: h, angle: turn(away(h)), opens }
        })
        .collect();
    leaves.sort_by(|a, b| a.angle.total_cmp(&b.angle));
    let mut last = f64::NEG_INFINITY;
    for leaf in &mut leaves {
        if leaf.angle - last < SAME_ANGLE {
            leaf.angle = last;
        }
        last = leaf.angle;
    }
    // Of faces that lie on one another those that close come first: their wedge lies before.
    leaves.sort_by(|a, b| a.angle.total_cmp(&b.angle).then(a.opens.cmp(&b.opens)));
    leaves
}
