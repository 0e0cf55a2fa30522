//! Where a 3MF package puts a mesh: affine maps for row vectors (reference F7).

use crate::mesh::Vec3;

/// An affine map: a point as a row, times three rows, plus a fourth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Placement {
    rows: [Vec3; 4],
}

impl Placement {
    /// Leaves everything where it is.
    pub(super) const HERE: Self = Self { rows: [Vec3::X, Vec3::Y, Vec3::Z, Vec3::ZERO] };

    /// From the twelve numbers "m00 m01 m02 m10 … m32".
    pub(super) const fn from_numbers(m: [f64; 12]) -> Self {
        Self {
            rows: [
                Vec3::new(m[0], m[1], m[2]),
                Vec3::new(m[3], m[4], m[5]),
                Vec3::new(m[6], m[7], m[8]),
                Vec3::new(m[9], m[10], m[11]),
            ],
        }
    }

    /// Where a point goes.
    pub(super) fn of(&self, p: Vec3) -> Vec3 {
        self.turned(p) + self.rows[3]
    }

    fn turned(&self, p: Vec3) -> Vec3 {
        self.rows[0] * p.x + self.rows[1] * p.y + self.rows[2] * p.z
    }

    /// This placement first, then the outer one.
    pub(super) fn then(&self, outer: &Self) -> Self {
        let [x, y, z, shift] = self.rows;
        Self { rows: [outer.turned(x), outer.turned(y), outer.turned(z), outer.of(shift)] }
    }

    /// By how much volumes grow; negative where it mirrors.
    pub(super) fn determinant(&self) -> f64 {
        let [x, y, z, _] = self.rows;
        x.cross(y).dot(z)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_multiplied_from_the_left_and_composed_from_inside_out() {
        // x to y, y to −x, then one along z: worked by hand.
        let turn = Placement::from_numbers([0., 1., 0., -1., 0., 0., 0., 0., 1., 0., 0., 1.]);
        let grow = Placement::from_numbers([2., 0., 0., 0., 3., 0., 0., 0., -1., 10., 0., 0.]);
        let point = Vec3::new(1.0, 2.0, 5.0);
        assert_eq!(turn.of(point), Vec3::new(-2.0, 1.0, 6.0));
        assert_eq!(turn.then(&grow).of(point), Vec3::new(6.0, 3.0, -6.0));
        assert_eq!(grow.then(&turn).of(point), Vec3::new(-6.0, 12.0, -4.0));
        assert_eq!((turn.determinant(), grow.determinant()), (1.0, -6.0));
        assert_eq!(Placement::HERE.then(&turn), turn);
    }
}
