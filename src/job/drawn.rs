//! Drawings of what is filled.

use super::{PartedBy, PartingRequest, inserts};
use crate::cavity::{Air, AirShape, Cavity};
use crate::drawing::{self, DrawingRequest, Drawings, FilledHole, Subject};
use crate::health::Health;
use crate::layers::LayerRequest;

/// Of several cavities no more than this are drawn, that the page stays short.
const DRAWN_MOST: usize = 7;

/// The air of all cavities, and where it lies in those that are drawn.
pub fn air(cavities: &[Cavity], skin_mm: f64) -> (Air, Vec<Vec<AirShape>>) {
    let mut shapes = Vec::new();
    let air = cavities.iter().map(|cavity| {
        let (air, own) = cavity.air_and_shapes(skin_mm);
        if shapes.len() < DRAWN_MOST {
            shapes.push(own);
        }
        air
    });
    let air = Air::together(air.collect::<Vec<_>>());
    (air, shapes)
}

/// The drawings that are wanted of the largest cavity or the first half, and for the bench sheet
/// sections of the others; `None` where none are.
pub fn draw(
    cavities: &[Cavity],
    request: &LayerRequest,
    parting: Option<&PartingRequest>,
    air: &[Vec<AirShape>],
    inserts: &[inserts::Read],
    health: &Health,
    wanted: DrawingRequest,
) -> Option<Drawings> {
    let (first, others) = cavities.split_first().filter(|_| wanted != DrawingRequest::default())?;
    let inserts: Vec<_> = inserts.iter().map(|insert| insert.mesh()).collect();
    let inserts = inserts.as_slice();
    let holes = filled_holes(health);
    let holes = holes.as_slice();
    let (own_air, other_air) = air.split_first()?;
    let (parting_mm, halves) = match parting.map(|parting| &parting.by) {
        Some(PartedBy::Level(level)) => (Some(level.mm()), false),
        Some(PartedBy::OtherHalf(_)) => (None, true),
        None => (None, false),
    };
    let subject = |cavity, air| Subject { cavity, request, parting_mm, air, inserts, holes };
    let drawings = drawing::draw(&subject(first, own_air), wanted);
    let drawn = others.iter().zip(other_air).filter(|_| wanted.sheet);
    let other_sections = drawn.filter_map(|(o, air)| drawing::section_along(&subject(o, air)));
    let drawings =
        Drawings { others: others.len(), other_sections: other_sections.collect(), ..drawings };
    Some(if halves { drawings.of_halves() } else { drawings })
}

/// The holes that were filled: of all borders the smaller ones, as a sheet's outer edge, which is
/// kept, is larger.
fn filled_holes(health: &Health) -> Vec<FilledHole> {
    let filled = health.repairs.iter().filter(|r| r.code == "filled-holes").map(|r| r.count).sum();
    let smaller = health.holes.iter().rev().take(filled);
    smaller.map(|h| FilledHole { centre_mm: h.centre_mm, size_mm: h.size_mm }).collect()
}
