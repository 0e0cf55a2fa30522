//! The bytes of a mesh, from a file or standard input.

use std::fs::File;
use std::io::{self, ErrorKind, IsTerminal, Read};
use std::path::{Path, PathBuf};

use super::failure::Plain;

/// The most that is read: a binary STL of 40 million triangles, ten times what fits a desk's
/// memory comfortably; it also ends endless devices.
const MOST_BYTES: u64 = 2 << 30;

/// The least room made at a time for a source that does not say how long it is.
const PIECE_BYTES: usize = 1 << 16;

/// Why a file's bytes can't be had.
#[derive(Debug, thiserror::Error)]
pub enum InputError {
    /// No such file.
    #[error("there is no file {}", .0.display())]
    Missing(PathBuf),
    /// A directory was named.
    #[error("{} is a directory, not a mesh", .0.display())]
    Directory(PathBuf),
    /// More than [`MOST_BYTES`].
    #[error("{} is larger than {} GiB", .0.display(), MOST_BYTES >> 30)]
    TooLarge(PathBuf),
    /// Nothing is piped in.
    #[error("standard input is the terminal: no mesh is piped in")]
    Terminal,
    /// The operating system refuses.
    #[error("can't read {}: {}", .path.display(), Plain(.error))]
    Refused {
        /// Which file.
        path: PathBuf,
        /// What it says.
        error: io::Error,
    },
}

impl InputError {
    /// What to do about it.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Missing(_) => {
                Some("check the path; a name with spaces goes in quotes".to_owned())
            }
            Self::Directory(_) => Some("name a mesh file in it".to_owned()),
            Self::TooLarge(_) => Some("reduce the number of triangles first".to_owned()),
            Self::Terminal => Some("pipe a mesh in: cavigram survey - < piece.stl".to_owned()),
            Self::Refused { .. } => None,
        }
    }
}

/// Reads the whole file, or standard input for `-`.
pub fn read(path: &Path) -> Result<Vec<u8>, InputError> {
    if is_standard_input(path) {
        let input = io::stdin().lock();
        // Whoever typed `-` without a pipe would wait for ever.
        if input.is_terminal() {
            return Err(InputError::Terminal);
        }
        return read_all(input, path, 0);
    }
    let refused = |error: io::Error| match error.kind() {
        ErrorKind::NotFound => InputError::Missing(path.to_owned()),
        ErrorKind::IsADirectory => InputError::Directory(path.to_owned()),
        _ => InputError::Refused { path: path.to_owned(), error },
    };
    let file = File::open(path).map_err(refused)?;
    let facts = file.metadata().map_err(refused)?;
    if facts.is_dir() {
        return Err(InputError::Directory(path.to_owned()));
    }
    read_all(file, path, facts.len())
}

/// `-` stands for standard input.
pub fn is_standard_input(path: &Path) -> bool {
    path.as_os_str() == "-"
}

/// The name that stands on the sheet: without directories.
pub fn name(path: &Path) -> String {
    if is_standard_input(path) {
        return "standard input".to_owned();
    }
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

fn read_all(from: impl Read, path: &Path, expected: u64) -> Result<Vec<u8>, InputError> {
    if expected > MOST_BYTES {
        return Err(InputError::TooLarge(path.to_owned()));
    }
    let mut bytes = Vec::new();
    let mut from = from.take(MOST_BYTES + 1);
    // One byte more than expected, so that the end is found without growing.
    let mut room = usize::try_from(expected + 1).unwrap_or(0);
    loop {
        bytes.try_reserve_exact(room).map_err(|_| InputError::TooLarge(path.to_owned()))?;
        let piece = (bytes.capacity() - bytes.len()) as u64;
        let read = from.by_ref().take(piece).read_to_end(&mut bytes);
        let read = read.map_err(|error| match error.kind() {
            ErrorKind::IsADirectory => InputError::Directory(path.to_owned()),
            _ => InputError::Refused { path: path.to_owned(), error },
        })?;
        if bytes.len() as u64 > MOST_BYTES {
            return Err(InputError::TooLarge(path.to_owned()));
        }
        if (read as u64) < piece {
            return Ok(bytes);
        }
        // A source that did not say how long it is grows by a quarter, not to the double.
        room = PIECE_BYTES.max(bytes.len() / 4);
    }
}
