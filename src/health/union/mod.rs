//! Unites surfaces that cross or lie on one another: what is left bounds the space that at least
//! one body fills. Buried surface and doubled faces go.
//!
//! Triangles that meet are cut along their common lines, so that every piece of surface has the
//! same number of bodies on each of its sides all over; pieces with nothing outside and something
//! inside stay. Corners closer than [`REACH`] are one. The result is checked: what isn't closed
//! afterwards is refused.

mod cut;
mod lines;
mod pieces;
mod points;
mod sides;

use crate::mesh::{EdgeTable, Mesh, Patches, Vec3, Work, triangle_area};

use super::bodies::Bodies;
use super::census::Census;
use super::{Repair, Unsound, clean};

use pieces::Pieces;
use sides::Sides;

/// Corners of cut triangles closer than this share of the mesh's diagonal are one: far above
/// rounding, far below anything that can be cast.
const REACH: f64 = 1e-9;
/// How far within a body's own surface it is asked what else is there, in reaches.
const HAIR: f64 = 10.0;

/// Steps that uniting may take, beside so many for each triangle: lines that cross on a triangle,
/// and triangles met on the way out from a piece.
const WORK_AT_LEAST: usize = 300_000_000;
const WORK_PER_TRIANGLE: usize = 1000;

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
/// pieces don't close; [`Unsound::TooManyCrossings`] where they are too many.
pub fn unite(
    mesh: Mesh,
    edges: &EdgeTable,
    crossings: usize,
    place_mm: Vec3,
) -> Result<United, Unsound> {
    let work = Work::on(mesh.triangles().len(), WORK_AT_LEAST, WORK_PER_TRIANGLE);
    let refused = || match work.is_over() {
        true => Unsound::TooManyCrossings,
        false => Unsound::Crossing { pairs: crossings, place_mm },
    };
    let (low, high) = mesh.bounding_box().ok_or(Unsound::Empty)?;
    let reach = REACH * (high - low).length();
    let Faced { mesh, turned, doubtful_mm3 } = outermost_outward(mesh, edges, HAIR * reach, &work);
    let patches = Patches::new(&mesh);
    let pieces = Pieces::new(&mesh, edges, &patches, reach, &work).ok_or_else(refused)?;
    let sides = Sides::new(&mesh, &patches, &pieces, reach, &work);
    let kept = sides.kept().ok_or_else(refused)?;
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
        return Err(refused());
    }
    let repair = Repair {
        code: if turned { "turned-and-united" } else { "united" },
        count: crossings,
        area_mm2: buried_mm2,
        // Rounding moves corners of what was cut; which way a body was meant adds to it.
        volume_bound_mm3: 2.0 * reach * pieces.cut_area_mm2 + doubtful_mm3,
    };
    Ok(United { mesh: cleaned.mesh, repair })
}

/// A mesh whose outermost bodies face outward.
struct Faced {
    mesh: Mesh,
    /// One was turned over.
    turned: bool,
    /// What those enclose that may have been meant either way, mm³.
    doubtful_mm3: f64,
}

/// Turns bodies over that face inward and don't lie in others all over, with all that they hold:
/// what was a void of theirs is one again. One that lies across another's surface, and mostly
/// within, may have been meant for a void that pokes through its wall, which makes a difference of
/// all that it encloses.
fn outermost_outward(mesh: Mesh, edges: &EdgeTable, hair_mm: f64, work: &Work) -> Faced {
    let bodies = Bodies::connected(&mesh, edges);
    let volumes_mm3 = bodies.volumes_mm3(&mesh);
    let inward: Vec<bool> = volumes_mm3.iter().map(|v| *v < 0.0).collect();
    if !inward.contains(&true) {
        return Faced { mesh, turned: false, doubtful_mm3: 0.0 };
    }
    let patches = Patches::new(&mesh);
    let triangles = bodies.triangles();
    let share_held = |b: usize, holds: &[bool]| {
        let hair_mm = if inward[b] { hair_mm } else { -hair_mm };
        bodies.share_held(&triangles[b], holds, &mesh, &patches, hair_mm, work)
    };
    let outward: Vec<bool> = inward.iter().map(|inward| !inward).collect();
    let (mut outermost, mut doubtful_mm3) = (vec![false; inward.len()], 0.0);
    for b in (0..inward.len()).filter(|b| inward[*b]) {
        let held = share_held(b, &outward);
        outermost[b] = held < 1.0;
        if outermost[b] && held > 0.5 {
            doubtful_mm3 -= volumes_mm3[b];
        }
    }
    let mut turned = outermost.clone();
    if outermost.contains(&true) {
        let within: Vec<bool> =
            (0..inward.len()).map(|b| !outermost[b] && share_held(b, &outermost) == 1.0).collect();
        // What also lies in a body that stays as it is stays as well.
        let staying: Vec<bool> = outward.iter().zip(&within).map(|(o, w)| *o && !w).collect();
        for b in (0..inward.len()).filter(|b| within[*b]) {
            turned[b] = share_held(b, &staying) < 1.0;
        }
    }
    let (vertices, mut triangles) = mesh.into_parts();
    for (t, corners) in triangles.iter_mut().enumerate() {
        if turned[bodies.of(t) as usize] {
            corners.swap(1, 2);
        }
    }
    Faced { mesh: Mesh { vertices, triangles }, turned: turned.contains(&true), doubtful_mm3 }
}
