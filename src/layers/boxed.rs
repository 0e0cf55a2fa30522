//! How much of a closed mesh lies in a box, exactly.
//!
//! Along a line straight up, the length of a closed body between two heights is the sum over the
//! surfaces met of ± their height, drawn between the two: + where the line leaves, − where it
//! enters. Summed over the box's ground plan that is the volume, so each triangle is clipped to
//! the plan and to the two heights, and no inside has to be asked for.

use crate::mesh::Vec3;

/// A box along the axes, mm; its sides may lie at infinity.
#[derive(Debug, Clone, Copy)]
pub struct Box3 {
    /// Its lowest corner.
    pub low: Vec3,
    /// Its highest corner.
    pub high: Vec3,
}

impl Box3 {
    /// The triangle has a part in the column over the box's floor.
    pub fn is_under([a, b, c]: [Vec3; 3], Self { low, high }: &Self) -> bool {
        let (least, most) = (a.min(b).min(c), a.max(b).max(c));
        most.x > low.x && least.x < high.x && most.y > low.y && least.y < high.y && most.z > low.z
    }

    /// What a triangle of an outward closed mesh adds to the mesh's volume in the box, mm³.
    pub fn share_of(&self, triangle: [Vec3; 3]) -> f64 {
        let Self { low, high } = *self;
        let mut over = triangle.to_vec();
        for (axis, side) in [(0, low.x), (1, low.y), (2, low.z)] {
            over = clipped(&over, |p| p[axis] - side);
        }
        for (axis, side) in [(0, high.x), (1, high.y)] {
            over = clipped(&over, |p| side - p[axis]);
        }
        // A level triangle at the top counts once.
        let beyond = match over.iter().any(|p| p.z > high.z) {
            true => clipped(&over, |p| p.z - high.z),
            false => Vec::new(),
        };
        let between = clipped(&over, |p| high.z - p.z);
        let full = if beyond.is_empty() { 0.0 } else { plan_sum(&beyond, |_| high.z - low.z) };
        full + plan_sum(&between, |z| z - low.z)
    }
}

/// The part of a convex polygon where `height`, a linear function, is at least 0.
fn clipped(polygon: &[Vec3], height: impl Fn(Vec3) -> f64) -> Vec<Vec3> {
    let mut kept = Vec::with_capacity(polygon.len() + 1);
    for (k, &p) in polygon.iter().enumerate() {
        let q = polygon[(k + 1) % polygon.len()];
        let (at_p, at_q) = (height(p), height(q));
        if at_p >= 0.0 {
            kept.push(p);
        }
        // Infinite sides cut nothing.
        if (at_p > 0.0 && at_q < 0.0) || (at_p < 0.0 && at_q > 0.0) {
            kept.push(p + (q - p) * (at_p / (at_p - at_q)));
        }
    }
    kept
}

/// Integral of `rise`, a linear function of the height, over the polygon's ground plan; positive
/// where it faces up.
fn plan_sum(polygon: &[Vec3], rise: impl Fn(f64) -> f64) -> f64 {
    let Some(&o) = polygon.first() else { return 0.0 };
    polygon
        .windows(2)
        .skip(1)
        .map(|pair| {
            let (a, b) = (pair[0] - o, pair[1] - o);
            let area = 0.5 * (a.x * b.y - a.y * b.x);
            area * rise((o.z + pair[0].z + pair[1].z) / 3.0)
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::Mesh;

    /// A pyramid of 6 × 6 × 6 mm on z = 0, references G8.
    #[test]
    fn boxes_cut_a_pyramid_as_the_closed_forms_say() {
        let v = [[0.0, 0.0], [6.0, 0.0], [6.0, 6.0], [0.0, 6.0]];
        let mut points: Vec<Vec3> = v.iter().map(|[x, y]| Vec3::new(*x, *y, 0.0)).collect();
        points.push(Vec3::new(3.0, 3.0, 6.0));
        let faces = vec![[0, 2, 1], [0, 3, 2], [0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]];
        let mesh = Mesh::new(points, faces).unwrap();
        let inside = |low: Vec3, high: Vec3| {
            mesh.sum_over_triangles(|corners| Box3 { low, high }.share_of(corners))
        };
        let all = Vec3::INFINITY;
        // Whole, the tip from half height on, and a quarter of the frustum between 1 and 3.
        assert!((inside(Vec3::splat(-9.0), all) - 72.0).abs() < 1e-12);
        assert!((inside(Vec3::new(-9.0, -9.0, 3.0), all) - 9.0).abs() < 1e-12);
        let frustum = 2.0 / 3.0 * (25.0 + 15.0 + 9.0);
        let quarter = inside(Vec3::new(3.0, 3.0, 1.0), Vec3::new(9.0, 9.0, 3.0));
        assert!((quarter - frustum / 4.0).abs() < 1e-12);
    }
}
