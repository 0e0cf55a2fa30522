//! Finds where a surface crosses or lies on itself, within a body or between bodies.

use robust::{Coord, Coord3D, orient2d, orient3d};

use crate::mesh::{EdgeTable, HalfEdge, Mesh, Patches, Vec3, Work};

use super::Unsound;

/// Pairs that may be looked at, beside so many for each triangle: some seconds. Of a scan there
/// are about ten for each; of needles that converge from all sides there were thousands.
const WORK_AT_LEAST: usize = 1_000_000_000;
const WORK_PER_TRIANGLE: usize = 10_000;
/// A crossing counts as so many pairs: it takes room as well as time, here and where what crosses
/// is united.
const WORK_FOUND: usize = 500;
/// Two on one edge, none of which is left out by its box, count as so many pairs.
const WORK_ON_EDGE: usize = 5;

/// Two triangles that cross or lie on one another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Their numbers in the mesh, lower first.
    pub triangles: [u32; 2],
    /// Where, mm.
    pub place_mm: Vec3,
}

/// All pairs of triangles that pass through one another or overlap in one plane, by the lower
/// triangle number. Neighbours along an edge are left out (`overlaps_along_edges` looks at them); neighbours
/// at a corner count where one passes through the inside of the other or lies on it. Surfaces
/// that merely touch don't count.
///
/// Exact: every sign comes from an adaptive predicate (Shewchuk 1997).
///
/// # Errors
/// [`Unsound::TooManyCrossings`] where that takes more work than any surface that can be cast.
pub fn crossings(patches: &Patches) -> Result<Vec<Crossing>, Unsound> {
    let work = Work::on(patches.triangles(), WORK_AT_LEAST, WORK_PER_TRIANGLE);
    let mut found = patches.touching_pairs(0.0, &work, |a, b, found| {
        let shared = a.names.iter().filter(|v| b.names.contains(v)).count();
        let place = match shared {
            0 => meet(&a.corners, &b.corners),
            1 => pass_through_corner(&a.corners, a.names, &b.corners, b.names),
            _ => None,
        };
        if let Some(place_mm) = place {
            let triangles = [a.number.min(b.number), a.number.max(b.number)];
            found.push(Crossing { triangles, place_mm });
            work.add(WORK_FOUND);
        }
    });
    if work.is_over() {
        return Err(Unsound::TooManyCrossings);
    }
    found.sort_by_key(|c| c.triangles);
    Ok(found)
}

/// Pairs of triangles that lie on one another beside a common edge, where more than two meet
/// along it: bodies that share a face, cut in another way on either side. Two neighbours that
/// are alone on their edge are one surface folded flat, which encloses nothing there.
///
/// # Errors
/// [`Unsound::TooManyCrossings`] where very many triangles meet along an edge.
pub fn overlaps_along_edges(mesh: &Mesh, edges: &EdgeTable) -> Result<Vec<Crossing>, Unsound> {
    let work = Work::on(mesh.triangles().len(), WORK_AT_LEAST, WORK_PER_TRIANGLE);
    let mut found = Vec::new();
    for edge in edges.iter().filter(|e| e.half_edges().len() > 2) {
        let sides: Vec<HalfEdge> = edge.half_edges().collect();
        for (k, a) in sides.iter().enumerate() {
            work.add(WORK_ON_EDGE * sides[k + 1..].len());
            if work.is_over() {
                return Err(Unsound::TooManyCrossings);
            }
            for b in &sides[k + 1..] {
                let (p, q) = (mesh.corners(*a as usize / 3), mesh.corners(*b as usize / 3));
                if nearly_flat(&p, &q, &heights(&p, &q)) && overlap_in_plane(&p, &q) {
                    let triangles = [(*a / 3).min(*b / 3), (*a / 3).max(*b / 3)];
                    let place_mm = (p[0] + p[1] + p[2]) / 3.0;
                    found.push(Crossing { triangles, place_mm });
                    work.add(WORK_FOUND);
                }
            }
        }
    }
    found.sort_by_key(|c| c.triangles);
    found.dedup_by_key(|c| c.triangles);
    Ok(found)
}

/// Where two triangles without a common corner cross or overlap.
fn meet(a: &[Vec3; 3], b: &[Vec3; 3]) -> Option<Vec3> {
    let from_b = heights(b, a);
    let flat = nearly_flat(b, a, &from_b);
    if one_sided(from_b) && !flat {
        return None;
    }
    let from_a = heights(a, b);
    if flat && nearly_flat(a, b, &from_a) {
        return overlap_in_plane(a, b).then(|| (a[0] + a[1] + a[2]) / 3.0);
    }
    if one_sided(from_b) || one_sided(from_a) {
        return None;
    }
    pierced(a, from_b, b).or_else(|| pierced(b, from_a, a))
}

/// Where one side of `a`, with the given heights of its corners over the plane of `b`, passes
/// through `b`, its rim included.
fn pierced(a: &[Vec3; 3], heights: [f64; 3], b: &[Vec3; 3]) -> Option<Vec3> {
    (0..3).find_map(|k| {
        let (i, j) = (k, (k + 1) % 3);
        let passes = opposite(heights[i], heights[j]);
        (passes && line_through(a[i], a[j], b, false))
            .then(|| a[i] + (a[j] - a[i]) * (heights[i] / (heights[i] - heights[j])))
    })
}

/// Where two triangles with one common corner pass through one another: the side that lies
/// opposite the common corner goes through the inside of the other triangle; or they overlap.
fn pass_through_corner(
    a: &[Vec3; 3],
    names_a: [u32; 3],
    b: &[Vec3; 3],
    names_b: [u32; 3],
) -> Option<Vec3> {
    let far_side = |p: &[Vec3; 3], names: [u32; 3], others: [u32; 3]| {
        let k = names.iter().position(|v| others.contains(v))?;
        Some([p[(k + 1) % 3], p[(k + 2) % 3]])
    };
    let (far_a, far_b) = (far_side(a, names_a, names_b)?, far_side(b, names_b, names_a)?);
    let over_b = far_a.map(|p| height(b, p));
    let flat = nearly_flat(b, &far_a, &over_b);
    if !flat && over_b[0] * over_b[1] > 0.0 {
        return None; // Apart from the corner all of `a` lies on one side of `b`'s plane.
    }
    let over_a = far_b.map(|p| height(a, p));
    if flat && nearly_flat(a, &far_b, &over_a) {
        return overlap_in_plane(a, b).then(|| (a[0] + a[1] + a[2]) / 3.0);
    }
    let passes = |far: [Vec3; 2], over: [f64; 2], other: &[Vec3; 3]| {
        (opposite(over[0], over[1]) && line_through(far[0], far[1], other, true))
            .then(|| far[0] + (far[1] - far[0]) * (over[0] / (over[0] - over[1])))
    };
    passes(far_a, over_b, b).or_else(|| passes(far_b, over_a, a))
}

/// The line from `p` to `q` passes through the triangle; its rim counts unless `inside_only`.
fn line_through(p: Vec3, q: Vec3, [a, b, c]: &[Vec3; 3], inside_only: bool) -> bool {
    let turns = [(a, b), (b, c), (c, a)].map(|(u, v)| orient(p, q, *u, *v));
    if inside_only {
        turns.iter().all(|t| *t > 0.0) || turns.iter().all(|t| *t < 0.0)
    } else {
        turns.iter().all(|t| *t >= 0.0) || turns.iter().all(|t| *t <= 0.0)
    }
}

fn heights(plane: &[Vec3; 3], points: &[Vec3; 3]) -> [f64; 3] {
    points.map(|p| height(plane, p))
}

fn height([a, b, c]: &[Vec3; 3], p: Vec3) -> f64 {
    orient(*a, *b, *c, p)
}

/// Negative over the plane of a, b and c where they run counter-clockwise. The sign is exact:
/// where rounding might turn it the adaptive predicate decides.
fn orient(a: Vec3, b: Vec3, c: Vec3, d: Vec3) -> f64 {
    // Six products of three differences, each rounded a few times: far under 90 roundings.
    const ROUNDING: f64 = 1e-14;
    let (ab, ac, ad) = (b - a, c - a, d - a);
    // Four points in one plane across an axis, as of a level back: no need to search for digits.
    if ab
        .to_array()
        .iter()
        .zip(ac.to_array())
        .zip(ad.to_array())
        .any(|((x, y), z)| *x == 0.0 && y == 0.0 && z == 0.0)
    {
        return 0.0;
    }
    let height = -ab.cross(ac).dot(ad);
    let size = |v: Vec3| v.x.abs() + v.y.abs() + v.z.abs();
    if height.abs() > ROUNDING * size(ab) * size(ac) * size(ad) {
        return height;
    }
    let coord = |v: Vec3| Coord3D { x: v.x, y: v.y, z: v.z };
    orient3d(coord(a), coord(b), coord(c), coord(d))
}

/// Points lie in a triangle's plane, but for what turning a piece about does to its last digits.
fn nearly_flat(plane: &[Vec3; 3], points: &[Vec3], heights: &[f64]) -> bool {
    const ROUNDING: f64 = 1e-12;
    let around = [plane[1] - plane[0], plane[2] - plane[0]].map(|side| side.length());
    heights.iter().zip(points).all(|(height, p)| {
        height.abs() <= ROUNDING * around[0] * around[1] * (*p - plane[0]).length().max(around[0])
    })
}

fn one_sided(heights: [f64; 3]) -> bool {
    heights.iter().all(|h| *h > 0.0) || heights.iter().all(|h| *h < 0.0)
}

fn opposite(a: f64, b: f64) -> bool {
    (a > 0.0 && b < 0.0) || (a < 0.0 && b > 0.0)
}

/// Two triangles in one plane share some area: no side of either has the other wholly on its
/// outer side.
pub(super) fn overlap_in_plane(a: &[Vec3; 3], b: &[Vec3; 3]) -> bool {
    let normal = (a[1] - a[0]).cross(a[2] - a[0]).abs();
    let flat = |v: Vec3| {
        if normal.z >= normal.x && normal.z >= normal.y {
            Coord { x: v.x, y: v.y }
        } else if normal.y >= normal.x {
            Coord { x: v.z, y: v.x }
        } else {
            Coord { x: v.y, y: v.z }
        }
    };
    let (a, b) = (a.map(flat), b.map(flat));
    let apart = |p: [Coord<f64>; 3], q: [Coord<f64>; 3]| {
        let turn = orient2d(p[0], p[1], p[2]);
        turn == 0.0
            || (0..3).any(|k| {
                q.iter().all(|v| orient2d(p[k], p[(k + 1) % 3], *v) * turn.signum() <= 0.0)
            })
    };
    !apart(a, b) && !apart(b, a)
}
