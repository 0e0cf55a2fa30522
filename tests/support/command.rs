//! The command from outside, in a folder of its own.

// Every test program takes its own part of these.
#![allow(dead_code)]

use std::path::Path;
use std::process::Output;

use assert_cmd::Command;

/// The command; whatever systems and shop file the person at this machine has are left aside.
pub fn command(directory: &Path, line: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_cavigram"));
    command.env("XDG_CONFIG_HOME", directory.join("no-settings"));
    command.current_dir(directory).args(line);
    command
}

/// Runs it.
pub fn run(directory: &Path, line: &[&str]) -> Output {
    command(directory, line).output().unwrap()
}

pub fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// What it prints where it must succeed.
#[track_caller]
pub fn done(directory: &Path, line: &[&str]) -> String {
    let output = run(directory, line);
    assert_eq!(output.status.code(), Some(0), "{line:?}: {}", text(&output.stderr));
    text(&output.stdout)
}

/// Refused: this exit status, nothing on standard output, one message that holds these words.
#[track_caller]
pub fn refused(directory: &Path, line: &[&str], status: i32, words: &[&str]) {
    let output = run(directory, line);
    let error = text(&output.stderr);
    assert_eq!(output.status.code(), Some(status), "{line:?}: {error}");
    assert_eq!(text(&output.stdout), "", "{line:?}");
    let lines: Vec<_> = error.lines().collect();
    assert!(error.starts_with("cavigram: "), "{line:?}: {error}");
    assert_eq!(error.matches("cavigram: ").count(), 1, "{line:?}: {error}");
    for word in words {
        assert!(error.contains(word), "{line:?} doesn't say {word:?}: {error}");
    }
    if status == 1 {
        assert!(lines.len() <= 2, "{line:?}: {error}");
        assert!(lines.get(1).is_none_or(|hint| hint.starts_with("hint: ")), "{line:?}: {error}");
    }
}
