//! Scaling by one known length, against closed forms, and what is said where that can't be done.
#![cfg(feature = "cli")]

mod support;

use std::time::{Duration, Instant};

use serde_json::Value;
use support::command::run;
use support::moulds::{height_sheet, pyramid, turned_mould, with_rim};
use support::remesh::rough;
use support::shapes::Shape;
use support::solids::Body;
use tempfile::TempDir;

fn shape(body: &Body) -> Shape {
    Shape { vertices: body.points.clone(), triangles: body.faces.clone() }
}

fn bench(piece: &Shape) -> TempDir {
    let directory = tempfile::tempdir().unwrap();
    std::fs::write(directory.path().join("piece.obj"), piece.obj()).unwrap();
    directory
}

/// What `survey` tells of a piece with these options.
#[track_caller]
fn survey(piece: &Shape, options: &[&str]) -> Value {
    let bench = bench(piece);
    let output = run(bench.path(), &[&["survey", "piece.obj", "--json"], options].concat());
    let error = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(0), "{options:?}: {error}");
    serde_json::from_slice(&output.stdout).unwrap()
}

/// Refused with this status; the message holds these words.
#[track_caller]
fn refused(piece: &Shape, line: &[&str], status: i32, words: &[&str]) {
    let bench = bench(piece);
    let output = run(bench.path(), line);
    let error = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(status), "{line:?}: {error}");
    assert!(output.stdout.is_empty(), "{line:?}");
    for word in words {
        assert!(error.contains(word), "{line:?} doesn't say {word:?}: {error}");
    }
}

fn number(value: &Value, path: &str) -> f64 {
    value.pointer(path).and_then(Value::as_f64).unwrap_or_else(|| panic!("no {path} in {value:#}"))
}

#[track_caller]
fn close(found: f64, truth: f64) {
    assert!((found / truth - 1.0).abs() < 1e-9, "{found} is not {truth}");
}

fn codes(value: &Value) -> Vec<&str> {
    value["warnings"].as_array().unwrap().iter().map(|w| w["code"].as_str().unwrap()).collect()
}

/// Diagonals of a box by Pythagoras: 60 × 40 × 30 has √5200 across its opening and √6100 through
/// its body; the mouth of a bowl is as wide as the ball.
#[test]
fn every_length_scales_to_its_closed_form() {
    let cuboid = Shape::cuboid([60.0, 40.0, 30.0]);
    let bowl = Shape::hemisphere(25.0, 12);
    for (piece, known, truth) in [
        (&cuboid, "x=120mm", 120.0 / 60.0),
        (&cuboid, "mouth=100mm", 100.0 / 5200f64.sqrt()),
        (&cuboid, "depth=45mm", 1.5),
        (&cuboid, "longest=100mm", 100.0 / 6100f64.sqrt()),
        (&bowl, "mouth=75mm", 1.5),
        (&bowl, "depth=50mm", 2.0),
        (&bowl, "longest=2in", 50.8 / 50.0),
    ] {
        let plain = number(&survey(piece, &[]), "/cavity/volume_cm3");
        // Whatever the numbers were taken for: the length alone sets the size.
        for unit in [&[][..], &["--unit", "in"], &["--unit", "m"]] {
            let scaled = survey(piece, &[unit, &["--known", known]].concat());
            close(number(&scaled, "/mesh/scale"), truth);
            close(number(&scaled, "/cavity/volume_cm3"), plain * truth.powi(3));
            assert!(!codes(&scaled).contains(&"unit-assumed"), "{known}");
        }
    }
}

/// A piece in metres read as millimetres, and one in micrometres: it is found at a usual size.
#[test]
fn an_odd_unit_does_not_hide_the_cavity() {
    for factor in [1e-3, 1e3] {
        let piece = Shape::cuboid([60.0, 40.0, 30.0]).scaled(factor);
        for (known, truth) in [("mouth=100mm", 100.0 / 5200f64.sqrt()), ("depth=60mm", 2.0)] {
            let scaled = survey(&piece, &["--known", known]);
            close(number(&scaled, "/mesh/scale"), truth / factor);
            close(number(&scaled, "/cavity/volume_cm3"), 72.0 * truth.powi(3));
        }
    }
}

/// A closed cavity has a depth, its height, but no mouth.
#[test]
fn a_closed_cavity_has_no_mouth() {
    let ball = Shape::ball(20.0, 24);
    close(number(&survey(&ball, &["--known", "depth=60mm"]), "/mesh/scale"), 1.5);
    for command in ["survey", "plan"] {
        let line = [command, "piece.obj", "--known", "mouth=60mm"];
        refused(&ball, &line, 1, &["closed all round", "a mouth 60 mm across", "hint", "longest="]);
    }
    let line = ["survey", "piece.obj", "--opening", "none", "--known", "mouth=60mm"];
    refused(&Shape::cuboid([60.0, 40.0, 30.0]), &line, 1, &["closed all round"]);
}

#[test]
fn an_untrusted_mesh_is_not_scaled_by_its_cavity() {
    let holed = Shape::cuboid([60.0, 40.0, 30.0]).without_last(1);
    let line = ["survey", "piece.obj", "--known", "depth=60mm"];
    refused(&holed, &line, 1, &["a depth of 60 mm", "no cavity is found", "too much is missing"]);
    assert_eq!(survey(&holed, &["--known", "x=60mm"])["cavity"], Value::Null);
}

/// Two square pyramids dug 24 and 16 wide, 10 and 8 deep: mouths by Pythagoras 24 √2 and 16 √2.
/// What callipers reach is the opening at the lip, whatever the fill level is.
#[test]
fn the_impression_asked_for_is_the_measured_one() {
    let dug = |x: f64, y: f64| {
        -pyramid(x, y, [16.0, 20.0], 12.0, 10.0) - pyramid(x, y, [44.0, 20.0], 8.0, 8.0)
    };
    let mould = shape(&height_sheet(60, 1.0, dug));
    for (number_, wide, deep) in [("1", 24.0, 10.0), ("2", 16.0, 8.0), ("all", 24.0, 10.0)] {
        let side = ["--impression", number_];
        let known = |known: &str| {
            let value = survey(&mould, &[&side[..], &["--known", known]].concat());
            number(&value, "/mesh/scale")
        };
        close(known("mouth=50mm"), 50.0 / (wide * 2f64.sqrt()));
        close(known("depth=20mm"), 20.0 / deep);
    }
    let line = ["survey", "piece.obj", "--impression", "3", "--known", "mouth=50mm"];
    refused(&mould, &line, 1, &["there is no impression 3"]);
}

/// The fill level lies so far under the lip in millimetres of the real piece.
#[test]
fn below_lip_is_measured_at_the_real_size() {
    let bench = bench(&Shape::cuboid([60.0, 40.0, 30.0]));
    let line = ["plan", "piece.obj", "--known", "depth=60mm", "--below-lip", "10mm", "--json"];
    let output = run(bench.path(), &line);
    let plan: Value = serde_json::from_slice(&output.stdout).unwrap();
    close(number(&plan, "/mesh/scale"), 2.0);
    close(number(&plan, "/cavity/volume_cm3"), 12.0 * 8.0 * 5.0);
}

/// Two pits joined over a saddle 0.4 mm under the lip are two impressions; at three times the
/// size the saddle lies 1.2 mm under it, and they are one.
#[test]
fn a_cavity_that_differs_at_its_real_size_stops_the_run() {
    let dug = |x: f64, y: f64| {
        let pits =
            pyramid(x, y, [35.0, 30.0], 20.0, 20.0) + pyramid(x, y, [85.0, 30.0], 20.0, 20.0);
        let ditch = if (y - 30.0).abs() < 4.0 && (40.0..80.0).contains(&x) { 0.4 } else { 0.0 };
        -f64::max(pits, ditch)
    };
    let mould = shape(&height_sheet(120, 1.0, dug));
    assert_eq!(survey(&mould, &[])["impressions"].as_array().map(Vec::len), Some(2));
    let line = ["survey", "piece.obj", "--known", "depth=60mm"];
    refused(&mould, &line, 1, &["120.00 mm", "2 cavities", "one cavity", "hint", "x=82mm"]);
    // Near the size it was measured at it is the same: 20 mm less the saddle's 0.4 mm deep.
    close(number(&survey(&mould, &["--known", "depth=20.58mm"]), "/mesh/scale"), 20.58 / 19.6);
}

/// With ±0.2 mm of noise on the rim the lip moves by no more, so a depth of 40 mm scales to 0.5 %.
/// The mouth runs out into the rim's hollows, which is told.
#[test]
fn a_noisy_rim_leaves_the_depth_and_makes_the_mouth_unsure() {
    let profile: Vec<[f64; 2]> = (0..=24)
        .map(|k| std::f64::consts::FRAC_PI_2 * f64::from(k) / 24.0)
        .map(|angle| [40.0 * angle.sin(), -40.0 * angle.cos()])
        .collect();
    let smooth = turned_mould(&with_rim(&profile, 60.0, 1.5), 96);
    let told = |value: &Value| codes(value).contains(&"mouth-unsure");
    let scaled = survey(&shape(&smooth), &["--known", "mouth=88mm"]);
    // Its sides are 40 mm from the axis, its corners 40 / cos(π/96).
    let corners_mm = 80.0 / (std::f64::consts::PI / 96.0).cos();
    close(number(&scaled, "/mesh/scale"), 88.0 / corners_mm);
    assert!(!told(&scaled));
    for seed in 0..4 {
        let noisy = rough(smooth.clone(), 0.2, [0.0, 0.0, 1.0], seed, |p| p[2].abs() < 1e-9);
        let mould = shape(&noisy);
        for mm in [32.0, 44.0] {
            let scaled = survey(&mould, &["--known", &format!("depth={mm}mm")]);
            assert!((number(&scaled, "/cavity/lip_mm") / mm - 1.0).abs() < 1e-6, "{scaled:#}");
            let scale = number(&scaled, "/mesh/scale") * 40.0 / mm;
            assert!((scale - 1.0).abs() <= 0.2 / 39.8, "{seed}: {scale}");
            assert!(!told(&scaled));
        }
        assert!(told(&survey(&mould, &["--known", "mouth=88mm"])), "{seed}");
    }
}

#[test]
fn what_can_not_be_measured_is_refused_as_it_is_typed() {
    let piece = Shape::cuboid([60.0, 40.0, 30.0]);
    for (known, word) in [
        ("mouth=0mm", "at least"),
        ("depth=-3mm", "negative"),
        ("width=60mm", "\"width\""),
        ("longest=", "longest"),
        ("mouth", "mouth, depth or longest"),
    ] {
        refused(&piece, &["survey", "piece.obj", "--known", known], 2, &["--known", word]);
    }
}

/// A slip in the unit is told before long work, with the size and the unit that fits. The time
/// allowed is many times what refusing takes.
#[test]
fn far_too_large_a_piece_is_refused_at_once() {
    let begin = Instant::now();
    let bowl = Shape::hemisphere(50.0, 64);
    let plan = |options: &[&'static str]| [&["plan", "piece.obj"], options].concat();
    refused(&bowl, &plan(&["--unit", "m"]), 1, &["100.00 m", "--unit mm it would be 100 mm"]);
    let large = ["10.00 m", "a coat of 0.5 mm", "check the length", "--skin 0"];
    refused(&bowl, &plan(&["--known", "x=10m", "--coats", "0.5mm,2mm"]), 1, &large);
    assert!(begin.elapsed() < Duration::from_secs(20), "{:?}", begin.elapsed());
    let bench = bench(&bowl);
    let output = run(bench.path(), &plan(&["--known", "x=10m", "--skin", "0"]));
    assert!(output.status.success());
    assert!(String::from_utf8_lossy(&output.stdout).contains("odd for a casting"));
}

/// Many triangles in a piece far smaller than the skin: no work for each pair of them.
#[test]
fn a_tiny_piece_of_many_triangles_is_warned_of_soon() {
    let bench = bench(&Shape::hemisphere(0.05, 200));
    let begin = Instant::now();
    let output = run(bench.path(), &["plan", "piece.obj"]);
    assert!(output.status.success());
    let sheet = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(sheet.contains("--unit m it would be 100 mm"), "{sheet}");
    assert!(begin.elapsed() < Duration::from_secs(20), "{:?}", begin.elapsed());
}
