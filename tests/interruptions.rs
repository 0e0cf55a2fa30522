//! What is written stands whole, whenever the program is interrupted.
#![cfg(all(feature = "cli", target_os = "linux"))]

mod support;

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use cavigram::record;
use support::command::done;
use support::shapes::Shape;

/// Moments of a run at which it is interrupted.
const MOMENTS: u32 = 16;

/// A folder with a bowl and a job for it.
fn bench() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("bowl.stl"), Shape::hemisphere(60.0, 60).stl()).unwrap();
    done(folder.path(), &["plan", "bowl.stl", "--save", "job.toml"]);
    folder
}

/// Runs a line and interrupts it after so long; `false` where it had ended well before.
fn interrupted(folder: &Path, line: &[&str], after: Duration) -> bool {
    // A program begun in the background of a script ignores the signal unless it is set back.
    let mut command = Command::new("env");
    command.arg("--default-signal=INT").arg(env!("CARGO_BIN_EXE_cavigram")).args(line);
    command.current_dir(folder).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    let mut running = command.spawn().unwrap();
    std::thread::sleep(after);
    let told = Command::new("kill").args(["-INT", &running.id().to_string()]).status();
    assert!(told.is_ok());
    !running.wait().unwrap().success()
}

/// Interrupts a line at many moments, up to a little after its end; before each `make_ready` is
/// called, after each `check` with whether it was stopped.
fn at_many_moments(
    folder: &Path,
    line: &[&str],
    mut make_ready: impl FnMut(),
    mut check: impl FnMut(bool),
) {
    make_ready();
    let begun = Instant::now();
    done(folder, line);
    let takes = begun.elapsed();
    let mut stopped = 0;
    for moment in 0..MOMENTS {
        make_ready();
        let was_stopped = interrupted(folder, line, takes * moment / (MOMENTS - 2));
        stopped += u32::from(was_stopped);
        check(was_stopped);
    }
    assert!(stopped >= 2, "only {stopped} runs were stopped in time");
}

#[test]
fn a_record_keeps_its_lines_and_gets_a_whole_one_or_none() {
    let bench = bench();
    let file = bench.path().join("job.record.jsonl");
    done(bench.path(), &["record", "job.toml", "--skin-used", "40g", "--good"]);
    let old = fs::read(&file).unwrap();
    let line = ["record", "job.toml", "--skin-used", "41g", "--note", "the second one"];
    at_many_moments(
        bench.path(),
        &line,
        || fs::write(&file, &old).unwrap(),
        |was_stopped| {
            let bytes = fs::read(&file).unwrap();
            assert!(bytes.starts_with(&old));
            let log = record::read(&bytes);
            assert!(log.findings.is_empty(), "{:?}", log.findings);
            let added = log.entries.len() - 1;
            assert!(added == 1 || (was_stopped && bytes == old));
        },
    );
}

#[test]
fn a_job_saved_anew_is_the_old_one_or_the_new_one() {
    let bench = bench();
    let file = bench.path().join("job.toml");
    let old = fs::read(&file).unwrap();
    let line = ["plan", "job.toml", "--skin", "2.5mm", "--save", "job.toml"];
    done(bench.path(), &line);
    let new = fs::read(&file).unwrap();
    assert_ne!(old, new);
    at_many_moments(
        bench.path(),
        &line,
        || fs::write(&file, &old).unwrap(),
        |was_stopped| {
            let found = fs::read(&file).unwrap();
            assert!(found == new || (was_stopped && found == old));
        },
    );
}

#[test]
fn a_new_system_is_whole_or_not_there() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("my.toml");
    let line = ["systems", "new", "my", "--from", "urethane-a5", "--to", "my.toml"];
    done(folder.path(), &line);
    let whole = fs::read(&file).unwrap();
    at_many_moments(
        folder.path(),
        &line,
        || {
            fs::remove_file(&file).ok();
        },
        |was_stopped| match fs::read(&file) {
            Ok(found) => assert!(found == whole),
            Err(_) => assert!(was_stopped),
        },
    );
}
