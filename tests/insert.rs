//! `cavigram plan --insert`: what stands in the mould is taken out of core and cap. Truths are
//! boxes less boxes, and balls cut through their middle.
#![cfg(feature = "cli")]

mod support;

use std::path::Path;
use std::process::Output;

use cavigram::bounds::Bounds;
use cavigram::layers::{Displaced, Room};
use serde_json::Value;
use support::command;
use support::moulds::{height_sheet, pyramid};
use support::pipeline::{LEVEL, cavity, request, sound};
use support::shapes::Shape;
use support::solids::{Body, cuboid, icosphere};
use tempfile::TempDir;

/// The cavity: 60 × 40 × 30 mm, poured through its top; under 2 mm of skin and 3 mm of cap the
/// core is 2 < x < 58, 2 < y < 38, 2 < z < 27, the cap the same up to 30.
const SIDES: [f64; 3] = [60.0, 40.0, 30.0];

/// A box between two corners.
fn between(low: [f64; 3], high: [f64; 3]) -> Body {
    cuboid(high[0] - low[0], high[1] - low[1], high[2] - low[2]).moved(low)
}

/// Where a body lies in that cavity behind `skin_mm`, and how near it comes to the wall.
fn put_in(insert: &Body, skin_mm: f64) -> (Displaced, Option<f64>) {
    let cavity = cavity(&cuboid(SIDES[0], SIDES[1], SIDES[2]), &LEVEL);
    let request = request(skin_mm, 3.0, 0.005);
    let room = Room::new(&cavity, &request);
    let insert = sound(insert);
    (room.displaced_by(insert.mesh()), room.least_distance_mm(insert.mesh()))
}

/// The limits meet at the truth but for rounding.
#[track_caller]
fn exact(found: Bounds, truth: f64) {
    let rounding = 1e-9 * truth.max(1.0);
    for value in [found.low(), found.best(), found.high()] {
        assert!((value - truth).abs() <= rounding, "{found:?} is not {truth}");
    }
}

/// The limits hold the truth and are no wider than promised: 0.1 % of the cavity.
#[track_caller]
fn held(found: Bounds, truth: f64) {
    let (rounding, promised) = (1e-9 * truth.max(1.0), 0.001 * SIDES.iter().product::<f64>());
    assert!(found.low() <= truth + rounding, "{found:?} is not {truth}");
    assert!(found.high() >= truth - rounding, "{found:?} is not {truth}");
    assert!(found.high() - found.low() <= promised + 1e-3, "{found:?}");
}

#[test]
fn a_box_in_the_core_takes_its_volume() {
    for skin_mm in [2.0, 0.0] {
        let (found, wall) = put_in(&between([20.0, 15.0, 10.0], [30.0, 23.0, 16.0]), skin_mm);
        exact(found.core_mm3, 480.0);
        exact(found.cap_mm3, 0.0);
        exact(found.skin_mm3, 0.0);
        exact(found.cavity_mm3, 480.0);
        // Its floor lies 10 mm over the cavity's.
        assert!((wall.unwrap() - 10.0).abs() < 1e-9);
    }
}

#[test]
fn a_box_through_the_core_s_top_is_split_there() {
    let (found, _) = put_in(&between([20.0, 15.0, 20.0], [30.0, 23.0, 29.0]), 2.0);
    exact(found.core_mm3, 560.0);
    exact(found.cap_mm3, 160.0);
    exact(Bounds::exact(found.section_mm2), 160.0 / 3.0);
}

#[test]
fn what_stands_out_of_the_opening_takes_nothing() {
    let (found, wall) = put_in(&between([20.0, 15.0, 20.0], [30.0, 23.0, 50.0]), 2.0);
    exact(found.core_mm3, 560.0);
    exact(found.cap_mm3, 240.0);
    exact(Bounds::exact(found.above_mm3), 1600.0);
    exact(found.cavity_mm3, 800.0);
    // 15 mm from the side y = 0.
    assert!((wall.unwrap() - 15.0).abs() < 1e-9);
    let (over, wall) = put_in(&between([20.0, 15.0, 31.0], [30.0, 23.0, 50.0]), 2.0);
    exact(over.cavity_mm3, 0.0);
    assert_eq!(wall, None);
}

#[test]
fn a_box_that_reaches_into_the_skin_leaves_it_its_place() {
    let (found, wall) = put_in(&between([1.0, 1.0, 1.0], [31.0, 21.0, 29.0]), 2.0);
    // Beyond the skin 29 × 19, from 2 to 27 and from 27 to 29.
    held(found.core_mm3, 29.0 * 19.0 * 25.0);
    held(found.cap_mm3, 29.0 * 19.0 * 2.0);
    held(found.skin_mm3, 30.0 * 20.0 * 28.0 - 29.0 * 19.0 * 27.0);
    assert!((wall.unwrap() - 1.0).abs() < 1e-9);
}

#[test]
fn a_box_through_the_wall_counts_as_far_as_the_skin() {
    let (found, wall) = put_in(&between([50.0, 10.0, 5.0], [65.0, 20.0, 15.0]), 2.0);
    held(found.core_mm3, 8.0 * 100.0);
    exact(found.cap_mm3, 0.0);
    // What lies beyond the wall is known to ten times the gap.
    assert!(found.cavity_mm3.low() <= 1000.0 && found.cavity_mm3.high() >= 1000.0);
    assert!(found.cavity_mm3.high() - found.cavity_mm3.low() <= 720.0);
    assert!(wall.unwrap() <= 0.02);
}

#[test]
fn a_ball_is_halved_by_the_core_s_top() {
    let ball = icosphere(8.0, 3);
    let (whole, wall) = put_in(&ball.clone().moved([30.0, 20.0, 13.0]), 2.0);
    exact(whole.core_mm3, ball.volume());
    exact(whole.cap_mm3, 0.0);
    // The lowest corner of an icosphere is a pole or near it: 13 - 8 mm, and not below.
    assert!((5.0 - 1e-9..5.3).contains(&wall.unwrap()));
    let (half, _) = put_in(&ball.clone().moved([30.0, 20.0, 27.0]), 2.0);
    exact(half.core_mm3, ball.volume() / 2.0);
    // The upper half of it, less what stands over the level.
    exact(half.cap_mm3, ball.volume() / 2.0 - half.above_mm3);
}

#[test]
fn results_do_not_depend_on_the_number_of_threads() {
    let run = || format!("{:?}", put_in(&icosphere(9.0, 3).moved([10.0, 20.0, 12.0]), 2.0));
    let [one, three] = [1, 3].map(|threads| {
        rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap().install(run)
    });
    assert_eq!(one, three);
}

/// A directory with the cavity as `piece.obj` and inserts by name.
fn bench(inserts: &[(&str, Shape)]) -> TempDir {
    let directory = tempfile::tempdir().unwrap();
    let put = |name: &str, shape: &Shape| std::fs::write(directory.path().join(name), shape.obj());
    put("piece.obj", &Shape::cuboid(SIDES)).unwrap();
    for (name, shape) in inserts {
        put(name, shape).unwrap();
    }
    directory
}

fn run(directory: &Path, options: &[&str]) -> Output {
    command::run(directory, &[&["plan", "piece.obj"], options].concat())
}

#[track_caller]
fn json(directory: &Path, options: &[&str]) -> Value {
    let output = run(directory, &[&["--json"], options].concat());
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

#[track_caller]
fn number(value: &Value, path: &str) -> f64 {
    value.pointer(path).and_then(Value::as_f64).unwrap_or_else(|| panic!("no {path}: {value:#}"))
}

#[track_caller]
fn close(found: f64, truth: f64) {
    assert!((found - truth).abs() <= 1e-9 * truth.max(1.0), "{found} is not {truth}");
}

fn has_warning(plan: &Value, code: &str) -> bool {
    plan["warnings"].as_array().unwrap().iter().any(|w| w["code"] == code)
}

/// A box of 10 × 8 × 6 mm.
fn small() -> Shape {
    Shape::cuboid([10.0, 8.0, 6.0])
}

#[test]
fn core_and_cap_are_less_by_what_two_inserts_take_together() {
    // They share half of each: 720 mm³ together.
    let bench = bench(&[
        ("bone.obj", small().moved([20.0, 15.0, 10.0])),
        ("tube.obj", small().inside_out().moved([25.0, 15.0, 10.0])),
    ]);
    let without = json(bench.path(), &[]);
    assert!(without.get("inserts").is_none() && without.get("inserts_together").is_none());
    let plan = json(bench.path(), &["--insert", "bone.obj", "--insert", "tube.obj"]);
    for (k, file) in ["bone.obj", "tube.obj"].iter().enumerate() {
        assert_eq!(plan["inserts"][k]["file"], *file);
        close(number(&plan["inserts"][k], "/volume_cm3"), 0.48);
        close(number(&plan["inserts"][k], "/in_core_cm3"), 0.48);
        close(number(&plan["inserts"][k], "/in_cap_cm3"), 0.0);
        close(number(&plan["inserts"][k], "/wall_distance_mm"), 10.0);
    }
    close(number(&plan, "/inserts_together/core/volume_cm3"), 0.72);
    let volume = |plan: &Value, layer: usize| number(plan, &format!("/layers/{layer}/volume_cm3"));
    close(volume(&plan, 0), volume(&without, 0));
    close(volume(&plan, 1), volume(&without, 1) - 0.72);
    close(volume(&plan, 2), volume(&without, 2));
    let layers: f64 = (0..3).map(|k| volume(&plan, k)).sum();
    let together = ["core", "cap"]
        .map(|l| number(&plan, &format!("/inserts_together/{l}/volume_cm3")))
        .into_iter()
        .sum::<f64>();
    close(layers + together, number(&plan, "/cavity/volume_cm3"));
    let net = |plan: &Value| number(plan, "/layers/1/net_g");
    let less_g = 0.72 * number(&plan, "/layers/1/density_g_cm3");
    // Both are told to the scale's 0.1 g.
    assert!((net(&without) - net(&plan) - less_g).abs() <= 0.1 + 1e-9);
}

#[test]
fn every_impression_takes_what_lies_in_it() {
    // Two pyramids of 15 mm upside down, each with a box of 48 mm³ 5 mm over its tip: a box's
    // lower edges lie 3 mm beside the slopes, so 3/√2 mm from them.
    let floor = |x: f64, y: f64| {
        -pyramid(x, y, [20.0, 20.0], 15.0, 15.0) - pyramid(x, y, [60.0, 20.0], 15.0, 15.0)
    };
    let sheet = height_sheet(40, 2.0, floor);
    let block = |x: f64| Shape::cuboid([4.0, 4.0, 3.0]).moved([x - 2.0, 18.0, -10.0]);
    let bench = bench(&[("one.obj", block(20.0)), ("both.obj", block(20.0).and(block(60.0)))]);
    let mould = Shape { vertices: sheet.points, triangles: sheet.faces };
    std::fs::write(bench.path().join("piece.obj"), mould.obj()).unwrap();
    let asked = ["--as", "mould", "--impression", "all", "--skin", "1mm", "--insert"];
    for (file, mm3) in [("one.obj", 48.0), ("both.obj", 96.0)] {
        let plan = json(bench.path(), &[&asked[..], &[file]].concat());
        close(number(&plan, "/inserts/0/in_core_cm3"), mm3 / 1000.0);
        close(number(&plan, "/inserts_together/core/volume_low_cm3"), mm3 / 1000.0);
        let wall_mm = number(&plan, "/inserts/0/wall_distance_mm");
        assert!((wall_mm - 3.0 / 2f64.sqrt()).abs() <= 1e-9, "{wall_mm}");
        assert!(!has_warning(&plan, "insert-outside"), "{plan:#}");
    }
}

#[test]
fn an_insert_has_the_mesh_s_own_scale() {
    let bench = bench(&[("bone.obj", small().moved([20.0, 15.0, 10.0]))]);
    let plan = json(bench.path(), &["--insert", "bone.obj", "--known", "x=120mm"]);
    close(number(&plan, "/inserts/0/volume_cm3"), 8.0 * 0.48);
    close(number(&plan, "/inserts/0/in_core_cm3"), 8.0 * 0.48);
}

#[test]
fn the_sheet_tells_inserts_and_warns_of_them() {
    let bench = bench(&[
        ("rod.obj", Shape::cuboid([4.0, 4.0, 60.0]).moved([30.0, 20.0, 10.0])),
        ("near.obj", small().moved([1.0, 15.0, 10.0])),
        ("through.obj", small().moved([53.0, 15.0, 10.0])),
    ]);
    let sheet = |file: &str| {
        let output = run(bench.path(), &["--insert", file]);
        assert!(output.status.success());
        String::from_utf8(output.stdout).unwrap()
    };
    let rod = sheet("rod.obj");
    assert!(rod.contains("rod.obj: 0.960 cm³, of it 0.272 in the core, 0.0480 in the"), "{rod}");
    assert!(rod.lines().all(|line| line.chars().count() <= 80), "{rod}");
    let codes = |file: &str| {
        let plan = json(bench.path(), &["--insert", file]);
        ["insert-above-level", "insert-touches-skin", "insert-outside"]
            .map(|code| has_warning(&plan, code))
    };
    assert_eq!(codes("near.obj"), [false, true, false]);
    assert_eq!(codes("through.obj"), [false, false, true]);
    assert!(rod.contains("stands over the fill level"), "{rod}");
    assert!(!rod.contains("touches the wall") && !rod.contains("outside the cavity"), "{rod}");
}

#[test]
fn what_is_no_insert_is_refused_with_its_name() {
    let bench = bench(&[
        ("far.obj", small().moved([200.0, 0.0, 0.0])),
        ("half.obj", small().moved([56.0, 15.0, 10.0])),
        ("over.obj", small().moved([20.0, 15.0, 40.0])),
        ("open.obj", small().moved([20.0, 15.0, 10.0]).without(2)),
    ]);
    std::fs::write(bench.path().join("text.stl"), "Shopping: rubber, cups.\n").unwrap();
    for (file, words) in [
        ("far.obj", "far.obj doesn't lie in the cavity: nothing of it does"),
        ("half.obj", "half.obj doesn't lie in the cavity: 60 % of it lies outside"),
        ("over.obj", "over.obj doesn't lie in the cavity: nothing of it does"),
        ("open.obj", "insert open.obj: the mesh is not closed: a hole 10.0 mm across"),
        ("text.stl", "insert text.stl: "),
        ("missing.stl", "there is no file missing.stl"),
    ] {
        let output = run(bench.path(), &["--insert", file]);
        let error = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{file}: {error}");
        assert!(error.contains(words), "{file}: {error}");
        assert!(error.contains("hint: ") && output.stdout.is_empty(), "{file}: {error}");
    }
    assert_eq!(run(bench.path(), &["--insert", "-"]).status.code(), Some(2));
}
