//! One hole's patch.

use crate::mesh::{EdgeTable, Mesh, Vec3, triangle_area};

use super::super::Hole;
use super::super::borders::Ring;
use super::limit::Opening;
use super::plane::Flat;
use super::surroundings::{Around, Surroundings};
use super::{bend, flat};

/// A patch over one ring. Triangles name the ring's corners by their place along it, then the
/// patch's own.
pub struct Patch {
    /// The hole.
    pub hole: Hole,
    /// Numbers of the ring's corners.
    pub ring: Vec<u32>,
    /// Corners of its own, mm.
    pub inner: Vec<Vec3>,
    /// Its triangles.
    pub triangles: Vec<[u32; 3]>,
    /// The triangles of the flat patch.
    flat: Vec<[u32; 3]>,
    points: Vec<Vec3>,
    /// How much the missing surface may hold more or less than the flat patch, mm³.
    bulge_mm3: f64,
    /// What the patch holds more than the flat one, mm³.
    shift_mm3: f64,
}

impl Patch {
    /// The patch over a ring.
    pub fn over(ring: &Ring, mesh: &Mesh, edges: &EdgeTable, around: &Around) -> Self {
        let points: Vec<Vec3> = ring.corners.iter().map(|v| mesh.vertices()[*v as usize]).collect();
        let frame = Frame::of(&points, ring.hole.centre_mm);
        let n = points.len();
        let taken = |a: usize, b: usize| {
            let beside = (a + 1) % n == b || (b + 1) % n == a;
            !beside && edges.between(ring.corners[a], ring.corners[b]).is_some()
        };
        let flat = flat::triangulate(&points, frame.as_ref(), taken);
        let opening = Opening {
            normal: frame.map_or(Vec3::ZERO, |f| f.normal),
            area_mm2: area(&flat, &points, &[]),
            perimeter_mm: (0..n).map(|k| points[k].distance(points[(k + 1) % n])).sum(),
            size_mm: size(&points),
        };
        let surroundings = Surroundings::of(&ring.corners, mesh, around, opening.radius_mm());
        let bulge_mm3 = opening.bulge_mm3(&surroundings);
        let mut patch = Self {
            hole: ring.hole,
            ring: ring.corners.clone(),
            inner: Vec::new(),
            triangles: flat.clone(),
            flat,
            points,
            bulge_mm3,
            shift_mm3: 0.0,
        };
        if let Some(frame) = frame
            && let Some(bent) = bend::bend(&patch.points, &frame, &opening, &surroundings)
        {
            patch.take(bent.inner, bent.triangles);
        }
        patch
    }

    /// Takes a bent patch, unless it would hold more than the missing surface may.
    fn take(&mut self, inner: Vec<Vec3>, triangles: Vec<[u32; 3]>) {
        let shift = self.held_mm3(&triangles, &inner) - self.held_mm3(&self.flat, &[]);
        if shift.abs() <= self.bulge_mm3 {
            self.shift_mm3 = shift;
            self.inner = inner;
            self.triangles = triangles;
        }
    }

    /// Goes back to the flat patch; tells whether it was another.
    pub fn flatten(&mut self) -> bool {
        let bent = !self.inner.is_empty();
        self.inner = Vec::new();
        self.triangles.clone_from(&self.flat);
        self.shift_mm3 = 0.0;
        bent
    }

    /// Area, mm².
    pub fn area_mm2(&self) -> f64 {
        area(&self.triangles, &self.points, &self.inner)
    }

    /// How far the volume may be off for it, mm³.
    pub fn volume_bound_mm3(&self) -> f64 {
        self.bulge_mm3 + self.shift_mm3.abs()
    }

    /// Six-faced sum under the triangles, seen from the hole's centre, mm³.
    fn held_mm3(&self, triangles: &[[u32; 3]], inner: &[Vec3]) -> f64 {
        let o = self.hole.centre_mm;
        let pyramid = |t: &[u32; 3]| {
            let [a, b, c] = t.map(|v| corner(v, &self.points, inner) - o);
            a.dot(b.cross(c)) / 6.0
        };
        triangles.iter().map(pyramid).sum()
    }
}

fn corner(v: u32, ring: &[Vec3], inner: &[Vec3]) -> Vec3 {
    let v = v as usize;
    if v < ring.len() { ring[v] } else { inner[v - ring.len()] }
}

fn area(triangles: &[[u32; 3]], ring: &[Vec3], inner: &[Vec3]) -> f64 {
    triangles.iter().map(|t| triangle_area(t.map(|v| corner(v, ring, inner)))).sum()
}

/// The diagonal of the box of the points, at most √3 of their longest distance, mm.
fn size(points: &[Vec3]) -> f64 {
    let low = points.iter().copied().fold(Vec3::INFINITY, Vec3::min);
    let high = points.iter().copied().fold(Vec3::NEG_INFINITY, Vec3::max);
    low.distance(high)
}

/// The plane that a ring encloses most in.
#[derive(Debug, Clone, Copy)]
pub struct Frame {
    /// A point of it, mm.
    pub origin: Vec3,
    /// Two unit directions in it.
    pub axes: [Vec3; 2],
    /// Unit normal, outward.
    pub normal: Vec3,
    /// What is 1 in flat coordinates, mm.
    pub unit_mm: f64,
}

impl Frame {
    /// The plane across a ring's area vector; `None` where it encloses nothing.
    fn of(points: &[Vec3], origin: Vec3) -> Option<Self> {
        let n = points.len();
        let doubled: Vec3 =
            (0..n).map(|k| (points[k] - origin).cross(points[(k + 1) % n] - origin)).sum();
        let normal = doubled.try_normalize()?;
        let x = normal.any_orthonormal_vector();
        let unit_mm = size(points);
        (unit_mm > 0.0).then(|| Self { origin, axes: [x, normal.cross(x)], normal, unit_mm })
    }

    /// A point in flat coordinates.
    pub fn flat(&self, p: Vec3) -> Flat {
        self.axes.map(|axis| axis.dot(p - self.origin) / self.unit_mm)
    }

    /// Its height over the plane, in the same unit.
    pub fn height(&self, p: Vec3) -> f64 {
        self.normal.dot(p - self.origin) / self.unit_mm
    }

    /// The point at flat coordinates and height.
    pub fn point(&self, [x, y]: Flat, height: f64) -> Vec3 {
        let [u, v] = self.axes;
        self.origin + (u * x + v * y + self.normal * height) * self.unit_mm
    }
}
