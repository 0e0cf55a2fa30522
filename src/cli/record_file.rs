//! The record's file beside the job file: lines are only ever added.

use std::fs::{File, OpenOptions};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use cavigram::record::{self, Log};

use super::failure::Plain;

/// The largest record that is read, bytes: some tens of thousands of castings.
const MOST_BYTES: u64 = 64 << 20;

/// Why a record can't be kept or read.
#[derive(Debug, thiserror::Error)]
pub enum RecordFailure {
    /// Too large for one.
    #[error("{} is larger than {} MiB, which no record is", .0.display(), MOST_BYTES >> 20)]
    TooLarge(PathBuf),
    /// It can't be read.
    #[error("can't read {}: {}", .path.display(), Plain(.error))]
    Read {
        /// Which file.
        path: PathBuf,
        /// What the operating system says.
        error: io::Error,
    },
    /// Nothing could be added.
    #[error("can't add to {}: {}", .path.display(), Plain(.error))]
    Add {
        /// Which file.
        path: PathBuf,
        /// What the operating system says.
        error: io::Error,
    },
}

/// The record of a job: `knee.record.jsonl` beside `knee.toml`.
pub fn path(job: &Path) -> PathBuf {
    job.with_extension("record.jsonl")
}

/// Reads a job's record; nothing where there is none yet.
pub fn read(job: &Path) -> Result<Log, RecordFailure> {
    let path = path(job);
    let mut bytes = Vec::new();
    let read = File::open(&path).and_then(|file| file.take(MOST_BYTES + 1).read_to_end(&mut bytes));
    match read {
        Ok(_) if bytes.len() as u64 > MOST_BYTES => Err(RecordFailure::TooLarge(path)),
        Ok(_) => Ok(record::read(&bytes)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(Log::default()),
        Err(error) => Err(RecordFailure::Read { path, error }),
    }
}

/// Adds a line, with its line break, to a job's record.
///
/// The file is locked for so long; the line is written in one go and brought to the disk. Where
/// the last line was torn, the new one begins on a line of its own. What can't be written whole is
/// taken back.
pub fn append(job: &Path, line: &[u8]) -> Result<(), RecordFailure> {
    let path = path(job);
    append_to(&path, line).map_err(|error| RecordFailure::Add { path, error })
}

fn append_to(path: &Path, line: &[u8]) -> io::Result<()> {
    let mut file = OpenOptions::new().read(true).append(true).create(true).open(path)?;
    file.lock()?;
    let before = file.seek(SeekFrom::End(0))?;
    let mut text = Vec::with_capacity(line.len() + 1);
    if before > 0 {
        let mut last = [0];
        file.seek(SeekFrom::Start(before - 1))?;
        file.read_exact(&mut last)?;
        if last != *b"\n" {
            text.push(b'\n');
        }
    }
    text.extend_from_slice(line);
    let written = file.write_all(&text).and_then(|()| file.sync_all());
    if written.is_err() {
        // Should this fail too, the next line still begins on its own.
        let _ = file.set_len(before);
    }
    written
}
