//! Where a piece is too thin for a core: wall that faces other wall within twice the skin.

use rayon::prelude::*;

use crate::mesh::{Mesh, Patches, area_vector_doubled, triangle_area};

/// Points of the wall that are looked from.
const POINTS: usize = 8192;
/// Facing wall is turned by at least this much, degrees; the edges of a box are not thin.
const FACING_DEG_MIN: f64 = 120.0;

/// The share of the wall's area, 0 to 1, whose inward normal meets facing wall within
/// `reach_mm`: by points spread evenly over the wall, so right to about 0.01.
pub fn facing_share(wall: &Mesh, patches: &Patches, reach_mm: f64) -> f64 {
    let points = wall.spread_points(POINTS, |t| triangle_area(wall.corners(t)));
    let inward = |t: u32| -area_vector_doubled(wall.corners(t as usize)).normalize_or_zero();
    let facing = points
        .par_iter()
        .filter(|(t, p)| {
            let own = inward(*t);
            patches.first_hit(*p, own, reach_mm, |other| other == *t).is_some_and(|hit| {
                own.dot(inward(hit.triangle)) <= FACING_DEG_MIN.to_radians().cos()
            })
        })
        .count();
    facing as f64 / points.len().max(1) as f64
}
