//! Unites surfaces that cross or lie on one another: what is left bounds the space that at least
//! one body fills. Buried surface and doubled faces go.
//!
//! Triangles that meet are cut along their common lines, so that every piece of surface has the
//! same number of bodies on each of its sides all over; pieces with nothing outside and something
//! inside stay. Corners closer than [`REACH`] are one. The result is checked: what isn't closed
//! afterwards is refused.

mod cut;
mod pieces;
mod points;
mod sides;

use crate::mesh::{EdgeTable, Mesh, Patches, Vec3, triangle_area};

use super::bodies::Bodies;
use super::census::Census;
use super::{Repair, Unsound, clean};

use pieces::Pieces;
use sides::Sides;

/// Corners of cut triangles closer than this share of the mesh's diagonal are one: far above
/// rounding, far below anything that can be cast.
const REACH: f64 = 1e-9;

/// A mesh without crossings, and what was done.
pub struct United {
    /// The surface of the union.
    pub mesh: Mesh,
    /// What was done.
    pub repair: Repair,
}

/// The surface of the union of everything that the closed `mesh` encloses. `crossings` is how
/// many pairs of triangles were found to cross.
///
/// # Errors
/// [`Unsound::Empty`] where nothing is enclosed; [`Unsound::Crossing`] at `place_mm` where the
/// pieces don't close.
pub fn unite(
    mesh: Mesh,
    edges: &EdgeTable,
    crossings: usize,
    place_mm: Vec3,
) -> Result<United, Unsound> {
    let refused = Unsound::Crossing { pairs: crossings, place_mm };
    let (low, high) = mesh.bounding_box().ok_or(Unsound::Empty)?;
    let reach = REACH * (high - low).length();
    let (mesh, turned) = outermost_outward(mesh, edges);
    let patches = Patches::new(&mesh);
    let pieces = Pieces::new(&mesh, edges, &patches, reach).ok_or(refused.clone())?;
    let sides = Sides::new(&mesh, &patches, &pieces, reach);
    let kept = sides.kept().ok_or(refused.clone())?;
    let all = &pieces.mesh;
    let mut buried_mm2 = 0.0;
    let mut triangles = Vec::new();
    for (t, keep) in kept.iter().enumerate() {
        if *keep {
            triangles.push(all.triangles()[t]);
        } else {
            buried_mm2 += triangle_area(all.corners(t));
        }
    }
    if triangles.is_empty() {
        return Err(Unsound::Empty);
    }
    let cleaned = clean::set_aside(all.with_triangles(triangles).in_neighbour_order());
    let census = Census::take(&cleaned.mesh, &cleaned.edges);
    if census.unbalanced > 0 || !census.open.is_empty() {
        return Err(refused);
    }
    let repair = Repair {
        code: if turned { "turned-and-united" } else { "united" },
        count: crossings,
        area_mm2: buried_mm2,
        // Rounding moves corners of what was cut, and nothing else.
        volume_bound_mm3: 2.0 * reach * pieces.cut_area_mm2,
    };
    Ok(United { mesh: cleaned.mesh, repair })
}

/// Turns bodies that face inward and lie in no other, judged at their farthest corner along x.
fn outermost_outward(mesh: Mesh, edges: &EdgeTable) -> (Mesh, bool) {
    let bodies = Bodies::connected(&mesh, edges);
    let inward = bodies.inward(&mesh);
    if !inward.contains(&true) {
        return (mesh, false);
    }
    let patches = Patches::new(&mesh);
    let turned: Vec<bool> = inward
        .iter()
        .enumerate()
        .map(|(b, inward)| *inward && bodies.lies_in_no_other(b as u32, &mesh, &patches))
        .collect();
    let (vertices, mut triangles) = mesh.into_parts();
    for (t, corners) in triangles.iter_mut().enumerate() {
        if turned[bodies.of(t) as usize] {
            corners.swap(1, 2);
        }
    }
    (Mesh { vertices, triangles }, turned.contains(&true))
}
