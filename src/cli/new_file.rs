//! A file that is written whole or not at all, and never over another one.

use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::path::Path;

/// Writes a text to a file that must not exist yet: beside it first, then put in its place in one
/// step that fails where something stands there.
pub fn write(path: &Path, text: &str) -> io::Result<()> {
    let name = path.file_name().ok_or(io::ErrorKind::InvalidInput)?.to_string_lossy().into_owned();
    let beside = path.with_file_name(format!(".{name}.{}", std::process::id()));
    let mut file = OpenOptions::new().write(true).create_new(true).open(&beside)?;
    let written = file.write_all(text.as_bytes()).and_then(|()| file.sync_all());
    // A second name for the same file: unlike renaming, it never takes another's place.
    let done = written.and_then(|()| fs::hard_link(&beside, path));
    // What failed is told; that a leftover may stay is not worth a second message.
    let _ = fs::remove_file(&beside);
    done
}
