//! `mix`: one mix without a mesh, forward from an amount and backward from grams and the shelf.
#![cfg(feature = "cli")]

#[path = "support/command.rs"]
mod command;

use std::f64::consts::PI;

use command::{done, refused, run, text};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use serde_json::Value;
use tempfile::TempDir;

fn mix(options: &[&str]) -> Value {
    let folder = TempDir::new().unwrap();
    serde_json::from_str(&done(folder.path(), &[&["mix", "--json"], options].concat())).unwrap()
}

fn number(value: &Value, path: &str) -> f64 {
    value.pointer(path).and_then(Value::as_f64).unwrap_or_else(|| panic!("no {path}: {value}"))
}

fn grams(told: &Value) -> Vec<f64> {
    let components = told["components"].as_array().unwrap();
    components.iter().map(|c| c["grams"].as_f64().unwrap()).collect()
}

/// References U3 and B3: 2 mm at 1.04 g/cm³ are 20.8 g on 100 cm².
#[test]
fn a_coat_weighs_by_its_area_and_thickness() {
    let told = mix(&["--area", "100cm2", "--thickness", "2mm", "--thicken", "none", "--exact"]);
    assert!((number(&told, "/net_g") - 20.8).abs() < 1e-9, "{told}");
    assert_eq!(grams(&told), [10.4, 10.4]);
    assert_eq!(told["allowances_g"], serde_json::json!([]));
}

/// References U6: 1:1 by volume of parts that differ in density is another ratio by mass, and the
/// density of the mix is Σm / Σ(m/ρ).
#[test]
fn parts_by_volume_are_weighed_by_density() {
    let system = cavigram::materials::builtin("urethane-a20-by-volume").unwrap();
    let densities: Vec<f64> =
        system.components.iter().map(|c| c.density_g_cm3.as_ref().unwrap().value).collect();
    let told = mix(&["--volume", "4l", "--system", "urethane-a20-by-volume", "--exact"]);
    let parts = grams(&told);
    let by_mass = parts[1] / parts[0];
    assert!((by_mass - densities[1] / densities[0]).abs() < 1e-3, "{parts:?} of {densities:?}");
    let volumes: f64 = parts.iter().zip(&densities).map(|(g, density)| g / density).sum();
    assert!((number(&told, "/density_g_cm3") - number(&told, "/mix_g") / volumes).abs() < 2e-3);
}

#[test]
fn the_same_amount_in_any_unit_is_the_same_mix() {
    let of = |volume: &str| grams(&mix(&["--volume", volume]));
    // NIST Handbook 44, Appendix C (references U1): exact.
    assert_eq!(of("473.176473ml"), of("16usfloz"));
    assert_eq!(of("454.609ml"), of("16impfloz"));
    assert_eq!(of("16.387064cm3"), of("1in3"));
    let of = |mass: &str| grams(&mix(&["--mass", mass]));
    assert_eq!(of("566.99046g"), of("1 lb 4 oz"));
    assert_eq!(of("0.45359237kg"), of("1lb"));
}

#[test]
fn grams_on_an_area_tell_the_thickness_both_ways() {
    let told = mix(&["--mass", "60g", "--area", "300cm2", "--thicken", "none"]);
    // 60 g of 1.04 g/cm³ on 300 cm².
    let all = number(&told, "/reach/thickness_mm");
    assert!((all - 60.0 / 1.04 / 300.0 * 10.0).abs() < 1e-9, "{all}");
    let mixed = number(&told, "/reach/mixed_thickness_mm");
    let thickness = format!("{mixed}mm");
    let there = ["--area", "300cm2", "--thickness", &thickness, "--thicken", "none"];
    let back = mix(&there);
    // On a scale of 0.1 g with two components.
    assert!((number(&back, "/mix_g") - 60.0).abs() <= 0.4, "{}", back["mix_g"]);
    let exact = mix(&["--mass", "60g", "--area", "300cm2", "--thicken", "none", "--exact"]);
    assert_eq!(grams(&exact), [30.0, 30.0]);
}

#[test]
fn the_shelf_is_enough_for_so_many_and_not_one_more() {
    let shelf = ["A=900g", "B=1.2kg", "softener=1 lb 4 oz"].join(",");
    let told = mix(&["--volume", "80cm3", "--shelf", &shelf]);
    let castings = told["shelf"]["castings"].as_u64().unwrap();
    assert!(castings > 1, "{told}");
    assert_eq!(told["shelf"]["first_out"], "softener");
    for one in told["shelf"]["components"].as_array().unwrap() {
        let left = one["left_g"].as_f64().unwrap();
        let (has, takes) = (one["has_g"].as_f64().unwrap(), one["takes_g"].as_f64().unwrap());
        assert!(left >= -1e-9 && (has - takes - left).abs() < 1e-9, "{one}");
    }
    let total = |castings: u64| {
        let count = castings.to_string();
        let told = mix(&["--volume", "80cm3", "--castings", &count]);
        let softener = told["totals"][1]["components"].as_array().unwrap().iter();
        softener
            .filter(|c| c["name"] == "softener")
            .map(|c| c["grams"].as_f64().unwrap())
            .sum::<f64>()
    };
    let has = 20.0 * 28.349523125;
    assert!(total(castings) <= has && total(castings + 1) > has, "{castings} castings");
}

#[test]
fn what_is_no_amount_is_refused_in_words() {
    let folder = TempDir::new().unwrap();
    let refused = |status, options: &[&str], words: &[&str]| {
        refused(folder.path(), &[&["mix"], options].concat(), status, words);
    };
    refused(2, &[], &["nothing says how much", "--volume"]);
    refused(2, &["--volume", "8floz"], &["US and imperial", "usfloz"]);
    refused(2, &["--volume", "2gal"], &["usgal"]);
    refused(2, &["--volume", "5ml", "--mass", "3g"], &["leave out one"]);
    refused(2, &["--volume", "5ml", "--area", "3cm2"], &["leave out one"]);
    refused(2, &["--volume", "5ml", "--thickness", "3mm"], &["leave out one"]);
    refused(2, &["--area", "5cm2"], &["an area alone", "--thickness"]);
    refused(2, &["--thickness", "2mm"], &["--area"]);
    refused(2, &["--area", "5cm2", "--thickness", "2mm", "--mass", "3g"], &["leave out one"]);
    refused(2, &["--area", "5cm2", "--thickness", "0mm"], &["no thickness"]);
    for bad in ["", "nan", "0g", "-3g", "1e9kg", "3 stones", "inf g"] {
        refused(2, &["--mass", bad], &["--mass"]);
    }
    refused(2, &["--mass", "60g", "--for", "wall"], &["coat, core or cap"]);
    refused(2, &["--mass", "60g", "--system", "rubber"], &["--system"]);
    refused(2, &["--mass", "60g", "--softener", "1", "--hardness", "00-25"], &["--hardness"]);
    refused(1, &["--mass", "60g", "--shelf", "A=3g"], &["nothing of softener"]);
    refused(1, &["--mass", "60g", "--shelf", "C=3g"], &["names C", "A, softener, B"]);
    refused(1, &["--mass", "60g", "--shelf", "A=3g,a=4g"], &["twice"]);
    refused(2, &["--mass", "60g", "--shelf", "A"], &["A=900g"]);
    refused(2, &["--mass", "60g", "--shelf", "A=3g", "--castings", "2"], &["--shelf"]);
    let coat = ["--area", "10cm2", "--thickness", "1mm", "--thicken", "1.5%"];
    let coarse = [&coat[..], &["--scale-step", "1g", "--exact"]].concat();
    refused(1, &coarse, &["fumed silica would round to nothing", "0.01 g"]);
}

#[test]
fn what_cup_and_brush_keep_whole_lays_nothing() {
    // The brush alone keeps 8 g.
    let told = mix(&["--mass", "7g", "--area", "20cm2"]);
    assert_eq!(told["reach"]["mixed_thickness_mm"], Value::Null, "{}", told["reach"]);
    // A little more lays a little, though its thickener would round to nothing on this scale.
    let told = mix(&["--mass", "12g", "--area", "20cm2", "--scale-step", "1g", "--thicken", "8%"]);
    let mm = number(&told, "/reach/mixed_thickness_mm");
    assert!(mm > 0.0 && mm < number(&told, "/reach/thickness_mm"), "{}", told["reach"]);
}

/// By hand: 50 cm³ and 4 % of remainder stand 14.2 mm high in a cup of 250 ml, which is as high as
/// it is wide (68.3 mm), and wet wall and floor of it with 0.3 mm.
#[test]
fn the_film_is_that_of_the_cup_at_hand() {
    let told = mix(&["--volume", "50cm3", "--cup", "250ml"]);
    let d = (4.0 * 250_000.0 / PI).cbrt();
    let floor = PI / 4.0 * d * d;
    let area_mm2 = PI * d * (52_000.0 / floor) + floor;
    let film_g = 0.3 * area_mm2 / 1000.0 * number(&told, "/density_g_cm3");
    let lines = told["allowances_g"].as_array().unwrap();
    let line = lines.iter().find(|line| line["code"] == "cup-film").unwrap();
    assert!((line["grams"].as_f64().unwrap() - film_g).abs() < 1e-9, "{line} is not {film_g}");
}

#[test]
fn cautions_stand_before_the_grams() {
    let folder = TempDir::new().unwrap();
    let sheet = text(&run(folder.path(), &["mix", "--volume", "250ml"]).stdout);
    let (care, weigh) = (sheet.find("Isocyanates").unwrap(), sheet.find("Weigh").unwrap());
    assert!(care < weigh, "{sheet}");
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 40,
        rng_seed: RngSeed::Fixed(4),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// Parts in equal parts out at any scale, and the running total ends at the mix.
    #[test]
    fn equal_parts_stay_equal(cm3 in 40.0_f64..4000.0, step in prop::sample::select(vec!["0.1g", "0.5g", "1g"])) {
        let volume = format!("{cm3:.1}cm3");
        let told = mix(&["--volume", &volume, "--softener", "0", "--scale-step", step]);
        let parts = grams(&told);
        prop_assert_eq!(parts.len(), 2);
        prop_assert!((parts[0] - parts[1]).abs() < 1e-9, "{:?}", parts);
        let sum: f64 = parts.iter().sum();
        prop_assert!((sum - number(&told, "/mix_g")).abs() < 1e-9);
        prop_assert!(sum >= number(&told, "/net_g"));
    }
}
