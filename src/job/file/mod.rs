//! The job file: what was typed for a job, kept as TOML.
//!
//! It holds options as text, as they were typed; what they mean is said where the command line's
//! are read. Which options there are is handed in, so that no list here can lag behind.

mod error;
mod read;
mod write;

pub use error::{JobFileError, JobFileErrorKind, UnknownKey};

use std::collections::BTreeMap;

/// The schema's name, at the head of every job file.
pub const SCHEMA: &str = "cavigram/job/1";
/// What the schemas of all job files begin with, whatever their number.
pub const SCHEMA_STEM: &str = "cavigram/job/";

/// A job as its file keeps it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct JobFile {
    /// Counts up at each saving, from 1.
    pub revision: u64,
    /// Version of the program that saved it, where it is told.
    pub program: Option<String>,
    /// The mesh.
    pub mesh: KeptFile,
    /// The options, in the file's order.
    pub options: Vec<KeptOption>,
    /// The texts of the casting systems by id, as they were when it was saved.
    pub systems: BTreeMap<String, String>,
    /// The text of the workshop's own file, as it was when it was saved.
    pub shop: Option<String>,
}

/// An option that was typed.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptOption {
    /// The table that it stands under.
    pub table: String,
    /// Its name, without dashes in front.
    pub name: String,
    /// What was typed behind it.
    pub value: KeptValue,
    /// The line of the file, from 1; 0 for one that was not read from a file.
    pub line: usize,
}

/// What was typed behind an option.
#[derive(Debug, Clone, PartialEq)]
pub enum KeptValue {
    /// The option was given, and takes nothing.
    Switch(bool),
    /// Text; several where the option may be repeated.
    Texts(Vec<String>),
    /// Files.
    Files(Vec<KeptFile>),
}

/// A file that the job works with.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct KeptFile {
    /// Its path from the job file's folder, with `/` between names.
    pub path: String,
    /// SHA-256 of its content in hexadecimal digits, where it is known.
    pub sha256: Option<String>,
}

/// An option that a job file may keep.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KnownOption {
    /// The table that it stands under.
    pub table: String,
    /// Its name, without dashes in front.
    pub name: String,
    /// What stands behind it.
    pub takes: Takes,
    /// It may be given several times.
    pub repeats: bool,
}

/// What stands behind an option.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Takes {
    /// Nothing: it is given or not.
    Nothing,
    /// A text.
    Text,
    /// A file's path.
    File,
}

impl KnownOption {
    /// It has this name under this table.
    pub fn is(&self, table: &str, name: &str) -> bool {
        self.table == table && self.name == name
    }
}

impl KeptOption {
    /// The text that was typed last behind it, where it takes text.
    pub fn text(&self) -> Option<&str> {
        match &self.value {
            KeptValue::Texts(texts) => texts.last().map(String::as_str),
            KeptValue::Switch(_) | KeptValue::Files(_) => None,
        }
    }
}

impl JobFile {
    /// The option of a table, where it is kept.
    pub fn option(&self, table: &str, name: &str) -> Option<&KeptOption> {
        self.options.iter().find(|option| option.table == table && option.name == name)
    }
}

/// The schema and revision that a text names at its head, if it is TOML and names a schema; a
/// revision that is missing or odd counts as 0.
pub fn head_of(text: &str) -> Option<(String, u64)> {
    let table: toml::Table = text.trim_start_matches('\u{feff}').parse().ok()?;
    let schema = table.get("schema")?.as_str()?.to_owned();
    let revision = table.get("revision").and_then(toml::Value::as_integer);
    Some((schema, revision.and_then(|r| u64::try_from(r).ok()).unwrap_or(0)))
}
