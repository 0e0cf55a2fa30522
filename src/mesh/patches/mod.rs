//! A mesh in small patches of neighbouring triangles under a tree of boxes: nearest
//! point, inside or outside, first hit, and pairs that come close.

mod aligned;
mod coin;
mod crowd;
mod pairs;
mod tree;
mod work;

use rayon::prelude::*;
use robust::{Coord, Coord3D, orient2d, orient3d};

use super::closest::closest_on_triangle;
use super::{Mesh, Vec3};
pub use coin::Coin;
use tree::{Node, Tree};
pub use work::Work;

/// Triangles per patch: small enough that few are looked at in vain, large enough that the tree
/// over them stays small.
const PATCH: usize = 8;

/// The triangles of a mesh in patches of some that stand together, and a tree over them.
pub struct Patches {
    /// Their corners, mm.
    corners: Vec<[Vec3; 3]>,
    /// The vertices each names in the mesh.
    names: Vec<[u32; 3]>,
    tree: Tree,
}

/// Somebody who looks at the surface around a point.
pub trait Surface {
    /// Looks at a flat body around a piece of surface; `true` where a closer look is wanted.
    fn glance(&mut self, around: &Coin) -> bool;

    /// Takes a patch of triangles.
    fn take(&mut self, patch: &[[Vec3; 3]]);
}

/// A triangle of a pair.
#[derive(Debug, Clone, Copy)]
pub struct Placed {
    /// Its number in the mesh.
    pub number: u32,
    /// Its corners, mm.
    pub corners: [Vec3; 3],
    /// The vertices it names in the mesh.
    pub names: [u32; 3],
    low: Vec3,
    high: Vec3,
}

/// The nearest point of a mesh to some point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// The point of the surface, mm.
    pub point: Vec3,
    /// Its squared distance, mm².
    pub distance_squared: f64,
}

/// Where a ray first meets a mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// Distance along the ray, mm.
    pub distance: f64,
    /// The triangle's number in the mesh.
    pub triangle: u32,
}

impl Patches {
    /// Builds the tree over the triangles of `mesh` as they stand: quick to ask where
    /// neighbours stand together, as [`Mesh::in_neighbour_order`] puts them.
    pub fn new(mesh: &Mesh) -> Self {
        let corners = (0..mesh.triangles().len())
            .into_par_iter()
            .map(|t| mesh.corners(t))
            .collect::<Vec<_>>();
        let names = mesh.triangles().to_vec();
        let tree = Tree::new(&corners);
        Self { corners, names, tree }
    }

    /// How many triangles there are.
    pub fn triangles(&self) -> usize {
        self.corners.len()
    }

    /// The nearest point of the surface within `reach` mm of `p`; `known` is some point of the
    /// surface to start from.
    pub fn nearest(&self, p: Vec3, reach: f64, known: Option<Vec3>) -> Option<Nearest> {
        let as_nearest =
            |point: Vec3| Nearest { point, distance_squared: point.distance_squared(p) };
        let mut best = known.map(as_nearest).filter(|n| n.distance_squared <= reach * reach);
        let mut limit = best.map_or(reach * reach, |n| n.distance_squared);
        self.tree.nearest_first(p, limit, |patch| {
            for corners in &self.corners[self.range(patch)] {
                let found = as_nearest(closest_on_triangle(p, *corners));
                if found.distance_squared < limit {
                    limit = found.distance_squared;
                    best = Some(found);
                }
            }
            limit
        });
        best
    }

    /// Hands the patches within `reach` mm of `p` to `looker`, about nearest first.
    pub fn near<S: Surface>(&self, p: Vec3, reach: f64, looker: &mut S) {
        self.tree.near_first(
            p,
            reach * reach,
            looker,
            |looker, node| looker.glance(&node.coin),
            |looker, patch| {
                looker.take(&self.corners[self.range(patch)]);
            },
        );
    }

    /// How often the surface is wound around `p`: 1 inside one outward body, 0 outside. Only
    /// what lies under `p` is looked at, so the surface may be open above it.
    ///
    /// Exact for any surface that is closed under `p`: the signs come from exact predicates,
    /// and a ray through an edge or corner is moved aside by an infinitesimal amount.
    /// Source: Shewchuk's adaptive predicates (1997); simulation of simplicity (Edelsbrunner and
    /// Mücke 1990) for the ties.
    pub fn winding(&self, p: Vec3) -> i32 {
        let mut sum = 0;
        self.for_each_under(p, |_, step| sum += step);
        sum
    }

    /// Calls `visit` with each triangle's number that lies straight under `p` and what it adds
    /// to the winding number.
    pub fn for_each_under(&self, p: Vec3, mut visit: impl FnMut(u32, i32)) {
        let under = |n: &Node| {
            p.x >= n.low.x && p.x <= n.high.x && p.y >= n.low.y && p.y <= n.high.y && n.low.z <= p.z
        };
        self.tree.descend(under, |patch| {
            for k in self.range(patch) {
                let step = step_over(self.corners[k], p);
                if step != 0 {
                    visit(k as u32, step);
                }
            }
        });
    }

    /// The first triangle met from `origin` along the unit vector `direction` within `reach` mm,
    /// leaving out those that `skip` names.
    pub fn first_hit(
        &self,
        origin: Vec3,
        direction: Vec3,
        reach: f64,
        skip: impl Fn(u32) -> bool,
    ) -> Option<Hit> {
        let end = origin + direction * reach;
        let (low, high) = (origin.min(end), origin.max(end));
        let inverse = direction.recip();
        let mut best: Option<Hit> = None;
        self.tree.descend(
            // The way's own box alone would let in all of a piece that is small beside the reach.
            |node| {
                boxes_touch(node.low, node.high, low, high)
                    && line_meets_box(origin, inverse, node.low, node.high)
            },
            |patch| {
                for k in self.range(patch) {
                    let Some(distance) = ray_meets(origin, direction, self.corners[k]) else {
                        continue;
                    };
                    let limit = best.map_or(reach, |b| b.distance);
                    if distance < limit && !skip(k as u32) {
                        best = Some(Hit { distance, triangle: k as u32 });
                    }
                }
            },
        );
        best
    }

    /// Visits every triangle that may meet the line from `origin` along `direction`, by number
    /// and corners.
    pub fn for_each_along(
        &self,
        origin: Vec3,
        direction: Vec3,
        mut visit: impl FnMut(u32, [Vec3; 3]),
    ) {
        let inverse = direction.recip();
        self.tree.descend(
            |node| line_meets_box(origin, inverse, node.low, node.high),
            |patch| {
                for k in self.range(patch) {
                    visit(k as u32, self.corners[k]);
                }
            },
        );
    }

    /// Visits every triangle that may come within `reach` mm of the line from `a` to `b`, by the
    /// vertices that it names.
    pub fn for_each_beside(&self, [a, b]: [Vec3; 2], reach: f64, mut visit: impl FnMut([u32; 3])) {
        let (low, high) = (a.min(b) - reach, a.max(b) + reach);
        let inverse = (b - a).recip();
        self.tree.descend(
            |node| {
                boxes_touch(node.low, node.high, low, high)
                    && line_meets_box(a, inverse, node.low - reach, node.high + reach)
            },
            |patch| self.names[self.range(patch)].iter().for_each(|names| visit(*names)),
        );
    }

    fn placed(&self, place: usize) -> Placed {
        let corners = self.corners[place];
        let (low, high) = box_of(&corners);
        Placed { number: place as u32, corners, names: self.names[place], low, high }
    }

    fn range(&self, patch: u32) -> std::ops::Range<usize> {
        let start = patch as usize * PATCH;
        start..(start + PATCH).min(self.corners.len())
    }
}

fn box_of([a, b, c]: &[Vec3; 3]) -> (Vec3, Vec3) {
    (a.min(*b).min(*c), a.max(*b).max(*c))
}

fn boxes_touch(low: Vec3, high: Vec3, other_low: Vec3, other_high: Vec3) -> bool {
    low.x <= other_high.x
        && low.y <= other_high.y
        && low.z <= other_high.z
        && high.x >= other_low.x
        && high.y >= other_low.y
        && high.z >= other_low.z
}

/// What a triangle adds to the winding number of `p`: +1 for a downward-facing one straight
/// under it, −1 for an upward-facing one, 0 for any other.
fn step_over([a, b, c]: [Vec3; 3], p: Vec3) -> i32 {
    let outside = (p.x < a.x && p.x < b.x && p.x < c.x)
        || (p.x > a.x && p.x > b.x && p.x > c.x)
        || (p.y < a.y && p.y < b.y && p.y < c.y)
        || (p.y > a.y && p.y > b.y && p.y > c.y)
        || (p.z < a.z && p.z < b.z && p.z < c.z);
    if outside {
        return 0;
    }
    let turn = side_of_line(a, b, p);
    if turn == 0 || side_of_line(b, c, p) != turn || side_of_line(c, a, p) != turn {
        return 0;
    }
    // With the corners counter-clockwise seen from above, the predicate is negative above.
    let solid = |v: Vec3| Coord3D { x: v.x, y: v.y, z: v.z };
    let height = orient3d(solid(a), solid(b), solid(c), solid(p)) * f64::from(turn);
    if height < 0.0 { -turn } else { 0 }
}

/// On which side of the line from `a` to `b`, seen from above, `p` lies: 1 left, −1 right. A tie
/// is broken as if `p` were moved by (ε, ε²); 0 only where `a` and `b` lie over one another.
fn side_of_line(a: Vec3, b: Vec3, p: Vec3) -> i32 {
    let flat = |v: Vec3| Coord { x: v.x, y: v.y };
    let turn = orient2d(flat(a), flat(b), flat(p));
    let sign = |x: f64| i32::from(x > 0.0) - i32::from(x < 0.0);
    match sign(turn) {
        0 if a.y != b.y => sign(a.y - b.y),
        0 => sign(b.x - a.x),
        side => side,
    }
}

/// The line from `origin` on passes a box, or nearly so; `inverse` is one over its direction.
fn line_meets_box(origin: Vec3, inverse: Vec3, low: Vec3, high: Vec3) -> bool {
    let room = 1e-9 * (high - low).max_element() + 1e-12 * origin.abs().max_element();
    let (mut from, mut to) = (-1e-9, f64::INFINITY);
    for k in 0..3 {
        let (a, b) = (low[k] - room - origin[k], high[k] + room - origin[k]);
        if inverse[k].is_infinite() {
            if a > 0.0 || b < 0.0 {
                return false;
            }
            continue;
        }
        let (a, b) = (a * inverse[k], b * inverse[k]);
        (from, to) = (a.min(b).max(from), a.max(b).min(to));
    }
    from <= to
}

/// Distance along the unit vector `direction` at which a ray meets a triangle, from either side.
///
/// Source: Möller and Trumbore, J. Graphics Tools 2(1), 1997.
fn ray_meets(origin: Vec3, direction: Vec3, [a, b, c]: [Vec3; 3]) -> Option<f64> {
    let (e1, e2) = (b - a, c - a);
    let across = direction.cross(e2);
    let det = e1.dot(across);
    if det == 0.0 {
        return None;
    }
    let from_a = origin - a;
    let u = from_a.dot(across) / det;
    let turned = from_a.cross(e1);
    let v = direction.dot(turned) / det;
    let distance = e2.dot(turned) / det;
    (u >= 0.0 && v >= 0.0 && u + v <= 1.0 && distance > 0.0).then_some(distance)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tetrahedron() -> Mesh {
        let v = vec![Vec3::ZERO, Vec3::X * 4.0, Vec3::Y * 4.0, Vec3::Z * 4.0];
        Mesh::new(v, vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]).unwrap()
    }

    #[test]
    fn winding_is_exact_on_lines_through_corners_and_edges() {
        let patches = Patches::new(&tetrahedron());
        assert_eq!(patches.winding(Vec3::new(1.0, 1.0, 1.0)), 1);
        assert_eq!(patches.winding(Vec3::new(1.0, 1.0, 2.5)), 0);
        // Straight over the corner at the origin, along the upright edge, and over the slope's
        // edge: moved aside to (ε, ε²), which lies inside the base.
        assert_eq!(patches.winding(Vec3::new(0.0, 0.0, 2.0)), 1);
        assert_eq!(patches.winding(Vec3::new(0.0, 0.0, 9.0)), 0);
        assert_eq!(patches.winding(Vec3::new(2.0, 2.0, 9.0)), 0);
        assert_eq!(patches.winding(Vec3::new(2.0, 0.0, 1.0)), 1);
        assert_eq!(patches.winding(Vec3::new(-1.0, 0.0, 1.0)), 0);
    }

    #[test]
    fn nearest_and_first_hit_agree_along_a_normal() {
        let patches = Patches::new(&tetrahedron());
        let p = Vec3::new(1.0, 1.0, 0.25);
        let nearest = patches.nearest(p, 10.0, None).unwrap();
        assert_eq!(nearest.point, Vec3::new(1.0, 1.0, 0.0));
        let hit = patches.first_hit(p, -Vec3::Z, 10.0, |_| false).unwrap();
        assert_eq!((hit.distance, hit.triangle), (0.25, 0));
        assert!(patches.nearest(p, 0.2, None).is_none());
        assert_eq!(patches.nearest(p, 10.0, Some(Vec3::ZERO)).unwrap(), nearest);
    }
}
