//! How much a cavity holds as the level rises in it.

use rayon::prelude::*;

use crate::bounds::Bounds;
use crate::mesh::{Mesh, Vec3, area_vector_doubled};

use super::Cavity;

/// Triangles summed together at least …
const CHUNK: usize = 8192;
/// … and chunks at most: each keeps figures for every level until all are added in order, so that
/// a result doesn't depend on the number of threads.
const CHUNKS_MOST: usize = 64;
/// A gap between back and plane below this share of the cavity is rounding.
const NO_GAP: f64 = 1e-13;

impl Cavity {
    /// Volumes under levels in rising order, mm³: exact, whatever the wall's shape, with limits as
    /// wide as what repair may have hidden, and over a flat back's lowest point what lies between
    /// the back and its plane. From the fill level on it is the cavity's own volume.
    ///
    /// Units: mm above the lowest point, in the pouring frame; mm³.
    pub fn volumes_under_mm3(&self, levels_mm: &[f64]) -> Vec<Bounds> {
        let whole = self.measures.volume_mm3;
        let margin = whole.high() - whole.best();
        let gap = Some(self.back_gap_mm3.absolute).filter(|gap| *gap > NO_GAP * whole.best());
        let under = volumes_under(&self.wall, levels_mm);
        let bounded = levels_mm.iter().zip(under).map(|(level, under)| {
            if *level >= self.level_mm {
                return whole;
            }
            let over_back = if *level > self.back_gap_mm3.from_mm { gap } else { None };
            // A negative zero becomes a plain one.
            Bounds::exact(under.clamp(0.0, whole.best()) + 0.0)
                .widened(margin + over_back.unwrap_or(0.0))
                .clamped(0.0, whole.high())
        });
        bounded.collect()
    }
}

/// Volume between an outward wall and each of several rising levels, mm³; what stands over a level
/// doesn't count.
fn volumes_under(wall: &Mesh, levels: &[f64]) -> Vec<f64> {
    let triangles = wall.triangles().len();
    let size = CHUNK.max(triangles.div_ceil(CHUNKS_MOST));
    let chunks: Vec<Rising> = (0..triangles.div_ceil(size))
        .into_par_iter()
        .map(|k| {
            let mut sum = Rising::new(levels.len());
            let end = ((k + 1) * size).min(triangles);
            (k * size..end).for_each(|t| sum.add(wall.corners(t), levels));
            sum
        })
        .collect();
    let mut all = Rising::new(levels.len());
    chunks.iter().for_each(|chunk| all.join(chunk));
    all.volumes(levels)
}

/// Sums over triangles, for every level.
struct Rising {
    /// Volume under the triangles that the level passes through, mm³.
    crossed: Vec<f64>,
    /// Area seen from above of the triangles that this level is the first to cover, mm².
    area: Vec<f64>,
    /// The same times their mean height, mm³.
    moment: Vec<f64>,
}

impl Rising {
    fn new(levels: usize) -> Self {
        let none = || vec![0.0; levels];
        Self { crossed: none(), area: none(), moment: none() }
    }

    /// Adds the column over one triangle, up to each level.
    ///
    /// A level h covers the mean of (h − z)₊ over the triangle, times its area A seen from above;
    /// by the Hermite–Genocchi formula that is A/3 times the divided difference of (h − z)₊³ over
    /// the corners' heights.
    fn add(&mut self, corners: [Vec3; 3], levels: &[f64]) {
        let area = -0.5 * area_vector_doubled(corners).z;
        if area == 0.0 {
            return;
        }
        let mut z = corners.map(|p| p.z);
        z.sort_unstable_by(f64::total_cmp);
        let [low, middle, high] = z;
        let mean = (low + middle + high) / 3.0;
        let covered = levels.partition_point(|h| *h < high);
        let from_low = levels.partition_point(|h| *h <= low).min(covered);
        let from_middle = levels.partition_point(|h| *h <= middle).min(covered);
        let steep = area / (3.0 * (middle - low) * (high - low));
        let rows = from_low..from_middle;
        for (sum, level) in self.crossed[rows.clone()].iter_mut().zip(&levels[rows]) {
            let over = level - low;
            *sum += steep * over * over * over;
        }
        let steep = area / (3.0 * (high - middle) * (high - low));
        let rows = from_middle..covered;
        for (sum, level) in self.crossed[rows.clone()].iter_mut().zip(&levels[rows]) {
            let under = high - level;
            *sum += area * (level - mean) + steep * under * under * under;
        }
        if covered < levels.len() {
            self.area[covered] += area;
            self.moment[covered] += area * mean;
        }
    }

    fn join(&mut self, other: &Self) {
        let pairs = [
            (&mut self.crossed, &other.crossed),
            (&mut self.area, &other.area),
            (&mut self.moment, &other.moment),
        ];
        for (sum, part) in pairs {
            sum.iter_mut().zip(part).for_each(|(s, p)| *s += p);
        }
    }

    fn volumes(&self, levels: &[f64]) -> Vec<f64> {
        let (mut area, mut moment) = (0.0, 0.0);
        let each = levels.iter().enumerate().map(|(k, level)| {
            area += self.area[k];
            moment += self.moment[k];
            area * level - moment + self.crossed[k]
        });
        each.collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A tetrahedron on its tip and one on its base, whose sections grow with the square of the
    /// distance from the tip: volume A·h/3.
    #[test]
    fn tips_fill_with_the_third_power() {
        let corner = |x: f64, y: f64, z: f64| Vec3::new(x, y, z);
        let base = [corner(0.0, 0.0, 4.0), corner(6.0, 0.0, 4.0), corner(0.0, 6.0, 4.0)];
        let vertices = [base.to_vec(), vec![corner(0.0, 0.0, 0.0)]].concat();
        let on_tip = Mesh::new(vertices, vec![[0, 1, 2], [0, 2, 3], [2, 1, 3], [1, 0, 3]]).unwrap();
        let levels = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0];
        let under = volumes_under(&on_tip, &levels);
        let whole = 18.0 * 4.0 / 3.0;
        for (h, volume) in levels.iter().zip(&under) {
            let truth = whole * (h.min(4.0) / 4.0).powi(3);
            assert!((volume - truth).abs() < 1e-12 * whole, "{h}: {volume}, not {truth}");
        }
        let (vertices, triangles) = on_tip.into_parts();
        let turned = vertices.iter().map(|p| Vec3::new(p.x, p.y, 4.0 - p.z)).collect();
        let on_base = Mesh::new(turned, triangles).unwrap().reversed();
        for (h, volume) in levels.iter().zip(volumes_under(&on_base, &levels)) {
            let truth = whole * (1.0 - (1.0 - h.min(4.0) / 4.0).powi(3));
            assert!((volume - truth).abs() < 1e-12 * whole, "{h}: {volume}, not {truth}");
        }
    }

    /// Corners at one height in every way they can be, levels at the corners' own heights among
    /// the levels.
    #[test]
    fn corners_at_the_same_height_divide_by_nothing() {
        let at = |heights: [f64; 3]| {
            [
                Vec3::new(0.0, 0.0, heights[0]),
                Vec3::new(0.0, 2.0, heights[1]),
                Vec3::new(3.0, 0.0, heights[2]),
            ]
        };
        let levels = [0.0, 1.0, 1.5, 2.0, 3.0];
        for (heights, expected) in [
            ([1.0, 1.0, 1.0], [0.0, 0.0, 1.5, 3.0, 6.0]),
            // Rising from an edge to a corner, and from a corner to an edge.
            ([1.0, 1.0, 2.0], [0.0, 0.0, 0.625, 2.0, 5.0]),
            ([1.0, 2.0, 2.0], [0.0, 0.0, 0.125, 1.0, 4.0]),
        ] {
            let mut sum = Rising::new(levels.len());
            sum.add(at(heights), &levels);
            for (volume, truth) in sum.volumes(&levels).iter().zip(expected) {
                assert!((volume - truth).abs() < 1e-12, "{heights:?}: {volume}, not {truth}");
            }
        }
    }
}
