//! Why a job file can't be worked from, or saved.

use std::io;
use std::path::PathBuf;

use cavigram::job::file::JobFileError;

use super::systems::KeptSystemError;
use crate::cli::failure::Plain;
use crate::cli::request::UsageError;

/// Why a job file can't be worked from, or saved.
#[derive(Debug, thiserror::Error)]
pub enum JobFileFailure {
    /// It is far too large for one.
    #[error("{file} is larger than 4 MiB, which no job file is")]
    TooLarge {
        /// The job file.
        file: String,
    },
    /// Its text is no job.
    #[error("{file}: {error}")]
    Broken {
        /// The job file.
        file: String,
        /// What is wrong, and where.
        error: JobFileError,
    },
    /// What it keeps of an option can't be meant.
    #[error("{file}: line {line}: {error}")]
    Value {
        /// The job file.
        file: String,
        /// The line, from 1.
        line: usize,
        /// As it would be told of a command line.
        error: UsageError,
    },
    /// A system that it keeps is broken.
    #[error("{file}: {error}")]
    System {
        /// The job file.
        file: String,
        /// What is wrong.
        error: KeptSystemError,
    },
    /// A file that it works with is gone.
    #[error("{file} names {named}, but there is no file {}", .path.display())]
    Missing {
        /// The job file.
        file: String,
        /// As it stands in the job file.
        named: String,
        /// Where it was looked for.
        path: PathBuf,
    },
    /// A system's text can't be had.
    #[error("the text of system {id} can't be had, so that the job can't keep it")]
    NoSystemText {
        /// Its id.
        id: String,
    },
    /// A path can't be followed.
    #[error("can't follow {path}: {}", Plain(.error))]
    Path {
        /// Which.
        path: String,
        /// What the operating system says.
        error: io::Error,
    },
    /// A path or value that is no text.
    #[error("{path} is no text in UTF-8, so that a job file can't keep it")]
    OddPath {
        /// Which, as far as it can be shown.
        path: String,
    },
    /// Something else has that name.
    #[error("{file} is no job file and is left as it is")]
    NotAJobToReplace {
        /// The file.
        file: String,
    },
    /// The folder that it is to stand in isn't there.
    #[error("can't save {file}: there is no folder {}", .folder.display())]
    NoFolder {
        /// The job file.
        file: String,
        /// Which folder.
        folder: PathBuf,
    },
    /// It can't be written.
    #[error("can't save {file}: {}", Plain(.error))]
    Write {
        /// The job file.
        file: String,
        /// What the operating system says.
        error: io::Error,
    },
}

impl JobFileFailure {
    /// What to do about it, where that can be told.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Broken { error, .. } => error.kind.hint(),
            Self::Value { error, .. } => error.hint.clone(),
            Self::Missing { .. } => Some(
                "put it back, or change the path in the job file, which leads from the job \
                 file's folder"
                    .to_owned(),
            ),
            Self::OddPath { .. } => Some("rename it".to_owned()),
            Self::NotAJobToReplace { .. } => Some("give --save another name".to_owned()),
            Self::System { .. } => Some("name the system again to take the present one".to_owned()),
            Self::NoFolder { .. } => Some("make it first, or save elsewhere".to_owned()),
            Self::TooLarge { .. }
            | Self::NoSystemText { .. }
            | Self::Path { .. }
            | Self::Write { .. } => None,
        }
    }
}
