//! A surface whose triangles agree on their direction, with whatever borders it has, and the way
//! from there to a closed body.

use crate::mesh::{EdgeTable, Mesh, Patches};

use super::bodies::Bodies;
use super::borders::{Ring, rings};
use super::crossings::{crossings, overlaps_along_edges};
use super::{Fill, Health, Hole, SoundMesh, Unsound, clean, direction, union};

/// A surface without cracks whose neighbouring triangles agree on their direction. It may have
/// borders: holes, or the outer edge of a sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Surface {
    mesh: Mesh,
    edges: EdgeTable,
    rings: Vec<Ring>,
    holes: Vec<Hole>,
    volume_margin_mm3: f64,
    fills: Vec<Fill>,
    looked_for_crossings: Looked,
}

/// What is known of a surface's crossings with itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Looked {
    /// Nothing.
    NotYet,
    /// It was searched all over, patches included, and has none.
    Free,
    /// Some patch over a hole passes through the rest.
    ThroughPatch,
}

impl Surface {
    /// Makes directions agree.
    pub(super) fn directed(
        mesh: Mesh,
        edges: EdgeTable,
        inconsistent: bool,
        volume_margin_mm3: f64,
        health: &mut Health,
    ) -> Result<Self, Unsound> {
        if mesh.triangles().is_empty() {
            return Err(Unsound::Empty);
        }
        let (mesh, edges) = if inconsistent {
            let turned = direction::make_consistent(mesh, &edges)?;
            health.repairs.push(turned.repair);
            let edges = EdgeTable::new(&turned.mesh);
            (turned.mesh, edges)
        } else {
            (mesh, edges)
        };
        Ok(Self::of(mesh, edges, volume_margin_mm3, Vec::new()))
    }

    /// A surface with the borders that it has.
    pub(super) fn of(
        mesh: Mesh,
        edges: EdgeTable,
        volume_margin_mm3: f64,
        fills: Vec<Fill>,
    ) -> Self {
        let rings = rings(&mesh, &edges);
        let holes = rings.iter().map(|ring| ring.hole).collect();
        Self {
            mesh,
            edges,
            rings,
            holes,
            volume_margin_mm3,
            fills,
            looked_for_crossings: Looked::NotYet,
        }
    }

    /// The same, with what is known of its crossings.
    pub(super) fn looked_for_crossings(self, looked_for_crossings: Looked) -> Self {
        Self { looked_for_crossings, ..self }
    }

    /// It was searched for crossings, patches included, and has none.
    pub(super) fn is_known_free_of_crossings(&self) -> bool {
        self.looked_for_crossings == Looked::Free
    }

    /// The triangles, in mm, along the file's axes.
    pub fn mesh(&self) -> &Mesh {
        &self.mesh
    }

    /// Which triangles meet along which edge.
    pub fn edges(&self) -> &EdgeTable {
        &self.edges
    }

    /// Its border loops, largest first.
    pub fn holes(&self) -> &[Hole] {
        &self.holes
    }

    /// The triangles, and how much the repairs may have changed the volume, mm³.
    pub(super) fn into_mesh(self) -> (Mesh, f64) {
        (self.mesh, self.volume_margin_mm3)
    }

    /// Its border rings, in the order of [`Surface::holes`].
    pub(super) fn rings(&self) -> &[Ring] {
        &self.rings
    }

    /// The holes that were filled, the one with the widest bound first.
    pub fn fills(&self) -> &[Fill] {
        &self.fills
    }

    /// How much at most the repairs so far may have changed the volume, mm³.
    pub fn volume_margin_mm3(&self) -> f64 {
        self.volume_margin_mm3
    }

    /// From a surface without borders to a sound mesh: doubled inner faces are left out, bodies
    /// told from voids, and crossings looked for.
    ///
    /// # Errors
    /// [`Unsound`] where it has borders, crosses itself, or encloses nothing.
    pub fn close(self, health: &mut Health) -> Result<SoundMesh, Unsound> {
        let looked = self.looked_for_crossings;
        let Self { mesh, edges, rings, holes, volume_margin_mm3, .. } = self;
        if !rings.is_empty() {
            let open_edges = rings.iter().map(|ring| ring.corners.len()).sum();
            return Err(Unsound::Open { open_edges, holes });
        }
        let (mesh, edges) = match clean::drop_inner_faces(&mesh, &edges) {
            Some((mesh, repair)) => {
                health.repairs.push(repair);
                let edges = EdgeTable::new(&mesh);
                (mesh, edges)
            }
            None => (mesh, edges),
        };
        let bodies = Bodies::closed(&mesh, &edges)?;
        let patches = Patches::new(&mesh);
        let mut crossing = match looked {
            Looked::Free => Vec::new(),
            Looked::NotYet | Looked::ThroughPatch => crossings(&patches)?,
        };
        crossing.extend(overlaps_along_edges(&mesh, &edges)?);
        if let Some(first) = crossing.first() {
            let before_mm3 = bodies.enclosed_mm3(&mesh);
            let mut united = union::unite(mesh, &edges, crossing.len(), first.place_mm)?;
            if looked == Looked::ThroughPatch {
                // The bound over a hole speaks of the surface with its patch as it was, twice
                // passed through or not: what uniting changed comes on top of it.
                let changed_mm3 = (united.mesh.signed_volume_mm3() - before_mm3).abs();
                united.repair.volume_bound_mm3 += changed_mm3;
            }
            let volume_margin_mm3 = volume_margin_mm3 + united.repair.volume_bound_mm3;
            health.repairs.push(united.repair);
            let edges = EdgeTable::new(&united.mesh);
            return Ok(SoundMesh { mesh: united.mesh, edges, volume_margin_mm3 });
        }
        let triangles = mesh.triangles().len();
        let mesh = bodies.unite(mesh, &patches, health)?;
        let changed = health.inverted || mesh.triangles().len() != triangles;
        let (mesh, edges) = if changed {
            let mesh = mesh.in_neighbour_order();
            let edges = EdgeTable::new(&mesh);
            (mesh, edges)
        } else {
            (mesh, edges)
        };
        Ok(SoundMesh { mesh, edges, volume_margin_mm3 })
    }
}
