//! Drawings of what is filled.

use super::{PartedBy, PartingRequest, inserts};
use crate::cavity::{Air, AirShape, Cavity};
use crate::drawing::{self, DrawingRequest, Drawings, FilledHole, Shows, Subject};
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
    parting: Option<&PartingRequest>,
    air: &[AirShape],
    inserts: &[inserts::Read],
    health: &Health,
    wanted: DrawingRequest,
) -> Option<Drawings> {
    let cavity = cavities.first().filter(|_| wanted != DrawingRequest::default())?;
    let inserts: Vec<_> = inserts.iter().map(|insert| insert.mesh()).collect();
    let holes = filled_holes(health);
    let parting_mm = parting.and_then(|parting| match &parting.by {
        PartedBy::Level(level) => Some(level.mm()),
        PartedBy::OtherHalf(_) => None,
    });
    let inserts = inserts.as_slice();
    let subject = Subject { cavity, request, parting_mm, air, inserts, holes: &holes };
    let drawings = drawing::draw(&subject, wanted);
    let halves = parting.is_some_and(|parting| matches!(parting.by, PartedBy::OtherHalf(_)));
    Some(match cavities.len() {
        _ if halves => drawings.of_first_half(),
        0 | 1 => drawings,
        _ => Drawings { shows: Shows::Largest, ..drawings },
    })
}

/// The holes that were filled: of all borders the smaller ones, as a sheet's outer edge, which is
/// kept, is larger.
fn filled_holes(health: &Health) -> Vec<FilledHole> {
    let filled = health.repairs.iter().filter(|r| r.code == "filled-holes").map(|r| r.count).sum();
    let smaller = health.holes.iter().rev().take(filled);
    smaller.map(|h| FilledHole { centre_mm: h.centre_mm, size_mm: h.size_mm }).collect()
}
