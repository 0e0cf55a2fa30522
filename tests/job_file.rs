//! Job files from outside: they repeat a plan to the gram, notice what has changed, and are
//! written whole or not at all.
#![cfg(feature = "cli")]

#[path = "support/command.rs"]
mod command;
#[path = "support/shapes.rs"]
mod shapes;

use std::fs;
use std::path::Path;

use command::{done, refused, run, text};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use shapes::Shape;
use tempfile::TempDir;

fn bench() -> TempDir {
    let directory = tempfile::tempdir().unwrap();
    fs::create_dir(directory.path().join("meshes")).unwrap();
    let put = |name: &str, bytes: &[u8]| fs::write(directory.path().join(name), bytes).unwrap();
    put("meshes/piece.stl", &Shape::cuboid([60.0, 40.0, 30.0]).stl());
    put("meshes/other.stl", &Shape::cuboid([60.0, 40.0, 30.5]).stl());
    let bone = Shape::cuboid([10.0, 8.0, 6.0]).moved([25.0, 15.0, 10.0]);
    put("meshes/bone.stl", &bone.stl());
    directory
}

#[track_caller]
fn saved(directory: &Path, options: &[&str]) -> String {
    let mut line = vec!["plan", "meshes/piece.stl"];
    line.extend(options);
    line.extend(["--save", "job.toml"]);
    done(directory, &line)
}

fn edit(directory: &Path, from: &str, to: &str) {
    let path = directory.join("job.toml");
    let job = fs::read_to_string(&path).unwrap();
    assert!(job.contains(from), "{job}");
    fs::write(&path, job.replacen(from, to, 1)).unwrap();
}

/// Names in a folder, hidden ones included.
fn names(directory: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(directory)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// One of these, or nothing typed.
fn of(values: &'static [&'static str]) -> impl Strategy<Value = Option<&'static str>> {
    proptest::option::of(proptest::sample::select(values))
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 12,
        rng_seed: RngSeed::Fixed(10),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// Whatever was typed, the job gives the same sheet and the same JSON, to the last digit.
    #[test]
    fn a_job_repeats_any_plan(
        skin in of(&["2", "1.5mm", "1/8in", "0.3cm", "0"]),
        coats in of(&["1"]),
        cap in of(&["0", "2.5", "1/4in", "5mm"]),
        below in of(&["1mm", "0.5"]),
        tolerance in of(&["1%", "0.7 %"]),
        core in of(&["silicone-00-30", "silicone-oo-30"]),
        cap_system in of(&["urethane-a20-by-volume"]),
        insert in any::<bool>(),
        up in of(&["-z", "+y", "0.1,0,1"]),
        holes in any::<bool>(),
        water in of(&["70g@21C"]),
    ) {
        let bench = bench();
        let at = bench.path();
        let mut options: Vec<String> = vec!["--unit=mm".into()];
        let given = [
            ("skin", skin), ("coats", coats), ("cap", cap),
            ("below-lip", below), ("tolerance", tolerance), ("core-system", core),
            ("cap-system", cap_system), ("up", up),
            ("water", water),
        ];
        for (name, value) in given {
            options.extend(value.map(|value| format!("--{name}={value}")));
        }
        if insert {
            options.push("--insert=meshes/bone.stl".into());
        }
        if holes {
            options.push("--accept-holes".into());
        }
        let options: Vec<&str> = options.iter().map(String::as_str).collect();
        let mut line = vec!["plan", "meshes/piece.stl"];
        line.extend(&options);
        let plain = run(at, &line);
        line.extend(["--save", "job.toml"]);
        let saving = run(at, &line);
        prop_assert_eq!(saving.status.code(), plain.status.code());
        if !plain.status.success() {
            // What can't be planned is no job.
            prop_assert!(!at.join("job.toml").exists());
            return Ok(());
        }
        prop_assert_eq!(&saving.stdout, &plain.stdout);
        let again = run(at, &["plan", "job.toml"]);
        prop_assert_eq!(text(&again.stderr), "");
        prop_assert_eq!(text(&again.stdout), text(&plain.stdout));
        line.truncate(line.len() - 2);
        line.push("--json");
        prop_assert_eq!(run(at, &["plan", "job.toml", "--json"]).stdout, run(at, &line).stdout);
        // Saved again it is the same but for its number.
        let first = fs::read_to_string(at.join("job.toml")).unwrap();
        done(at, &["plan", "job.toml", "--save", "job.toml"]);
        let second = fs::read_to_string(at.join("job.toml")).unwrap();
        prop_assert_eq!(second, first.replace("revision = 1", "revision = 2"));
    }
}

#[test]
fn what_is_typed_wins_over_what_is_kept() {
    let bench = bench();
    let at = bench.path();
    saved(at, &["--skin", "1.5mm", "--coats", "3", "--insert", "meshes/bone.stl"]);
    let plain = |options: &[&str]| {
        let mut line = vec!["plan", "meshes/piece.stl"];
        line.extend(options);
        done(at, &line)
    };
    assert_eq!(
        done(at, &["plan", "job.toml", "--skin", "3mm"]),
        plain(&["--skin", "3mm", "--coats", "3", "--insert", "meshes/bone.stl"])
    );
    // An empty value takes back what is kept.
    assert_eq!(
        done(at, &["plan", "job.toml", "--coats=", "--insert="]),
        plain(&["--skin", "1.5mm"])
    );
    let survey = done(at, &["survey", "meshes/piece.stl"]);
    assert_eq!(done(at, &["survey", "job.toml"]), survey);
    let level = done(at, &["level", "meshes/piece.stl", "--steps", "3", "--csv"]);
    assert_eq!(done(at, &["level", "job.toml", "--steps", "3", "--csv"]), level);
    // Numbers count as they are written; what is typed for this once is not kept.
    edit(at, "skin = \"1.5mm\"", "skin = 1.50");
    assert_eq!(
        done(at, &["plan", "job.toml", "--coats=", "--insert="]),
        plain(&["--skin", "1.5mm"])
    );
}

#[test]
fn a_job_goes_by_its_own_folder() {
    let bench = bench();
    let at = bench.path();
    let sheet = saved(at, &["--insert", "meshes/bone.stl"]);
    let job = fs::read_to_string(at.join("job.toml")).unwrap();
    assert!(job.contains("file = \"meshes/piece.stl\""), "{job}");
    // From elsewhere.
    assert_eq!(done(&at.join("meshes"), &["plan", "../job.toml"]), sheet);
    // Moved with all it names.
    let new = tempfile::tempdir().unwrap();
    fs::rename(at.join("job.toml"), new.path().join("job.toml")).unwrap();
    fs::rename(at.join("meshes"), new.path().join("meshes")).unwrap();
    assert_eq!(done(new.path(), &["plan", "job.toml"]), sheet);
    // Saved in another folder the way leads back.
    fs::create_dir(new.path().join("jobs")).unwrap();
    done(new.path(), &["plan", "job.toml", "--save", "jobs/knee.toml"]);
    let job = fs::read_to_string(new.path().join("jobs/knee.toml")).unwrap();
    assert!(job.contains("file = \"../meshes/piece.stl\"") && job.contains("revision = 1"));
    assert_eq!(done(new.path(), &["plan", "jobs/knee.toml"]), sheet);
    // Without its mesh both paths are told.
    fs::remove_file(new.path().join("meshes/piece.stl")).unwrap();
    let words = ["jobs/knee.toml", "../meshes/piece.stl", "jobs/../meshes/piece.stl", "hint: "];
    refused(new.path(), &["plan", "jobs/knee.toml"], 1, &words);
}

#[test]
fn a_changed_mesh_or_insert_is_noticed_until_it_is_saved_again() {
    let bench = bench();
    let at = bench.path();
    saved(at, &["--insert", "meshes/bone.stl"]);
    fs::copy(at.join("meshes/other.stl"), at.join("meshes/piece.stl")).unwrap();
    let bone = Shape::cuboid([10.0, 8.0, 5.0]).moved([25.0, 15.0, 10.0]);
    fs::write(at.join("meshes/bone.stl"), bone.stl()).unwrap();
    let json: serde_json::Value =
        serde_json::from_str(&done(at, &["plan", "job.toml", "--json"])).unwrap();
    let changed: Vec<&serde_json::Value> = json["warnings"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|warning| warning["code"] == "mesh-changed")
        .collect();
    assert_eq!(changed.len(), 2, "{changed:?}");
    let message = changed[0]["message"].as_str().unwrap();
    // SHA-256 by the same public algorithm (FIPS 180-4), first 12 digits of both.
    let digits: Vec<&str> =
        message.split(|c: char| !c.is_ascii_hexdigit()).filter(|word| word.len() == 12).collect();
    assert_eq!(digits.len(), 2, "{message}");
    let job = fs::read_to_string(at.join("job.toml")).unwrap();
    assert!(job.contains(&format!("sha256 = \"{}", digits[1])), "{message}");
    assert!(changed[0]["hint"].as_str().unwrap().contains("--save"));
    done(at, &["plan", "job.toml", "--save", "job.toml"]);
    let after = done(at, &["plan", "job.toml", "--json"]);
    assert!(!after.contains("mesh-changed"), "{after}");
    assert!(fs::read_to_string(at.join("job.toml")).unwrap().contains(digits[0]));
}

#[test]
fn a_job_keeps_its_systems() {
    let bench = bench();
    let at = bench.path();
    saved(at, &[]);
    // As if the program's own system had changed since.
    edit(at, "mixed_g_cm3 = { value = 1.04", "mixed_g_cm3 = { value = 1.30");
    let json =
        |line: &[&str]| -> serde_json::Value { serde_json::from_str(&done(at, line)).unwrap() };
    let job = json(&["plan", "job.toml", "--json"]);
    // Of the cap, which nothing is stirred into.
    assert_eq!(job["layers"][2]["density_g_cm3"], 1.30);
    assert!(job.to_string().contains("system-differs"));
    // Named again the present one is taken.
    let present = json(&["plan", "job.toml", "--skin-system", "urethane-a5", "--json"]);
    assert_eq!(present["layers"][2]["density_g_cm3"], 1.04);
    assert!(!present.to_string().contains("system-differs"));
    // Saved again the job still has its own.
    done(at, &["plan", "job.toml", "--save", "job.toml"]);
    assert_eq!(json(&["plan", "job.toml", "--json"])["layers"][2]["density_g_cm3"], 1.30);
    edit(at, "family = \"urethane\"", "family = \"jelly\"");
    refused(at, &["plan", "job.toml"], 1, &["job.toml", "urethane-a5", "line "]);
}

#[test]
fn what_is_no_job_is_refused_with_its_place() {
    let bench = bench();
    let at = bench.path();
    saved(at, &["--skin", "2mm"]);
    let job = fs::read_to_string(at.join("job.toml")).unwrap();
    let with = |from: &str, to: &str, words: &[&str]| {
        assert!(job.contains(from), "{from}");
        fs::write(at.join("bad.toml"), job.replacen(from, to, 1)).unwrap();
        for command in ["plan", "survey", "level"] {
            refused(at, &[command, "bad.toml"], 1, words);
        }
    };
    let line = job.lines().position(|line| line.starts_with("skin = ")).unwrap() + 1;
    let place = format!("bad.toml: line {line}, column 1");
    with("skin = ", "skinn = ", &[&place, "`skinn`", "did you mean `skin`?"]);
    with("skin = ", "unit = \"mm\"\nskin = ", &["`unit`", "it belongs under `[mesh]`"]);
    with("[layers]", "[layer]", &["`[layer]`", "did you mean `[layers]`?"]);
    with("revision = 1", "revison = 1", &["did you mean `revision`?"]);
    with("revision = 1", "revision = 0", &["revision", "whole number from 1"]);
    with("job/1", "job/9", &["cavigram/job/9", "newer"]);
    with("job/1", "plan/1", &["no job file"]);
    with("meshes/piece.stl", "other.toml", &["job file", "expected a mesh"]);
    with("skin = \"2mm\"", "skin = [1, 2]", &["`skin` is a list", "2mm"]);
    with("skin = \"2mm\"", "skin = \"2mm", &["line "]);
    with("skin = \"2mm\"", "skin = 1\nskin = 2", &["line "]);
    with("sha256 = \"", "sha256 = \"x", &["sha256", "hexadecimal"]);
    let file = job.lines().find(|line| line.starts_with("file = ")).unwrap();
    with(file, "", &["`file` is missing under `[mesh]`"]);
    // A value that can't be meant is told with the line it stands in.
    fs::write(at.join("bad.toml"), job.replace("2mm", "2mmm")).unwrap();
    let words = [format!("bad.toml: line {line}: --skin 2mmm"), "hint: ".to_owned()];
    refused(at, &["plan", "bad.toml"], 1, &words.each_ref().map(String::as_str));
    for (bytes, word) in [
        (&b""[..], "empty"),
        (b"  \n\n", "empty"),
        (b"schema = \"cavigram/job/1\"\n\xff\xfe\n", "line 2, column 1"),
        (b"mesh = \"piece.stl\"\n", "no job file"),
        (b"solid piece\n", "line 1"),
        (&[0u8; 64], "line 1"),
    ] {
        fs::write(at.join("bad.toml"), bytes).unwrap();
        refused(at, &["plan", "bad.toml"], 1, &["bad.toml", word]);
    }
    // A job that was cut off anywhere is refused or the same but for what is missing; never worse.
    for cut in (0..job.len()).step_by(97).filter(|cut| job.is_char_boundary(*cut)) {
        fs::write(at.join("bad.toml"), &job[..cut]).unwrap();
        let output = run(at, &["plan", "bad.toml"]);
        assert!(matches!(output.status.code(), Some(0 | 1)), "{cut}: {output:?}");
    }
    let huge = format!("{job}#{}", "x".repeat(5 << 20));
    fs::write(at.join("bad.toml"), huge).unwrap();
    refused(at, &["plan", "bad.toml"], 1, &["bad.toml", "4 MiB"]);
}

#[test]
fn windows_line_ends_and_a_byte_order_mark_change_nothing() {
    let bench = bench();
    let at = bench.path();
    let sheet = saved(at, &["--skin", "2mm"]);
    let job = fs::read_to_string(at.join("job.toml")).unwrap();
    let other = format!("\u{feff}{}", job.replace('\n', "\r\n"));
    fs::write(at.join("job.toml"), other).unwrap();
    assert_eq!(done(at, &["plan", "job.toml"]), sheet);
    done(at, &["plan", "job.toml", "--save", "job.toml"]);
    let again = fs::read_to_string(at.join("job.toml")).unwrap();
    assert_eq!(again, job.replace("revision = 1", "revision = 2"));
}

#[test]
fn only_a_job_file_is_replaced() {
    let bench = bench();
    let at = bench.path();
    for other in ["notes = 1\n", "no toml at all", ""] {
        fs::write(at.join("job.toml"), other).unwrap();
        let line = ["plan", "meshes/piece.stl", "--save", "job.toml"];
        refused(at, &line, 1, &["job.toml is no job file", "another name"]);
        assert_eq!(fs::read_to_string(at.join("job.toml")).unwrap(), other);
    }
    let mesh = fs::read(at.join("meshes/piece.stl")).unwrap();
    let refused_as_usage = [
        (vec!["plan", "meshes/piece.stl", "--save", "-"], "standard output"),
        (vec!["plan", "meshes/piece.stl", "--save", "meshes/piece.stl"], ".toml"),
        (vec!["plan", "-", "--save", "new.toml"], "standard input"),
        (vec!["plan", "meshes/piece.stl", "--gap", "4mm", "--save", "new.toml"], "--gap"),
        (vec!["plan", "meshes/piece.stl", "--skin", "0", "--skin-used", "9g"], "--skin 0"),
    ];
    for (line, word) in refused_as_usage {
        refused(at, &line, 2, &[word]);
    }
    assert_eq!(fs::read(at.join("meshes/piece.stl")).unwrap(), mesh);
    // What can't be planned leaves nothing behind, and neither does a folder that isn't there.
    refused(at, &["plan", "meshes/none.stl", "--save", "new.toml"], 1, &["none.stl"]);
    refused(at, &["plan", "meshes/piece.stl", "--save", "none/new.toml"], 1, &["none/new.toml"]);
    assert_eq!(names(at), ["job.toml", "meshes"]);
}

#[cfg(unix)]
#[test]
fn a_job_is_written_whole_or_not_at_all() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let bench = bench();
    let at = bench.path();
    saved(at, &[]);
    // Permissions stay, a link is followed, and nothing is left beside.
    fs::set_permissions(at.join("job.toml"), fs::Permissions::from_mode(0o640)).unwrap();
    symlink("job.toml", at.join("link.toml")).unwrap();
    done(at, &["plan", "link.toml", "--save", "link.toml"]);
    let facts = fs::metadata(at.join("job.toml")).unwrap();
    assert_eq!(facts.permissions().mode() & 0o777, 0o640);
    assert!(fs::symlink_metadata(at.join("link.toml")).unwrap().is_symlink());
    let job = fs::read_to_string(at.join("job.toml")).unwrap();
    assert!(job.contains("revision = 2"));
    assert_eq!(names(at), ["job.toml", "link.toml", "meshes"]);
    // A file, then a folder, that may only be read: the job stands as it was.
    fs::set_permissions(at.join("job.toml"), fs::Permissions::from_mode(0o440)).unwrap();
    refused(at, &["plan", "job.toml", "--save", "job.toml"], 1, &["can't save job.toml"]);
    assert_eq!(fs::read_to_string(at.join("job.toml")).unwrap(), job);
    assert_eq!(names(at), ["job.toml", "link.toml", "meshes"]);
    fs::set_permissions(at, fs::Permissions::from_mode(0o555)).unwrap();
    let may_write_all_the_same = fs::write(at.join("probe"), "").is_ok();
    if !may_write_all_the_same {
        refused(at, &["plan", "job.toml", "--save", "new.toml"], 1, &["can't save new.toml"]);
    }
    fs::set_permissions(at, fs::Permissions::from_mode(0o755)).unwrap();
    assert_eq!(fs::read_to_string(at.join("job.toml")).unwrap(), job);
    // Where the disk is full: a device that takes nothing stands for it.
    assert!(!at.join("new.toml").exists());
}

#[test]
fn a_system_that_was_named_by_its_file_goes_with_the_job() {
    let folder = TempDir::new().unwrap();
    let at = |name: &str| folder.path().join(name);
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-meshes/pebble.stl");
    fs::copy(sample, at("pebble.stl")).unwrap();
    fs::create_dir(at("sheets")).unwrap();
    let begin =
        ["systems", "new", "bench-a7", "--from", "urethane-a5", "--to", "sheets/seven.toml"];
    done(folder.path(), &begin);
    let line = ["plan", "pebble.stl", "--core-system", "sheets/seven.toml", "--tolerance", "2%"];
    let saved = done(folder.path(), &[&line[..], &["--save", "job.toml", "--json"]].concat());
    fs::remove_dir_all(at("sheets")).unwrap();
    let again = done(folder.path(), &["plan", "job.toml", "--json"]);
    let layers = |text: &str| -> serde_json::Value {
        serde_json::from_str::<serde_json::Value>(text).unwrap()["layers"].clone()
    };
    assert_eq!(layers(&saved), layers(&again));
    assert_eq!(layers(&again)[1]["system"], "bench-a7");
}

#[test]
fn what_is_typed_wins_over_another_way_of_saying_the_same() {
    let folder = TempDir::new().unwrap();
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-meshes/pebble.stl");
    fs::copy(sample, folder.path().join("pebble.stl")).unwrap();
    let kept = ["--core-hardness", "00-25", "--skin", "2mm", "--coats", "2", "--tolerance", "2%"];
    let save = [&["plan", "pebble.stl"], &kept[..], &["--save", "job.toml"]].concat();
    done(folder.path(), &save);
    let again = |options: &[&str]| -> serde_json::Value {
        let line = [&["plan", "job.toml", "--json"], options].concat();
        serde_json::from_str(&done(folder.path(), &line)).unwrap()
    };
    assert_eq!(again(&["--softener", "1"])["layers"][1]["softener_parts"], 1.0);
    assert_eq!(again(&["--coats", "0.7mm"])["layers"][0]["thickness_mm"], 0.7);
    let coats = |told: &serde_json::Value| told["layers"][0]["coats"].as_array().unwrap().len();
    assert_eq!(coats(&again(&["--coats", "3"])), 3);
    assert_eq!(again(&["--coats", "3"])["layers"][0]["thickness_mm"], 2.0);
    assert_eq!(coats(&again(&["--skin", "1mm"])), 2);
}
