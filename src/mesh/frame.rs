//! The pouring frame: up is +z, and a chosen point of the file lies at the origin.

use parry3d_f64::math::Rotation;

use super::{Mesh, Vec3};

/// A turn and a shift between the file's axes and the pouring frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    turn: Rotation,
    origin: Vec3,
}

impl Frame {
    /// The frame in which `up` (a unit vector) is +z and `origin` (mm, file axes) is zero. The
    /// axes of the file themselves are turned exactly.
    pub fn new(up: Vec3, origin: Vec3) -> Self {
        let turn = if up == Vec3::Z {
            Rotation::IDENTITY
        } else {
            Rotation::from_rotation_arc(up, Vec3::Z)
        };
        Self { turn, origin }
    }

    /// A point of the file in the pouring frame.
    pub fn to_pouring(&self, p: Vec3) -> Vec3 {
        let d = p - self.origin;
        if self.turn == Rotation::IDENTITY { d } else { self.turn * d }
    }

    /// A point of the pouring frame along the file's axes.
    pub fn to_file(&self, p: Vec3) -> Vec3 {
        self.turn.inverse() * p + self.origin
    }

    /// A direction along the file's axes in the pouring frame.
    pub fn direction_to_pouring(&self, d: Vec3) -> Vec3 {
        if self.turn == Rotation::IDENTITY { d } else { self.turn * d }
    }

    /// A direction of the pouring frame along the file's axes.
    pub fn direction_to_file(&self, d: Vec3) -> Vec3 {
        self.turn.inverse() * d
    }

    /// The same turn with the point that lies at `shift` in the pouring frame as its origin.
    pub fn shifted(&self, shift: Vec3) -> Self {
        Self { turn: self.turn, origin: self.to_file(shift) }
    }

    /// A mesh of the file in the pouring frame.
    pub fn mesh_to_pouring(&self, mesh: &Mesh) -> Mesh {
        use rayon::prelude::*;
        let vertices = mesh.vertices.par_iter().map(|p| self.to_pouring(*p)).collect();
        Mesh { vertices, triangles: mesh.triangles.clone() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back() {
        for up in [Vec3::Z, -Vec3::Z, Vec3::X, -Vec3::Y, Vec3::new(0.1, 0.2, 1.0).normalize()] {
            let frame = Frame::new(up, Vec3::new(5.0, -3.0, 100.0));
            let p = Vec3::new(1.0, 2.0, 3.0);
            let q = frame.to_pouring(p);
            assert!(frame.to_file(q).distance(p) < 1e-12);
            assert!((q.z - up.dot(p - Vec3::new(5.0, -3.0, 100.0))).abs() < 1e-12);
        }
    }
}
