//! `cavigram level`: dip-stick tables against a published one and closed forms.
#![cfg(feature = "cli")]

mod support;

use std::f64::consts::PI;
use std::path::Path;

use cavigram::cavity::CavityRequest;
use cavigram::materials::{Mix, builtin};
use cavigram::plan::Recipe;
use serde_json::Value;
use support::command::run;
use support::moulds::{height_sheet, pyramid, turned_mould, with_block};
use support::piece::bench;
use support::pipeline::{CLOSED, LEVEL, cavity};
use support::remesh::rough;
use support::solids::{Body, cuboid, icosphere, ngon, prism, revolved, round_profile, roundness};
use support::truth::profile_volume;

#[track_caller]
fn done(directory: &Path, line: &[&str]) -> String {
    let output = run(directory, line);
    let error = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{line:?}: {error}");
    String::from_utf8(output.stdout).unwrap()
}

/// The table as JSON.
#[track_caller]
fn json(directory: &Path, options: &[&str]) -> Value {
    let line = [&["level", "piece.obj", "--json"], options].concat();
    serde_json::from_str(&done(directory, &line)).unwrap()
}

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("no number {key} in {value:#}"))
}

fn rows(table: &Value) -> &[Value] {
    table["rows"].as_array().unwrap()
}

/// Height and volume of every row, mm and mm³.
fn volumes(table: &Value) -> Vec<[f64; 2]> {
    let row = |r: &Value| [number(r, "height_mm"), 1000.0 * number(r, "volume_cm3")];
    rows(table).iter().map(row).collect()
}

#[track_caller]
fn close(found: f64, truth: f64, off: f64) {
    assert!((found - truth).abs() <= off, "{found} is not {truth}");
}

/// Every row against what a height holds; `share` of the whole may be missed.
#[track_caller]
fn check(table: &Value, count: usize, share: f64, truth: impl Fn(f64) -> f64) {
    let volumes = volumes(table);
    assert_eq!(volumes.len(), count);
    let whole = truth(volumes[count - 1][0]);
    for [height, volume] in volumes {
        close(volume, truth(height), share * whole);
    }
}

/// A round bar of radius 3 mm, 10 mm long, lying.
fn lying_cylinder(sides: usize) -> Body {
    prism(&ngon(sides, 3.0), 10.0).turned([1.0, 0.0, 0.0], PI / 2.0)
}

/// Per cent of the volume at per cent of the diameter: the dip-stick table of a lying cylinder
/// with flat ends as it is published for tanks, to its three decimals (references G25); and its
/// closed form L·(R²·acos((R − h)/R) − (R − h)·√(2Rh − h²)), CRC Standard Mathematical Tables
/// (references G24).
#[test]
fn a_lying_cylinder_fills_as_the_published_table_says() {
    let sides = 2000;
    let bench = bench(&lying_cylinder(sides));
    let table = json(bench.path(), &["--steps", "20", "--opening", "none"]);
    let volumes = volumes(&table);
    let whole = volumes[20][1];
    for (percent, published) in [
        (5, 1.869),
        (10, 5.204),
        (15, 9.406),
        (20, 14.238),
        (25, 19.550),
        (30, 25.232),
        (35, 31.192),
        (40, 37.353),
        (45, 43.644),
        (50, 50.0),
    ] {
        let [_, volume] = volumes[percent / 5];
        close(100.0 * volume / whole, published, 0.0006);
        let [_, other] = volumes[20 - percent / 5];
        close(100.0 * other / whole, 100.0 - published, 0.0006);
    }
    let (r, l) = (3.0_f64, 10.0);
    check(&table, 21, 2.0 * (roundness(sides) - 1.0), |h| {
        // The last row lies at the diameter but for rounding.
        let h = h.min(2.0 * r);
        l * (r * r * ((r - h) / r).acos() - (r - h) * (2.0 * r * h - h * h).sqrt())
    });
    let at_two = json(bench.path(), &["--step", "2mm", "--opening", "none"]);
    close(1000.0 * number(&rows(&at_two)[1], "volume_cm3"), 82.50208, 1e-3);
}

#[test]
fn a_box_fills_evenly() {
    let bench = bench(&cuboid(60.0, 40.0, 30.0));
    check(&json(bench.path(), &[]), 11, 1e-12, |h| 2400.0 * h);
    check(&json(bench.path(), &["--step", "7mm"]), 6, 1e-12, |h| 2400.0 * h);
    check(&json(bench.path(), &["--below-lip", "5mm"]), 11, 1e-12, |h| 2400.0 * h);
    // Its flat top made wall: closed, and a table all the same.
    check(&json(bench.path(), &["--opening", "none"]), 11, 1e-12, |h| 2400.0 * h);
}

/// Conical cup, bottom 3, top 5, height 6 (references G23), as a mould's block and as a casting:
/// πh(R² + Rr + r²)/3 up to every level, times the polygon's share of a circle.
#[test]
fn a_conical_mould_and_its_casting_fill_alike() {
    let n = 96;
    let cup = [[0.0, 0.0], [3.0, 0.0], [5.0, 6.0]];
    let truth = |h: f64| {
        let (low, high) = (3.0, 3.0 + h / 3.0);
        roundness(n) * PI * h * (low * low + low * high + high * high) / 3.0
    };
    let mould = bench(&turned_mould(&with_block(&cup, 9.0, -3.0), n));
    let filled = json(mould.path(), &["--as", "mould", "--step", "1mm"]);
    check(&filled, 7, 1e-9, truth);
    close(1000.0 * number(&rows(&filled)[4], "volume_cm3"), 170.80956 * roundness(n), 1e-4);
    let casting = bench(&revolved(&[&cup[..], &[[0.0, 6.0]]].concat(), n));
    check(&json(casting.path(), &["--step", "1mm"]), 7, 1e-9, truth);
}

/// A bowl of radius 8 mm: πh²(3R − h)/3 (references G22) within what its facets miss, and the
/// facetted bowl's own frusta exactly.
#[test]
fn a_hemispherical_mould_fills_as_the_bowl_formula_says() {
    let (r, n, steps) = (8.0, 256, 256);
    let mut bowl: Vec<[f64; 2]> = round_profile(r, steps);
    bowl.retain(|p| p[1] < -1e-9);
    bowl.push([r, 0.0]);
    let mould = bench(&turned_mould(&with_block(&bowl, 12.0, -12.0), n));
    let table = json(mould.path(), &["--as", "mould", "--steps", "16"]);
    check(&table, 17, 1e-9, |h| roundness(n) * profile_volume(&bowl, -r, h - r));
    check(&table, 17, 3e-4, |h| PI * h * h * (3.0 * r - h) / 3.0);
    close(1000.0 * number(&rows(&table)[6], "volume_cm3"), 197.92034, 0.1);
}

/// The sweep over all levels at once against a cut at each level, on a body whose triangles stand
/// in every direction.
#[test]
fn many_levels_at_once_are_each_as_if_cut_by_itself() {
    let ball = rough(icosphere(20.0, 3), 0.4, [0.6, 0.0, 0.8], 7, |_| true);
    for asked in [CLOSED, CavityRequest { below_lip_mm: 9.5, ..LEVEL }] {
        let cavity = cavity(&ball, &asked);
        let top = cavity.level_mm();
        let mut levels: Vec<f64> = (0..=500).map(|k| top * f64::from(k) / 500.0).collect();
        // Corners' own heights too.
        levels.extend(cavity.wall().vertices().iter().map(|p| p.z).filter(|z| *z < top));
        levels.sort_by(f64::total_cmp);
        let whole = cavity.measures().volume_mm3.best();
        for (level, swept) in levels.iter().zip(cavity.volumes_under_mm3(&levels)) {
            close(swept.best(), cavity.volume_under_mm3(*level), 1e-10 * whole);
            assert!(swept.low() <= swept.best() && swept.best() <= swept.high());
        }
    }
}

/// The bottom of a mesh with a hole filled may hide something at any height: all rows are as
/// unsure as the cavity.
#[test]
fn what_repair_may_hide_widens_every_row() {
    let mut body = cuboid(60.0, 40.0, 30.0).subdivided(3);
    let lost = body.faces.iter().position(|f| f.iter().all(|v| body.points[*v as usize][0] == 0.0));
    body.faces.remove(lost.unwrap());
    let bench = bench(&body);
    let table = json(bench.path(), &[]);
    let cavity = &table["cavity"];
    let [low, best, high] =
        ["volume_low_cm3", "volume_cm3", "volume_high_cm3"].map(|key| number(cavity, key));
    assert!(low < best && best < high);
    for row in rows(&table) {
        let [row_low, row_best, row_high] =
            ["volume_low_cm3", "volume_cm3", "volume_high_cm3"].map(|key| number(row, key));
        close(row_high - row_best, high - best, 1e-9);
        close(row_low, (row_best - (best - low)).max(0.0), 1e-9);
    }
    let text = done(bench.path(), &["level", "piece.obj"]);
    assert!(text.contains("Unsure     each volume by up to "), "{text}");
}

/// A back with a dent: what lies between it and its plane is in the limits over the dent's bottom,
/// and rows under it are exact.
#[test]
fn a_dented_back_widens_rows_near_it_alone() {
    let body = cuboid(60.0, 40.0, 30.0).subdivided(4);
    let dented = body.map(|p| if p == [30.0, 20.0, 30.0] { [30.0, 20.0, 29.0] } else { p });
    let cavity = cavity(&dented, &LEVEL);
    let gap = cavity.back_gap_mm3();
    assert!(cavity.is_open() && gap.absolute > 0.0, "{gap:?}");
    close(gap.from_mm, 29.0, 1e-9);
    let top = cavity.level_mm();
    let found = cavity.volumes_under_mm3(&[15.0, 28.9, 29.5, top]);
    for (bounds, height) in found[..2].iter().zip([15.0, 28.9]) {
        close(bounds.best(), 2400.0 * height, 1e-6);
        assert_eq!(bounds.low(), bounds.high());
    }
    // Half way up, the rubber is a box less a pyramid of an eighth of the dent; were the dent
    // level, it would be the box: both lie within the limits.
    let dent = 72_000.0 - dented.volume();
    assert!(dent > 1.0);
    for truth in [2400.0 * 29.5, 2400.0 * 29.5 - dent / 8.0] {
        assert!(found[2].low() <= truth && truth <= found[2].high(), "{truth}: {:?}", found[2]);
    }
    assert!(found[2].low() < found[2].high());
    close(found[3].best(), dented.volume(), 1e-6);
}

#[test]
fn the_last_row_is_the_cavity_that_is_planned() {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-meshes");
    let mut seen = 0;
    for entry in std::fs::read_dir(&samples).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        if ![".stl", ".obj", ".ply"].iter().any(|ending| name.ends_with(ending)) {
            continue;
        }
        for options in [&[][..], &["--below-lip", "0.3mm"]] {
            let of = |command: &str| -> Value {
                // The table is of the bare cavity, and so is what is told of air in it.
                let bare: &[&str] = if command == "plan" { &["--skin", "0"] } else { &[] };
                let line = [&[command, &name, "--json"], options, bare].concat();
                serde_json::from_str(&done(&samples, &line)).unwrap()
            };
            let (table, plan) = (of("level"), of("plan"));
            let last = rows(&table).last().unwrap();
            for key in ["volume_cm3", "volume_low_cm3", "volume_high_cm3"] {
                assert_eq!(number(last, key), number(&plan["cavity"], key), "{name} {key}");
            }
            assert_eq!(table["cavity"], plan["cavity"], "{name}");
            close(number(last, "height_mm"), number(&plan["cavity"], "fill_mm"), 1e-9);
            let first = &rows(&table)[0];
            assert_eq!([number(first, "height_mm"), number(first, "volume_cm3")], [0.0, 0.0]);
            assert!(volumes(&table).is_sorted_by(|a, b| a[1] < b[1]), "{name}: {table:#}");
        }
        seen += 1;
    }
    assert_eq!(seen, 11);
}

/// Pyramids 12 and 9 mm deep fill with the cube of the height over their tips: at one depth under
/// both lips the heights differ.
#[test]
fn several_impressions_are_added_at_the_same_depth() {
    let sheet = height_sheet(120, 1.0, |x, y| {
        -pyramid(x, y, [30.0, 60.0], 16.0, 9.0) - pyramid(x, y, [84.0, 60.0], 20.0, 12.0)
    });
    let tip = |half: f64, depth: f64, h: f64| {
        4.0 / 3.0 * half * half * h.max(0.0).powi(3) / (depth * depth)
    };
    let bench = bench(&sheet);
    let table = json(bench.path(), &["--impression", "all", "--step", "1mm"]);
    check(&table, 13, 1e-9, |h| tip(20.0, 12.0, h) + tip(16.0, 9.0, h - 3.0));
    let codes: Vec<&Value> =
        table["warnings"].as_array().unwrap().iter().map(|w| &w["code"]).collect();
    assert!(codes.contains(&&Value::from("impressions-together")), "{codes:?}");
    let second = json(bench.path(), &["--impression", "2", "--step", "1mm"]);
    check(&second, 10, 1e-9, |h| tip(16.0, 9.0, h));
    // Poured 10 mm under the lips, only the deep one holds anything.
    let low = json(bench.path(), &["--impression", "all", "--below-lip", "10mm", "--steps", "2"]);
    check(&low, 3, 1e-9, |h| tip(20.0, 12.0, h));
    close(number(&rows(&low)[2], "below_lip_mm"), 10.0, 1e-9);
}

#[test]
fn grams_follow_the_density_of_the_mix() {
    let bench = bench(&cuboid(100.0, 100.0, 10.0));
    let density = |options: &[&str]| {
        let table = json(bench.path(), options);
        let last = &rows(&table)[rows(&table).len() - 1];
        let density = number(last, "grams") / number(last, "volume_cm3");
        close(density, number(&table, "density_g_cm3"), 1e-12);
        density
    };
    let of = |id: &str, parts: Option<u32>| {
        let parts = parts.map(cavigram::materials::Parts::whole);
        let recipe = Recipe::for_core(builtin(id).unwrap(), parts);
        Mix::new(&recipe.system, recipe.softener).unwrap().filled_density_g_cm3
    };
    close(density(&[]), of("urethane-a5", Some(2)), 1e-12);
    close(density(&["--softener", "0"]), of("urethane-a5", Some(0)), 1e-12);
    close(density(&["--system", "silicone-00-30"]), of("silicone-00-30", None), 1e-12);
    close(density(&["--system", "foam-flexible"]), of("foam-flexible", None), 1e-12);
    assert!(density(&["--softener", "0"]) > density(&[]));
}

/// 1/8 in is 3.175 mm exactly (references U2); to the nearest 1/32 is common practice, no source.
#[test]
fn depths_are_told_in_fractions_of_an_inch() {
    let bench = bench(&cuboid(100.0, 100.0, 25.4));
    let table = json(bench.path(), &["--step", "1/8in"]);
    let inches: Vec<&str> =
        rows(&table).iter().map(|r| r["below_lip_in"].as_str().unwrap()).collect();
    assert_eq!(inches, ["1", "7/8", "3/4", "5/8", "1/2", "3/8", "1/4", "1/8", "0"]);
    let plan = |cap: &str, below: &str| {
        let line = ["plan", "piece.obj", "--cap", cap, "--below-lip", below];
        (done(bench.path(), &line), done(bench.path(), &[&line[..], &["--json"]].concat()))
    };
    let (sheet, _) = plan("1/8in", "0mm");
    assert!(sheet.contains(", 3.2 mm (1/8 in) under the lip\n"), "{sheet}");
    assert!(sheet.contains(", at the lip\n"), "{sheet}");
    let (sheet, keys) = plan("3mm", "0.3mm");
    assert!(sheet.contains(", 3.3 mm (1/8 in) under the lip\n"), "{sheet}");
    assert!(sheet.contains(", 0.3 mm (< 1/64 in) under the lip\n"), "{sheet}");
    let keys: Value = serde_json::from_str(&keys).unwrap();
    for (layer, mm, inches) in [(1, 3.3, "1/8"), (2, 0.3, "0")] {
        close(number(&keys["layers"][layer], "below_lip_mm"), mm, 1e-9);
        assert_eq!(keys["layers"][layer]["below_lip_in"], inches);
    }
    // A closed cavity has no lip to mark under.
    let line = ["plan", "piece.obj", "--opening", "none", "--json"];
    let closed: Value = serde_json::from_str(&done(bench.path(), &line)).unwrap();
    assert!(closed["layers"][1].get("below_lip_mm").is_none());
}

#[test]
fn the_json_has_its_keys() {
    let bench = bench(&cuboid(60.0, 40.0, 30.0));
    let table = json(bench.path(), &["--unit", "mm"]);
    assert_eq!(table["schema"], "cavigram/level/1");
    let all = [
        "mesh",
        "health",
        "cavity",
        "system",
        "system_title",
        "softener_parts",
        "density_g_cm3",
        "step_mm",
        "rows",
        "warnings",
    ];
    for key in all {
        assert!(!table[key].is_null(), "{key}");
    }
    for row in rows(&table) {
        let keys: Vec<&String> = row.as_object().unwrap().keys().collect();
        let mut expected = [
            "height_mm",
            "below_lip_mm",
            "below_lip_in",
            "volume_cm3",
            "volume_low_cm3",
            "volume_high_cm3",
            "grams",
        ];
        expected.sort_unstable();
        let mut keys: Vec<&str> = keys.into_iter().map(String::as_str).collect();
        keys.sort_unstable();
        assert_eq!(keys, expected);
    }
    assert_eq!(number(&table, "step_mm"), 3.0);
}

/// RFC 4180: one header, as many fields in every line, lines ended by CR LF; the same numbers as
/// the JSON.
#[test]
fn the_csv_holds_the_same_table() {
    let bench = bench(&cuboid(60.0, 40.0, 30.0));
    let json = json(bench.path(), &["--step", "1/8in"]);
    let output = run(bench.path(), &["level", "piece.obj", "--step", "1/8in", "--csv"]);
    let text = String::from_utf8(output.stdout).unwrap();
    // The unit was assumed, and a table of numbers has no place to say so.
    let beside = String::from_utf8(output.stderr).unwrap();
    assert!(beside.starts_with("cavigram: warning: ") && beside.contains("millimetres"));
    assert!(text.ends_with("\r\n") && text.matches('\n').count() == text.matches("\r\n").count());
    let mut lines = text.split_terminator("\r\n").map(|l| l.split(',').collect::<Vec<_>>());
    let head = lines.next().unwrap();
    assert_eq!(
        head.join(","),
        "height_mm,below_lip_mm,below_lip_in,volume_cm3,volume_low_cm3,volume_high_cm3,grams"
    );
    let lines: Vec<_> = lines.collect();
    assert_eq!(lines.len(), rows(&json).len());
    for (fields, row) in lines.iter().zip(rows(&json)) {
        assert_eq!(fields.len(), head.len());
        for (key, field) in head.iter().zip(fields) {
            if *key == "below_lip_in" {
                let inches = row[*key].as_str().unwrap();
                let wholes =
                    if inches.starts_with("1 ") || !inches.contains('/') { "" } else { "0 " };
                assert_eq!(*field, format!("{wholes}{inches}"));
            } else {
                // The reader of JSON may be off by a last digit.
                let truth = number(row, key);
                close(field.parse().unwrap(), truth, 1e-15 * truth);
            }
        }
    }
    let quiet = run(bench.path(), &["level", "piece.obj", "--unit", "mm", "--csv"]);
    assert!(quiet.stderr.is_empty());
}

#[test]
fn the_sheet_shows_every_row_in_80_columns() {
    let bench = bench(&cuboid(60.0, 40.0, 30.0));
    let text = done(bench.path(), &["level", "piece.obj", "--step", "7mm"]);
    for line in text.lines() {
        assert!(line.chars().count() <= 80 && line == line.trim_end(), "{line}");
    }
    let last = text.lines().find(|l| l.trim_start().starts_with("30.00 ")).unwrap();
    let fields: Vec<&str> = last.split_whitespace().collect();
    assert_eq!(fields[..4], ["30.00", "0.00", "0", "72.00"], "{text}");
    let under = text.lines().find(|l| l.trim_start().starts_with("28.00 ")).unwrap();
    let fields: Vec<&str> = under.split_whitespace().collect();
    assert_eq!(fields[..4], ["28.00", "2.00", "3/32", "67.20"], "{text}");
}

#[track_caller]
fn refused(directory: &Path, options: &[&str], status: i32, words: &[&str]) {
    let line = [&["level", "piece.obj"], options].concat();
    let output = run(directory, &line);
    let error = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(status), "{line:?}: {error}");
    assert!(output.stdout.is_empty(), "{line:?}");
    assert!(error.starts_with("cavigram: "), "{line:?}: {error}");
    for word in words {
        assert!(error.contains(word), "{line:?} doesn't say {word:?}: {error}");
    }
}

#[test]
fn what_can_not_be_meant_is_wrong_usage() {
    let bench = bench(&cuboid(60.0, 40.0, 30.0));
    let at = bench.path();
    refused(at, &["--step", "0"], 2, &["--step", "hint: "]);
    refused(at, &["--step", "-1mm"], 2, &["--step", "negative"]);
    refused(at, &["--step", "nan"], 2, &["--step", "finite"]);
    refused(at, &["--step", "1/8"], 2, &["hint: write 1/8in"]);
    for step in ["1e-3mm", "1e-300mm"] {
        refused(at, &["--step", step], 2, &["--step", "10000", "hint: ", "0.003 mm"]);
    }
    for steps in ["0", "-1", "2.5", "many", "10001", "99999999999"] {
        refused(at, &["--steps", steps], 2, &["--steps", "1 to 10000"]);
    }
    refused(at, &["--step", "1mm", "--steps", "5"], 2, &["--step", "--steps"]);
    refused(at, &["--csv", "--json"], 2, &["--csv", "--json"]);
    refused(at, &["--system", "treacle"], 2, &["--system", "treacle", "urethane-a5"]);
    refused(at, &["--softener", "-1"], 2, &["--softener"]);
    refused(at, &["--opening", "none", "--below-lip", "1mm"], 2, &["--below-lip"]);
    refused(at, &["--skin", "2mm"], 2, &["--skin"]);
    assert_eq!(rows(&json(at, &["--steps", "10000"])).len(), 10_001);
    assert_eq!(rows(&json(at, &["--step", "0.003mm"])).len(), 10_001);
}

#[test]
fn what_can_not_be_done_is_refused() {
    let bench = bench(&cuboid(60.0, 40.0, 30.0));
    let at = bench.path();
    refused(at, &["--below-lip", "30mm"], 1, &["30", "hint: "]);
    refused(at, &["--impression", "2"], 1, &["impression 2"]);
    refused(at, &["--system", "foam-flexible", "--softener", "1"], 1, &["softener", "hint: "]);
    std::fs::write(at.join("piece.obj"), "v 0 0 0\nv 10 0 0\nv 0 10 0\nf 1 2 3\nf 1 3 2\n")
        .unwrap();
    refused(at, &[], 1, &["piece.obj", "hint: "]);
}
