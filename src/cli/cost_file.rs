//! The files of stock and rates: where they lie, and what is wrong with them.

use std::fs;
use std::path::{Path, PathBuf};

use cavigram::costs::CostFileError;

use super::library;

/// What stands in place of a file where none is to be followed.
const NONE: &str = "none";

/// Why a file of stock or rates can't be followed.
#[derive(Debug, thiserror::Error)]
pub enum CostFileFailure {
    /// It can't be read.
    #[error("{}: {why}", .path.display())]
    Unreadable {
        /// Which file.
        path: PathBuf,
        /// Why.
        why: String,
        /// What says that there is none to be followed.
        without: &'static str,
    },
    /// What it says can't be meant.
    #[error("{}: {error}", .path.display())]
    Broken {
        /// Which file.
        path: PathBuf,
        /// What is wrong, and where.
        error: CostFileError,
    },
}

impl CostFileFailure {
    /// What to do about it.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Unreadable { without, .. } => {
                Some(format!("check the path; {without} none goes without"))
            }
            Self::Broken { error, .. } => error.hint(),
        }
    }
}

/// A file that was read.
pub struct CostFile<T> {
    /// Its path as it is told.
    pub name: String,
    /// What it says.
    pub says: T,
}

/// The file that was named, else the one of this name beside a job or mesh, if there is one.
pub fn read<T>(
    option: &'static str,
    named: Option<&Path>,
    beside: Option<&Path>,
    usual: &str,
    read: impl FnOnce(&str) -> Result<T, CostFileError>,
) -> Result<Option<CostFile<T>>, CostFileFailure> {
    let path = match named {
        Some(path) if path.as_os_str() == NONE => return Ok(None),
        Some(path) => path.to_owned(),
        None => {
            let folder = beside.and_then(Path::parent).unwrap_or(Path::new(""));
            let path = folder.join(usual);
            if fs::symlink_metadata(&path).is_err() {
                return Ok(None);
            }
            path
        }
    };
    let text = library::read(&path).map_err(|why| CostFileFailure::Unreadable {
        path: path.clone(),
        why,
        without: option,
    })?;
    let says =
        read(&text).map_err(|error| CostFileFailure::Broken { path: path.clone(), error })?;
    Ok(Some(CostFile { name: path.display().to_string(), says }))
}
