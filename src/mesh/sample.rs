//! Points spread evenly over a surface, the same on every run.

use rayon::prelude::*;

use super::{Mesh, Vec3};

impl Mesh {
    /// About `count` points spread evenly by area over the triangles whose `area` (mm²) is not
    /// zero, each with its triangle's number.
    pub fn spread_points(
        &self,
        count: usize,
        area: impl Fn(usize) -> f64 + Sync,
    ) -> Vec<(u32, Vec3)> {
        let areas: Vec<f64> = (0..self.triangles.len()).into_par_iter().map(&area).collect();
        let step = areas.iter().sum::<f64>() / count as f64;
        let mut points = Vec::with_capacity(count);
        let mut passed = 0.0;
        for (t, area) in areas.into_iter().enumerate() {
            passed += area;
            while points.len() < count && (points.len() as f64 + 0.5) * step < passed {
                points.push((t as u32, point_in(self.corners(t), points.len())));
            }
        }
        points
    }
}

/// The `k`-th of a sequence of points that fills a triangle evenly.
///
/// Source: additive recurrence on powers of the plastic number (Roberts 2018), folded into the
/// triangle.
fn point_in([a, b, c]: [Vec3; 3], k: usize) -> Vec3 {
    const PLASTIC: f64 = 1.324_717_957_244_746;
    let along = |power: i32| (k as f64 * PLASTIC.powi(-power)).fract();
    let (u, v) = (along(1), along(2));
    let (u, v) = if u + v > 1.0 { (1.0 - u, 1.0 - v) } else { (u, v) };
    a + (b - a) * u + (c - a) * v
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::triangle_area;

    #[test]
    fn each_triangle_gets_points_by_its_area() {
        let v = vec![Vec3::ZERO, Vec3::X, Vec3::Y, Vec3::new(-3.0, 0.0, 0.0)];
        let mesh = Mesh::new(v, vec![[0, 1, 2], [0, 2, 3]]).unwrap();
        let points = mesh.spread_points(400, |t| triangle_area(mesh.corners(t)));
        assert_eq!(points.iter().filter(|(t, _)| *t == 0).count(), 100);
        let mean = points.iter().filter(|(t, _)| *t == 1).map(|(_, p)| *p).sum::<Vec3>() / 300.0;
        assert!(mean.distance(Vec3::new(-1.0, 1.0 / 3.0, 0.0)) < 0.02, "{mean}");
    }
}
