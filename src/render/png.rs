//! Pictures as PNG.

use crate::sheet::{Picture, Sheet};

/// Why a picture can't be packed.
#[derive(Debug, thiserror::Error)]
pub enum PngError {
    /// Pictures weren't asked for when the sheet was made.
    #[error("nothing was drawn")]
    NotDrawn,
    /// The encoder refuses.
    #[error(transparent)]
    Encoding(#[from] png::EncodingError),
}

/// The large shaded view as a file.
///
/// # Errors
/// [`PngError`] where none was drawn, or it can't be packed.
pub fn picture(sheet: &Sheet) -> Result<Vec<u8>, PngError> {
    let drawn = sheet.drawings.as_ref().and_then(|drawings| drawings.picture.as_ref());
    encode(drawn.ok_or(PngError::NotDrawn)?)
}

/// A picture as PNG: in greys where it has no colours.
pub(super) fn encode(picture: &Picture) -> Result<Vec<u8>, PngError> {
    let grey = picture.rgb.chunks_exact(3).all(|p| p[0] == p[1] && p[1] == p[2]);
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, picture.width, picture.height);
    encoder.set_color(if grey { png::ColorType::Grayscale } else { png::ColorType::Rgb });
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Balanced);
    let mut writer = encoder.write_header()?;
    if grey {
        let greys: Vec<u8> = picture.rgb.iter().step_by(3).copied().collect();
        writer.write_image_data(&greys)?;
    } else {
        writer.write_image_data(&picture.rgb)?;
    }
    writer.finish()?;
    Ok(bytes)
}
