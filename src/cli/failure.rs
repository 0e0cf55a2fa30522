//! Why the command ends without a result, and the exit status that says so.

use std::fmt;

use cavigram::costs::CostError;
use cavigram::job::{JobError, MixFault};
use cavigram::materials::{LibraryError, LookupError};

use super::cost_file::CostFileFailure;
use super::input::InputError;
use super::job_file::{JobFileFailure, KeptSystemError};
use super::library::SystemFileError;
use super::record_file::RecordFailure;
use super::request::UsageError;
use super::shop::ShopFailure;
use super::systems::SystemsFailure;

/// Why the command ends without a result.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The command line asks for something that can't be meant.
    #[error(transparent)]
    Usage(#[from] UsageError),
    /// What was typed and what a job file keeps make no command line together.
    #[error("{0}")]
    CommandLine(#[from] clap::Error),
    /// A job file can't be worked from, or saved.
    #[error(transparent)]
    JobFile(#[from] JobFileFailure),
    /// The workshop's own file can't be followed.
    #[error(transparent)]
    Shop(#[from] ShopFailure),
    /// A record can't be kept or read.
    #[error(transparent)]
    Record(#[from] RecordFailure),
    /// A system that a job keeps is broken.
    #[error(transparent)]
    KeptSystem(#[from] KeptSystemError),
    /// The mesh file can't be read from disk.
    #[error(transparent)]
    Input(#[from] InputError),
    /// The mesh can't be worked with.
    #[error("{file}: {error}")]
    Job {
        /// The file, as it was typed.
        file: String,
        /// Why.
        error: JobError,
    },
    /// A mix can't be worked out.
    #[error(transparent)]
    Mix(#[from] MixFault),
    /// A built-in material can't be had.
    #[error(transparent)]
    Material(#[from] LookupError),
    /// No system is to be had by its id.
    #[error(transparent)]
    Library(#[from] LibraryError),
    /// A system file that was named is none.
    #[error(transparent)]
    SystemFile(#[from] SystemFileError),
    /// A command on system files can't be done.
    #[error(transparent)]
    Systems(#[from] SystemsFailure),
    /// A file of stock or rates can't be followed.
    #[error(transparent)]
    CostFile(#[from] CostFileFailure),
    /// What it costs can't be worked out.
    #[error(transparent)]
    Cost(#[from] CostError),
    /// The result can't be written down as JSON.
    #[error("the result can't be written as JSON: {0}")]
    Json(#[from] serde_json::Error),
    /// The result can't be printed.
    #[error("can't write to standard output: {}", Plain(.0))]
    Output(#[from] std::io::Error),
}

impl Failure {
    /// 2 for wrong usage, 1 for work that can't be done.
    pub fn exit_status(&self) -> u8 {
        match self {
            Self::Usage(_) => 2,
            Self::Job { error, .. } if error.is_wrong_usage() => 2,
            Self::Cost(CostError::PriceOfNothing { .. }) => 2,
            _ => 1,
        }
    }

    /// What to do about it, where that can be told.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Usage(error) => error.hint.clone(),
            Self::JobFile(error) => error.hint(),
            Self::Shop(error) => error.hint(),
            Self::Mix(error) => error.hint(),
            Self::Input(error) => error.hint(),
            Self::Job { error, .. } => error.hint(),
            Self::Material(error) => error.hint(),
            Self::CommandLine(_)
            | Self::KeptSystem(_)
            | Self::Record(_)
            | Self::Json(_)
            | Self::Output(_) => None,
            Self::Library(error) => error.hint(),
            Self::SystemFile(error) => error.hint(),
            Self::Systems(error) => error.hint(),
            Self::CostFile(error) => error.hint(),
            Self::Cost(error) => error.hint(),
        }
    }
}

/// An operating system's error without its number.
pub struct Plain<'a>(pub &'a std::io::Error);

impl fmt::Display for Plain<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = self.0.to_string();
        let text = text.split(" (os error").next().unwrap_or_default();
        let mut letters = text.chars();
        match letters.next() {
            Some(first) => write!(f, "{}{}", first.to_lowercase(), letters.as_str()),
            None => Ok(()),
        }
    }
}
