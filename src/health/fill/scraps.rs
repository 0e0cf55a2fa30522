//! Open pieces of surface of no account: what a scanner picks up beside the object.

use crate::mesh::{EdgeTable, triangle_area};

use super::super::bodies::Bodies;
use super::super::{Repair, Surface};

/// An open piece with less than this share of the whole area is a scrap.
const AREA_SHARE: f64 = 0.001;

/// The surface without scraps; `None` where there are none. The piece with the border that is
/// kept is no scrap.
pub fn drop(surface: &Surface, kept: Option<&[u32]>) -> Option<(Surface, Repair)> {
    let (mesh, edges) = (surface.mesh(), surface.edges());
    let pieces = Bodies::connected(mesh, edges);
    if pieces.count() < 2 {
        return None;
    }
    let of = pieces.of_triangle();
    let (mut open, mut areas) = (vec![false; pieces.count()], vec![0.0; pieces.count()]);
    for edge in edges.iter().filter(|edge| edge.half_edges().len() == 1) {
        edge.half_edges().for_each(|h| open[of[h as usize / 3] as usize] = true);
    }
    for (t, piece) in of.iter().enumerate() {
        areas[*piece as usize] += triangle_area(mesh.corners(t));
    }
    let beside = kept.and_then(|ring| edges.between(ring[0], ring[1])?.half_edges().next());
    if let Some(h) = beside {
        open[of[h as usize / 3] as usize] = false;
    }
    let least = AREA_SHARE * areas.iter().sum::<f64>();
    let scrap: Vec<bool> = open.iter().zip(&areas).map(|(open, a)| *open && *a < least).collect();
    let count = scrap.iter().filter(|s| **s).count();
    if count == 0 {
        return None;
    }
    let area_mm2 = scrap.iter().zip(&areas).filter(|(s, _)| **s).map(|(_, a)| a).sum();
    let triangles = mesh.triangles().iter().zip(of).filter(|(_, piece)| !scrap[**piece as usize]);
    let mesh = mesh.with_triangles(triangles.map(|(t, _)| *t).collect());
    let edges = EdgeTable::new(&mesh);
    let left = Surface::of(mesh, edges, surface.volume_margin_mm3(), Vec::new());
    Some((left, Repair::exact("dropped-scraps", count, area_mm2)))
}
