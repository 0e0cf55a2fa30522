//! Planes and smooth heights through points by least squares: the one place where vectors are handed to the linear
//! algebra library.

use nalgebra::{Matrix3, SMatrix, SVector, SymmetricEigen};

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
    let [(most, _), (middle, _), (_, least)] = axes(spread);
    if middle <= 1e-12 * most {
        return None;
    }
    let normal = least.normalize_or_zero();
    let normal = if normal.dot(up) < 0.0 { -normal } else { normal };
    (normal != Vec3::ZERO).then(|| Plane { normal, offset: normal.dot(mean) })
}

/// Three unit vectors at right angles, the first along which the directions run most, the last
/// along which they run least; `None` where there are none. Longer ones count for more.
///
/// Source: eigenvectors of the sum of the directions' outer products.
pub fn principal_axes(directions: impl Iterator<Item = Vec3>) -> Option<[Vec3; 3]> {
    let mut sum = Matrix3::zeros();
    for direction in directions {
        let d = nalgebra::Vector3::from(direction.to_array());
        sum += d * d.transpose();
    }
    if !(sum.trace() > 0.0 && sum.trace().is_finite()) {
        return None;
    }
    Some(axes(sum).map(|(_, axis)| axis))
}

/// Eigenvalues and eigenvectors of a symmetric matrix, the largest first.
fn axes(matrix: Matrix3<f64>) -> [(f64, Vec3); 3] {
    let eigen = SymmetricEigen::new(matrix);
    let mut axes = [0, 1, 2].map(|k| {
        let column = eigen.eigenvectors.column(k);
        (eigen.eigenvalues[k], Vec3::new(column[0], column[1], column[2]))
    });
    axes.sort_by(|a, b| b.0.total_cmp(&a.0));
    axes
}

/// Terms of a height of third degree.
const TERMS: usize = 10;
/// How many points a height of second and of third degree is fitted to at least.
const POINTS_QUADRATIC: usize = 12;
const POINTS_CUBIC: usize = 40;

/// A smooth height over a plane: a polynomial of at most third degree in two coordinates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeightField {
    factors: [f64; TERMS],
}

impl HeightField {
    /// The height at a place, in the unit of the points.
    pub fn at(&self, place: [f64; 2]) -> f64 {
        self.factors.iter().zip(terms(place)).map(|(f, t)| f * t).sum()
    }
}

fn terms([x, y]: [f64; 2]) -> [f64; TERMS] {
    [1.0, x, y, x * x, x * y, y * y, x * x * x, x * x * y, x * y * y, y * y * y]
}

/// The height with the least sum of squared distances to points (two coordinates and a height),
/// of third degree where there are enough of them; `None` where there are too few or they don't
/// tell.
///
/// Assumptions: coordinates about as large as 1.
/// Source: normal equations of linear least squares (Gauss 1809).
pub fn fit_heights(points: &[[f64; 3]]) -> Option<HeightField> {
    let used = match points.len() {
        n if n >= POINTS_CUBIC => TERMS,
        n if n >= POINTS_QUADRATIC => 6,
        _ => return None,
    };
    let mut square = SMatrix::<f64, TERMS, TERMS>::zeros();
    let mut right = SVector::<f64, TERMS>::zeros();
    for [x, y, height] in points {
        let mut row = SVector::<f64, TERMS>::from(terms([*x, *y]));
        row.rows_mut(used, TERMS - used).fill(0.0);
        square += row * row.transpose();
        right += row * *height;
    }
    // Terms that are left out, or that the points don't tell, are kept at nothing.
    let least = 1e-12 * square.trace();
    (0..TERMS).for_each(|k| square[(k, k)] += least);
    let factors = square.cholesky()?.solve(&right);
    let factors: [f64; TERMS] = factors.into();
    factors.iter().all(|f| f.is_finite()).then_some(HeightField { factors })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_height_of_third_degree_is_found() {
        let height = |x: f64, y: f64| 0.3 - x + 0.5 * x * y - y * y + 0.7 * x * x * y;
        let points: Vec<[f64; 3]> = (0..64)
            .map(|k| [f64::from(k % 8) / 4.0 - 1.0, f64::from(k / 8) / 4.0 - 1.0])
            .map(|[x, y]| [x, y, height(x, y)])
            .collect();
        let field = fit_heights(&points).unwrap();
        assert!((field.at([0.1, -0.3]) - height(0.1, -0.3)).abs() < 1e-8);
        assert_eq!(fit_heights(&points[..11]), None);
    }

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
