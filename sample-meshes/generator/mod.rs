//! Makes the sample meshes from implicit shapes: the same bytes on every run and machine.

mod check;
mod implicit;
mod pieces;
mod scans;
mod surface;
mod vector;
mod write;

pub use pieces::{Piece, committed, dense};
pub use scans::{Scan, committed_scans};

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
    let bytes = write::bytes(&surface, piece.form, piece.file, piece.unit_mm == 1.0)
        .map_err(|e| name(e.to_string()))?;
    Ok(Sample { file: piece.file, triangles: surface.triangles.len(), bytes })
}

/// Makes the file of a scan.
///
/// # Errors
/// What the writer says, with its name.
pub fn make_scan(scan: &Scan) -> Result<Sample, String> {
    let bytes = write::bytes(&scan.surface, scan.form, scan.file, true)
        .map_err(|e| format!("{}: {e}", scan.file))?;
    Ok(Sample { file: scan.file, triangles: scan.surface.triangles.len(), bytes })
}
