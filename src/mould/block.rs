//! A poured block: what a mould box holds around the piece.

use std::f64::consts::PI;

use super::footprint::{smallest_circle_mm, smallest_rectangle_mm};
use super::{MouldError, check_parting, height_mm, piece_by_part};
use crate::bounds::Bounds;
use crate::cavity::Cavity;

/// The shape of a mould box.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum BoxShape {
    /// Four walls square to each other.
    #[default]
    Rectangular,
    /// A round wall.
    Round,
}

/// How the box stands around the piece. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BlockRequest {
    /// The shape of the box.
    pub shape: BoxShape,
    /// From the piece to the walls, at the nearest.
    pub sides_mm: f64,
    /// From the piece to the box's far end: over its top as it stands on its back on the board,
    /// of a piece without a back on both ends.
    pub over_mm: f64,
    /// Height over the lowest point at which the block is divided.
    pub parting_mm: Option<f64>,
}

/// The inside of a mould box, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BoxInside {
    /// Length and width, the longer first.
    Rectangular([f64; 2]),
    /// Diameter.
    Round(f64),
}

/// A block with its box.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// The inside of the box in plan.
    pub inside: BoxInside,
    /// The inside of the box in height, mm.
    pub height_mm: f64,
    /// The block, or its parts under and over the parting.
    pub parts: Vec<BlockPart>,
}

/// A block or one part of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BlockPart {
    /// How high it is, mm.
    pub height_mm: f64,
    /// The piece's part in it, mm³.
    pub piece_mm3: Bounds,
    /// Its rubber, mm³.
    pub rubber_mm3: Bounds,
}

impl BoxInside {
    /// Its area in plan, mm².
    pub fn area_mm2(&self) -> f64 {
        match self {
            Self::Rectangular([length, width]) => length * width,
            Self::Round(diameter) => PI / 4.0 * diameter * diameter,
        }
    }
}

/// Works out the block around a piece: the box's volume less the piece's, exact where the piece's
/// is.
///
/// A rectangular box stands along the smallest rectangle around the piece seen from above, a
/// round one around the smallest circle.
///
/// # Errors
/// [`MouldError`] where the parting doesn't pass through the piece.
pub fn block(piece: &Cavity, request: &BlockRequest) -> Result<Block, MouldError> {
    check_parting(piece, request.parting_mm)?;
    let hull = piece.hull_from_above();
    let more = 2.0 * request.sides_mm;
    let inside = match request.shape {
        BoxShape::Rectangular => {
            BoxInside::Rectangular(smallest_rectangle_mm(&hull).map(|side| side + more))
        }
        BoxShape::Round => BoxInside::Round(smallest_circle_mm(&hull) + more),
    };
    let top_mm = if piece.is_open() { 0.0 } else { request.over_mm };
    let mut levels = vec![-request.over_mm];
    levels.extend(request.parting_mm);
    levels.push(height_mm(piece) + top_mm);
    let plan_mm2 = inside.area_mm2();
    let heights = levels.windows(2).map(|z| z[1] - z[0]);
    let parts =
        heights.zip(piece_by_part(piece, request.parting_mm)).map(|(height_mm, piece_mm3)| {
            let rubber_mm3 = Bounds::exact(plan_mm2 * height_mm) - piece_mm3;
            BlockPart { height_mm, piece_mm3, rubber_mm3: rubber_mm3.clamped(0.0, f64::INFINITY) }
        });
    let parts: Vec<BlockPart> = parts.collect();
    Ok(Block { inside, height_mm: parts.iter().map(|p| p.height_mm).sum(), parts })
}
