//! Triangle meshes in millimetres: topology, measures, distance, plane cuts.
//!
//! One point type serves the whole crate: [`Vec3`], the `f64` vector that the distance library
//! speaks. Where linear algebra is needed that it lacks, `fit` converts at that one place.

mod closest;
mod diameter;
mod edges;
mod fit;
mod frame;
mod measure;
mod order;
mod patches;
mod sample;
mod section;

pub use closest::{closest_on_segment, closest_on_triangle};
pub use diameter::diameter;
pub use edges::{Edge, EdgeTable, HalfEdge, runs_to, starts_at};
pub use fit::{HeightField, Plane, fit_heights, fit_plane};
pub use frame::Frame;
pub use measure::{area_vector_doubled, triangle_area};
pub use patches::{Coin, Hit, Nearest, Patches, Placed, Surface, Work};
pub use section::{Section, below_level};

/// A point or direction; lengths in mm.
pub use parry3d_f64::math::Vector as Vec3;

/// An indexed triangle mesh.
///
/// Units: mm. Corners run counter-clockwise seen from outside.
/// Assumptions: every index is in range and every coordinate is finite, by construction.
#[derive(Debug, Clone, PartialEq)]
pub struct Mesh {
    pub(crate) vertices: Vec<Vec3>,
    pub(crate) triangles: Vec<[u32; 3]>,
}

/// Why a list of vertices and triangles is no mesh.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum MeshError {
    /// A triangle names a vertex that isn't there.
    #[error("triangle {triangle} names vertex {vertex}, but there are only {vertices}")]
    IndexOutOfRange {
        /// Number of the triangle, from 0.
        triangle: usize,
        /// The vertex it names.
        vertex: u32,
        /// How many vertices there are.
        vertices: usize,
    },
    /// A coordinate is not a finite number.
    #[error("vertex {vertex} has a coordinate that is not a finite number")]
    NotFinite {
        /// Number of the vertex, from 0.
        vertex: usize,
    },
}

impl Mesh {
    /// Checks the lists and makes a mesh of them.
    ///
    /// # Errors
    /// [`MeshError`] names the first vertex that is not finite or the first index out of range.
    pub fn new(vertices: Vec<Vec3>, triangles: Vec<[u32; 3]>) -> Result<Self, MeshError> {
        if let Some(vertex) = vertices.iter().position(|v| !v.is_finite()) {
            return Err(MeshError::NotFinite { vertex });
        }
        let count = vertices.len();
        for (triangle, corners) in triangles.iter().enumerate() {
            if let Some(&vertex) = corners.iter().find(|&&c| c as usize >= count) {
                return Err(MeshError::IndexOutOfRange { triangle, vertex, vertices: count });
            }
        }
        Ok(Self { vertices, triangles })
    }

    /// The vertices, in mm.
    pub fn vertices(&self) -> &[Vec3] {
        &self.vertices
    }

    /// The triangles, as three vertex numbers each.
    pub fn triangles(&self) -> &[[u32; 3]] {
        &self.triangles
    }

    /// The three corners of triangle `t`, in mm.
    pub fn corners(&self, t: usize) -> [Vec3; 3] {
        self.triangles[t].map(|v| self.vertices[v as usize])
    }

    /// The same vertices with other triangles over them; triangle numbers of the caller's own
    /// making are kept in range by the caller having taken them from this mesh.
    pub(crate) fn with_triangles(&self, triangles: Vec<[u32; 3]>) -> Self {
        Self { vertices: self.vertices.clone(), triangles }
    }

    /// The same mesh moved by `shift`, mm.
    pub(crate) fn moved(mut self, shift: Vec3) -> Self {
        self.vertices.iter_mut().for_each(|p| *p += shift);
        self
    }

    /// Every triangle run through the other way.
    pub fn reversed(mut self) -> Self {
        self.triangles.iter_mut().for_each(|t| t.swap(1, 2));
        self
    }

    /// The lists themselves.
    pub fn into_parts(self) -> (Vec<Vec3>, Vec<[u32; 3]>) {
        (self.vertices, self.triangles)
    }
}
