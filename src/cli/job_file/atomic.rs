//! A file that is written whole or not at all.

use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};

/// Names tried for the new text before giving up: leftovers of runs that were cut off.
const NAMES: u32 = 100;

/// Replaces a file by a new text: it is written beside it, brought to the disk, and put in its
/// place in one step, so that the old text stands until the new one is whole.
///
/// A link is followed; the permissions of what was there are kept.
pub fn write(path: &Path, text: &[u8]) -> io::Result<()> {
    let target = match fs::canonicalize(path) {
        Ok(target) => target,
        Err(error) if error.kind() == ErrorKind::NotFound => path.to_owned(),
        Err(error) => return Err(error),
    };
    let (beside, file) = create_beside(&target)?;
    let done = fill(file, text, &target).and_then(|()| fs::rename(&beside, &target));
    if done.is_err() {
        // What failed is told; that a leftover may stay is not worth a second message.
        let _ = fs::remove_file(&beside);
    }
    done?;
    bring_folder_to_disk(&target);
    Ok(())
}

fn fill(mut file: File, text: &[u8], target: &Path) -> io::Result<()> {
    if let Ok(facts) = fs::metadata(target) {
        if facts.permissions().readonly() {
            return Err(ErrorKind::PermissionDenied.into());
        }
        file.set_permissions(facts.permissions())?;
    }
    file.write_all(text)?;
    file.sync_all()
}

fn create_beside(target: &Path) -> io::Result<(PathBuf, File)> {
    let name = target.file_name().ok_or(ErrorKind::InvalidInput)?.to_string_lossy().into_owned();
    for number in 0..NAMES {
        let beside = target.with_file_name(format!(".{name}.{}-{number}", std::process::id()));
        match OpenOptions::new().write(true).create_new(true).open(&beside) {
            Ok(file) => return Ok((beside, file)),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
    }
    Err(ErrorKind::AlreadyExists.into())
}

/// The new name itself; where a folder can't be opened the file's content is safe all the same.
fn bring_folder_to_disk(target: &Path) {
    let folder = target.parent().filter(|folder| !folder.as_os_str().is_empty());
    if let Ok(folder) = File::open(folder.unwrap_or(Path::new("."))) {
        let _ = folder.sync_all();
    }
}
