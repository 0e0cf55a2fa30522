//! Entries from the lines of a record.

use super::{Entry, SCHEMA};
use crate::finding::Finding;

/// A record as it was read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Log {
    /// The entries in the file's order, with their lines, from 1.
    pub entries: Vec<(usize, Entry)>,
    /// What was skipped, and why.
    pub findings: Vec<Finding>,
}

/// Reads the lines of a record. A line that was torn by a cut of power or a full disk is skipped
/// and told; those around it stand.
pub fn read(bytes: &[u8]) -> Log {
    let mut log = Log::default();
    for (at, line) in bytes.split(|byte| *byte == b'\n').enumerate() {
        if line.trim_ascii().is_empty() {
            continue;
        }
        match entry(line) {
            Ok(entry) => log.entries.push((at + 1, entry)),
            Err(why) => {
                let message = format!("line {} of the record is skipped: {why}", at + 1);
                let hint = "the other lines stand; record that casting again if you remember it";
                log.findings.push(Finding::warning("record-line-skipped", message).with_hint(hint));
            }
        }
    }
    log
}

fn entry(line: &[u8]) -> Result<Entry, String> {
    let value: serde_json::Value =
        serde_json::from_slice(line).map_err(|_| "it is torn or no JSON".to_owned())?;
    match value.get("schema").and_then(serde_json::Value::as_str) {
        Some(SCHEMA) => {}
        Some(other) => return Err(format!("its schema is {other}, not {SCHEMA}")),
        None => return Err(format!("it has no schema; expected {SCHEMA}")),
    }
    let entry: Entry = serde_json::from_value(value).map_err(|error| format!("{error}"))?;
    entry.check().map_err(|error| format!("{error}"))?;
    Ok(entry)
}

impl Entry {
    /// The entry as one line with its line break.
    ///
    /// # Errors
    /// Only what the writer of JSON itself may fail with.
    pub fn to_line(&self) -> Result<String, serde_json::Error> {
        let mut line = serde_json::to_string(self)?;
        line.push('\n');
        Ok(line)
    }
}
