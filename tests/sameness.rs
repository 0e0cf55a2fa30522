//! The same input gives the same bytes: with one thread and with two, and from run to run.

#[path = "bad/mod.rs"]
mod bad;
mod bytes;
#[path = "support/shapes.rs"]
mod shapes;

use std::fs;
use std::path::Path;
use std::process::Output;

use assert_cmd::Command;

/// What the command prints with so many threads.
fn printed(folder: &Path, line: &[&str], threads: usize) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_cavigram"));
    command.env("RAYON_NUM_THREADS", threads.to_string());
    command.env("XDG_CONFIG_HOME", folder.join("no-settings"));
    command.current_dir(folder).args(line).output().unwrap()
}

/// Survey and plan of a file with 1, 2 and 1 threads again.
#[track_caller]
fn assert_same(folder: &Path, file: &str) -> usize {
    for line in [["survey", file, "--json"], ["plan", file, "--json"]] {
        let [one, two, again] = [1, 2, 1].map(|threads| printed(folder, &line, threads));
        for other in [&two, &again] {
            assert_eq!(one.status.code(), other.status.code(), "{line:?}");
            assert!(one.stdout == other.stdout, "{line:?} differs");
            assert!(one.stderr == other.stderr, "{line:?} fails differently");
        }
        assert!(one.status.code().is_some_and(|code| code < 2), "{line:?}");
        if line[0] == "plan" {
            return one.stdout.len();
        }
    }
    0
}

#[test]
fn samples_give_the_same_bytes_on_any_number_of_threads_and_in_every_run() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-meshes");
    let mut count = 0;
    for entry in fs::read_dir(&folder).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        if [".stl", ".obj", ".ply"].iter().any(|end| name.ends_with(end)) {
            assert!(assert_same(&folder, &name) > 1000, "{name} has no plan");
            count += 1;
        }
    }
    assert!(count >= 10, "{count} samples");
}

/// Of the bad meshes those whose mending is the most work, and a few that are refused.
#[test]
fn bad_meshes_give_the_same_bytes_on_any_number_of_threads_and_in_every_run() {
    let chosen = [
        "peppered.obj",
        "dolls.obj",
        "comb.obj",
        "needles.obj",
        "crossing.obj",
        "crossing-inward.obj",
        "half-flipped.obj",
        "t-junctions.obj",
        "klein-bottle.obj",
        "ten-thousand.obj",
        "tetrahedra.obj",
        "wedges.obj",
        "nan.stl",
        "count-high.stl",
    ];
    let folder = tempfile::tempdir().unwrap();
    let cases = bad::all();
    for name in chosen {
        let case = cases.iter().find(|case| case.file == name).unwrap();
        fs::write(folder.path().join(name), &case.bytes).unwrap();
        assert_same(folder.path(), name);
    }
}
