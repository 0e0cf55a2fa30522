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

    /// What is drawn: the corners of the box that the triangles of a mesh take, seen square to the
    /// plane.
    pub fn box_of(&self, mesh: &Mesh) -> [Point; 2] {
        let both = |[a, b]: [Point; 2], [c, d]: [Point; 2]| {
            [[a[0].min(c[0]), a[1].min(c[1])], [b[0].max(d[0]), b[1].max(d[1])]]
        };
        let around = |names: &[u32; 3]| {
            let [a, b, c] = names.map(|v| self.to_plane(mesh.vertices()[v as usize]));
            both(both([a, a], [b, b]), [c, c])
        };
        let boxes = mesh.triangles().par_iter().map(around);
        boxes.reduce(|| [[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]], both)
    }
}

/// The middle of a cavity's volume under its level, and the level direction that it is longest in.
///
/// `axes` are level directions that are preferred where they nearly fit.
pub fn lie(wall: &Mesh, level_mm: f64, axes: &[Vec3]) -> (Vec3, Vec3) {
    let moments: Vec<Moments> = (0..wall.triangles().len())
        .into_par_iter()
        .map(|t| Moments::of(wall, t, level_mm))
        .collect();
    // Gathered in order, so that the sums don't depend on the number of threads.
    let all = moments.into_iter().fold(Moments::default(), Moments::and);
    let centre = Vec3::new(all.x, all.y, 0.0) / all.volume;
    if !centre.is_finite() {
        return (Vec3::ZERO, Vec3::X);
    }
    let xx = all.xx - all.volume * centre.x * centre.x;
    let xy = all.xy - all.volume * centre.x * centre.y;
    let yy = all.yy - all.volume * centre.y * centre.y;
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

/// Volume, and moments about the upright planes through the origin.
#[derive(Debug, Clone, Copy, Default)]
struct Moments {
    volume: f64,
    x: f64,
    y: f64,
    xx: f64,
    xy: f64,
    yy: f64,
}

impl Moments {
    /// Of the column between a triangle of the wall and the level over it.
    ///
    /// Source: corners, middles of sides and middle with 1/20, 2/15 and 9/20 are exact for cubic
    /// functions on a triangle (Hammer, Marlowe and Stroud 1956).
    fn of(wall: &Mesh, t: usize, level_mm: f64) -> Self {
        let [a, b, c] = wall.corners(t);
        let seen_from_above = -0.5 * area_vector_doubled([a, b, c]).z;
        let weighed = [
            (a, 1.0 / 20.0),
            (b, 1.0 / 20.0),
            (c, 1.0 / 20.0),
            (0.5 * (a + b), 2.0 / 15.0),
            (0.5 * (b + c), 2.0 / 15.0),
            (0.5 * (c + a), 2.0 / 15.0),
            ((a + b + c) / 3.0, 9.0 / 20.0),
        ];
        let at = |(p, weight): (Vec3, f64)| {
            let volume = seen_from_above * weight * (level_mm - p.z);
            let (x, y) = (volume * p.x, volume * p.y);
            Self { volume, x, y, xx: x * p.x, xy: x * p.y, yy: y * p.y }
        };
        weighed.into_iter().map(at).fold(Self::default(), Self::and)
    }

    fn and(self, other: Self) -> Self {
        Self {
            volume: self.volume + other.volume,
            x: self.x + other.x,
            y: self.y + other.y,
            xx: self.xx + other.xx,
            xy: self.xy + other.xy,
            yy: self.yy + other.yy,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Corners that no triangle names don't count.
    #[test]
    fn what_is_drawn_is_around_the_triangles() {
        let far = Vec3::new(90.0, 90.0, 90.0);
        let vertices = [
            far,
            Vec3::new(4.0, 1.0, -2.0),
            Vec3::new(1.0, 2.0, 8.0),
            Vec3::new(2.0, 5.0, 3.0),
            Vec3::new(3.0, -6.0, 0.0),
        ];
        let mesh = Mesh::new(vertices.to_vec(), vec![[1, 2, 3], [1, 3, 4]]).unwrap();
        let plane = CutPlane::upright(Vec3::new(1.0, 0.0, 7.0), Vec3::Y);
        assert_eq!(plane.box_of(&mesh), [[-6.0, -2.0], [5.0, 8.0]]);
        let none = Mesh::new(vec![far], Vec::new()).unwrap();
        let [low, high] = plane.box_of(&none);
        assert!(low[0] > high[0] && low[1] > high[1]);
    }

    /// A box open at the top, off the origin, in as few triangles as it takes.
    #[test]
    fn a_box_lies_along_its_longer_side() {
        let corner = |k: u32| {
            let bit = |n: u32| f64::from(k >> n & 1);
            Vec3::new(5.0 + 60.0 * bit(0), -7.0 + 40.0 * bit(1), 20.0 * bit(2))
        };
        let quads: [[u32; 4]; 5] =
            [[0, 2, 3, 1], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
        let triangles = quads.iter().flat_map(|&[p, q, r, s]| [[p, q, r], [p, r, s]]);
        let wall = Mesh::new((0..8).map(corner).collect(), triangles.collect()).unwrap();
        let (centre, along) = lie(&wall, 20.0, &[]);
        assert!(centre.distance(Vec3::new(35.0, 13.0, 0.0)) < 1e-9, "{centre}");
        assert!(along.distance(Vec3::X) < 1e-9, "{along}");
        // Leaning less than 15° it is taken for the axis.
        let axis = Vec3::new(0.1, 1.0, 0.0).normalize();
        let near = Vec3::new(1.0, 0.2, 0.0).normalize();
        assert_eq!(lie(&wall, 20.0, &[axis, near]).1, near);
    }
}
