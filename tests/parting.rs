//! Pieces cast in two-part moulds: skin by half, seam and gate against closed forms.
#![cfg(feature = "cli")]

mod support;

use std::f64::consts::PI;

use cavigram::layers::{ShellRequest, skin_by_part};
use serde_json::Value;
use support::command::{done, refused};
use support::piece::{bench, number};
use support::pipeline::{CLOSED, allowed_coat_reach, cavity, holds, miss, request};
use support::solids::{cuboid, icosphere, revolved, round_profile, roundness};
use support::truth::{Span, profile_volume};
use tempfile::TempDir;

const TOLERANCE: f64 = 0.005;

#[track_caller]
fn json(bench: &TempDir, options: &[&str]) -> Value {
    let line = [&["plan", "piece.obj", "--unit", "mm", "--json"], options].concat();
    serde_json::from_str(&done(bench.path(), &line)).unwrap()
}

/// Every side of the facetted ball touches the round one, so what is further than t from the wall
/// is the same shape at the scale (R − t)/R (references G1, G14); a plane cuts both.
#[test]
fn a_ball_is_parted_at_any_height() {
    let (r, n) = (30.0, 40);
    let profile = round_profile(r, 24);
    let piece = cavity(&revolved(&profile, n), &CLOSED);
    let volume_mm3 = piece.measures().volume_mm3.best();
    for parting in [30.0, 20.0, 7.5, 59.0] {
        let coats = [0.4, 0.8, 0.8];
        let asked = ShellRequest {
            coats_mm: coats.to_vec(),
            parting_mm: Some(parting),
            tolerance: TOLERANCE,
        };
        let found = skin_by_part(&piece, &asked, &|_| {});
        assert!(found.tolerance_reached);
        let level = parting - r;
        let within = |t: f64, from: f64, to: f64| {
            let s = (r - t) / r;
            let smaller: Vec<[f64; 2]> = profile.iter().map(|p| [p[0] * s, p[1] * s]).collect();
            roundness(n) * profile_volume(&smaller, from, to)
        };
        let mut depth = 0.0;
        for (k, coat) in coats.into_iter().enumerate() {
            for (part, [from, to]) in [[-99.0, level], [level, 99.0]].into_iter().enumerate() {
                let truth = within(depth, from, to) - within(depth + coat, from, to);
                let limits = &found.coats_mm3[k][part];
                let name = format!("coat {k}, part {part}, parted at {parting}");
                assert!(holds(limits, Span::exact(truth)), "{name}: {limits:?} not {truth}");
                let off = miss(limits.best(), Span::exact(truth));
                assert!(off <= 0.002 * volume_mm3, "{name}: off by {off}");
                let allowed = allowed_coat_reach(limits.best(), volume_mm3, TOLERANCE);
                assert!(limits.reach() <= allowed, "{name}: {limits:?} wider than {allowed}");
            }
            depth += coat;
        }
    }
}

/// The halves together are the skin that `split` finds.
#[test]
fn two_halves_are_one_skin() {
    let piece = cavity(&icosphere(20.0, 3), &CLOSED);
    let whole = support::pipeline::layers(&piece, &request(2.0, 0.0, TOLERANCE));
    let asked = ShellRequest { coats_mm: vec![2.0], parting_mm: Some(13.0), tolerance: TOLERANCE };
    let halves = skin_by_part(&piece, &asked, &|_| {});
    let sum = halves.coats_mm3[0][0] + halves.coats_mm3[0][1];
    assert!(support::pipeline::meet(&sum, &whole.skin_mm3), "{sum:?} {:?}", whole.skin_mm3);
}

#[test]
fn the_sheet_tells_halves_seam_and_gate() {
    let bench = bench(&cuboid(60.0, 40.0, 30.0));
    let (parting, t) = (12.0, 2.0);
    let plain = json(&bench, &["--opening", "none"]);
    let options = ["--parting", "12mm", "--gate", "8mmx40mm", "--seam-width", "12mm"];
    let sheet = json(&bench, &options);
    // The flat top is wall too: under the parting a box without a lid.
    let box_of =
        |h: f64| (60.0 * 40.0 * h - (60.0 - 2.0 * t) * (40.0 - 2.0 * t) * (h - t)) / 1000.0;
    for (half, high) in [parting, 30.0 - parting].into_iter().enumerate() {
        let at = |key: &str| number(&sheet, &format!("/parting/halves/{half}/{key}"));
        let truth = box_of(high);
        assert!(at("volume_low_cm3") <= truth && truth <= at("volume_high_cm3"), "{truth}");
        assert!((at("volume_cm3") - truth).abs() < 0.002 * 72.0);
        let wall = (60.0 * 40.0 + 200.0 * high) / 100.0;
        assert!((at("wall_area_cm2") - wall).abs() < 1e-9);
    }
    let net = |part: usize| number(&sheet, &format!("/parting/halves/{part}/net_g"));
    let skin_g = number(&sheet, "/layers/0/coats/0/net_g");
    assert!((net(0) + net(1) - skin_g).abs() < 1e-9, "{skin_g}");
    // The seam is mixed apart from the coats, and is of the skin's mix.
    for key in ["net_g", "mix_g"] {
        let [coat, seam, all] = ["/layers/0/coats/0", "/parting/seam", "/layers/0"]
            .map(|at| number(&sheet, &format!("{at}/{key}")));
        assert!(
            seam > 0.0 && (coat + seam - all).abs() < 1e-9,
            "{key}: {coat} + {seam}, not {all}"
        );
    }

    // The section is 60 × 40 mm; the seam's coat is the last coat's thickness.
    assert_eq!(number(&sheet, "/parting/seam/length_cm"), 20.0);
    assert!((number(&sheet, "/parting/seam/volume_cm3") - 200.0 * 12.0 * t / 1000.0).abs() < 1e-9);

    // A cylinder of 8 × 40 mm is poured with the core, and is no part of it.
    let gate_cm3 = PI / 4.0 * 64.0 * 40.0 / 1000.0;
    assert!((number(&sheet, "/parting/gate/volume_cm3") - gate_cm3).abs() < 1e-9);
    // The seam's coat lies where the core would be.
    let density = number(&sheet, "/layers/1/density_g_cm3");
    let seam_cm3 = 200.0 * 12.0 * t / 1000.0;
    for (key, less) in [("/layers/1/volume_cm3", 0.0), ("/layers/1/net_g", seam_cm3 * density)] {
        let [with, without] = [&sheet, &plain].map(|s| number(s, key));
        assert!((with + less - without).abs() < 1e-6, "{key}: {with} {without}");
    }
    let allowances = sheet["layers"][1]["allowances_g"].as_array().unwrap();
    let gate = allowances.iter().find(|line| line["code"] == "gate").expect("a line for the gate");
    assert!((number(gate, "/grams") - gate_cm3 * density).abs() < 1e-9);
    let more = number(&sheet, "/layers/1/mix_g") - number(&plain, "/layers/1/mix_g");
    let expected = (gate_cm3 - 1.04 * seam_cm3) * density;
    assert!((more - expected).abs() < 1.0, "{more} not {expected}");
    // No cap on a closed cavity; a plug of the skin's mix as deep as one.
    assert_eq!(number(&sheet, "/layers/2/volume_cm3"), 0.0);
    let cap_g_cm3 = number(&sheet, "/layers/2/density_g_cm3");
    let plug = PI / 4.0 * 64.0 * 3.0 / 1000.0 * cap_g_cm3;
    for key in ["/parting/gate/plug_g", "/layers/2/net_g"] {
        assert!((number(&sheet, key) - plug).abs() < 1e-9, "{key}");
    }
}

#[test]
fn what_is_missing_is_told_and_jobs_keep_the_parting() {
    let bench = bench(&icosphere(20.0, 3));
    let sheet = json(&bench, &["--parting", "20mm", "--seam-width", "0"]);
    assert!(sheet["parting"].get("seam").is_none());
    assert!(sheet["warnings"].to_string().contains("gate-unknown"));
    let bare = json(&bench, &["--parting", "20mm", "--skin", "0"]);
    assert!(bare["parting"].get("seam").is_none());
    assert_eq!(number(&bare, "/parting/halves/0/net_g"), 0.0);

    let options = ["--parting", "20mm", "--gate", "6mmx30mm", "--coats", "0.4mm,0.8mm,0.8mm"];
    let line = [&["plan", "piece.obj", "--unit", "mm"], &options[..]].concat();
    let text = done(bench.path(), &[&line[..], &["--save", "ball.toml"]].concat());
    for word in ["HALVES", "Lower", "Upper", "SEAM", "Gate"] {
        assert!(text.contains(word), "no {word} in {text}");
    }
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    let again = done(bench.path(), &["plan", "ball.toml", "--json"]);
    let again: Value = serde_json::from_str(&again).unwrap();
    assert_eq!(again["parting"], json(&bench, &options)["parting"]);
}

#[test]
fn what_can_not_be_parted_is_refused() {
    let bench = bench(&cuboid(60.0, 40.0, 30.0));
    for (options, status, words) in [
        (&["--parting", "30mm"][..], 1, &["30.00 mm", "doesn't pass through"][..]),
        (&["--parting", "0"], 1, &["doesn't pass through"]),
        (&["--parting", "9mm", "--as", "mould"], 2, &["--parting", "closes round"]),
        (&["--parting", "9mm", "--below-lip", "2mm"], 2, &["--below-lip", "no lip"]),
        (&["--gate", "8mmx40mm"], 2, &["--gate", "--parting or --other-half"]),
        (&["--parting", "9mm", "--gate", "8mm"], 2, &["--gate", "8mmx40mm"]),
        (&["--parting", "9mm", "--gate", "0x40mm"], 2, &["--gate", "more than nothing"]),
        (&["--parting", "9mm", "--gate=-8mmx40mm"], 2, &["--gate", "negative"]),
        (&["--parting", "9mm", "--seam-width", "2m"], 2, &["--seam-width", "no seam"]),
    ] {
        let line = [&["plan", "piece.obj", "--unit", "mm"], options].concat();
        if words.is_empty() {
            let output = support::command::run(bench.path(), &line);
            assert_eq!(output.status.code(), Some(status), "{line:?}");
        } else {
            refused(bench.path(), &line, status, words);
        }
    }
    // An open scan of a mould's half.
    let scan = concat!(env!("CARGO_MANIFEST_DIR"), "/sample-meshes/shoulder-mould-scan.ply");
    let line = ["plan", scan, "--unit", "mm", "--parting", "9mm"];
    refused(bench.path(), &line, 1, &["open mould", "mould of its own"]);
}

#[test]
fn a_seam_that_the_skin_leaves_no_room_for_is_not_weighed() {
    let bench = bench(&cuboid(60.0, 40.0, 30.0));
    let told =
        |skin: &str| json(&bench, &["--parting", "12mm", "--gate", "8mmx40mm", "--skin", skin]);
    let codes = |sheet: &Value| sheet["warnings"].to_string();
    let usual = told("2mm");
    assert!(!usual["parting"]["seam"].is_null() && !codes(&usual).contains("seam-without-room"));
    let full = told("40mm");
    assert!(full["parting"]["seam"].is_null(), "{}", full["parting"]);
    assert!(codes(&full).contains("seam-without-room"), "{}", codes(&full));
    // Nothing is laid, so that there is no seam to have room for.
    let none = told("0");
    assert!(none["parting"]["seam"].is_null() && !codes(&none).contains("seam-without-room"));
}

/// Each half of a box is a floor and its sides once it lies open side up.
#[test]
fn slopes_are_those_of_halves_that_lie_open() {
    let bench = bench(&cuboid(60.0, 40.0, 30.0));
    let sheet = json(&bench, &["--parting", "12mm", "--gate", "8mmx40mm"]);
    let slopes = |key: &str| number(&sheet, &format!("/cavity/slope_area_cm2/{key}"));
    assert!((slopes("floor") - 48.0).abs() < 1e-9, "{}", sheet["cavity"]);
    assert!((slopes("steep") - 60.0).abs() < 1e-9);
    assert!(slopes("overhanging").abs() < 1e-9);
}

#[test]
fn a_flange_is_not_left_out_in_silence() {
    let bench = bench(&cuboid(60.0, 40.0, 30.0));
    let sheet = json(&bench, &["--parting", "12mm", "--flange", "5mm"]);
    let told = sheet["warnings"].to_string();
    assert!(told.contains("there is no flange") && told.contains("has no rim"), "{told}");
    let sheet = json(&bench, &["--parting", "12mm"]);
    assert!(!sheet["warnings"].to_string().contains("closed-cavity"));
}

#[test]
fn a_gate_wider_than_the_piece_is_told() {
    let bench = bench(&cuboid(60.0, 40.0, 30.0));
    for (gate, told) in [("29mmx40mm", false), ("31mmx40mm", true)] {
        let sheet = json(&bench, &["--parting", "12mm", "--gate", gate]);
        assert_eq!(sheet["warnings"].to_string().contains("gate-wider"), told, "{gate}");
    }
}

/// Coats, seam, core and plug follow one another, and all of it is in what the run takes.
#[test]
fn seam_and_plug_have_their_place_in_the_day_and_in_the_run() {
    let bench = bench(&cuboid(60.0, 40.0, 30.0));
    let options = ["--parting", "12mm", "--gate", "8mmx40mm", "--coats", "1mm,1mm"];
    let sheet = json(&bench, &[&options[..], &["--castings", "5", "--moulds", "2"]].concat());
    let mixing = sheet["timeline"]["events"].as_array().unwrap().iter();
    let order: Vec<_> = mixing
        .filter(|event| event["code"] == "mixing")
        .map(|event| event["pour"].as_str().unwrap())
        .collect();
    assert_eq!(order, ["skin, coat 1", "skin, coat 2", "skin, seam", "core", "cap"]);

    // Two rounds of two castings, one of one.
    let further = &sheet["further_rounds"][0]["layers"][0];
    assert!(number(further, "/seam/net_g") > 0.0);
    let grams = |value: &Value| {
        let weighed = value["components"].as_array().unwrap().iter();
        weighed.map(|one| number(one, "/grams")).sum::<f64>()
    };
    let of_round = |skin: &Value, seam: &Value| {
        skin["coats"].as_array().unwrap().iter().map(grams).sum::<f64>() + grams(seam)
    };
    let first = of_round(&sheet["layers"][0], &sheet["parting"]["seam"]);
    let last = of_round(further, &further["seam"]);
    assert!((2.0 * first + last - grams(&sheet["totals"][0])).abs() < 1e-6);
    // One casting's seam in every round's share of it.
    let one = number(&json(&bench, &options), "/parting/seam/net_g");
    assert!((number(&sheet, "/parting/seam/net_g") - 2.0 * one).abs() < 1e-9);
}

/// What is brushed in both halves is weighed before they are closed: the seam is still to come.
#[test]
fn a_weighed_skin_leaves_the_seam_to_be_laid() {
    let bench = bench(&cuboid(60.0, 40.0, 30.0));
    let options = ["--parting", "12mm", "--gate", "8mmx40mm"];
    let planned = json(&bench, &options);
    let coat_g = number(&planned, "/layers/0/coats/0/net_g");
    let used = format!("{coat_g:.1}g");
    let sheet = json(&bench, &[&options[..], &["--skin-used", &used]].concat());
    let seam_g = number(&planned, "/parting/seam/mix_g");
    assert!((number(&sheet, "/layers/0/mix_g") - seam_g).abs() < 0.5);
    assert!((number(&sheet, "/layers/1/net_g") - number(&planned, "/layers/1/net_g")).abs() < 0.2);
    let line = ["plan", "piece.obj", "--unit", "mm", "--skin-used", &used];
    let text = done(bench.path(), &[&line[..], &options].concat());
    assert!(text.contains("=  SKIN") && text.contains("1  SEAM"), "{text}");
}
