//! Drawings of what is filled.

use super::inserts;
use crate::cavity::{Air, AirShape, Cavity};
use crate::drawing::{self, DrawingRequest, Drawings, FilledHole, Subject};
use crate::health::Health;
use crate::layers::LayerRequest;

/// The air of all cavities, and where it lies in the first.
pub fn air(cavities: &[Cavity], skin_mm: f64) -> (Air, Vec<AirShape>) {
    let mut shapes = Vec::new();
    let air = cavities.iter().enumerate().map(|(k, cavity)| {
        let (air, own) = cavity.air_and_shapes(skin_mm);
        if k == 0 {
            shapes = own;
        }
        air
    });
    let air = Air::together(air.collect::<Vec<_>>());
    (air, shapes)
}

/// The drawings that are wanted of the largest cavity; `None` where none are.
pub fn draw(
    cavities: &[Cavity],
    request: &LayerRequest,
    air: &[AirShape],
    inserts: &[inserts::Read],
    health: &Health,
    wanted: DrawingRequest,
) -> Option<Drawings> {
    let cavity = cavities.first().filter(|_| wanted != DrawingRequest::default())?;
    let inserts: Vec<_> = inserts.iter().map(|insert| insert.mesh()).collect();
    let holes = filled_holes(health);
    let subject = Subject { cavity, request, air, inserts: &inserts, holes: &holes };
    let drawings = drawing::draw(&subject, wanted);
    Some(Drawings { one_of_several: cavities.len() > 1, ..drawings })
}

/// The holes that were filled: of all borders the smaller ones, as a sheet's outer edge, which is
/// kept, is larger.
fn filled_holes(health: &Health) -> Vec<FilledHole> {
    let filled = health.repairs.iter().filter(|r| r.code == "filled-holes").map(|r| r.count).sum();
    let smaller = health.holes.iter().rev().take(filled);
    smaller.map(|h| FilledHole { centre_mm: h.centre_mm, size_mm: h.size_mm }).collect()
}
