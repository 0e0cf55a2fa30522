//! Two scans of a two-part mould's halves, closed on each other, against closed forms and against
//! the same piece as one closed mesh.
#![cfg(feature = "cli")]

mod support;

use std::fs;
use std::path::Path;

use serde_json::Value;
use support::command::{done, refused};
use support::piece::{bench, number};
use support::solids::{Body, cuboid};
use tempfile::TempDir;

/// A box without its lid: what a scan of a half mould shows.
fn half(x: f64, y: f64, deep: f64) -> Body {
    let mut body = cuboid(x, y, deep);
    let top = body.points.iter().map(|p| p[2]).fold(f64::NEG_INFINITY, f64::max);
    let points = body.points.clone();
    body.faces.retain(|face| face.iter().any(|&v| points[v as usize][2] < top));
    body
}

/// The same, standing on its head and turned by 30° about its axis.
fn turned(body: &Body) -> Body {
    let (sin, cos) = 30f64.to_radians().sin_cos();
    let turn = |&[x, y, z]: &[f64; 3]| [cos * x - sin * y, -(sin * x + cos * y), -z];
    Body { points: body.points.iter().map(turn).collect(), ..body.clone() }
}

fn two(first: &Body, other: &Body) -> TempDir {
    let (folder, beside) = (bench(first), bench(other));
    fs::copy(beside.path().join("piece.obj"), folder.path().join("other.obj")).unwrap();
    folder
}

const LINE: [&str; 5] = ["plan", "piece.obj", "--unit", "mm", "--other-half=other.obj"];

#[track_caller]
fn json(folder: &Path, options: &[&str]) -> Value {
    let line = [&LINE[..], &["--json"], options].concat();
    serde_json::from_str(&done(folder, &line)).unwrap()
}

#[test]
fn two_halves_hold_what_the_whole_holds() {
    let (low, high, t) = (12.0, 18.0, 2.0);
    let options = ["--gate", "8mmx40mm", "--seam-width", "12mm"];
    let folder = two(&half(60.0, 40.0, low), &half(60.0, 40.0, high));
    let found = json(folder.path(), &options);
    let whole = bench(&cuboid(60.0, 40.0, 30.0));
    let line = ["plan", "piece.obj", "--unit", "mm", "--json", "--parting", "12mm"];
    let whole: Value =
        serde_json::from_str(&done(whole.path(), &[&line[..], &options].concat())).unwrap();

    // Each half is a box without a lid; a coat of it is the box less a smaller one.
    for (part, deep) in [low, high].into_iter().enumerate() {
        let at = |key: &str| number(&found, &format!("/parting/halves/{part}/{key}"));
        let inner = (60.0 - 2.0 * t) * (40.0 - 2.0 * t) * (deep - t);
        let truth = (60.0 * 40.0 * deep - inner) / 1000.0;
        assert!(at("volume_low_cm3") <= truth && truth <= at("volume_high_cm3"), "{truth}");
        assert!((at("volume_cm3") - truth).abs() < 0.002 * 72.0, "{truth}");
        assert!((at("wall_area_cm2") - (60.0 * 40.0 + 200.0 * deep) / 100.0).abs() < 1e-9);
    }
    for key in [
        "/cavity/volume_cm3",
        "/cavity/wall_area_cm2",
        "/cavity/surface_area_cm2",
        "/cavity/opening_area_cm2",
        "/cavity/depth_mm",
        "/parting/seam/length_cm",
        "/parting/seam/net_g",
        "/parting/gate/plug_g",
        "/layers/2/net_g",
    ] {
        let [two, one] = [&found, &whole].map(|sheet| number(sheet, key));
        assert!((two - one).abs() < 1e-9, "{key}: {two}, not {one}");
    }
    for (layer, key) in [(0, "net_g"), (1, "net_g"), (0, "volume_cm3"), (1, "volume_cm3")] {
        let [two, one] =
            [&found, &whole].map(|sheet| number(sheet, &format!("/layers/{layer}/{key}")));
        assert!((two / one - 1.0).abs() < 0.005, "{layer} {key}: {two}, not {one}");
    }
    let sum: f64 = (0..3).map(|k| number(&found, &format!("/layers/{k}/volume_cm3"))).sum();
    assert!((sum / number(&found, "/cavity/volume_cm3") - 1.0).abs() < 1e-6);
    assert!(found["parting"].get("parting_mm").is_none());
    assert_eq!(found["parting"]["other_half"]["mesh"]["file"], "other.obj");
}

#[test]
fn each_half_stands_on_its_own_rim() {
    let other = half(60.0, 40.0, 18.0);
    let upright = two(&half(60.0, 40.0, 12.0), &other);
    let head_down = two(&half(60.0, 40.0, 12.0), &turned(&other));
    let expected = json(upright.path(), &["--gate", "8mmx40mm"]);
    let found = json(head_down.path(), &["--gate", "8mmx40mm", "--up", "rim"]);
    for key in ["/cavity/volume_cm3", "/cavity/depth_mm", "/parting/seam/length_cm"] {
        let [found, expected] = [&found, &expected].map(|sheet| number(sheet, key));
        assert!((found / expected - 1.0).abs() < 1e-9, "{key}: {found}, not {expected}");
    }
    // As the first one stands, the other is on its head.
    refused(head_down.path(), &LINE, 1, &["other half other.obj", "--up"]);
}

#[test]
fn a_known_length_scales_both() {
    let folder = two(&half(6.0, 4.0, 1.2), &half(6.0, 4.0, 1.8));
    let line = ["plan", "piece.obj", "--known", "x=60mm", "--other-half=other.obj", "--json"];
    let sheet: Value = serde_json::from_str(&done(folder.path(), &line)).unwrap();
    assert!((number(&sheet, "/cavity/volume_cm3") - 72.0).abs() < 1e-9);
    assert!((number(&sheet, "/parting/other_half/mesh/scale") - 10.0).abs() < 1e-9);
}

#[test]
fn the_sheet_names_both_and_a_job_keeps_them() {
    let folder = two(&half(60.0, 40.0, 12.0), &half(60.0, 40.0, 18.0));
    let text = done(folder.path(), &[&LINE[..], &["--save", "closed.toml"]].concat());
    for words in ["Other half", "other.obj", "both halves together", "two scans", "First", "SEAM"] {
        assert!(text.contains(words), "no {words} in {text}");
    }
    // There is no level to fill to, and none to mark.
    assert!(!text.contains("Fill to"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    let again = done(folder.path(), &["plan", "closed.toml"]);
    // Half a mould is no pattern for another.
    refused(folder.path(), &["mould", "closed.toml"], 2, &["--other-half", "there already"]);
    refused(folder.path(), &["buy", "closed.toml", "--of", "both"], 2, &["there already"]);
    assert!(again.contains("two scans"), "{again}");
    // Another scan in its place is told.
    let other = fs::read_to_string(folder.path().join("other.obj")).unwrap();
    fs::write(folder.path().join("other.obj"), format!("# again\n{other}")).unwrap();
    let told = done(folder.path(), &["plan", "closed.toml"]);
    assert!(told.contains("the other half other.obj has"), "{told}");
}

#[test]
fn what_is_no_half_of_it_is_refused() {
    let first = half(60.0, 40.0, 12.0);
    // 1 % longer is what scans differ by; 4 % is told; 15 % is another mould.
    let close = two(&first, &half(60.6, 40.0, 18.0));
    assert!(!json(close.path(), &[])["warnings"].to_string().contains("rims-differ"));
    let worn = two(&first, &half(62.4, 40.0, 18.0));
    assert!(json(worn.path(), &[])["warnings"].to_string().contains("rims-differ"));
    let another = two(&first, &half(69.0, 40.0, 18.0));
    refused(another.path(), &LINE, 1, &["don't meet", "24.0 and 27.6 cm²"]);
    // Of the same area, but of another shape.
    let shape = two(&first, &half(80.0, 30.0, 18.0));
    refused(shape.path(), &LINE, 1, &["don't meet", "24.0 and 24.0 cm²"]);
    let closed = two(&first, &cuboid(60.0, 40.0, 18.0));
    refused(closed.path(), &LINE, 1, &["other half other.obj", "casting's shape"]);
    let first_closed = two(&cuboid(60.0, 40.0, 18.0), &first);
    refused(first_closed.path(), &LINE, 1, &["piece.obj", "casting's shape"]);

    let folder = two(&first, &half(60.0, 40.0, 18.0));
    for (options, status, words) in [
        (&["--parting", "9mm"][..], 2, &["--other-half", "leave out one"][..]),
        (&["--below-lip", "2mm"], 2, &["--below-lip", "--other-half"]),
        (&["--flange", "5mm"], 2, &["--flange", "--other-half"]),
        (&["--gap", "3mm"], 2, &["--gap", "--other-half"]),
        (&["--insert", "other.obj"], 2, &["--insert", "--other-half"]),
        (&["--water", "70g@21C"], 2, &["--water", "--other-half"]),
        (&["--impression", "1"], 2, &["--impression", "--other-half"]),
        (&["--as", "casting"], 2, &["--other-half", "half of the mould"]),
        (&["--opening", "none"], 2, &["--other-half", "half of the mould"]),
    ] {
        refused(folder.path(), &[&LINE[..], options].concat(), status, words);
    }
    let line = ["plan", "piece.obj", "--unit", "mm"];
    for (options, status, words) in [
        (&["--other-half=-"][..], 2, &["--other-half", "name a file"][..]),
        (&["--other-half=none.obj"], 1, &["none.obj"]),
        (&["--gate", "8mmx40mm"], 2, &["--gate", "--parting or --other-half"]),
        (&["--seam-width", "8mm"], 2, &["--seam-width", "--parting or --other-half"]),
    ] {
        refused(folder.path(), &[&line[..], options].concat(), status, words);
    }
}
