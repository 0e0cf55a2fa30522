//! The least patch over a ring, without corners of its own.

use crate::mesh::{Vec3, triangle_area};

use super::patch::Frame;
use super::plane;

/// The most edges of a ring whose least patch is looked for among all: the work grows with the
/// cube of the number.
const EDGES_MAX: usize = 150;
/// Patches of the same area are told apart by the lengths of their sides, which counts for so
/// little beside the area.
const ROUNDNESS: f64 = 1e-5;
/// How many places of a large ring are tried for a cut.
const CUTS_TRIED: usize = 32;

/// Triangles over a ring, as numbers along it. `taken` tells which two corners have an edge of
/// the surface between them already: that is avoided where it can be.
pub fn triangulate(
    points: &[Vec3],
    frame: Option<&Frame>,
    taken: impl Fn(usize, usize) -> bool,
) -> Vec<[u32; 3]> {
    let n = points.len();
    if n > EDGES_MAX
        && let Some(frame) = frame
    {
        let ring: Vec<_> = points.iter().map(|p| frame.flat(*p)).collect();
        if let Some(found) = plane::delaunay(&ring, &[]) {
            return found;
        }
    }
    let mut triangles = Vec::with_capacity(n.saturating_sub(2));
    let mut waiting: Vec<Vec<u32>> = vec![(0..n as u32).collect()];
    while let Some(ring) = waiting.pop() {
        if ring.len() <= EDGES_MAX {
            triangles.extend(least(points, &ring, &taken));
        } else {
            let [i, j] = shortest_cut(points, &ring, &taken);
            waiting.push(ring[i..=j].to_vec());
            waiting.push([&ring[j..], &ring[..=i]].concat());
        }
    }
    triangles
}

/// A short way across a large ring that leaves at least a quarter on either side.
fn shortest_cut(
    points: &[Vec3],
    ring: &[u32],
    taken: &impl Fn(usize, usize) -> bool,
) -> [usize; 2] {
    let n = ring.len();
    let mut best = (f64::INFINITY, [0, n / 2]);
    for k in 0..CUTS_TRIED {
        let i = k * n / CUTS_TRIED;
        for step in n / 4..=n - n / 4 {
            let j = (i + step) % n;
            let [a, b] = [ring[i] as usize, ring[j] as usize];
            let length = points[a].distance_squared(points[b]);
            if length < best.0 && !taken(a, b) {
                best = (length, [i.min(j), i.max(j)]);
            }
        }
    }
    best.1
}

/// The patch of least area, by what is best over every stretch of the ring.
///
/// Source: dynamic programme of Barequet & Sharir, Filling gaps in the boundary of a polyhedron,
/// Computer Aided Geometric Design 12 (1995) 207.
fn least(points: &[Vec3], ring: &[u32], taken: &impl Fn(usize, usize) -> bool) -> Vec<[u32; 3]> {
    let n = ring.len();
    let at = |i: usize| points[ring[i] as usize];
    if n == 3 {
        return vec![[ring[0], ring[1], ring[2]]];
    }
    // What an edge that is taken costs: more than any patch does.
    let size = ring.iter().fold(0.0, |m: f64, v| m.max(points[*v as usize].distance(at(0))));
    let dear = 16.0 * size * size * n as f64;
    let mut cost = vec![0.0f64; n * n];
    let mut via = vec![0u32; n * n];
    for gap in 2..n {
        for i in 0..n - gap {
            let k = i + gap;
            let (a, c) = (at(i), at(k));
            let side = a.distance_squared(c);
            let mut best = (f64::INFINITY, i + 1);
            for m in i + 1..k {
                let b = at(m);
                let sides = side + a.distance_squared(b) + b.distance_squared(c);
                let own = triangle_area([a, b, c]) + ROUNDNESS * sides;
                let whole = cost[i * n + m] + cost[m * n + k] + own;
                if whole < best.0 {
                    best = (whole, m);
                }
            }
            let inner = gap < n - 1;
            let fee = if inner && taken(ring[i] as usize, ring[k] as usize) { dear } else { 0.0 };
            cost[i * n + k] = best.0 + fee;
            via[i * n + k] = best.1 as u32;
        }
    }
    let mut triangles = Vec::with_capacity(n - 2);
    let mut waiting = vec![[0, n - 1]];
    while let Some([i, k]) = waiting.pop() {
        if k - i < 2 {
            continue;
        }
        let m = via[i * n + k] as usize;
        triangles.push([ring[i], ring[m], ring[k]]);
        waiting.extend([[i, m], [m, k]]);
    }
    triangles
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_notched_ring_gets_its_own_area_and_no_edge_that_is_taken() {
        let outline = [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [1.0, 0.5], [0.0, 2.0]];
        let points = outline.map(|[x, y]| Vec3::new(x, y, 0.0));
        let area = |t: &[[u32; 3]]| -> f64 {
            t.iter().map(|t| triangle_area(t.map(|v| points[v as usize]))).sum()
        };
        let free = triangulate(&points, None, |_, _| false);
        assert!((area(&free) - 2.5).abs() < 1e-12);
        let square = [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]];
        let points = square.map(|[x, y]| Vec3::new(x, y, 0.0));
        for taken in [[0, 2], [1, 3]] {
            let found = triangulate(&points, None, |a, b| [a.min(b), a.max(b)] == taken);
            let with = |t: &[u32; 3]| taken.iter().all(|v| t.contains(&(*v as u32)));
            assert!(!found.iter().any(with), "{found:?}");
        }
    }

    #[test]
    fn a_large_ring_that_is_not_flat_is_cut_up() {
        let n = 1000;
        let points: Vec<Vec3> = (0..n)
            .map(|k| {
                let a = std::f64::consts::TAU * f64::from(k) / f64::from(n);
                Vec3::new(a.cos(), a.sin(), 0.3 * (2.0 * a).sin())
            })
            .collect();
        assert_eq!(triangulate(&points, None, |_, _| false).len(), 998);
    }
}
