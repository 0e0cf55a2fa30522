//! How much of one cell lies in the cavity farther than a thickness from the wall, with limits.
//!
//! The bounds and why they hold are told in docs/layers.md. In short, with the distances d_i at
//! the corners v_i of a tetrahedron, weights λ_i of a point x in it and s(x) = Σ λ_i |v_i − x|²:
//!
//! * from below: |x|² − d² is the greatest of linear functions, so convex, and Jensen gives
//!   d²(x) ≥ Σ λ_i d_i² − s(x); and s(x) ≤ Σ λ_i |v_i − c|² for any fixed point c;
//! * from above: d(x) ≤ |x − p| for any point p of the wall, and |x − p| is convex, so
//!   d(x) ≤ Σ λ_i |v_i − p|.
//!
//! Both sides are linear in the tetrahedron, so each cuts off a share of it that is known
//! exactly.

use crate::bounds::Bounds;
use crate::mesh::Vec3;

use super::corners::{Corner, Side};
use super::tetra::share_above_zero;

/// A box as six tetrahedra around the diagonal from corner 0 to corner 7. With a mask of axes put
/// over the numbers (exclusive or) the diagonal is one of the other three.
const TETRAHEDRA: [[usize; 4]; 6] =
    [[0, 1, 3, 7], [0, 1, 5, 7], [0, 2, 3, 7], [0, 2, 6, 7], [0, 4, 5, 7], [0, 4, 6, 7]];

/// What a cell can be taken for before its tetrahedra are looked at.
enum Standing {
    /// All of it lies deeper than the thickness.
    Full,
    /// None of it does.
    Nothing,
    /// Every point of it that is farther from the wall than the thickness is inside.
    Mixed,
    /// Too large to tell sides apart.
    Unclear,
}

/// Volume of the part of a cell that lies in the cavity farther than `t` mm from the wall, mm³.
///
/// Assumptions: the corners are those of a box, in the order of `CellBox::corners`.
pub fn volume_beyond(corners: &[&Corner; 8], t: f64) -> Bounds {
    let size = corners[7].position - corners[0].position;
    let volume = size.x * size.y * size.z;
    match standing(corners, size.length(), t) {
        Standing::Nothing => Bounds::ZERO,
        Standing::Full => Bounds::exact(volume),
        Standing::Unclear => {
            let share: f64 = tetrahedra(corners).map(|k| estimate(corners, &k, t)).sum();
            Bounds::new(0.0, share * volume / 6.0, volume)
        }
        Standing::Mixed => in_tetrahedra(corners, t, volume),
    }
}

/// The six tetrahedra around that diagonal of the box along which the depth changes most: both
/// bounds lose by what the sides of a tetrahedron measure along the wall, and the longest side
/// then measures least.
fn tetrahedra(corners: &[&Corner; 8]) -> impl Iterator<Item = [usize; 4]> {
    let rise = |axis: usize| {
        let sign = |k: usize| if k >> axis & 1 == 1 { 1.0 } else { -1.0 };
        (0..8).map(|k| sign(k) * depth(corners[k])).sum::<f64>()
    };
    let mask = (0..3).filter(|axis| rise(*axis) < 0.0).map(|axis| 1 << axis).sum::<usize>();
    TETRAHEDRA.into_iter().map(move |k| k.map(|k| k ^ mask))
}

fn standing(corners: &[&Corner; 8], diagonal: f64, t: f64) -> Standing {
    let radius = 0.5 * diagonal;
    let least = corners.iter().map(|c| c.distance).fold(f64::INFINITY, f64::min);
    let farthest = corners.iter().max_by(|a, b| a.distance.total_cmp(&b.distance));
    // No wall in the cell: one corner is farther from it than the cell is across.
    let free = farthest.filter(|c| c.distance > diagonal && c.side != Side::Unknown);
    // Two points on different sides and both farther than t from the wall are more than 2 t
    // apart, so in a cell no larger than that all such points are on one side.
    let side = match free {
        Some(corner) => corner.side,
        None if diagonal > 2.0 * t => return unclear(corners, radius, t),
        None => side_of_deep_part(corners, t),
    };
    let too_near = || {
        corners
            .iter()
            .filter_map(|c| c.nearest)
            .any(|p| corners.iter().all(|c| c.position.distance_squared(p) <= t * t))
    };
    match side {
        Side::Outside => Standing::Nothing,
        // Jensen: d² ≥ min d_i² − s, and s is at most the square of half the diagonal.
        Side::Inside if least * least - radius * radius > t * t => Standing::Full,
        _ if too_near() => Standing::Nothing,
        _ => Standing::Mixed,
    }
}

/// The side that the points farther than `t` from the wall lie on, in a cell at most 2 t across.
fn side_of_deep_part(corners: &[&Corner; 8], t: f64) -> Side {
    let deep = corners.iter().find(|c| c.distance > t && c.side != Side::Unknown);
    match deep {
        Some(corner) => corner.side,
        // The nearest corner of such a point is within t of it, so on its side.
        None if corners.iter().all(|c| c.side == Side::Outside) => Side::Outside,
        None => Side::Unknown,
    }
}

/// A cell so large that it may hold deep points on both sides: nothing, if no corner's signed
/// distance can grow beyond `t` over half the diagonal.
fn unclear(corners: &[&Corner; 8], radius: f64, t: f64) -> Standing {
    let shallow = |c: &&Corner| match c.side {
        Side::Outside => radius - c.distance <= t,
        Side::Inside | Side::Unknown => c.nearest.is_some() && c.distance + radius <= t,
    };
    if corners.iter().all(shallow) { Standing::Nothing } else { Standing::Unclear }
}

fn in_tetrahedra(corners: &[&Corner; 8], t: f64, volume: f64) -> Bounds {
    let mut from_wall = [[0.0; 8]; 8];
    let mut points = 0;
    for p in corners.iter().filter_map(|c| c.nearest) {
        for (value, c) in from_wall[points].iter_mut().zip(corners) {
            *value = c.position.distance(p) - t;
        }
        points += 1;
    }
    let (mut low, mut best, mut high) = (0.0, 0.0, 0.0);
    for tetrahedron in tetrahedra(corners) {
        let above = from_wall[..points]
            .iter()
            .map(|row| share_above_zero(tetrahedron.map(|k| row[k])))
            .fold(1.0, f64::min);
        if above == 0.0 {
            continue;
        }
        let below = share_surely_beyond(corners, &tetrahedron, t).min(above);
        low += below;
        best += estimate(corners, &tetrahedron, t).clamp(below, above);
        high += above;
    }
    let each = volume / 6.0;
    Bounds::new(low * each, best * each, high * each)
}

/// The share of a tetrahedron that lies beyond `t`, estimated with the distance taken as linear
/// in it less what it bends on the mean: exact at a plane wall, third order at a curved one.
fn estimate(corners: &[&Corner; 8], tetrahedron: &[usize; 4], t: f64) -> f64 {
    let bend = mean_bend(tetrahedron.map(|k| corners[k]));
    share_above_zero(tetrahedron.map(|k| depth(corners[k]) - bend - t))
}

/// How much a linear function through the corners' depths lies over the depth itself, on the
/// mean over the tetrahedron, mm.
///
/// For a quadratic function f with slopes g_i at the corners v_i, Σ λ_i f(v_i) − f(x) =
/// ½ Σ λ_i λ_j (g_j − g_i)·(v_j − v_i) over the pairs i < j, and the mean of λ_i λ_j is 1/20.
/// Where a slope isn't known the bend is taken for nothing.
fn mean_bend(corners: [&Corner; 4]) -> f64 {
    let mut slopes = [Vec3::ZERO; 4];
    for (slope, corner) in slopes.iter_mut().zip(corners) {
        match corner.nearest {
            Some(p) if corner.distance > 0.0 => {
                *slope = (corner.position - p) / depth(corner);
            }
            _ => return 0.0,
        }
    }
    let mut sum = 0.0;
    for i in 0..4 {
        for j in i + 1..4 {
            sum += (slopes[j] - slopes[i]).dot(corners[j].position - corners[i].position);
        }
    }
    sum / 40.0
}

fn depth(corner: &Corner) -> f64 {
    if corner.side == Side::Outside { -corner.distance } else { corner.distance }
}

/// The share of a tetrahedron that is beyond `t` whatever the wall does between the corners.
fn share_surely_beyond(corners: &[&Corner; 8], tetrahedron: &[usize; 4], t: f64) -> f64 {
    let v = tetrahedron.map(|k| corners[k].position);
    let d = tetrahedron.map(|k| corners[k].distance);
    if d.iter().all(|d| *d <= t) {
        return 0.0;
    }
    let c = middle_of_cut(v, d.map(|d| d - t));
    share_above_zero(std::array::from_fn(|i| d[i] * d[i] - v[i].distance_squared(c) - t * t))
}

/// A point near the middle of where a linear function passes through zero in a tetrahedron: the
/// bound from below loses least there.
fn middle_of_cut(v: [Vec3; 4], values: [f64; 4]) -> Vec3 {
    let (mut sum, mut count) = (Vec3::ZERO, 0.0);
    for i in 0..4 {
        for j in i + 1..4 {
            if (values[i] > 0.0) != (values[j] > 0.0) {
                sum += v[i] + (v[j] - v[i]) * (values[i] / (values[i] - values[j]));
                count += 1.0;
            }
        }
    }
    if count > 0.0 { sum / count } else { (v[0] + v[1] + v[2] + v[3]) / 4.0 }
}
