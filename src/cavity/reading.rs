//! What an open surface is: a mould's, or a casting's with holes.

use crate::health::Surface;
use crate::mesh::{Frame, Mesh, Vec3};

use super::CavityError;
use super::outline::hull_area_mm2;

/// A border that encloses at least this share of the outline is a mould's outer one.
const MOULD_SHARE_MIN: f64 = 0.5;
/// A second border that encloses more than this share of the first's area makes a tube.
const TUBE_SHARE_MAX: f64 = 0.25;

/// What an open surface was taken for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Number of its outer border in [`Surface::borders`].
    pub outer: usize,
    /// Share of the outline seen from above that this border encloses.
    pub share: f64,
    /// By the rule it is a mould.
    pub is_mould: bool,
}

/// Looks at the borders of an open surface from above: which is the outer one, and whether it
/// encloses so much of the outline that the surface is a mould's. Without `up` it is looked at
/// along the direction in which a border encloses most.
///
/// # Errors
/// [`CavityError::Tube`] where a second border encloses over a quarter of what the first does
/// and the surface would be a mould's, by the rule or because it is `said` to be.
pub fn read_open(
    surface: &Surface,
    up: Option<Vec3>,
    said: bool,
) -> Result<Option<Reading>, CavityError> {
    let borders = surface.borders();
    let vectors: Vec<Vec3> = borders.iter().map(|b| enclosed(surface.mesh(), b)).collect();
    let up =
        up.or_else(|| vectors.iter().copied().max_by(|a, b| a.length().total_cmp(&b.length())));
    let up = up.unwrap_or(Vec3::Z).normalize_or(Vec3::Z);
    let area = |k: usize| vectors[k].dot(up).abs();
    let mut by_area: Vec<usize> = (0..borders.len()).collect();
    by_area.sort_by(|a, b| area(*b).total_cmp(&area(*a)));
    let Some(&outer) = by_area.first() else { return Ok(None) };
    let outline_mm2 = hull_area_mm2(&Frame::new(up, Vec3::ZERO).mesh_to_pouring(surface.mesh()));
    let share = if outline_mm2 > 0.0 { area(outer) / outline_mm2 } else { 0.0 };
    let is_mould = share >= MOULD_SHARE_MIN;
    if let Some(&second) = by_area.get(1)
        && (is_mould || said)
        && area(second) > TUBE_SHARE_MAX * area(outer)
    {
        let share = area(second) / area(outer);
        let place_mm = surface.holes().get(second).map_or(Vec3::ZERO, |h| h.centre_mm);
        return Err(CavityError::Tube { share, place_mm });
    }
    Ok(Some(Reading { outer, share, is_mould }))
}

/// Area vector of what a border encloses, mm².
fn enclosed(mesh: &Mesh, border: &[u32]) -> Vec3 {
    let place = |k: usize| mesh.vertices()[border[k % border.len()] as usize];
    let start = place(0);
    (0..border.len()).map(|k| 0.5 * (place(k) - start).cross(place(k + 1) - start)).sum()
}
