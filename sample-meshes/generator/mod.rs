//! Makes the sample meshes from implicit shapes: the same bytes on every run and machine.

mod check;
mod implicit;
mod pieces;
mod surface;
mod vector;
mod write;

pub use pieces::{Piece, committed, dense};

/// A finished file.
pub struct Sample {
    pub file: &'static str,
    pub triangles: usize,
    pub bytes: Vec<u8>,
}

/// Makes the file of a piece.
///
/// # Errors
/// What is wrong with the piece, with its name.
pub fn make(piece: &Piece) -> Result<Sample, String> {
    let name = |fault: String| format!("{}: {fault}", piece.file);
    let surface = surface::surface(&piece.shape, &piece.region).map_err(name)?;
    let surface = write::as_written(surface, piece);
    check::check(&surface).map_err(name)?;
    let bytes = write::bytes(&surface, piece).map_err(|e| name(e.to_string()))?;
    Ok(Sample { file: piece.file, triangles: surface.triangles.len(), bytes })
}
