//! The mould's own body: the rubber and the jacket around a piece.
//!
//! The piece stands as in the pouring frame of its [`Cavity`]: its flat back, where it has one,
//! is on top, in the plane of the board that it is fixed on while the mould is made. On the board
//! everything is the other way up; heights are told from the lowest point as it is cast, as
//! everywhere else.

mod blanket;
mod block;
mod footprint;

pub use blanket::{Blanket, BlanketPart, BlanketRequest, blanket};
pub use block::{Block, BlockPart, BlockRequest, BoxInside, BoxShape, block};

use crate::bounds::Bounds;
use crate::cavity::Cavity;

/// Why no mould's body can be worked out.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum MouldError {
    /// The parting doesn't pass through the piece.
    #[error(
        "the parting at {parting_mm:.2} mm doesn't pass through the piece, which is {height_mm:.2} mm high"
    )]
    PartingBeside {
        /// What was asked for, mm.
        parting_mm: f64,
        /// How high the piece is, mm.
        height_mm: f64,
    },
}

impl MouldError {
    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::PartingBeside { .. } => {
                "give a height over the piece's lowest point as it is cast, or check --unit and --up"
            }
        }
    }
}

/// Height of the piece from its lowest point to the plane of its back, or its top, mm.
pub fn height_mm(piece: &Cavity) -> f64 {
    if piece.is_open() {
        piece.level_mm()
    } else {
        piece.wall().bounding_box().map_or(0.0, |(_, high)| high.z)
    }
}

/// A parting that passes through the piece.
///
/// # Errors
/// [`MouldError::PartingBeside`].
pub fn check_parting(piece: &Cavity, parting_mm: Option<f64>) -> Result<(), MouldError> {
    let height_mm = height_mm(piece);
    match parting_mm {
        Some(parting_mm) if !(parting_mm > 0.0 && parting_mm < height_mm) => {
            Err(MouldError::PartingBeside { parting_mm, height_mm })
        }
        _ => Ok(()),
    }
}

/// Volume of the piece under and over a parting, mm³; of a whole one all of it.
fn piece_by_part(piece: &Cavity, parting_mm: Option<f64>) -> Vec<Bounds> {
    let whole = piece.measures().volume_mm3;
    let Some(parting_mm) = parting_mm else { return vec![whole] };
    let under = piece.volumes_under_mm3(&[parting_mm]).first().copied().unwrap_or(Bounds::ZERO);
    // Of a clean mesh both are exact, and their sum is the whole.
    let over = Bounds::new(
        whole.low() - under.high(),
        whole.best() - under.best(),
        whole.high() - under.low(),
    );
    vec![under, over.clamped(0.0, whole.high())]
}
