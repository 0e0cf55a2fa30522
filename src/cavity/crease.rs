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
const WALKS_MAX: usize = 1000;
/// A walk starts from an edge only where it leaves it at no less than this sine: teeth of a
/// jagged border have sides along the border's own way, and nothing lies beyond those.
const LEAVING_MIN: f64 = 0.2;

/// A flat patch and its rim.
pub struct Patch<'a> {
    /// The mesh, up is +z.
    pub mesh: &'a Mesh,
    /// Its edges.
    pub edges: &'a EdgeTable,
    /// The plane of the patch, facing up.
    pub plane: Plane,
    /// Its triangles, rising.
    pub triangles: &'a [u32],
    /// Half-edges of its triangles along its rim.
    pub border: &'a [HalfEdge],
}

/// A piece of the rim.
struct Rim {
    outside: Option<HalfEdge>,
    middle: Vec3,
    length: f64,
    /// Away from the patch in its plane.
    outward: Vec3,
}

impl Patch<'_> {
    /// The share of the patch's border, by length, from which the surface `step` mm further on
    /// has turned by at least 20° against the patch's plane.
    ///
    /// Further on is away from the patch as a whole: a jagged border is smoothed over `step`.
    pub fn creased_share(&self, step: f64) -> f64 {
        let rim: Vec<Rim> = self.border.iter().map(|h| self.rim(*h)).collect();
        let (mut creased, mut whole) = (0.0, 0.0);
        for piece in rim.iter().step_by(rim.len().div_ceil(WALKS_MAX).max(1)) {
            let near = |r: &&Rim| r.middle.distance(piece.middle) <= step;
            let away: Vec3 = rim.iter().filter(near).map(|r| r.outward * r.length).sum();
            let away = away.normalize_or(piece.outward);
            if away.dot(piece.outward) < LEAVING_MIN {
                continue;
            }
            whole += piece.length;
            let turned = piece
                .outside
                .and_then(|start| self.normal_further_on(start, piece.middle, away, step))
                .is_some_and(|n| n.dot(self.plane.normal) <= TURN_DEG_MIN.to_radians().cos());
            if turned {
                creased += piece.length;
            }
        }
        if whole > 0.0 { creased / whole } else { 0.0 }
    }

    fn rim(&self, h: HalfEdge) -> Rim {
        let [a, b] = ends(self.mesh, h);
        Rim {
            outside: self.edges.across(self.mesh, h),
            middle: 0.5 * (a + b),
            length: a.distance(b),
            // The patch lies to the left of its own half-edges.
            outward: (b - a).cross(self.plane.normal).normalize_or_zero(),
        }
    }

    /// Walks over the surface from `here` on the half-edge `start` (of the first triangle
    /// outside the patch), in the upright plane along `away`, and returns the unit normal found
    /// there: the mean over the walk from 3/4 to 5/4 of `step`. Where the walk touches the patch
    /// again it begins anew.
    fn normal_further_on(
        &self,
        start: HalfEdge,
        mut here: Vec3,
        away: Vec3,
        step: f64,
    ) -> Option<Vec3> {
        let across = self.plane.normal.cross(away);
        let offset = across.dot(here);
        let side = |v: u32| across.dot(self.mesh.vertices()[v as usize]) - offset;
        let (mut entry, mut walked, mut sum) = (start, 0.0, Vec3::ZERO);
        for _ in 0..STEPS_MAX {
            let t = entry / 3;
            let (p, q, exit) = self.way_out(entry, &side);
            let (sp, sq) = (side(p), side(q));
            let share = if sp == sq { 0.5 } else { (sp / (sp - sq)).clamp(0.0, 1.0) };
            let [vp, vq] = [p, q].map(|v| self.mesh.vertices()[v as usize]);
            let there = vp + (vq - vp) * share;
            let length = there.distance(here);
            let weight = (walked + length).min(1.25 * step) - walked.max(0.75 * step);
            let normal = area_vector_doubled(self.mesh.corners(t as usize)).normalize_or_zero();
            if weight > 0.0 {
                sum += normal * weight;
            }
            (here, walked) = (there, walked + length);
            if self.triangles.binary_search(&t).is_ok() {
                (walked, sum) = (0.0, Vec3::ZERO);
            }
            if walked >= 1.25 * step {
                break;
            }
            match self.edges.across(self.mesh, exit) {
                Some(next) => entry = next,
                None => break,
            }
        }
        let normal = sum.normalize_or_zero();
        (normal != Vec3::ZERO).then_some(normal)
    }

    /// The side over which a walk that came in over `entry` leaves the triangle again: the one
    /// whose ends lie on either side of the walk's plane. Its ends and its half-edge.
    fn way_out(&self, entry: HalfEdge, side: &impl Fn(u32) -> f64) -> (u32, u32, HalfEdge) {
        let (from, to) = (starts_at(self.mesh, entry), runs_to(self.mesh, entry));
        let third = self.mesh.triangles()[entry as usize / 3][(entry as usize % 3 + 2) % 3];
        if (side(third) > 0.0) == (side(from) > 0.0) {
            (to, third, next_corner(entry))
        } else {
            (third, from, next_corner(next_corner(entry)))
        }
    }
}

fn next_corner(h: HalfEdge) -> HalfEdge {
    h - h % 3 + (h % 3 + 1) % 3
}
