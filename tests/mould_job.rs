//! One job for a piece and its mould: kept together, bought for together, quoted with its wear.
#![cfg(feature = "cli")]

mod support;

use std::fs;
use std::path::Path;

use serde_json::Value;
use support::command::{done, refused};
use support::piece::{bench, number};
use support::solids::cuboid;

#[track_caller]
fn json(folder: &Path, line: &[&str]) -> Value {
    serde_json::from_str(&done(folder, &[line, &["--json"]].concat())).unwrap()
}

/// Grams by component of all mixes of a mould sheet.
fn rubber(mould: &Value) -> Vec<(String, f64)> {
    let mut all: Vec<(String, f64)> = Vec::new();
    let parts = mould["parts"].as_array().unwrap().iter();
    let mixes = parts.flat_map(|part| part["mixes"].as_array().unwrap());
    for one in mixes.flat_map(|mix| mix["components"].as_array().unwrap()) {
        let (name, grams) = (one["name"].as_str().unwrap(), number(one, "/grams"));
        match all.iter_mut().find(|(known, _)| known == name) {
            Some((_, sum)) => *sum += grams,
            None => all.push((name.to_owned(), grams)),
        }
    }
    all
}

#[test]
fn a_job_keeps_the_casting_and_its_mould() {
    let bench = bench(&cuboid(60.0, 40.0, 20.0));
    let folder = bench.path();
    let blanket = ["mould", "piece.obj", "--unit", "mm", "--blanket", "8mm", "--flange", "20mm"];
    done(folder, &[&blanket[..], &["--save", "piece.toml"]].concat());
    let plan = ["plan", "piece.toml", "--skin", "3mm", "--flange", "5mm"];
    done(folder, &[&plan[..], &["--save", "piece.toml"]].concat());

    // Both flanges are there, each under its own table.
    let job = fs::read_to_string(folder.join("piece.toml")).unwrap();
    assert!(job.contains("revision = 2") && job.contains("[blanket]\nblanket = \"8mm\""), "{job}");
    assert!(job.contains("mould-silicone-a25 = '''") && job.contains("urethane-a5 = '''"), "{job}");
    assert_eq!(json(folder, &["mould", "piece.toml"]), json(folder, &blanket));
    let again = json(folder, &["plan", "piece.toml"]);
    let typed = ["plan", "piece.obj", "--unit", "mm", "--skin", "3mm", "--flange", "5mm"];
    assert_eq!(again["layers"], json(folder, &typed)["layers"]);

    // Saved elsewhere it goes with the rest, and a mould's slip is blamed on the mould's line.
    fs::create_dir(folder.join("kept")).unwrap();
    done(folder, &["mould", "piece.toml", "--undercuts", "20%", "--save", "kept/piece.toml"]);
    assert_eq!(json(folder, &["plan", "kept/piece.toml"])["layers"], again["layers"]);
    let wrong = job.replace("flange = \"20mm\"", "flange = \"20m\"");
    fs::write(folder.join("piece.toml"), &wrong).unwrap();
    let at = 1 + wrong.lines().position(|line| line.contains("20m\"")).unwrap();
    refused(folder, &["mould", "piece.toml"], 1, &[&format!("line {at}"), "--flange 20m"]);
    done(folder, &["plan", "piece.toml"]);
}

#[test]
fn the_rubber_goes_by_the_job_as_it_was_saved() {
    let bench = bench(&cuboid(60.0, 40.0, 20.0));
    let folder = bench.path();
    let own = done(folder, &["systems", "new", "our-rubber", "--from", "mould-silicone-a25"]);
    fs::create_dir(folder.join("systems")).unwrap();
    fs::write(folder.join("systems/our-rubber.toml"), own).unwrap();
    let line = ["mould", "piece.obj", "--unit", "mm", "--rubber", "our-rubber"];
    done(folder, &[&line[..], &["--save", "piece.toml"]].concat());
    let before = json(folder, &["mould", "piece.toml"]);
    let path = folder.join("systems/our-rubber.toml");
    let thicker = fs::read_to_string(&path).unwrap().replace("Shore A 25", "Shore A 26");
    fs::write(&path, thicker).unwrap();
    let after = json(folder, &["mould", "piece.toml"]);
    assert_eq!(after["system_title"], before["system_title"]);
    let told = after["warnings"].to_string();
    assert!(told.contains("system-differs") && told.contains("--rubber our-rubber"), "{told}");
}

#[test]
fn a_purchase_is_for_castings_moulds_or_both() {
    let bench = bench(&cuboid(60.0, 40.0, 20.0));
    let folder = bench.path();
    let line = ["plan", "piece.obj", "--unit", "mm", "--castings", "6", "--moulds", "3"];
    done(folder, &[&line[..], &["--save", "piece.toml"]].concat());
    let one = rubber(&json(folder, &["mould", "piece.toml"]));
    let needed = |of: &str| -> Vec<(String, f64)> {
        let list = json(folder, &["buy", "piece.toml", "--of", of]);
        let systems = list["systems"].as_array().unwrap().iter();
        let components = systems.flat_map(|system| system["components"].as_array().unwrap());
        let pair = |c: &Value| (c["name"].as_str().unwrap().to_owned(), number(c, "/needed_g"));
        components.map(pair).collect()
    };
    let (castings, moulds, both) = (needed("castings"), needed("moulds"), needed("both"));
    assert_eq!(moulds.len(), one.len());
    for (name, grams) in &one {
        let found = moulds.iter().find(|(known, _)| known == name).unwrap().1;
        assert!((found - 3.0 * grams).abs() < 1e-6, "{name}: {found}, not 3 × {grams}");
    }
    assert_eq!(both, [castings, moulds].concat());
    let list = done(folder, &["buy", "piece.toml", "--of", "both"]);
    assert!(list.contains("6 castings of piece.toml, 3 at once, and 3 moulds"), "{list}");
    assert!(done(folder, &["buy", "piece.toml", "--of", "moulds"]).contains("3 moulds of piece"));
    refused(
        folder,
        &["buy", "piece.toml", "--of", "all"],
        2,
        &["--of", "castings, moulds or both"],
    );
}

#[test]
fn a_jacket_in_no_pack_is_told() {
    let bench = bench(&cuboid(60.0, 40.0, 20.0));
    done(bench.path(), &["mould", "piece.obj", "--make", "blanket", "--save", "piece.toml"]);
    let list = json(bench.path(), &["buy", "piece.toml", "--of", "moulds"]);
    let told = list["warnings"].to_string();
    assert!(told.contains("jacket-not-counted") && told.contains("g of plaster"), "{told}");
}

/// 12 mm of rubber round and over a box of 60 × 40 × 20 mm, charged by the gram, and its share of
/// a life of 40 castings: worked from the mould's own sheet.
#[test]
fn a_quote_carries_the_rubber_of_the_mould() {
    let bench = bench(&cuboid(60.0, 40.0, 20.0));
    let folder = bench.path();
    let mould = json(folder, &["mould", "piece.obj", "--unit", "mm"]);
    let cents: f64 =
        rubber(&mould).iter().map(|(_, grams)| (grams * 31.5 / 10.0 + 1e-9).round()).sum();
    let rates = |mould: &str| {
        let text = format!(
            "[mould]\nlife_castings = 40\n{mould}\n[[prices]]\nsystem = \"mould-silicone-a25\"\n\
             per_kg = 31.50\n"
        );
        fs::write(folder.join("quote.toml"), text).unwrap();
    };
    let line = ["quote", "piece.obj", "--unit", "mm", "--price", "urethane-a5=24/kg"];
    let one = [&line[..], &["--pieces", "40"]].concat();
    let wear = |quote: &Value| -> String {
        let lines = quote["quantities"][0]["lines"].as_array().unwrap().iter();
        let of_mould = lines.filter(|line| line["group"] == "mould");
        of_mould.map(|line| line["amount"].as_str().unwrap().to_owned()).collect()
    };
    rates("rubber = true\ncost = 60");
    let quote = json(folder, &one);
    assert_eq!(wear(&quote), format!("{:.2}", (6000.0 + cents) / 100.0));
    assert_eq!(quote["mould_rubber"].as_array().unwrap().len(), rubber(&mould).len());
    assert!(done(folder, &one).contains("its rubber in it: base, mould-silicone-a25"));
    rates("rubber = true");
    assert_eq!(wear(&json(folder, &one)), format!("{:.2}", cents / 100.0));
    rates("cost = 60");
    assert_eq!(wear(&json(folder, &one)), "60.00");
    rates("");
    refused(folder, &one, 1, &["`cost`", "[mould]"]);
    // Without a price it can't be charged, and isn't guessed.
    fs::write(folder.join("quote.toml"), "[mould]\nlife_castings = 40\nrubber = true\n").unwrap();
    refused(folder, &one, 1, &["no price is known of mould-silicone-a25", "--price"]);
    let typed = [&one[..], &["--price", "mould-silicone-a25=31.50/kg"]].concat();
    assert_eq!(wear(&json(folder, &typed)), format!("{:.2}", cents / 100.0));
    assert!(done(folder, &typed).contains("mould's wear"));
}
