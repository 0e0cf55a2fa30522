//! Planes through points by least squares: the one place where vectors are handed to the linear
//! algebra library.

use nalgebra::{Matrix3, SymmetricEigen};

use super::Vec3;

/// A plane: all points with `normal · x = offset`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// Unit normal.
    pub normal: Vec3,
    /// Distance of the plane from the origin along the normal, mm.
    pub offset: f64,
}

impl Plane {
    /// Signed height of a point over the plane, mm.
    pub fn height(&self, p: Vec3) -> f64 {
        self.normal.dot(p) - self.offset
    }
}

/// The plane with the least sum of weighted squared distances to the points, its normal on the
/// side of `up`; `None` where the points all lie along a line.
///
/// Units: mm; the weights are relative.
/// Source: the normal is the eigenvector of the least eigenvalue of the weighted covariance
/// (Pearson 1901).
pub fn fit_plane(points: impl Iterator<Item = (Vec3, f64)> + Clone, up: Vec3) -> Option<Plane> {
    let weight: f64 = points.clone().map(|(_, w)| w).sum();
    let mean = points.clone().map(|(p, w)| p * w).sum::<Vec3>() / weight;
    if weight <= 0.0 || !mean.is_finite() {
        return None;
    }
    let mut spread = Matrix3::zeros();
    for (p, w) in points {
        let d = nalgebra::Vector3::from((p - mean).to_array());
        spread += d * d.transpose() * w;
    }
    let eigen = SymmetricEigen::new(spread);
    let order = {
        let mut order = [0, 1, 2];
        order.sort_by(|i, j| eigen.eigenvalues[*i].total_cmp(&eigen.eigenvalues[*j]));
        order
    };
    if eigen.eigenvalues[order[1]] <= 1e-12 * eigen.eigenvalues[order[2]] {
        return None;
    }
    let column = eigen.eigenvectors.column(order[0]);
    let normal = Vec3::new(column[0], column[1], column[2]).normalize_or_zero();
    let normal = if normal.dot(up) < 0.0 { -normal } else { normal };
    (normal != Vec3::ZERO).then(|| Plane { normal, offset: normal.dot(mean) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_leaning_plane_is_found() {
        let points = (0..100).map(|k| {
            let (x, y) = (f64::from(k % 10), f64::from(k / 10));
            (Vec3::new(x, y, 5.0 + 0.1 * x), 1.0)
        });
        let plane = fit_plane(points.clone(), Vec3::Z).unwrap();
        assert!(points.into_iter().all(|(p, _)| plane.height(p).abs() < 1e-12));
        assert!((plane.normal.z - 1.0 / 1.01f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn points_along_a_line_fit_no_plane() {
        let line = (0..9).map(|k| (Vec3::X * f64::from(k), 1.0));
        assert_eq!(fit_plane(line, Vec3::Z), None);
    }
}
