//! A brushed blanket with its jacket: shells around the piece, and flanges.

use super::{MouldError, check_parting, piece_by_part};
use crate::bounds::Bounds;
use crate::cavity::Cavity;
use crate::layers::{ShellRequest, Shells, shells};

/// What is laid on the piece. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct BlanketRequest {
    /// Thickness of each coat from the piece outward; each over 0, at least one.
    pub coats_mm: Vec<f64>,
    /// Thickness of the jacket over them; 0 for none.
    pub jacket_mm: f64,
    /// Width of the flange: how far the blanket runs out on the board, and of two parts along
    /// their parting.
    pub flange_mm: f64,
    /// Height over the lowest point at which it is divided.
    pub parting_mm: Option<f64>,
    /// How far a limit may lie from its value, as a share of the piece with all that is laid on it.
    pub tolerance: f64,
}

/// A blanket with its jacket.
#[derive(Debug, Clone, PartialEq)]
pub struct Blanket {
    /// All of it, or its parts under and over the parting.
    pub parts: Vec<BlanketPart>,
    /// The surface that the blanket lies on, mm².
    pub surface_mm2: f64,
    /// Every limit lies within the tolerance.
    pub tolerance_reached: bool,
}

/// A blanket or one part of it. Units: mm², mm³.
#[derive(Debug, Clone, PartialEq)]
pub struct BlanketPart {
    /// Each coat from the piece outward.
    pub coats_mm3: Vec<Bounds>,
    /// All coats together, without the flange: narrower than the sum of their limits.
    pub blanket_mm3: Bounds,
    /// The jacket's shell, without what lies on the flange.
    pub jacket_mm3: Bounds,
    /// The flange's area.
    pub flange_mm2: Bounds,
    /// The surface that the coats lie on.
    pub surface_mm2: f64,
    /// The piece's part in it.
    pub piece_mm3: Bounds,
}

/// The ring's arcs are drawn in chords: it may be larger by this share of what it encloses.
const CHORDS: f64 = 0.001;

/// Measures the blanket and the jacket around a piece. `progress` is called now and then with the
/// share done, 0 to 1.
///
/// The blanket is the set of points outside the piece, over the board where it lies on its back,
/// within the coats' thickness of its surface; the jacket what lies within the jacket's thickness
/// beyond. The flange is a ring as thick as the blanket: in the plane of the board between the
/// parallel curves at the blanket's thickness and at that and the flange's width around the back,
/// and on each part in the plane of the parting around the piece's section there.
///
/// # Errors
/// [`MouldError`] where the parting doesn't pass through the piece.
pub fn blanket(
    piece: &Cavity,
    request: &BlanketRequest,
    progress: &(dyn Fn(f64) + Sync),
) -> Result<Blanket, MouldError> {
    check_parting(piece, request.parting_mm)?;
    let mut coats_mm = request.coats_mm.clone();
    let count = coats_mm.len();
    coats_mm.extend(Some(request.jacket_mm).filter(|mm| *mm > 0.0));
    let (parting_mm, tolerance) = (request.parting_mm, request.tolerance);
    let found = shells(piece, &ShellRequest { coats_mm, parting_mm, tolerance }, progress);
    let thick_mm: f64 = request.coats_mm.iter().sum();
    let flanges = flanges(piece, request, thick_mm);
    let surface_mm2 = piece.measures().wall_area_mm2;
    let surfaces = match parting_mm {
        None => vec![surface_mm2],
        Some(level) => {
            let under = piece.wall_area_under_mm2(level);
            vec![under, (surface_mm2 - under).max(0.0)]
        }
    };
    let pieces = piece_by_part(piece, parting_mm);
    let parts = (0..pieces.len()).map(|p| BlanketPart {
        coats_mm3: (0..count).map(|k| of_part(&found.coats_mm3, k, p)).collect(),
        blanket_mm3: count
            .checked_sub(1)
            .map_or(Bounds::ZERO, |k| of_part(&found.within_mm3, k, p)),
        jacket_mm3: of_part(&found.coats_mm3, count, p),
        flange_mm2: flanges.get(p).copied().unwrap_or(Bounds::ZERO),
        surface_mm2: surfaces.get(p).copied().unwrap_or(0.0),
        piece_mm3: pieces.get(p).copied().unwrap_or(Bounds::ZERO),
    });
    let Shells { tolerance_reached, .. } = found;
    Ok(Blanket { parts: parts.collect(), surface_mm2, tolerance_reached })
}

fn of_part(volumes: &[Vec<Bounds>], layer: usize, part: usize) -> Bounds {
    volumes.get(layer).and_then(|parts| parts.get(part)).copied().unwrap_or(Bounds::ZERO)
}

/// The flange's area by part, mm².
fn flanges(piece: &Cavity, request: &BlanketRequest, thick_mm: f64) -> Vec<Bounds> {
    let ring = |level_mm: Option<f64>| {
        let width_mm = request.flange_mm;
        if width_mm <= 0.0 {
            return Bounds::ZERO;
        }
        let inner = piece.ring_around_mm2(level_mm, thick_mm);
        let outer = piece.ring_around_mm2(level_mm, thick_mm + width_mm);
        let slack = CHORDS * outer;
        Bounds::exact((outer - inner).max(0.0)).widened(slack).clamped(0.0, f64::INFINITY)
    };
    let on_board = ring(None);
    match request.parting_mm {
        None => vec![on_board],
        Some(level_mm) => {
            let parting = ring(Some(level_mm));
            vec![parting, parting + on_board]
        }
    }
}
