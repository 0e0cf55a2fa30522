//! Unpacking within limits: small files that swell without end are refused.

use std::io::{self, Read};

use flate2::bufread::MultiGzDecoder;

use super::ReadError;

/// The most that is unpacked from one file, in bytes: as much as is read of a plain file.
pub(super) const MOST_BYTES: u64 = 2 << 30;

/// So much may always be unpacked, however small the file: it costs nobody anything.
pub(super) const HARMLESS_BYTES: u64 = 16 << 20;

/// Beyond that, the most bytes that one packed byte may become.
///
/// Deflate can reach 1032. Meshes as text come to 3 to 10; the most even one, a flat grid of
/// binary triangles with blank normals, to 60.
pub(super) const MOST_RATIO: u64 = 250;

/// How much is unpacked between two looks at the limits.
const PIECE_BYTES: u64 = 1 << 16;

/// What is wrong with what a file is packed in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PackingFault {
    /// The packed data ends early.
    #[error("the packed data is cut off")]
    Cut,
    /// The packed data is damaged, by its own checksum or in its structure.
    #[error("the packed data is damaged")]
    Damaged,
    /// More than the limits allow.
    #[error("it would swell to more than a mesh can: over {0} times its size, or over 2 GiB")]
    Swells(u64),
    /// Packed again within.
    #[error("it is packed twice")]
    Twice,
    /// Locked with a password.
    #[error("the archive is locked with a password")]
    Locked,
    /// Packed in a way that is neither stored nor deflated.
    #[error("the archive is packed in another way than deflate, which is not read")]
    Method,
    /// A zip archive without a 3D model.
    #[error("this is a zip archive, but no 3MF package: it holds no 3D model")]
    NoModel,
    /// The relationships, which say what is where, are in UTF-16.
    #[error("the package's relationships are written in UTF-16, and only UTF-8 is read")]
    Wide,
    /// The part that is named is not in the archive.
    #[error("the package names a part that it doesn't hold")]
    PartMissing,
    /// Two parts have the name that is looked for.
    #[error("the package holds two parts of the same name")]
    PartTwice,
}

impl PackingFault {
    pub(super) const fn hint(self) -> &'static str {
        match self {
            Self::Cut => "copy, download or export it again; nothing of it was used",
            Self::Damaged | Self::PartMissing | Self::PartTwice => {
                "copy, download or export it again"
            }
            Self::Swells(_) => "if it is a real mesh, unpack it first or export it as binary STL",
            Self::Twice | Self::NoModel => "unpack it first and give the mesh within",
            Self::Locked => "unlock it first, or export the mesh without a password",
            Self::Method | Self::Wide => "export it again, or as binary STL",
        }
    }

    /// What an error while unpacking says.
    pub(super) fn of(error: &io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::UnexpectedEof => Self::Cut,
            _ => Self::Damaged,
        }
    }

    pub(super) const SWELLS: Self = Self::Swells(MOST_RATIO);
}

pub(super) fn is_gzip(bytes: &[u8]) -> bool {
    bytes.starts_with(&[0x1F, 0x8B])
}

/// The name of what is packed in a file of this name.
pub(super) fn name_within(name: &str) -> &str {
    match name.len().checked_sub(3).and_then(|at| name.split_at_checked(at)) {
        Some((within, ending)) if ending.eq_ignore_ascii_case(".gz") => within,
        _ => name,
    }
}

/// Unpacks all members of a gzip file (RFC 1952).
pub(super) fn gunzip(bytes: &[u8]) -> Result<Vec<u8>, ReadError> {
    let mut decoder = MultiGzDecoder::new(bytes);
    let mut unpacked = Vec::new();
    loop {
        let before = unpacked.len();
        unpack_piece(&mut decoder, &mut unpacked)?;
        if unpacked.len() == before {
            return Ok(unpacked);
        }
        let used = bytes.len() - decoder.get_ref().len();
        check(unpacked.len() as u64, used as u64)?;
    }
}

/// Unpacks a stream that was announced to hold so many bytes, checked to be within the limits.
pub(super) fn unpack(from: impl Read, announced: u64) -> Result<Vec<u8>, PackingFault> {
    let mut from = from.take(announced + 1);
    let mut unpacked = Vec::new();
    loop {
        let before = unpacked.len();
        unpack_piece(&mut from, &mut unpacked)?;
        if unpacked.len() == before {
            break;
        }
    }
    if unpacked.len() as u64 == announced { Ok(unpacked) } else { Err(PackingFault::Damaged) }
}

/// Whether so much may be unpacked from so much.
pub(super) const fn check(unpacked: u64, packed: u64) -> Result<(), PackingFault> {
    let swells = unpacked > HARMLESS_BYTES && unpacked / MOST_RATIO > packed;
    if swells || unpacked > MOST_BYTES { Err(PackingFault::SWELLS) } else { Ok(()) }
}

fn unpack_piece(from: &mut impl Read, unpacked: &mut Vec<u8>) -> Result<(), PackingFault> {
    unpacked.try_reserve(PIECE_BYTES as usize).map_err(|_| PackingFault::SWELLS)?;
    let read = from.take(PIECE_BYTES).read_to_end(unpacked);
    read.map(|_| ()).map_err(|error| PackingFault::of(&error))
}
