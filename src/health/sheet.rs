//! An open sheet that can be worked with: the surface of a mould as a scanner gives it.

use crate::mesh::{Mesh, Patches, Vec3, area_vector_doubled};

use super::{Health, Hole, Repair, Surface, Unsound, crossings};

/// A surface with one border, its outer edge: free of holes and crossings, its triangles agreeing
/// on their direction. Only [`Surface::into_sheet`] makes one.
#[derive(Debug, Clone, PartialEq)]
pub struct SoundSheet {
    mesh: Mesh,
    border: Vec<u32>,
    volume_margin_mm3: f64,
}

impl Surface {
    /// The corners of its border loops in order round each, largest first: as [`Surface::holes`]
    /// lists them.
    pub fn borders(&self) -> Vec<Vec<u32>> {
        self.rings().iter().map(|ring| ring.corners.clone()).collect()
    }

    /// From a surface to a sheet that is open only at one of its [`borders`](Surface::borders).
    ///
    /// # Errors
    /// [`Unsound`] where it has other borders, branches, or crosses itself.
    pub fn into_sheet(self, outer: usize, _health: &mut Health) -> Result<SoundSheet, Unsound> {
        let mut borders = self.borders();
        if outer >= borders.len() {
            return Err(Unsound::Empty);
        }
        let border = borders.remove(outer);
        if !borders.is_empty() {
            let holes: Vec<_> = borders.iter().map(|b| Hole::around(self.mesh(), b)).collect();
            let open_edges = holes.iter().map(|h| h.edges).sum();
            return Err(Unsound::Open { open_edges, holes });
        }
        for edge in self.edges().iter().filter(|e| e.half_edges().len() > 2) {
            let (forward, back) = edge.directions(self.mesh());
            if forward != back {
                let place_mm = self.mesh().vertices()[edge.low as usize];
                return Err(Unsound::NotOrientable { place_mm });
            }
        }
        if !self.is_known_free_of_crossings() {
            let crossing = crossings(&Patches::new(self.mesh()))?;
            if let Some(first) = crossing.first() {
                return Err(Unsound::Crossing { pairs: crossing.len(), place_mm: first.place_mm });
            }
        }
        let (mesh, volume_margin_mm3) = self.into_mesh();
        Ok(SoundSheet { mesh, border, volume_margin_mm3 })
    }
}

impl SoundSheet {
    /// The triangles, in mm, along the file's axes.
    pub fn mesh(&self) -> &Mesh {
        &self.mesh
    }

    /// Corners of its outer edge, in order.
    pub fn border(&self) -> &[u32] {
        &self.border
    }

    /// How much at most the repairs may have changed the volume, mm³; 0 for a clean sheet.
    pub fn volume_margin_mm3(&self) -> f64 {
        self.volume_margin_mm3
    }

    /// The sum of its triangles' normals by area, mm²: it depends on the outer edge alone.
    pub fn area_vector_mm2(&self) -> Vec3 {
        let [x, y, z] =
            self.mesh.sums_over_triangles(|corners| area_vector_doubled(corners).to_array());
        0.5 * Vec3::new(x, y, z)
    }

    /// The same sheet turned so that what is seen of it from above is its outer side, which
    /// faces the air; a turn is written down.
    pub fn faced(mut self, up: Vec3, health: &mut Health) -> Self {
        if self.area_vector_mm2().dot(up) < 0.0 {
            health.inverted = true;
            health.repairs.push(Repair {
                code: "turned-inside-out",
                count: self.mesh.triangles().len(),
                area_mm2: self.mesh.area_mm2(),
                volume_bound_mm3: 0.0,
            });
            self.mesh = self.mesh.reversed();
        }
        self
    }
}
