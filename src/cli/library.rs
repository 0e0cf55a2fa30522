//! The folders that casting systems are looked for in, and the files in them.

use std::fs::{self, DirEntry, File};
use std::io::{self, ErrorKind, Read};
use std::path::{Path, PathBuf};

use cavigram::materials::{Library, Place, System, SystemError, SystemSource};
use etcetera::BaseStrategy;

use super::failure::Plain;

/// The folder of systems in the program's own folder, and the one beside a mesh or job file.
const FOLDER: &str = "systems";
/// The most that a system file may hold, bytes: a hundred times a full one.
const MOST_BYTES: u64 = 1 << 20;
/// The most files that are read in one folder.
const MOST_FILES: usize = 1000;

/// Why a file that was named is no system.
#[derive(Debug, thiserror::Error)]
pub enum SystemFileError {
    /// It can't be read.
    #[error("{}: {why}", .path.display())]
    Unreadable {
        /// Which file.
        path: PathBuf,
        /// Why.
        why: String,
    },
    /// It is no system.
    #[error("{}: {error}", .path.display())]
    Broken {
        /// Which file.
        path: PathBuf,
        /// What is wrong, and where.
        error: Box<SystemError>,
    },
}

impl SystemFileError {
    /// What to do about it.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Unreadable { .. } => None,
            Self::Broken { error, .. } => error.hint(),
        }
    }
}

/// The user's own folder of systems, by the platform's habits; `None` where there is no home.
pub fn own_folder() -> Option<PathBuf> {
    let strategy = etcetera::base_strategy::choose_native_strategy().ok()?;
    Some(strategy.config_dir().join("cavigram").join(FOLDER))
}

/// The folder of systems beside a mesh or job file; of standard input that of the current folder.
pub fn folder_beside(file: &Path) -> PathBuf {
    file.parent().unwrap_or(Path::new("")).join(FOLDER)
}

/// All systems at hand for work on a mesh or job file.
pub fn beside(file: &Path) -> Library {
    let mut sources = Vec::new();
    let mut unread = Vec::new();
    let own = own_folder().map(|folder| (Place::Own, folder));
    let beside = (Place::Beside, folder_beside(file));
    for (place, folder) in own.into_iter().chain([beside]) {
        if let Err(why) = look_through(&folder, place, &mut sources) {
            unread.push(format!("can't look into {}: {why}", folder.display()));
        }
    }
    Library::new(sources, unread)
}

/// Whether what was typed for a system names a file.
pub fn is_file_name(typed: &str) -> bool {
    Path::new(typed.trim()).extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml"))
}

/// The system in a file that was named.
pub fn named(path: &Path) -> Result<System, SystemFileError> {
    let text =
        read(path).map_err(|why| SystemFileError::Unreadable { path: path.to_owned(), why })?;
    System::from_toml(&text)
        .map_err(|error| SystemFileError::Broken { path: path.to_owned(), error: Box::new(error) })
}

/// The text of a system file, or why there is none to be had.
pub fn read(path: &Path) -> Result<String, String> {
    let plain = |error: io::Error| match error.kind() {
        ErrorKind::NotFound => "there is no such file".to_owned(),
        _ => format!("can't be read: {}", Plain(&error)),
    };
    let facts = fs::metadata(path).map_err(plain)?;
    // A pipe or device would keep the whole command waiting.
    if !facts.is_file() {
        return Err("it is no file".to_owned());
    }
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(plain)?;
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(plain)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(format!("it is larger than {} MiB", MOST_BYTES >> 20));
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        format!("byte {} is no UTF-8 text", error.utf8_error().valid_up_to() + 1)
    })?;
    // Some editors put a mark in front that is no part of the text.
    Ok(text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text))
}

fn look_through(
    folder: &Path,
    place: Place,
    sources: &mut Vec<SystemSource>,
) -> Result<(), String> {
    let listed = match fs::read_dir(folder) {
        Ok(listed) => listed,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(Plain(&error).to_string()),
    };
    let entries: Vec<DirEntry> =
        listed.collect::<io::Result<_>>().map_err(|error| Plain(&error).to_string())?;
    let mut paths: Vec<PathBuf> = entries.iter().map(DirEntry::path).collect();
    paths.retain(|path| is_system_file(path));
    paths.sort();
    let left_out = paths.len().saturating_sub(MOST_FILES);
    for path in paths.iter().take(MOST_FILES) {
        let file = path.display().to_string();
        sources.push(SystemSource { place, file, text: read(path) });
    }
    if left_out > 0 {
        return Err(format!("it holds over {MOST_FILES} files; {left_out} were left out"));
    }
    Ok(())
}

/// A file to read: hidden ones, such as an editor's leftovers, are not.
fn is_system_file(path: &Path) -> bool {
    let hidden = path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'));
    !hidden && is_file_name(&path.to_string_lossy()) && !path.is_dir()
}
