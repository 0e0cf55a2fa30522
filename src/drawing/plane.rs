//! Planes that a cavity is cut by, and how they are chosen.

use rayon::prelude::*;

use crate::mesh::{Mesh, Vec3, area_vector_doubled};

use super::region::Point;

/// A plane with its own directions to the right and up; all in the pouring frame, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutPlane {
    origin: Vec3,
    right: Vec3,
    up: Vec3,
}

/// The principal direction is taken for an axis of the file where it leans less than this, …
const AXIS_DEG: f64 = 15.0;
/// … or where the piece is about as wide as long: the larger spread is less than this times the
/// smaller one.
const ROUND: f64 = 1.1;

impl CutPlane {
    /// An upright plane through `origin` that runs along the level direction `right`.
    pub fn upright(origin: Vec3, right: Vec3) -> Self {
        Self { origin: origin.with_z(0.0), right, up: Vec3::Z }
    }

    /// A level plane at a height; `right` is level.
    pub fn level(origin: Vec3, height_mm: f64, right: Vec3) -> Self {
        Self { origin: origin.with_z(height_mm), right, up: Vec3::Z.cross(right) }
    }

    /// A point of the drawing in space.
    pub fn to_space(&self, [u, v]: Point) -> Vec3 {
        self.origin + self.right * u + self.up * v
    }

    /// A point of space, seen square to the plane.
    pub fn to_plane(&self, p: Vec3) -> Point {
        let d = p - self.origin;
        [d.dot(self.right), d.dot(self.up)]
    }

    /// How far a point lies in front of the plane, mm.
    pub fn distance(&self, p: Vec3) -> f64 {
        (p - self.origin).dot(self.towards())
    }

    /// Towards who looks at the drawing.
    pub fn towards(&self) -> Vec3 {
        self.right.cross(self.up)
    }

    /// To the right in the drawing.
    pub fn right(&self) -> Vec3 {
        self.right
    }

    /// What is drawn: the corners of the box that a mesh takes in the plane, seen square to it.
    pub fn box_of(&self, mesh: &Mesh) -> [Point; 2] {
        let all = mesh.vertices().par_iter().map(|p| self.to_plane(*p)).map(|p| [p, p]);
        all.reduce(
            || [[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]],
            |[a, b], [c, d]| [[a[0].min(c[0]), a[1].min(c[1])], [b[0].max(d[0]), b[1].max(d[1])]],
        )
    }
}

/// The middle of a cavity's volume under its level, and the level direction that it is longest in.
///
/// `axes` are level directions that are preferred where they nearly fit.
pub fn lie(wall: &Mesh, level_mm: f64, axes: &[Vec3]) -> (Vec3, Vec3) {
    // A column over every triangle up to the level: its volume, and the middle of it.
    let column = |t: usize| {
        let corners = wall.corners(t);
        let middle = (corners[0] + corners[1] + corners[2]) / 3.0;
        let volume = -0.5 * area_vector_doubled(corners).z * (level_mm - middle.z);
        (volume, middle.with_z(0.5 * (middle.z + level_mm)))
    };
    let columns: Vec<(f64, Vec3)> =
        (0..wall.triangles().len()).into_par_iter().map(column).collect();
    let whole: f64 = columns.iter().map(|(volume, _)| volume).sum();
    let centre = columns.iter().fold(Vec3::ZERO, |sum, (volume, at)| sum + *at * *volume) / whole;
    if !centre.is_finite() {
        return (Vec3::ZERO, Vec3::X);
    }
    let [mut xx, mut xy, mut yy] = [0.0; 3];
    for (volume, at) in &columns {
        let d = *at - centre;
        xx += volume * d.x * d.x;
        xy += volume * d.x * d.y;
        yy += volume * d.y * d.y;
    }
    let angle = 0.5 * f64::atan2(2.0 * xy, xx - yy);
    let longest = Vec3::new(angle.cos(), angle.sin(), 0.0);
    let (mean, half) = (0.5 * (xx + yy), f64::hypot(0.5 * (xx - yy), xy));
    let is_round = mean + half < ROUND * ROUND * (mean - half);
    let lean = |axis: &Vec3| axis.dot(longest).abs();
    let axis = axes.iter().copied().max_by(|a, b| lean(a).total_cmp(&lean(b)));
    match axis {
        Some(axis) if is_round || lean(&axis) > AXIS_DEG.to_radians().cos() => (centre, axis),
        _ => (centre, if longest.x < 0.0 { -longest } else { longest }),
    }
}
