//! `cavigram mould` from outside: grams against closed forms, and what it refuses.
#![cfg(feature = "cli")]

mod support;

use std::f64::consts::PI;

use serde_json::Value;
use support::command::{done, refused};
use support::piece::{bench, number};
use support::solids::{cuboid, icosphere};
use tempfile::TempDir;

#[track_caller]
fn json(bench: &TempDir, options: &[&str]) -> Value {
    let line = [&["mould", "piece.obj", "--unit", "mm", "--json"], options].concat();
    serde_json::from_str(&done(bench.path(), &line)).unwrap()
}

fn codes(sheet: &Value) -> Vec<&str> {
    sheet["warnings"].as_array().unwrap().iter().map(|w| w["code"].as_str().unwrap()).collect()
}

/// Density of 10 parts of 1.18 and 1 part of 0.98 g/cm³ by weight, as the built-in system has it.
fn rubber_g_cm3() -> f64 {
    11.0 / (10.0 / 1.18 + 1.0 / 0.98)
}

#[test]
fn a_block_is_weighed_as_its_box_less_the_piece() {
    let bench = bench(&cuboid(60.0, 40.0, 20.0));
    let sheet = json(&bench, &["--pattern-weight", "61g"]);
    assert_eq!(sheet["schema"], "cavigram/mould/1");
    assert_eq!(sheet["body"]["make"], "block");
    assert_eq!(sheet["body"]["inside_mm"], serde_json::json!([84.0, 64.0]));
    assert_eq!(number(&sheet, "/body/height_mm"), 32.0);
    let cm3 = 84.0 * 64.0 * 32.0 / 1000.0 - 48.0;
    let net = cm3 * rubber_g_cm3();
    for key in ["volume_cm3", "volume_low_cm3", "volume_high_cm3"] {
        assert!((number(&sheet, &format!("/parts/0/{key}")) - cm3).abs() < 1e-9);
    }
    assert!((number(&sheet, "/parts/0/mixes/0/net_g") - net).abs() < 1e-6);
    assert!((number(&sheet, "/lift_g") - net - 61.0).abs() < 1e-6);
    let [base, hardener] =
        [0, 1].map(|k| number(&sheet, &format!("/parts/0/mixes/0/components/{k}/grams")));
    // 4 % and a film are allowed for, and the ratio is 10 to 1.
    assert!((base / hardener - 10.0).abs() < 0.05, "{base} {hardener}");
    assert!(base + hardener > 1.04 * net && base + hardener < 1.1 * net, "{base} {hardener}");

    // Limits of the working time and of the cup make batches of it.
    let cups = json(&bench, &["--cup", "60ml"]);
    assert!(number(&cups, "/parts/0/mixes/0/batches") >= 4.0, "{cups:#}");
}

#[test]
fn a_blanket_in_two_halves_holds_the_shell() {
    let bench = bench(&icosphere(20.0, 4));
    let options = ["--blanket", "10mm", "--parting", "20mm", "--jacket", "laminate"];
    let sheet = json(&bench, &[&options[..], &["--undercuts", "0%"]].concat());
    let shell = |low: f64, high: f64| 2.0 / 3.0 * PI * (high.powi(3) - low.powi(3)) / 1000.0;
    for part in [0, 1] {
        let at = |key: &str| number(&sheet, &format!("/parts/{part}/{key}"));
        // A ball of flat faces is smaller than the round one by 0.3 %.
        let blanket = at("volume_cm3");
        assert!((blanket / shell(20.0, 30.0) - 1.0).abs() < 0.01, "{blanket}");
        assert!(at("volume_low_cm3") < blanket && blanket < at("volume_high_cm3"));
        let jacket = at("jacket/volume_cm3");
        assert!((jacket / shell(30.0, 35.0) - 1.0).abs() < 0.01, "{jacket}");
        let coats: f64 = (0..6).map(|k| at(&format!("mixes/{k}/volume_cm3"))).sum();
        assert!((coats / blanket - 1.0).abs() < 1e-6, "{coats} {blanket}");
    }
    // The first is as thick as the plain rubber stands, the others no thicker than thickened.
    let thick = |k: usize| number(&sheet, &format!("/parts/0/mixes/{k}/thickness_mm"));
    assert_eq!(thick(0), 0.8);
    assert!((thick(1) - 1.84).abs() < 1e-9);
    assert!(codes(&sheet).contains(&"needs-release"), "like on like: {:?}", codes(&sheet));

    let more = json(&bench, &[&options[..], &["--undercuts", "20%"]].concat());
    let [plain, filled] = [&sheet, &more].map(|s| number(s, "/parts/1/volume_cm3"));
    assert!((filled / plain - 1.2).abs() < 1e-6, "{plain} {filled}");
}

#[test]
fn what_to_know_of_pattern_and_rubber_is_told() {
    let ball = bench(&icosphere(20.0, 2));
    let found = json(&ball, &[]);
    for code in ["closed-all-round", "pattern-not-checked"] {
        assert!(codes(&found).contains(&code), "{:?}", codes(&found));
    }
    assert!(!codes(&json(&ball, &["--parting", "18mm"])).contains(&"closed-all-round"));
    let piece = bench(&cuboid(60.0, 40.0, 20.0));
    let platinum = ["--rubber", "mould-silicone-addition-a20", "--pattern-of", "sulphur-clay"];
    assert!(codes(&json(&piece, &platinum)).contains(&"cure-inhibited"));
    assert!(codes(&json(&piece, &["--over", "2mm"])).contains(&"thin-block"));
    assert!(codes(&json(&piece, &["--blanket-coats", "4mm,4mm"])).contains(&"coat-runs"));
    let plaster = json(&piece, &["--make", "blanket"]);
    let cautions = plaster["cautions"].to_string();
    assert!(cautions.contains("Plaster heats up"), "{cautions}");
    // References P6: 70 water to 100 powder.
    let [water, powder] =
        [0, 1].map(|k| number(&plaster, &format!("/parts/0/jacket/components/{k}/grams")));
    assert!((water / powder - 0.7).abs() < 0.01, "{water} {powder}");
    assert_eq!(plaster["parts"][0]["jacket"]["components"][0]["name"], "water");
}

/// What a job keeps of its pattern and parting goes for its mould too.
#[test]
fn a_job_file_stands_for_its_mesh() {
    let piece = bench(&cuboid(60.0, 40.0, 20.0));
    let save = ["--mould-of", "tin", "--pattern-of", "plain-clay", "--save", "piece.toml"];
    let line = [&["plan", "piece.obj", "--unit", "mm", "--parting", "8mm"], &save[..]].concat();
    done(piece.path(), &line);
    let sheet: Value =
        serde_json::from_str(&done(piece.path(), &["mould", "piece.toml", "--json"])).unwrap();
    assert_eq!(number(&sheet, "/parting_mm"), 8.0);
    assert!(!codes(&sheet).contains(&"pattern-not-checked"), "{:?}", codes(&sheet));
    assert_eq!(sheet["parts"].as_array().unwrap().len(), 2);
}

#[test]
fn the_sheet_fits_the_page() {
    let piece = bench(&cuboid(60.0, 40.0, 20.0));
    for options in [
        &["--box", "round"][..],
        &["--make", "blanket", "--flange", "20mm", "--parting", "9mm", "--pattern-weight", "61g"],
    ] {
        let line = [&["mould", "piece.obj"], options].concat();
        let text = done(piece.path(), &line);
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
        assert!(text.contains("mould sheet") && text.contains("To lift"), "{text}");
    }
}

#[test]
fn what_can_not_be_meant_is_refused() {
    let piece = bench(&cuboid(60.0, 40.0, 20.0));
    for (options, status, words) in [
        (&["--sides", "0mm"][..], 2, &["--sides", "1 mm to 1000 mm"][..]),
        (&["--over=-3mm"], 2, &["--over", "negative"]),
        (&["--sides", "2m"], 2, &["--sides", "1000 mm"]),
        (&["--make", "box"], 2, &["--make", "block or blanket"]),
        (&["--box", "oval"], 2, &["--box", "rectangular or round"]),
        (&["--sides", "9mm", "--blanket", "9mm"], 2, &["--sides", "belongs to a block"]),
        (&["--make", "block", "--flange", "9mm"], 2, &["--flange", "belongs to a blanket"]),
        (&["--jacket", "wood"], 2, &["--jacket", "plaster, laminate or none"]),
        (&["--jacket", "none", "--jacket-thickness", "9mm"], 2, &["--jacket-thickness"]),
        (&["--jacket", "laminate", "--plaster-water", "70"], 2, &["takes no plaster"]),
        (&["--plaster-water", "5"], 2, &["--plaster-water", "20 to 200"]),
        (&["--undercuts", "15"], 2, &["--undercuts", "15%"]),
        (&["--undercuts", "300%"], 2, &["--undercuts", "200%"]),
        (&["--blanket", "0"], 2, &["--blanket", "0.2 mm"]),
        (&["--blanket-coats", "1mm,2mm", "--blanket", "9mm"], 2, &["the blanket is 9 mm"]),
        (&["--rubber", "foam-flexible"], 2, &["--rubber", "takes no print"]),
        (&["--rubber", "nosuch"], 2, &["--rubber", "mould-silicone-a25"]),
        (&["--pattern-of", "cheese"], 2, &["--pattern-of", "printed-resin"]),
        (&["--parting", "20mm"], 1, &["20.00 mm", "doesn't pass through"]),
        (&["--parting", "0"], 1, &["doesn't pass through"]),
        (&["--impression", "2"], 1, &["impression"]),
    ] {
        let line = [&["mould", "piece.obj"], options].concat();
        refused(piece.path(), &line, status, words);
    }
    refused(piece.path(), &["mould", "nosuch.stl"], 1, &["nosuch.stl"]);
}
