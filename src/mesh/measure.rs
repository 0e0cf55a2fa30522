//! Volume and area: exact sums over triangles, in `f64`, about a local origin.

use rayon::prelude::*;

use super::{Mesh, Vec3};

/// Triangles summed together before the partial sums are added in order, so that a result does
/// not depend on the number of threads.
const CHUNK: usize = 8192;

/// Twice the area of a triangle times its unit normal; outward for an outward triangle. mm².
pub fn area_vector_doubled([a, b, c]: [Vec3; 3]) -> Vec3 {
    (b - a).cross(c - a)
}

/// Area of a triangle, mm².
pub fn triangle_area([a, b, c]: [Vec3; 3]) -> f64 {
    0.5 * area_vector_doubled([a, b, c]).length()
}

impl Mesh {
    /// Corners of the smallest box along the axes that holds every triangle, mm; `None` where
    /// there is no triangle.
    pub fn bounding_box(&self) -> Option<(Vec3, Vec3)> {
        self.triangles
            .par_chunks(CHUNK)
            .map(|chunk| {
                let mut low = Vec3::INFINITY;
                let mut high = Vec3::NEG_INFINITY;
                for v in chunk.iter().flatten() {
                    let p = self.vertices[*v as usize];
                    low = low.min(p);
                    high = high.max(p);
                }
                (low, high)
            })
            .reduce_with(|a, b| (a.0.min(b.0), a.1.max(b.1)))
    }

    /// Sum of `f` over all triangles, in their order whatever the number of threads.
    pub fn sum_over_triangles(&self, f: impl Fn([Vec3; 3]) -> f64 + Sync) -> f64 {
        self.sums_over_triangles(|corners| [f(corners)])[0]
    }

    /// Sums of several figures over all triangles, in their order whatever the number of threads.
    pub fn sums_over_triangles<const N: usize>(
        &self,
        f: impl Fn([Vec3; 3]) -> [f64; N] + Sync,
    ) -> [f64; N] {
        let add = |mut sum: [f64; N], part: [f64; N]| {
            sum.iter_mut().zip(part).for_each(|(s, p)| *s += p);
            sum
        };
        let partial: Vec<[f64; N]> = (0..self.triangles.len().div_ceil(CHUNK))
            .into_par_iter()
            .map(|k| {
                let end = ((k + 1) * CHUNK).min(self.triangles.len());
                (k * CHUNK..end).map(|t| f(self.corners(t))).fold([0.0; N], add)
            })
            .collect();
        partial.into_iter().fold([0.0; N], add)
    }

    /// Signed enclosed volume, mm³: positive for a closed mesh that faces outward.
    ///
    /// Assumptions: the mesh is closed; of an open one the number means nothing.
    /// Source: divergence theorem, V = Σ a·(b×c)/6 (Mirtich, J. Graphics Tools 1(2), 1996).
    pub fn signed_volume_mm3(&self) -> f64 {
        let Some((low, high)) = self.bounding_box() else { return 0.0 };
        let origin = 0.5 * (low + high);
        self.sum_over_triangles(|[a, b, c]| (a - origin).dot((b - origin).cross(c - origin))) / 6.0
    }

    /// Total area of the triangles, mm².
    pub fn area_mm2(&self) -> f64 {
        self.sum_over_triangles(triangle_area)
    }
}
