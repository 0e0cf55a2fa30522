//! A mesh sorted into small patches of neighbouring triangles under a tree of boxes: nearest
//! point, inside or outside, first hit, and pairs that come close.

use parry3d_f64::bounding_volume::Aabb;
use parry3d_f64::partitioning::{Bvh, BvhBuildStrategy, BvhLeafCost, BvhNode, TraversalAction};
use rayon::prelude::*;
use robust::{Coord, Coord3D, orient2d, orient3d};

use super::closest::closest_on_triangle;
use super::{Mesh, Vec3};

/// Triangles per patch: small enough that few are looked at in vain, large enough that the tree
/// over them stays small.
const PATCH: usize = 8;

/// The triangles of a mesh, in an order that keeps neighbours together, and a tree over them.
pub struct Patches {
    /// Corners, in the new order.
    corners: Vec<[Vec3; 3]>,
    /// The number each has in the mesh.
    numbers: Vec<u32>,
    tree: Bvh,
}

/// The nearest point of a mesh to some point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// The point of the surface, mm.
    pub point: Vec3,
    /// Its squared distance, mm².
    pub distance_squared: f64,
}

impl BvhLeafCost for Nearest {
    fn cost(&self) -> f64 {
        self.distance_squared
    }
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
    /// Sorts the triangles of `mesh` and builds the tree.
    pub fn new(mesh: &Mesh) -> Self {
        let numbers = neighbour_order(mesh);
        let corners: Vec<_> = numbers.par_iter().map(|t| mesh.corners(*t as usize)).collect();
        let boxes: Vec<Aabb> = corners.par_chunks(PATCH).map(box_of).collect();
        let tree = Bvh::from_leaves(BvhBuildStrategy::Binned, &boxes);
        Self { corners, numbers, tree }
    }

    /// The nearest point of the surface within `reach` mm of `p`; `known` is some point of the
    /// surface to start from.
    pub fn nearest(&self, p: Vec3, reach: f64, known: Option<Vec3>) -> Option<Nearest> {
        let mut limit = reach * reach;
        let mut start = None;
        if let Some(point) = known {
            let distance_squared = point.distance_squared(p);
            if distance_squared <= limit {
                limit = distance_squared;
                start = Some(Nearest { point, distance_squared });
            }
        }
        let found = self.tree.find_best(
            limit,
            |node, _| box_distance_squared(node, p),
            |patch, limit| self.nearest_in_patch(patch, p, limit),
        );
        found.map(|(_, nearest)| nearest).or(start)
    }

    fn nearest_in_patch(&self, patch: u32, p: Vec3, limit: f64) -> Option<Nearest> {
        let mut best = None;
        let mut limit = limit;
        for corners in &self.corners[self.range(patch)] {
            let point = closest_on_triangle(p, *corners);
            let distance_squared = point.distance_squared(p);
            if distance_squared < limit {
                limit = distance_squared;
                best = Some(Nearest { point, distance_squared });
            }
        }
        best
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
        self.tree.traverse(|node| {
            let (low, high) = (node.mins(), node.maxs());
            if p.x < low.x || p.x > high.x || p.y < low.y || p.y > high.y || low.z > p.z {
                return TraversalAction::Prune;
            }
            if let Some(patch) = node.leaf_data() {
                for k in self.range(patch) {
                    let step = step_over(self.corners[k], p);
                    if step != 0 {
                        visit(self.numbers[k], step);
                    }
                }
            }
            TraversalAction::Continue
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
        let mut best: Option<Hit> = None;
        self.tree.traverse(|node| {
            if node.mins().cmpgt(high).any() || node.maxs().cmplt(low).any() {
                return TraversalAction::Prune;
            }
            if let Some(patch) = node.leaf_data() {
                for k in self.range(patch) {
                    let Some(distance) = ray_meets(origin, direction, self.corners[k]) else {
                        continue;
                    };
                    let limit = best.map_or(reach, |b| b.distance);
                    if distance < limit && !skip(self.numbers[k]) {
                        best = Some(Hit { distance, triangle: self.numbers[k] });
                    }
                }
            }
            TraversalAction::Continue
        });
        best
    }

    /// Every pair of different triangles whose boxes touch, visited from many threads at once;
    /// the results come in a fixed order. Each pair comes once.
    pub fn touching_pairs<T: Send>(
        &self,
        visit: impl Fn(u32, &[Vec3; 3], u32, &[Vec3; 3], &mut Vec<T>) + Sync,
    ) -> Vec<T> {
        let patches = self.corners.len().div_ceil(PATCH) as u32;
        let found: Vec<Vec<T>> = (0..patches)
            .into_par_iter()
            .map(|patch| {
                let mut found = Vec::new();
                self.pairs_of_patch(patch, &visit, &mut found);
                found
            })
            .collect();
        found.into_iter().flatten().collect()
    }

    fn pairs_of_patch<T>(
        &self,
        patch: u32,
        visit: &impl Fn(u32, &[Vec3; 3], u32, &[Vec3; 3], &mut Vec<T>),
        found: &mut Vec<T>,
    ) {
        let own = self.range(patch);
        let around = box_of(&self.corners[own.clone()]);
        self.tree.traverse(|node| {
            if node.mins().cmpgt(around.maxs).any() || node.maxs().cmplt(around.mins).any() {
                return TraversalAction::Prune;
            }
            if let Some(other) = node.leaf_data().filter(|other| *other >= patch) {
                for i in own.clone() {
                    let a = &self.corners[i];
                    let (low, high) = (a[0].min(a[1]).min(a[2]), a[0].max(a[1]).max(a[2]));
                    for j in self.range(other).filter(|j| *j > i) {
                        let b = &self.corners[j];
                        let apart = b[0].min(b[1]).min(b[2]).cmpgt(high).any()
                            || b[0].max(b[1]).max(b[2]).cmplt(low).any();
                        if !apart {
                            visit(self.numbers[i], a, self.numbers[j], b, found);
                        }
                    }
                }
            }
            TraversalAction::Continue
        });
    }

    fn range(&self, patch: u32) -> std::ops::Range<usize> {
        let start = patch as usize * PATCH;
        start..(start + PATCH).min(self.corners.len())
    }
}

/// Triangle numbers along a space-filling curve through their centres.
fn neighbour_order(mesh: &Mesh) -> Vec<u32> {
    let Some((low, high)) = mesh.bounding_box() else { return Vec::new() };
    let scale = 1023.999 / (high - low).max_element().max(f64::MIN_POSITIVE);
    let mut keys: Vec<u64> = (0..mesh.triangles().len())
        .into_par_iter()
        .map(|t| {
            let [a, b, c] = mesh.corners(t);
            let cell = ((a + b + c) / 3.0 - low) * scale;
            let curve =
                spread(cell.x as u32) | spread(cell.y as u32) << 1 | spread(cell.z as u32) << 2;
            u64::from(curve) << 32 | t as u64
        })
        .collect();
    keys.par_sort_unstable();
    keys.into_iter().map(|k| k as u32).collect()
}

/// Puts two zero bits between the ten lowest bits.
fn spread(x: u32) -> u32 {
    let x = x & 0x3ff;
    let x = (x | x << 16) & 0x0300_00ff;
    let x = (x | x << 8) & 0x0300_f00f;
    let x = (x | x << 4) & 0x030c_30c3;
    (x | x << 2) & 0x0924_9249
}

fn box_of(triangles: &[[Vec3; 3]]) -> Aabb {
    let mut low = Vec3::INFINITY;
    let mut high = Vec3::NEG_INFINITY;
    for p in triangles.iter().flatten() {
        low = low.min(*p);
        high = high.max(*p);
    }
    Aabb::new(low, high)
}

fn box_distance_squared(node: &BvhNode, p: Vec3) -> f64 {
    (node.mins() - p).max(p - node.maxs()).max(Vec3::ZERO).length_squared()
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
