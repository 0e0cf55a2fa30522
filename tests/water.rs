//! A weighed filling of the real mould beside the computed volume: closed forms, and refusals.
//!
//! Water of 20 °C has 998.2067 kg/m³, of 25 °C 997.0470 (Tanaka et al., Metrologia 38 (2001) 301,
//! table; references U5).
#![cfg(feature = "cli")]

mod support;

use std::path::Path;
use std::process::Output;

use serde_json::Value;
use support::command;
use support::moulds::{height_sheet, pyramid};
use support::shapes::Shape;
use tempfile::TempDir;

/// Water of 20 °C, g/mm³.
const WATER_20: f64 = 998.2067e-6;

fn bench(piece: &Shape) -> TempDir {
    let directory = tempfile::tempdir().unwrap();
    std::fs::write(directory.path().join("piece.obj"), piece.obj()).unwrap();
    directory
}

fn run(directory: &Path, what: &str, options: &[&str]) -> Output {
    command::run(directory, &[&[what, "piece.obj"], options].concat())
}

#[track_caller]
fn plan(piece: &Shape, options: &[&str]) -> Value {
    let output = run(bench(piece).path(), "plan", &[options, &["--json"]].concat());
    let error = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(0), "{options:?}: {error}");
    serde_json::from_slice(&output.stdout).unwrap()
}

#[track_caller]
fn refused(piece: &Shape, command: &str, options: &[&str], status: i32, words: &[&str]) {
    let output = run(bench(piece).path(), command, options);
    let error = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(status), "{options:?}: {error}");
    assert!(output.stdout.is_empty(), "{options:?}");
    for word in words {
        assert!(error.contains(word), "{options:?} doesn't say {word:?}: {error}");
    }
}

/// The option's value for this volume of water of 20 °C.
fn water(mm3: f64) -> String {
    format!("{}g@20C", mm3 * WATER_20)
}

fn number(value: &Value, path: &str) -> f64 {
    value.pointer(path).and_then(Value::as_f64).unwrap_or_else(|| panic!("no {path} in {value:#}"))
}

/// As close as the table's seven digits allow.
#[track_caller]
fn close(found: f64, truth: f64) {
    assert!((found / truth - 1.0).abs() < 1.5e-7, "{found} is not {truth}");
}

fn finding<'a>(plan: &'a Value, code: &str) -> Option<&'a Value> {
    plan["warnings"].as_array().unwrap().iter().find(|w| w["code"] == code)
}

/// 60 × 40 × 30 mm: 72 cm³.
fn cup() -> Shape {
    Shape::cuboid([60.0, 40.0, 30.0])
}

#[test]
fn the_difference_is_told_and_nothing_changed() {
    for (grams, volume) in
        [("71.870882g@20C", 72.0), ("71.787384g@77F", 72.0), ("80g@20C", 80.14372)]
    {
        let plan = plan(&cup(), &["--water", grams]);
        let check = &plan["water_check"];
        close(number(check, "/volume_cm3"), volume);
        close(number(check, "/computed_cm3"), 72.0);
        let percent = 100.0 * (volume / 72.0 - 1.0);
        assert!((number(check, "/difference_percent") - percent).abs() < 2e-5, "{check}");
        assert_eq!((&check["means"], &check["weighed"]), (&Value::Null, &Value::from("water")));
        assert_eq!(number(&plan, "/mesh/scale"), 1.0);
        close(number(&plan, "/cavity/volume_cm3"), 72.0);
    }
    assert!(plan(&cup(), &[]).get("water_check").is_none());
}

/// From 2 % on it is a warning; what to do is asked for, with how to weigh water.
#[test]
fn a_large_difference_warns_and_asks() {
    for (factor, code, severity) in [
        (1.019, "water-agrees", "note"),
        (0.981, "water-agrees", "note"),
        (1.021, "water-differs", "warning"),
        (0.979, "water-differs", "warning"),
    ] {
        let plan = plan(&cup(), &["--water", &water(72e3 * factor)]);
        let found = finding(&plan, code).unwrap_or_else(|| panic!("no {code} at {factor}"));
        assert_eq!(found["severity"], severity);
        let hint = found["hint"].as_str().unwrap();
        for word in ["detergent", "mark below the rim", "jacket", "dry"] {
            assert!(hint.contains(word), "{hint}");
        }
        assert_eq!(hint.contains("--water-means size"), severity == "warning");
    }
    let bench = bench(&cup());
    let sheet =
        String::from_utf8(run(bench.path(), "plan", &["--water", "80g@20C"]).stdout).unwrap();
    let row = "Water      80 g at 20 °C are 80.1 cm³: 11.3 % more than the 72.0 cm³ computed\n";
    assert!(sheet.contains(row), "{sheet}");
}

/// The cube root of the volumes scales the mesh; the skin of an open box a × b × c is
/// abc − (a − 2t)(b − 2t)(c − t), the cap (a − 2t)(b − 2t) times its depth.
#[test]
fn size_follows_the_cube_root_and_the_skin_its_own_law() {
    let plain = plan(&cup(), &[]);
    let water = water(72e3 * 1.331);
    for unit in [&[][..], &["--known", "x=60mm"], &["--unit", "cm"], &["--known", "depth=30mm"]] {
        let plan = plan(&cup(), &[unit, &["--water", &water, "--water-means", "size"]].concat());
        close(number(&plan, "/mesh/scale"), 1.1);
        let cm = if unit.contains(&"cm") { 0.11 } else { 1.1 };
        close(number(&plan, "/water_check/scaled_by"), cm);
        assert_eq!(plan["water_check"]["means"], "size");
        close(number(&plan, "/mesh/extent_mm/0"), 66.0);
        close(number(&plan, "/cavity/volume_cm3"), 72.0 * 1.331);
        assert!(finding(&plan, "unit-assumed").is_none());
        let (skin, cap) = (66.0 * 44.0 * 33.0 - 62.0 * 40.0 * 31.0, 62.0 * 40.0 * 3.0);
        for (layer, truth) in [(0, skin / 1000.0), (2, cap / 1000.0)] {
            let layer = &plan["layers"][layer];
            let at = |key: &str| number(layer, key);
            assert!(at("/volume_low_cm3") <= truth * 1.000001, "{truth} {layer}");
            assert!(at("/volume_high_cm3") >= truth * 0.999999, "{truth} {layer}");
            assert!((at("/volume_cm3") / truth - 1.0).abs() < 0.01, "{truth} {layer}");
        }
        let by_volume = 1.331 * number(&plain, "/layers/0/volume_cm3");
        assert!(by_volume / number(&plan, "/layers/0/volume_cm3") > 1.05);
    }
}

/// So many millimetres under the lip at every size: f² · 60 · 40 · (30 f − 5) at f = 1.2.
#[test]
fn size_keeps_the_millimetres_under_the_lip() {
    let (f, below) = (1.2, 5.0);
    let water = water(f * f * 2400.0 * (30.0 * f - below));
    let options = ["--below-lip", "5mm", "--water", &water, "--water-means", "size"];
    let plan = plan(&cup(), &options);
    close(number(&plan, "/mesh/scale"), f);
    close(number(&plan, "/cavity/fill_mm"), 30.0 * f - below);
    close(number(&plan, "/water_check/computed_cm3"), 60.0);
}

/// A box holds 2400 mm³ a millimetre; a pyramid the cube of its level.
#[test]
fn level_lies_where_so_much_water_stands() {
    let level = |piece: &Shape, mm3: f64, more: &[&str]| {
        let water = water(mm3);
        plan(piece, &[&["--water", &water, "--water-means", "level"], more].concat())
    };
    for below in [&[][..], &["--below-lip", "12mm"]] {
        let plan = level(&cup(), 2400.0 * 21.0, below);
        close(number(&plan, "/cavity/fill_mm"), 21.0);
        close(number(&plan, "/cavity/lip_mm"), 30.0);
        close(number(&plan, "/cavity/volume_cm3"), 50.4);
        close(number(&plan, "/water_check/below_lip_mm"), 9.0);
        assert_eq!(plan["water_check"]["means"], "level");
        assert_eq!(number(&plan, "/mesh/scale"), 1.0);
    }
    let pit = height_sheet(40, 1.0, |x, y| -pyramid(x, y, [20.0, 20.0], 16.0, 16.0));
    let pit = Shape { vertices: pit.points, triangles: pit.faces };
    let whole = 32.0 * 32.0 * 16.0 / 3.0;
    let plan_ = level(&pit, 0.5 * whole, &[]);
    close(number(&plan_, "/cavity/fill_mm"), 16.0 * 0.5f64.cbrt());
    // Exactly full, as near as the table's digits go.
    let plan_ = level(&pit, whole * (1.0 - 1e-7), &["--skin", "1mm"]);
    assert!((number(&plan_, "/cavity/fill_mm") - 16.0).abs() < 1e-5);
    // A closed ball opens where half of it is filled.
    let plan_ = level(&Shape::ball(20.0, 24), Shape::ball(20.0, 24).volume_mm3() / 2.0, &[]);
    close(number(&plan_, "/cavity/fill_mm"), 20.0);
}

/// A back that leans by 3° against a direction that was given: below its lowest edge a box.
#[test]
fn level_follows_the_direction_given() {
    let mut wedge = cup();
    for p in wedge.vertices.iter_mut().filter(|p| p[2] > 1.0) {
        p[2] += p[0] * 3f64.to_radians().tan();
    }
    let water = water(2400.0 * 20.0);
    let options = ["--up", "+z", "--water", &water, "--water-means", "level"];
    close(number(&plan(&wedge, &options), "/cavity/fill_mm"), 20.0);
}

/// Pyramids dug 24 wide and 10 deep, 16 wide and 8 deep, both filled to 2 mm under the rim.
#[test]
fn all_impressions_are_weighed_together() {
    let dug = |x: f64, y: f64| {
        -pyramid(x, y, [16.0, 20.0], 12.0, 10.0) - pyramid(x, y, [44.0, 20.0], 8.0, 8.0)
    };
    let body = height_sheet(60, 1.0, dug);
    let mould = Shape { vertices: body.points, triangles: body.faces };
    let (large, small) = (24.0 * 24.0 * 10.0 / 3.0, 16.0 * 16.0 * 8.0 / 3.0);
    let all = ["--impression", "all", "--skin", "0.5mm"];
    let sum = plan(&mould, &[&all[..], &["--water", &water(large + small)]].concat());
    assert!(number(&sum, "/water_check/difference_percent").abs() < 2e-5);
    let second = plan(&mould, &["--impression", "2", "--skin", "0", "--water", &water(small)]);
    assert!(number(&second, "/water_check/difference_percent").abs() < 2e-5);
    let low = water(large * 0.8f64.powi(3) + small * 0.75f64.powi(3));
    let level = plan(&mould, &[&all[..], &["--water", &low, "--water-means", "level"]].concat());
    close(number(&level, "/water_check/below_lip_mm"), 2.0);
    let twice = water(8.0 * (large + small));
    let size = plan(&mould, &[&all[..], &["--water", &twice, "--water-means", "size"]].concat());
    close(number(&size, "/mesh/scale"), 2.0);
}

/// 74.88 g at 1.04 g/cm³ are 72 cm³.
#[test]
fn an_old_casting_serves_as_well() {
    let plan_ = plan(&cup(), &["--old-casting", "74.88g@1.04"]);
    assert!(number(&plan_, "/water_check/difference_percent").abs() < 1e-9);
    assert_eq!(plan_["water_check"]["weighed"], "old-casting");
    let hint = finding(&plan_, "water-agrees").unwrap()["hint"].as_str().unwrap().to_owned();
    assert!(hint.contains("solid") && !hint.contains("detergent"), "{hint}");
    let grams = format!("{}g@1.04", 74.88 * 8.0);
    let plan_ = plan(&cup(), &["--old-casting", &grams, "--water-means", "size"]);
    close(number(&plan_, "/mesh/scale"), 2.0);
}

/// A filled hole leaves the volume open within limits; the water lies in them or it does not.
#[test]
fn the_limits_of_filled_holes_are_looked_at() {
    let holed = Shape::hemisphere(25.0, 24).without(3);
    let computed = number(&plan(&holed, &[]), "/cavity/volume_cm3") * 1000.0;
    for (factor, within) in [(1.0, true), (1.2, false)] {
        let plan = plan(&holed, &["--water", &water(computed * factor)]);
        assert_eq!(plan["water_check"]["within_limits"], within, "{factor}");
    }
    assert!(plan(&cup(), &["--water", "72g@20C"])["water_check"].get("within_limits").is_none());
}

#[test]
fn what_can_not_be_followed_is_refused() {
    let over = ["--water", "80g@20C", "--water-means", "level"];
    refused(&cup(), "plan", &over, 1, &["80.1 cm³", "72.0 cm³", "up to its lip", "hint: "]);
    let holed = cup().without_last(1);
    refused(&holed, "plan", &["--water", "80g@20C"], 1, &["too much is missing"]);
    let closed = ["--opening", "none", "--water", "50g@20C", "--water-means", "level"];
    refused(&cup(), "plan", &closed, 2, &["--water-means", "--opening none"]);
    let huge = ["--unit", "m", "--water", "72g@20C", "--water-means", "level"];
    refused(&cup(), "plan", &huge[..4], 1, &["no casting", "--unit mm"]);
}

#[test]
fn wrong_usage_is_told() {
    for (options, words) in [
        (&["--water", "838g"][..], &["how warm", "838g@21C"][..]),
        (&["--water", "838g@80C"], &["80 °C", "40 °C"]),
        (&["--water", "-5g@20C"], &["negative"]),
        (&["--water", "lots@20C"], &["\"lots\"", "grams"]),
        (&["--old-casting", "610g"], &["density", "610g@1.04"]),
        (&["--old-casting", "610g@1040"], &["g/cm³"]),
        (&["--water-means", "size"], &["--water-means", "--water 838g@21C"]),
        (&["--water", "838g@21C", "--water-means", "depth"], &["size or level"]),
        (
            &["--water", "838g@21C", "--old-casting", "610g@1.04"],
            &["--old-casting", "one of the two"],
        ),
    ] {
        refused(&cup(), "plan", options, 2, words);
    }
    refused(&cup(), "survey", &["--water", "838g@21C"], 2, &["--water"]);
}
