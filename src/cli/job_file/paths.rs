//! Paths as a job file keeps them: from its own folder, with `/` between names.

use std::io;
use std::path::{Component, Path, PathBuf};

use super::JobFileFailure;

/// The folder that a file lies in; empty for the present one.
pub fn folder_of(file: &Path) -> PathBuf {
    file.parent().map(Path::to_owned).unwrap_or_default()
}

/// The same folder by a name that can be opened.
pub fn openable(folder: &Path) -> &Path {
    if folder.as_os_str().is_empty() { Path::new(".") } else { folder }
}

/// How `file` is reached from `folder`; both must exist.
pub fn from_folder(folder: &Path, file: &Path) -> Result<String, JobFileFailure> {
    let refused = |error: io::Error, path: &Path| JobFileFailure::Path {
        path: path.display().to_string(),
        error,
    };
    let folder = openable(folder);
    let whole_folder = folder.canonicalize().map_err(|error| refused(error, folder))?;
    // The file's own name stays, even where it is a link.
    let name = file.file_name().unwrap_or_default();
    let its_folder = folder_of(file);
    let its_folder = openable(&its_folder);
    let whole_file = its_folder.canonicalize().map_err(|error| refused(error, its_folder))?;
    text(&between(&whole_folder, &whole_file.join(name)))
        .ok_or_else(|| JobFileFailure::OddPath { path: file.display().to_string() })
}

/// The way from one absolute path to another; the other itself where there is none.
fn between(folder: &Path, file: &Path) -> PathBuf {
    let (from, to): (Vec<_>, Vec<_>) = (folder.components().collect(), file.components().collect());
    if from.first() != to.first() {
        return file.to_owned();
    }
    let shared = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    let up = from.iter().skip(shared).map(|_| Component::ParentDir);
    up.chain(to.into_iter().skip(shared)).collect()
}

/// A path with `/` between its names; `None` where it is no text.
fn text(path: &Path) -> Option<String> {
    if path.is_absolute() {
        return path.to_str().map(str::to_owned);
    }
    let names = path.components().map(|part| part.as_os_str().to_str());
    names.collect::<Option<Vec<_>>>().map(|names| names.join("/"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_lead_from_the_folder() {
        let way = |from: &str, to: &str| text(&between(Path::new(from), Path::new(to))).unwrap();
        assert_eq!(way("/bench/jobs", "/bench/jobs/knee.stl"), "knee.stl");
        assert_eq!(way("/bench/jobs", "/bench/scans/new/knee.stl"), "../scans/new/knee.stl");
        assert_eq!(way("/", "/knee.stl"), "knee.stl");
    }
}
