//! Plane figures: the outline of a piece seen from above, and the ring around an opening.

use hashbrown::HashMap;
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};
use rayon::prelude::*;
use robust::{Coord, orient2d};

use crate::mesh::{Mesh, Vec3, diameter};

/// Arcs around corners are drawn in chords of at most this angle, radians: their area is then
/// short by less than 0.1 %.
const ARC: f64 = 0.05;

/// Vertices looked at together.
const CHUNK: usize = 8192;

/// Corners of the convex hull of a mesh's triangles seen from above, counter-clockwise, mm.
pub fn hull(mesh: &Mesh) -> Vec<[f64; 2]> {
    let mut used = vec![false; mesh.vertices().len()];
    for v in mesh.triangles().iter().flatten() {
        used[*v as usize] = true;
    }
    let vertices = mesh.vertices().iter().zip(used).filter(|(_, used)| *used).map(|(p, _)| *p);
    convex_hull(outer_points(&Mesh { vertices: vertices.collect(), triangles: Vec::new() }))
}

/// Area of the convex hull of the mesh seen from above, mm².
///
/// Assumptions: every vertex belongs to a triangle.
pub fn hull_area_mm2(mesh: &Mesh) -> f64 {
    let hull = convex_hull(outer_points(mesh));
    let mut doubled = 0.0;
    for (k, a) in hull.iter().enumerate() {
        let b = hull[(k + 1) % hull.len()];
        let (a, b) = (sub(*a, hull[0]), sub(b, hull[0]));
        doubled += a[0] * b[1] - a[1] * b[0];
    }
    0.5 * doubled
}

/// The points that may lie on the hull: those outside an octagon of extreme points.
fn outer_points(mesh: &Mesh) -> Vec<[f64; 2]> {
    let directions: Vec<[f64; 2]> = (0..8)
        .map(|k| f64::from(k) * std::f64::consts::FRAC_PI_4)
        .map(|angle| [angle.cos(), angle.sin()])
        .collect();
    let extremes: Vec<[(f64, [f64; 2]); 8]> = mesh
        .vertices()
        .par_chunks(CHUNK)
        .map(|chunk| {
            let mut extreme = [(f64::NEG_INFINITY, [0.0; 2]); 8];
            for p in chunk {
                for (best, [x, y]) in extreme.iter_mut().zip(&directions) {
                    let reach = p.x * x + p.y * y;
                    if reach > best.0 {
                        *best = (reach, [p.x, p.y]);
                    }
                }
            }
            extreme
        })
        .collect();
    let farthest =
        |k: usize| extremes.iter().map(|e| e[k]).reduce(|a, b| if b.0 > a.0 { b } else { a });
    let mut octagon: Vec<[f64; 2]> = (0..8).filter_map(farthest).map(|(_, p)| p).collect();
    octagon.dedup();
    // Clearly inside: what rounding leaves in doubt stays in.
    let inside = |p: [f64; 2]| {
        (0..octagon.len()).all(|k| {
            let (a, b) = (octagon[k], octagon[(k + 1) % octagon.len()]);
            let (ab, ap) = (sub(b, a), sub(p, a));
            let size = (ab[0].abs() + ab[1].abs()) * (ap[0].abs() + ap[1].abs());
            a == b || ab[0] * ap[1] - ab[1] * ap[0] > 1e-12 * size
        })
    };
    let mut outer: Vec<[f64; 2]> = mesh
        .vertices()
        .par_chunks(CHUNK)
        .flat_map_iter(|chunk| chunk.iter().map(|p| [p.x, p.y]).filter(|p| !inside(*p)))
        .collect();
    outer.extend(octagon);
    outer
}

/// Corners of the convex hull, counter-clockwise (Andrew's monotone chain, 1979).
fn convex_hull(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    points.dedup();
    let chain = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for p in points {
            while let [.., a, b] = chain[..]
                && turn(a, b, p) <= 0.0
            {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut hull = chain(&mut points.iter().copied());
    hull.extend(chain(&mut points.iter().rev().copied()));
    hull
}

fn turn(a: [f64; 2], b: [f64; 2], p: [f64; 2]) -> f64 {
    let coord = |q: [f64; 2]| Coord { x: q[0], y: q[1] };
    orient2d(coord(a), coord(b), coord(p))
}

fn sub(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

/// The widest way across a figure, mm: the greatest distance, seen from above, between two points
/// of the pieces of its outline; 0 without any.
pub fn widest_mm(outline: &[[Vec3; 2]]) -> f64 {
    diameter(outline.iter().flatten().map(|p| Vec3::new(p.x, p.y, 0.0)).collect())
}

/// Principal second moments of area of the figure that the directed pieces of outline enclose (the
/// inside on their left seen from above), about its centroid, the smaller first, mm⁴; 0 without any.
///
/// Source: Green's theorem over each piece, as for any polygon; the parallel-axis theorem.
pub fn principal_moments_mm4(outline: &[[Vec3; 2]]) -> [f64; 2] {
    let Some(&[origin, _]) = outline.first() else { return [0.0; 2] };
    let (mut area, mut first, mut second) = (0.0, [0.0; 2], [0.0; 3]);
    for &[a, b] in outline {
        let (a, b) = (a - origin, b - origin);
        let twice = a.x * b.y - b.x * a.y;
        area += twice / 2.0;
        first[0] += twice * (a.x + b.x) / 6.0;
        first[1] += twice * (a.y + b.y) / 6.0;
        second[0] += twice * (a.x * a.x + a.x * b.x + b.x * b.x) / 12.0;
        second[1] += twice * (a.y * a.y + a.y * b.y + b.y * b.y) / 12.0;
        second[2] += twice * (a.x * (2.0 * a.y + b.y) + b.x * (a.y + 2.0 * b.y)) / 24.0;
    }
    if area <= 0.0 {
        return [0.0; 2];
    }
    let xx = second[0] - first[0] * first[0] / area;
    let yy = second[1] - first[1] * first[1] / area;
    let xy = second[2] - first[0] * first[1] / area;
    let (mean, half) = (0.5 * (xx + yy), (0.5 * (xx - yy)).hypot(xy));
    [(mean - half).max(0.0), mean + half]
}

/// Area of the ring of `width_mm` around the figure that the directed pieces of outline enclose
/// (the inside on their left seen from above), in mm²: all points outside the figure within
/// that distance of it.
pub fn ring_area_mm2(outline: &[[Vec3; 2]], width_mm: f64) -> f64 {
    let figure = closed_loops(outline);
    if figure.is_empty() || width_mm <= 0.0 {
        return 0.0;
    }
    let style = OutlineStyle::new(width_mm).line_join(LineJoin::Round(ARC));
    let grown: f64 = figure.outline(&style).iter().flatten().map(|c| shoelace(c)).sum();
    (grown - figure.iter().map(|c| shoelace(c)).sum::<f64>()).max(0.0)
}

fn shoelace(loop_: &[[f64; 2]]) -> f64 {
    let doubled: f64 = (0..loop_.len())
        .map(|k| (sub(loop_[k], loop_[0]), sub(loop_[(k + 1) % loop_.len()], loop_[0])))
        .map(|(a, b)| a[0] * b[1] - a[1] * b[0])
        .sum();
    0.5 * doubled
}

/// Joins directed pieces end to start into closed loops.
fn closed_loops(outline: &[[Vec3; 2]]) -> Vec<Vec<[f64; 2]>> {
    let key = |p: Vec3| [p.x.to_bits(), p.y.to_bits()];
    let mut from: HashMap<[u64; 2], Vec<usize>, foldhash::fast::FixedState> = HashMap::default();
    for (k, [a, _]) in outline.iter().enumerate() {
        from.entry(key(*a)).or_default().push(k);
    }
    let mut used = vec![false; outline.len()];
    let mut loops = Vec::new();
    for first in 0..outline.len() {
        let mut corners = Vec::new();
        let mut next = Some(first).filter(|k| !used[*k]);
        while let Some(k) = next {
            used[k] = true;
            let [a, b] = outline[k];
            corners.push([a.x, a.y]);
            next = from.get_mut(&key(b)).and_then(|ks| {
                while let Some(k) = ks.pop() {
                    if !used[k] {
                        return Some(k);
                    }
                }
                None
            });
        }
        if corners.len() >= 3 {
            loops.push(corners);
        }
    }
    loops
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outline_of(corners: &[[f64; 2]]) -> Vec<[Vec3; 2]> {
        let point = |p: [f64; 2]| Vec3::new(p[0], p[1], 0.0);
        (0..corners.len())
            .map(|k| [point(corners[k]), point(corners[(k + 1) % corners.len()])])
            .collect()
    }

    /// b·h³/12 and h·b³/12 of a rectangle (mechanics handbooks), however it is turned and moved.
    #[test]
    fn moments_of_a_rectangle_however_it_lies() {
        let (b, h) = (60.0, 40.0);
        let exact = [b * h * h * h / 12.0, h * b * b * b / 12.0];
        for degrees in [0.0_f64, 17.0, 90.0, 200.0] {
            let (sin, cos) = degrees.to_radians().sin_cos();
            let corners = [[0.0, 0.0], [b, 0.0], [b, h], [0.0, h]];
            let placed = corners.map(|[x, y]| [500.0 + cos * x - sin * y, sin * x + cos * y]);
            let found = principal_moments_mm4(&outline_of(&placed));
            let off = (0..2).map(|k| (found[k] / exact[k] - 1.0).abs()).fold(0.0, f64::max);
            assert!(off < 1e-9, "{degrees}°: {found:?}, not {exact:?}");
        }
        assert_eq!(principal_moments_mm4(&[]), [0.0, 0.0]);
    }

    /// Steiner's formula in the plane (references G10): A(w) − A = perimeter · w + π w².
    #[test]
    fn ring_around_a_square() {
        let square = outline_of(&[[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0]]);
        let exact = 140.0 * 10.0 + std::f64::consts::PI * 100.0;
        let ring = ring_area_mm2(&square, 10.0);
        assert!((ring / exact - 1.0).abs() < 1e-3, "{ring} is not {exact}");
    }

    /// In the re-entrant corner of an L the ring overlaps itself once: w² less than two strips,
    /// and five outer corners of a quarter disc each.
    #[test]
    fn ring_around_an_l() {
        let l = outline_of(&[
            [0.0, 0.0],
            [40.0, 0.0],
            [40.0, 20.0],
            [20.0, 20.0],
            [20.0, 40.0],
            [0.0, 40.0],
        ]);
        let exact = 160.0 * 5.0 - 25.0 + 1.25 * std::f64::consts::PI * 25.0;
        let ring = ring_area_mm2(&l, 5.0);
        assert!((ring / exact - 1.0).abs() < 1e-3, "{ring} is not {exact}");
    }

    #[test]
    fn no_width_no_ring() {
        assert_eq!(ring_area_mm2(&outline_of(&[[0.0, 0.0], [4.0, 0.0], [0.0, 3.0]]), 0.0), 0.0);
        assert_eq!(ring_area_mm2(&[], 5.0), 0.0);
    }
}
