//! The command from outside: exit status, what goes to which stream, and every refusal in words.
#![cfg(feature = "cli")]

#[path = "support/command.rs"]
mod command;
#[path = "support/shapes.rs"]
mod shapes;

use std::path::Path;
use std::process::Stdio;

use command::{command, refused, run, text};
use shapes::Shape;
use tempfile::TempDir;

/// A directory with a sound box, the same as OBJ, one with a hole, and some that are no meshes.
fn bench() -> TempDir {
    let directory = tempfile::tempdir().unwrap();
    let put =
        |name: &str, bytes: &[u8]| std::fs::write(directory.path().join(name), bytes).unwrap();
    let piece = Shape::cuboid([60.0, 40.0, 30.0]);
    put("piece.stl", &piece.stl());
    put("piece.obj", &piece.obj());
    put("hole.stl", &piece.clone().without_last(1).stl());
    put("tray.stl", &piece.clone().without(2).stl());
    put("empty.stl", b"");
    put("text.stl", b"Shopping: rubber, cups, sticks.\n");
    put("cut.stl", &piece.stl()[..400]);
    put("job.toml", b"mesh = \"piece.stl\"\n");
    put("nan.obj", b"v 0 0 0\nv 1 0 nan\nv 0 1 0\nf 1 2 3\n");
    put("flat.obj", b"v 0 0 0\nv 10 0 0\nv 0 10 0\nf 1 2 3\nf 1 3 2\n");
    std::fs::create_dir(directory.path().join("meshes")).unwrap();
    directory
}

/// Done: exit status 0, a result, and nothing beside it.
#[track_caller]
fn done(directory: &Path, line: &[&str]) -> String {
    let output = run(directory, line);
    let error = text(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{line:?}: {error}");
    assert_eq!(error, "", "{line:?}");
    let out = text(&output.stdout);
    assert!(!out.is_empty(), "{line:?}");
    out
}

#[test]
fn both_commands_print_a_result() {
    let bench = bench();
    let survey = done(bench.path(), &["survey", "piece.stl"]);
    assert!(survey.contains("piece.stl") && survey.contains("72.0 cm³"), "{survey}");
    let plan = done(bench.path(), &["plan", "piece.stl"]);
    for word in ["SKIN", "CORE", "CAP", "scale reads"] {
        assert!(plan.contains(word), "no {word} in {plan}");
    }
    assert_eq!(
        done(bench.path(), &["plan", "piece.stl"]),
        done(bench.path(), &["plan", "./piece.stl", "--skin", "2mm", "--coats", "1"])
    );
}

#[test]
fn nothing_in_a_name_reaches_the_terminal_as_a_command() {
    let bench = bench();
    let odd = "red\u{1b}[31m\nkidney.stl";
    refused(bench.path(), &["survey", odd], 1, &["there is no file red"]);
    std::fs::copy(bench.path().join("piece.stl"), bench.path().join(odd)).unwrap();
    assert!(!done(bench.path(), &["survey", odd]).contains('\u{1b}'));
    std::fs::copy(bench.path().join("cut.stl"), bench.path().join(odd)).unwrap();
    let error = text(&run(bench.path(), &["survey", odd]).stderr);
    assert!(!error.contains('\u{1b}') && error.lines().count() == 2, "{error}");
}

#[test]
fn help_and_version_are_results() {
    let bench = bench();
    for line in [
        &["--help"][..],
        &["-h"],
        &["plan", "--help"],
        &["survey", "-h"],
        &["level", "--help"],
        &["--version"],
    ] {
        done(bench.path(), line);
    }
    let help = done(bench.path(), &["plan", "--help"]);
    for option in [
        "--unit",
        "--known",
        "--as",
        "--up",
        "--opening",
        "--impression",
        "--json",
        "--skin",
        "--coats",
        "--cap",
        "--below-lip",
        "--flange",
        "--tolerance",
        "--skin-system",
        "--core-system",
        "--cap-system",
        "--softener",
        "--water",
        "--old-casting",
        "--water-means",
    ] {
        assert!(help.contains(option), "no {option} in the help");
    }
    let level = done(bench.path(), &["level", "--help"]);
    for option in ["--unit", "--step ", "--steps", "--below-lip", "--system", "--softener", "--csv"]
    {
        assert!(level.contains(option), "no {option} in the help");
    }
    for help in [help, level] {
        assert!(help.lines().all(|l| l.chars().count() <= 80), "help is wider than 80 columns");
    }
}

#[test]
fn a_layer_that_is_absent_says_why() {
    let bench = bench();
    let sheet = |options: &[&str]| done(bench.path(), &[&["plan", "piece.stl"], options].concat());
    for (options, words) in [
        (&["--skin", "0"][..], "SKIN  none: no thickness was asked for"),
        (&["--cap", "0"], "CAP  none: no depth was asked for"),
        (&["--opening", "none"], "CAP  none: the cavity is closed"),
        (&["--skin", "0", "--cap", "1m"], "CORE  none: the cap takes it all"),
        (&["--cap", "1m"], "CORE  none: skin and cap leave no room"),
        (&["--skin", "40mm"], "CORE  none: the skin leaves no room"),
        (&["--skin", "40mm"], "CAP  none: the skin leaves no room"),
    ] {
        let sheet = sheet(options);
        assert!(sheet.contains(words), "{options:?}: {sheet}");
    }
}

#[test]
fn a_foam_is_poured_at_once_and_not_to_a_mark() {
    let bench = bench();
    let line = ["plan", "piece.stl", "--core-system", "foam-flexible", "--cap", "0"];
    let sheet = done(bench.path(), &line);
    assert!(sheet.contains("at once, then close the vented lid"), "{sheet}");
    assert!(!sheet.contains("Fill to"), "{sheet}");
}

#[test]
fn files_that_cannot_be_had_are_refused() {
    let bench = bench();
    let at = bench.path();
    for command in ["survey", "plan", "level"] {
        refused(at, &[command, "gone.stl"], 1, &["there is no file gone.stl", "hint: "]);
        refused(at, &[command, "meshes"], 1, &["meshes is a directory"]);
        refused(at, &[command, "piece.stl/x"], 1, &["piece.stl/x", "not a directory"]);
    }
}

#[cfg(unix)]
#[test]
fn a_file_without_permission_is_refused() {
    use std::os::unix::fs::PermissionsExt;
    let bench = bench();
    let path = bench.path().join("piece.stl");
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o000)).unwrap();
    // The superuser may read everything; then there is no refusal to look at.
    if std::fs::read(&path).is_err() {
        refused(bench.path(), &["plan", "piece.stl"], 1, &["permission denied"]);
    }
}

#[test]
fn broken_meshes_are_refused_with_their_name() {
    let bench = bench();
    for command in ["survey", "plan", "level"] {
        for file in ["empty.stl", "text.stl", "cut.stl", "nan.obj"] {
            refused(bench.path(), &[command, file], 1, &[file]);
        }
    }
}

#[test]
fn a_mesh_that_is_not_closed_is_surveyed_but_not_planned() {
    let bench = bench();
    let survey = done(bench.path(), &["survey", "hole.stl"]);
    assert!(survey.contains("not closed"), "{survey}");
    let words = ["hole.stl", "too much is missing", "mm across at (", "--accept-holes"];
    refused(bench.path(), &["plan", "hole.stl"], 1, &words);
    refused(bench.path(), &["plan", "hole.stl", "--json"], 1, &words);
    refused(bench.path(), &["plan", "flat.obj"], 1, &["flat.obj"]);
}

#[test]
fn a_hole_too_large_is_filled_where_that_is_accepted() {
    let bench = bench();
    let sheet = done(bench.path(), &["plan", "hole.stl", "--accept-holes"]);
    for words in ["1 hole filled", "(counted as wall)", "sure to ±", "unsure by", "accepted"] {
        assert!(sheet.contains(words), "{words}: {sheet}");
    }
}

#[test]
fn work_that_cannot_be_done_is_refused() {
    let bench = bench();
    let at = bench.path();
    refused(at, &["plan", "piece.stl", "--below-lip", "30mm"], 1, &["30", "hint: "]);
    refused(at, &["plan", "piece.stl", "--below-lip", "1ft"], 1, &["304.8", "hint: "]);
    let line = ["plan", "piece.stl", "--unit", "ft"];
    refused(at, &line, 1, &["2039 m³", "hint: check --unit: with --unit mm it would be 60 mm"]);
    let line = ["plan", "piece.stl", "--flange", "1000m"];
    refused(at, &line, 1, &["flange", "hint: "]);
    let line = ["survey", "hole.stl", "--known", "x=1km"];
    refused(at, &line, 2, &["--known", "km"]);
}

#[test]
fn toml_that_is_no_job_is_refused_in_words() {
    let bench = bench();
    let at = bench.path();
    for command in ["survey", "plan", "level"] {
        refused(at, &[command, "job.toml"], 1, &["job.toml: line 1", "no job file", "--save"]);
    }
    done(at, &["survey", "piece.stl", "--impression", "1", "--as", "casting", "--opening", "auto"]);
    done(at, &["survey", "piece.stl", "--impression", "all"]);
}

#[test]
fn a_mould_is_read_by_word_or_by_its_border() {
    let bench = bench();
    let at = bench.path();
    for word in ["mould", "mold", "MOULD"] {
        refused(at, &["plan", "piece.stl", "--as", word], 1, &["pit", "hint: "]);
        let survey = done(at, &["survey", "piece.stl", "--as", word]);
        assert!(survey.contains("a mould, as --as says") && survey.contains("no open pit"));
    }
    for which in ["2", "7"] {
        refused(at, &["plan", "piece.stl", "--impression", which], 1, &[which, "only one"]);
        refused(at, &["survey", "piece.stl", "--impression", which], 1, &[which, "only one"]);
    }
    refused(at, &["plan", "piece.stl", "--up", "rim"], 1, &["--up rim", "--as mould"]);
    let line = ["plan", "piece.stl", "--as", "casting", "--up", "rim"];
    refused(at, &line, 2, &["--up", "rim"]);
    // A box without its bottom holds something only upside down.
    refused(at, &["plan", "tray.stl"], 1, &["downward", "hint: give --up -z"]);
    let survey = done(at, &["survey", "tray.stl"]);
    assert!(survey.contains("its border encloses 100 %"), "{survey}");
    let plan = done(at, &["plan", "tray.stl", "--up", "-z"]);
    assert!(plan.contains("inside out") && plan.contains("72.0 cm³"), "{plan}");
    done(at, &["plan", "tray.stl", "--up", "rim"]);
    refused(at, &["plan", "tray.stl", "--up", "-z", "--opening", "none"], 2, &["--opening none"]);
    let line = ["plan", "tray.stl", "--up", "-z", "--impression", "2"];
    refused(at, &line, 1, &["impression 2", "only one"]);
    let line = ["plan", "tray.stl", "--up", "-z", "--below-lip", "31mm"];
    refused(at, &line, 1, &["30.00 mm deep", "--below-lip"]);
}

#[test]
fn files_of_every_format_that_hold_no_mesh_are_refused_in_words() {
    let bench = bench();
    let put = |name: &str, bytes: &[u8]| std::fs::write(bench.path().join(name), bytes).unwrap();
    put("a.ply", b"ply\nformat ascii 1.0\nelement vertex 0\nend_header\n");
    put(
        "b.ply",
        b"ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\n\
        property float z\nend_header\n0 0 0\n",
    );
    put("a.off", b"OFF\n3 0 0\n0 0 0\n1 0 0\n0 1 0\n");
    put("a.3mf", b"PK\x03\x04rest of an archive");
    put("a.stl.gz", &[0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 3, 1, 2, 3, 4]);
    for (file, word) in [
        ("a.ply", "no triangles"),
        ("b.ply", "point cloud"),
        ("a.off", "point cloud"),
        ("a.3mf", "damaged"),
        ("a.stl.gz", "packed data"),
    ] {
        refused(bench.path(), &["survey", file], 1, &[file, word]);
    }
}

#[test]
fn wrong_usage_is_told_by_exit_status_2() {
    let bench = bench();
    let at = bench.path();
    refused(at, &["plan", "piece.stl", "--colour"], 2, &["--colour"]);
    refused(at, &["plan"], 2, &["<MESH>"]);
    refused(at, &["pour", "piece.stl"], 2, &["pour"]);
    refused(at, &["survey", "piece.stl", "--skin", "2mm"], 2, &["--skin"]);
    refused(at, &["plan", "piece.stl", "more.stl"], 2, &["more.stl"]);
    refused(at, &["plan", "piece.stl", "--skin", "1mm", "--skin", "2mm"], 2, &["--skin"]);
    assert_eq!(run(at, &[]).status.code(), Some(2));
    assert!(run(at, &[]).stdout.is_empty());
}

#[test]
fn values_out_of_their_range_are_wrong_usage() {
    let bench = bench();
    let plan = |option: &str, value: &str, words: &[&str]| {
        let line = ["plan", "piece.stl", option, value];
        refused(bench.path(), &line, 2, &[&[option], words].concat());
    };
    for option in ["--skin", "--cap", "--below-lip", "--flange"] {
        plan(option, "-3mm", &["-3mm", "negative"]);
        plan(option, "nan", &["finite"]);
        plan(option, "inf", &["finite"]);
        plan(option, "mm", &["number"]);
        plan(option, "", &["missing"]);
        plan(option, "2 parsecs", &["parsecs", "hint: the units are"]);
        plan(option, "2,5mm", &["comma", "hint: write 2.5mm"]);
        plan(option, "1/8", &["unit", "hint: write 1/8in"]);
        plan(option, "1/0in", &["zero"]);
    }
    plan("--skin", "0.1mm", &["thinnest is 0.2 mm"]);
    plan("--coats", "0", &["1 to 50"]);
    plan("--coats", "-1", &["1 to 50"]);
    plan("--coats", "11", &["thinnest is 0.2 mm"]);
    plan("--coats", "0.1mm,1.9mm", &["0.1 mm", "thinnest"]);
    plan("--tolerance", "0%", &["0.01%"]);
    plan("--tolerance", "0.001%", &["0.01%"]);
    plan("--tolerance", "101%", &["100%"]);
    plan("--tolerance", "-1%", &["negative"]);
    plan("--tolerance", "0.5", &["hint: write 0.5%"]);
    plan("--tolerance", "nan%", &["percentage"]);
    plan("--softener", "-1", &["-1"]);
    plan("--softener", "nan", &["nan"]);
    plan("--skin-system", "treacle", &["treacle", "urethane-a5"]);
    plan("--skin-system", "urethane-a6", &["urethane-a6", "hint: "]);
    let line = ["plan", "piece.stl", "--skin", "2mm", "--coats", "0.4mm,0.8mm"];
    refused(bench.path(), &line, 2, &["--coats", "1.2 mm", "2 mm"]);
}

#[test]
fn shared_values_out_of_their_range_are_wrong_usage() {
    let bench = bench();
    for command in ["survey", "plan", "level"] {
        let shared = |option: &str, value: &str, words: &[&str]| {
            let line = [command, "piece.stl", option, value];
            refused(bench.path(), &line, 2, &[&[option], words].concat());
        };
        shared("--unit", "mil", &["mil", "hint: the units are"]);
        shared("--unit", "", &["unit"]);
        shared("--known", "x=0mm", &["at least"]);
        shared("--known", "x=-1mm", &["negative"]);
        shared("--known", "w=1mm", &["\"w\""]);
        shared("--known", "82mm", &["x=82mm"]);
        shared("--up", "0,0,0", &["nowhere"]);
        shared("--up", "nan,0,1", &["finite"]);
        shared("--up", "-w", &["direction"]);
        shared("--up", "sideways", &["direction", "hint: "]);
        shared("--opening", "wide", &["auto or none"]);
        shared("--as", "thing", &["casting or mould"]);
        shared("--impression", "0", &["from 1"]);
        shared("--impression", "-1", &["number"]);
    }
}

#[test]
fn options_that_contradict_each_other_are_wrong_usage() {
    let bench = bench();
    let at = bench.path();
    for command in ["survey", "plan", "level"] {
        let line = [command, "piece.stl", "--opening", "none", "--as", "mould"];
        refused(at, &line, 2, &["--opening"]);
    }
    let line = ["plan", "piece.stl", "--opening", "none", "--below-lip", "2mm"];
    refused(at, &line, 2, &["--below-lip", "--opening none"]);
    // What is wrong is told before what isn't built.
    refused(at, &["plan", "piece.stl", "--as", "mould", "--skin", "-1mm"], 2, &["--skin"]);
}

#[test]
fn values_may_begin_with_a_minus() {
    let bench = bench();
    for up in ["-z", "-x", "-1,0,0.5", "+y", "x"] {
        done(bench.path(), &["survey", "piece.stl", "--up", up]);
    }
}

#[test]
fn units_are_taken_in_both_spellings() {
    let bench = bench();
    let expected = done(bench.path(), &["survey", "piece.stl", "--unit", "cm"]);
    for word in ["centimetre", "centimeters", "CM"] {
        assert_eq!(done(bench.path(), &["survey", "piece.stl", "--unit", word]), expected);
    }
}

#[test]
fn standard_input_is_read_for_a_dash() {
    let bench = bench();
    let mesh = std::fs::read(bench.path().join("piece.stl")).unwrap();
    let output =
        command(bench.path(), &["plan", "-", "--json"]).write_stdin(mesh).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let plan: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(plan["mesh"]["format"], "stl-binary");
    let output = command(bench.path(), &["plan", "-"]).write_stdin("").output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(output.stdout.is_empty());
}

#[test]
fn json_stands_alone_on_standard_output() {
    let bench = bench();
    for line in [["survey", "piece.stl", "--json"], ["plan", "piece.obj", "--json"]] {
        let out = done(bench.path(), &line);
        let value: serde_json::Value = serde_json::from_str(&out).unwrap();
        assert!(value.is_object());
        assert!(!out.contains('\u{1b}'));
        assert!(out.ends_with("}\n"));
    }
}

#[test]
fn there_is_no_colour_off_a_terminal() {
    let bench = bench();
    for (key, value) in [("NO_COLOR", "1"), ("TERM", "xterm-256color")] {
        for line in [&["plan", "piece.stl"][..], &["survey", "hole.stl"], &["plan", "--help"]] {
            let output = command(bench.path(), line).env(key, value).output().unwrap();
            assert!(!text(&output.stdout).contains('\u{1b}'), "{line:?}");
        }
        let output = command(bench.path(), &["plan", "--no"]).env(key, value).output().unwrap();
        assert!(!text(&output.stderr).contains('\u{1b}'));
    }
}

#[test]
fn the_sheet_fits_80_columns_whatever_the_name() {
    let bench = bench();
    let long = format!("{}.stl", "left-kidney-ü-".repeat(16));
    std::fs::copy(bench.path().join("piece.stl"), bench.path().join(&long)).unwrap();
    for line in [
        &["plan", &long][..],
        &["survey", &long],
        &["level", &long, "--known", "x=9m", "--steps", "100"],
        &["survey", "hole.stl"],
        &["plan", &long, "--coats", "0.4mm,0.8mm,0.8mm", "--flange", "10mm", "--below-lip", "1mm"],
        &["plan", &long, "--known", "x=9m", "--skin", "0"],
    ] {
        for row in done(bench.path(), line).lines() {
            assert!(row.chars().count() <= 80, "{row}");
            assert_eq!(row, row.trim_end(), "no blanks at the end");
        }
    }
}

/// Starts the command with a standard output that nobody reads any more.
#[cfg(unix)]
#[test]
fn a_reader_that_went_away_is_no_failure() {
    let bench = bench();
    for line in [
        &["plan", "piece.stl"][..],
        &["survey", "piece.stl", "--json"],
        &["level", "piece.stl"],
        &["--help"],
    ] {
        let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_cavigram"))
            .current_dir(bench.path())
            .args(line)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!(text(&output.stderr), "", "{line:?}");
        assert_eq!(output.status.code(), Some(0), "{line:?}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_a_failure() {
    let bench = bench();
    for line in [
        &["plan", "piece.stl"][..],
        &["survey", "piece.stl", "--json"],
        &["level", "piece.stl"],
        &["--help"],
    ] {
        let full = std::fs::File::options().write(true).open("/dev/full").unwrap();
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_cavigram"))
            .current_dir(bench.path())
            .args(line)
            .stdout(full)
            .stderr(Stdio::piped())
            .spawn()
            .unwrap()
            .wait_with_output()
            .unwrap();
        let error = text(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{line:?}: {error}");
        assert!(error.contains("standard output: no space left"), "{line:?}: {error}");
    }
}
