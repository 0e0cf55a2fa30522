//! What must hold of any input whatever: the kept corpora of the fuzz targets, files changed byte
//! by byte, quantities built from their parts, and small meshes of any kind.

mod bytes;
#[path = "support/claims/mod.rs"]
mod claims;
#[path = "support/shapes.rs"]
mod shapes;
#[path = "support/typed.rs"]
mod typed;

use std::fs;
use std::path::Path;

use bytes::archive::{self, Entry};
use bytes::edits::{apply, edits};
use cavigram::health::examine;
use cavigram::materials::{ShoreReading, System, begin_from};
use cavigram::mesh::{Mesh, Vec3};
use cavigram::units::{Area, Hours, Length, Minutes, Percent, Temperature, Volume, Weight};
use claims::pieces::{self, Piece};
use claims::{files, texts};
use flate2::Compression;
use flate2::write::GzEncoder;
use proptest::prelude::*;
use proptest::sample::select;
use proptest::test_runner::RngSeed;
use shapes::Shape;
use std::io::Write;

/// The same cases on every machine and every run.
fn cases(cases: u32, seed: u64) -> ProptestConfig {
    ProptestConfig {
        cases,
        rng_seed: RngSeed::Fixed(seed),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

// ---- what was found by these claims

/// Two boxes that cross, one of them inside out: whether that one was turned over hung on which of
/// its corners lay farthest along x.
#[test]
fn a_crossing_body_that_faces_inward_is_judged_alike_whichever_way_it_lies() {
    let whole = Shape::cuboid([40.0, 30.0, 20.0]);
    let other = whole.clone().moved([20.0, 15.0, 5.0]).inside_out();
    let (together, overlap) = (48_000.0, 20.0 * 15.0 * 15.0);
    for turn in 0..3 {
        for sign in [1.0, -1.0] {
            let mut shape = whole.clone().and(other.clone());
            for p in &mut shape.vertices {
                p.rotate_left(turn);
                // Two signs changed turn no face over.
                *p = [sign * p[0], sign * p[1], p[2]];
            }
            let points = shape.vertices.iter().map(|p| Vec3::from_array(*p)).collect();
            let examined = examine(Mesh::new(points, shape.triangles).unwrap());
            let sound = examined.sound.unwrap();
            let volume = sound.mesh().signed_volume_mm3();
            assert!((volume - (together - overlap)).abs() < 1e-3, "{turn}, {sign}: {volume}");
            assert!(examined.health.repairs.iter().any(|r| r.code == "turned-and-united"));
        }
    }
}

/// A void that pokes through its wall may have been meant either way: the limits hold both.
#[test]
fn limits_hold_both_readings_of_a_void_that_pokes_through_its_wall() {
    let void = Shape::cuboid([20.0, 10.0, 12.0]).moved([10.0, 10.0, -2.0]).inside_out();
    let shape = Shape::cuboid([40.0, 30.0, 20.0]).and(void);
    let points = shape.vertices.iter().map(|p| Vec3::from_array(*p)).collect();
    let sound = examine(Mesh::new(points, shape.triangles).unwrap()).sound.unwrap();
    let (volume, margin) = (sound.mesh().signed_volume_mm3(), sound.volume_margin_mm3());
    for truth in [24_000.0 + 400.0, 24_000.0 - 2000.0] {
        assert!((volume - truth).abs() <= margin, "{volume} ± {margin} for {truth}");
    }
    assert!(margin < 2500.0, "{margin}");
}

/// A true void in two bodies that cross is none of that.
#[test]
fn a_void_in_crossing_bodies_stays_a_void() {
    let void = Shape::cuboid([4.0; 3]).moved([28.0, 20.0, 8.0]).inside_out();
    let other = Shape::cuboid([40.0, 30.0, 20.0]).moved([20.0, 15.0, 5.0]);
    let shape = Shape::cuboid([40.0, 30.0, 20.0]).and(other).and(void);
    let points = shape.vertices.iter().map(|p| Vec3::from_array(*p)).collect();
    let examined = examine(Mesh::new(points, shape.triangles).unwrap());
    let sound = examined.sound.unwrap();
    assert!(sound.volume_margin_mm3() < 1.0, "{:?}", examined.health.repairs);
}

/// A number of many digits came back from a record off in its last place.
#[test]
fn numbers_of_a_record_are_read_as_they_were_written() {
    let line = String::from_utf8(RECORD.to_vec()).unwrap();
    for number in ["204444412345.67892", "9.109383701528e-31", "0.30000000000000004"] {
        let line = line.replacen("\"net_g\":200", &format!("\"net_g\":{number}"), 1);
        assert!(line.contains(number));
        let read = cavigram::record::read(line.as_bytes());
        let net_g = read.entries[0].1.planned.core.net_g;
        assert_eq!(net_g, number.parse::<f64>().unwrap());
        files::record_file(line.as_bytes());
    }
}

/// A new system kept the old id where the key was quoted or a text before it held such a line.
#[test]
fn a_system_begun_from_another_has_the_new_id_however_the_old_was_written() {
    let quoted = typed::TYPED.replacen("id =", "\"id\" =", 1);
    let moved = typed::TYPED.replacen("id = \"mine-1\"\n", "", 1);
    let within = format!("title = \"\"\"\nid = 3\n\"\"\"\n{}", typed::TYPED);
    let within = within.replacen("title = \"Polyurethane, Shore A 10, 100:50 by weight\"\n", "", 1);
    let late = moved.replacen("ratio", "id = 'mine-1'\nratio", 1);
    for text in [quoted.as_str(), within.as_str(), late.as_str()] {
        if System::from_toml(text).is_ok() {
            let begun = begin_from(text, "mine-2").unwrap();
            assert_eq!(System::from_toml(&begun).unwrap().id, "mine-2", "{text}");
        }
    }
    assert!(System::from_toml(&quoted).is_ok() && System::from_toml(&late).is_ok());
}

// ---- the corpora of the fuzz targets

/// A fuzz target's name, and what it does with any bytes.
type Target = (&'static str, fn(&[u8]));

/// Every fuzz target, as `tests/fuzz/targets` has them.
const TARGETS: [Target; 15] = [
    ("stl_binary", |bytes| files::mesh_file(bytes, Some("scan.stl"))),
    ("stl_ascii", |bytes| files::mesh_file(bytes, Some("scan.stl"))),
    ("obj", |bytes| files::mesh_file(bytes, Some("scan.obj"))),
    ("ply", |bytes| files::mesh_file(bytes, Some("scan.ply"))),
    ("off", |bytes| files::mesh_file(bytes, Some("scan.off"))),
    ("packed", packed),
    ("model", |bytes| {
        files::mesh_file(&archive::package(&String::from_utf8_lossy(bytes)), None);
    }),
    ("job_file", files::job_file),
    ("system_file", files::system_file),
    ("shop_file", files::shop_file),
    ("record_file", files::record_file),
    ("stock_file", files::stock_file),
    ("rates_file", files::rates_file),
    ("quantity", |bytes| {
        if let Ok(text) = std::str::from_utf8(bytes) {
            texts::quantity(text);
        }
    }),
    ("piece", |bytes| pieces::piece(&Piece::grow(bytes))),
];

fn packed(bytes: &[u8]) {
    let Some((first, rest)) = bytes.split_first() else { return };
    let packed = match first % 3 {
        0 => rest.to_vec(),
        1 => {
            let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
            encoder.write_all(rest).unwrap();
            encoder.finish().unwrap()
        }
        _ => archive::zip(&[
            archive::relationships("/3D/3dmodel.model"),
            Entry::deflated("3D/3dmodel.model", rest),
        ]),
    };
    files::mesh_file(&packed, None);
}

fn names_in(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

fn fuzz() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz")
}

#[test]
fn every_fuzz_target_stands_here_and_has_a_corpus() {
    let mut here: Vec<String> = TARGETS.iter().map(|(name, _)| (*name).to_owned()).collect();
    here.sort();
    assert_eq!(names_in(&fuzz().join("corpus")), here);
    let files = names_in(&fuzz().join("targets"));
    assert_eq!(files, here.iter().map(|name| format!("{name}.rs")).collect::<Vec<_>>());
}

/// What the fuzzer found worth keeping, every crash among it, by the same claims.
#[test]
fn the_kept_corpora_hold_the_claims() {
    let mut bytes_in_all = 0;
    for (target, claim) in TARGETS {
        let folder = fuzz().join("corpus").join(target);
        let names = names_in(&folder);
        assert!(names.len() >= 2, "{target} has next to nothing to begin with");
        for name in names {
            let bytes = fs::read(folder.join(&name)).unwrap();
            bytes_in_all += bytes.len();
            println!("{target}/{name}");
            claim(&bytes);
        }
    }
    assert!(bytes_in_all < 300 * 1024, "{bytes_in_all} bytes of corpora are too many to keep");
}

// ---- files of settings, changed

const JOB: &[u8] = include_bytes!("fuzz/corpus/job_file/typical");
const SHOP: &[u8] = include_bytes!("fuzz/corpus/shop_file/whole");
const STOCK: &[u8] = include_bytes!("fuzz/corpus/stock_file/whole");
const RATES: &[u8] = include_bytes!("fuzz/corpus/rates_file/whole");
const RECORD: &[u8] = include_bytes!("fuzz/corpus/record_file/line");

/// A kind of file of settings: a sound one, its reader's claim, and bytes that mean much in it.
type Kind = (&'static [u8], fn(&[u8]), &'static [u8]);

const KINDS: [Kind; 6] = [
    (JOB, files::job_file, b"[]{}=\".,'\n#\\09-"),
    (SHOP, files::shop_file, b"[]{}=\".,'\n#\\09-%gm"),
    (typed::TYPED.as_bytes(), files::system_file, b"[]{}=\".,'\n#\\09-"),
    (STOCK, files::stock_file, b"[]{}=\".,'\n#\\09-"),
    (RATES, files::rates_file, b"[]{}=\".,'\n#\\09-%"),
    (RECORD, files::record_file, b"[]{}:\".,\\\n09-e"),
];

#[test]
fn settings_cut_anywhere_are_survived() {
    for (whole, claim, _) in KINDS {
        for length in 0..=whole.len() {
            claim(&whole[..length]);
        }
    }
}

#[test]
fn every_telling_byte_anywhere_in_settings_is_survived() {
    for (whole, claim, telling) in KINDS {
        for at in 0..whole.len() {
            for value in telling.iter().copied().chain([0, 0x80, 0xff]) {
                let mut changed = whole.to_vec();
                changed[at] = value;
                claim(&changed);
            }
        }
    }
}

proptest! {
    #![proptest_config(cases(1500, 71))]

    #[test]
    fn many_changes_of_settings_are_survived(which in 0_usize..6, edits in edits(10)) {
        let (whole, claim, telling) = KINDS[which];
        let mut file = whole.to_vec();
        apply(&mut file, &edits, telling);
        claim(&file);
    }

    /// Lines of a sound file, in any order, some twice and some left out.
    #[test]
    fn lines_of_settings_in_any_order_are_survived(
        which in 0_usize..6,
        picks in prop::collection::vec(any::<prop::sample::Index>(), 1..40),
    ) {
        let (whole, claim, _) = KINDS[which];
        let lines: Vec<&[u8]> = whole.split(|b| *b == b'\n').collect();
        let picked: Vec<&[u8]> = picks.iter().map(|i| lines[i.index(lines.len())]).collect();
        claim(&picked.join(&b'\n'));
    }
}

// ---- quantities

/// What such texts are made of.
const PIECES: [&str; 48] = [
    "1", "0", "9", "12", "0.5", ".5", "5.", "-", "+", "−", "1e9", "1e-9", "/", "/0", " ", "mm",
    "cm", "m", "in", "\"", "'", "ft", "g", "kg", "lb", "oz", "ml", "l", "cm3", "cm³", "usfloz",
    "C", "F", "°", "%", "@", "=", ":", ",", "min", "h", "d", "x", "skin", "A", "00", "nan", "inf",
];

proptest! {
    #![proptest_config(cases(6000, 72))]

    #[test]
    fn words_of_quantities_in_any_order_are_survived(
        words in prop::collection::vec(select(&PIECES[..]), 0..8),
    ) {
        texts::quantity(&words.concat());
        texts::quantity(&words.join(" "));
    }

    #[test]
    fn any_letters_at_all_are_survived(text in any::<String>()) {
        texts::quantity(&text);
    }
}

fn close(value: f64, expected: f64) -> bool {
    (value - expected).abs() <= 1e-9 * expected.abs().max(1e-3)
}

proptest! {
    #![proptest_config(cases(800, 73))]

    /// 25.4 mm an inch, twelve inches a foot (references U1; exact).
    #[test]
    fn a_length_is_its_number_times_its_unit(
        number in 0.0_f64..300.0,
        (unit, mm) in select(vec![
            ("mm", 1.0), ("", 1.0), ("cm", 10.0), ("m", 1000.0), ("in", 25.4), ("\"", 25.4),
            ("ft", 304.8),
        ]),
        blank in select(vec!["", " "]),
    ) {
        let number = (number * 1000.0).round() / 1000.0;
        let length: Length = format!("{number}{blank}{unit}").parse().unwrap();
        prop_assert!(close(length.mm(), number * mm), "{number} {unit}: {length}");
    }

    #[test]
    fn inches_and_fractions_add_up(whole in 0_u32..40, over in 1_u32..64, under in 2_u32..65) {
        let expected = 25.4 * (f64::from(whole) + f64::from(over) / f64::from(under));
        for text in [
            format!("{whole} {over}/{under}in"),
            format!("{whole} {over}/{under}\""),
            format!("{whole} {over}/{under} in"),
        ] {
            let length = text.parse::<Length>();
            prop_assert!(length.is_ok(), "{}: {:?}", text, length);
            prop_assert!(close(length.unwrap().mm(), expected), "{text}");
        }
    }

    /// 453.59237 g a pound, sixteen ounces a pound (references U1; exact).
    #[test]
    fn a_weight_is_its_number_times_its_unit(
        number in 0.1_f64..900.0,
        (unit, grams) in select(vec![
            ("g", 1.0), ("", 1.0), ("kg", 1000.0), ("oz", 453.59237 / 16.0), ("lb", 453.59237),
        ]),
    ) {
        let number = (number * 100.0).round() / 100.0;
        let weight: Weight = format!("{number}{unit}").parse().unwrap();
        prop_assert!(close(weight.grams(), number * grams), "{number} {unit}: {weight}");
    }

    /// 231 in³ a US gallon of 128 fluid ounces, 4546.09 ml an imperial one of 160 (U1; exact).
    #[test]
    fn a_volume_and_an_area_are_their_numbers_times_their_units(
        number in 0.1_f64..900.0,
        (volume_unit, mm3) in select(vec![
            ("ml", 1e3), ("cm3", 1e3), ("cm³", 1e3), ("l", 1e6), ("in3", 16387.064),
            ("usfloz", 231.0 * 16387.064 / 128.0), ("impfloz", 4_546_090.0 / 160.0),
        ]),
        (area_unit, mm2) in select(vec![
            ("mm2", 1.0), ("cm2", 100.0), ("cm²", 100.0), ("m2", 1e6), ("in2", 645.16),
            ("ft2", 144.0 * 645.16),
        ]),
    ) {
        let number = (number * 100.0).round() / 100.0;
        prop_assume!(number * mm2 >= 1.0);
        let volume: Volume = format!("{number} {volume_unit}").parse().unwrap();
        prop_assert!(close(volume.mm3(), number * mm3), "{number} {volume_unit}");
        let area: Area = format!("{number}{area_unit}").parse().unwrap();
        prop_assert!(close(area.mm2(), number * mm2), "{number} {area_unit}");
    }

    #[test]
    fn temperatures_and_percentages_are_what_they_say(tenths in -400_i32..990) {
        let celsius = f64::from(tenths) / 10.0;
        let room: Temperature = format!("{celsius}C").parse().unwrap();
        prop_assert!(close(room.celsius(), celsius));
        let fahrenheit: Temperature = format!("{} °F", celsius * 1.8 + 32.0).parse().unwrap();
        prop_assert!((fahrenheit.celsius() - celsius).abs() < 1e-9);
        let percent: Result<Percent, _> = format!("{celsius}%").parse();
        prop_assert_eq!(percent.ok(), (tenths >= 0).then(|| Percent::new(celsius)));
    }

    #[test]
    fn times_and_hours_are_what_they_say(
        (opens, closes) in (0_u32..1439, 0_u32..1440),
        (hours, minutes) in (0_u32..200, 0_u32..60),
    ) {
        let told = |minute: u32| format!("{:02}:{:02}", minute / 60, minute % 60);
        let open = format!("{}-{}", told(opens), told(closes)).parse::<Hours>();
        prop_assert_eq!(open.is_ok(), opens < closes);
        if let Ok(open) = open {
            prop_assert_eq!(open.opens_minute(), f64::from(opens));
            prop_assert_eq!(open.closes_minute(), f64::from(closes));
        }
        let long: Minutes = format!("{hours}h {minutes}m").parse().unwrap();
        prop_assert_eq!(long.minutes(), f64::from(60 * hours + minutes));
    }

    #[test]
    fn a_hardness_keeps_its_scale_and_reading(
        reading in 0_u32..=100,
        (before, word) in select(vec![("00-", "00"), ("A", "A"), ("shore A ", "A"), ("D ", "D")]),
    ) {
        let shore: ShoreReading = format!("{before}{reading}").parse().unwrap();
        prop_assert_eq!(shore.reading, f64::from(reading));
        prop_assert!(shore.scale.as_str() == word, "{} {}", before, shore);
    }
}

// ---- meshes

proptest! {
    #![proptest_config(cases(250, 74))]

    #[test]
    fn any_small_mesh_adds_up_or_is_refused(
        bytes in prop::collection::vec(any::<u8>(), 6..160),
    ) {
        pieces::piece(&Piece::grow(&bytes));
    }

    /// A sound body with a few changes: most of these get as far as grams.
    #[test]
    fn a_body_with_little_damage_adds_up_or_is_refused(
        (kind, size, skin) in (1_u8..7, any::<u8>(), 0_u8..17),
        asked in any::<u8>(),
        changes in prop::collection::vec(any::<u8>(), 0..30),
    ) {
        // A direction would come next; without one the body is what was meant.
        let asked = asked & !0b1000;
        let bytes = [&[asked, skin, 6, 2, kind, size], &changes[..]].concat();
        pieces::piece(&Piece::grow(&bytes));
    }
}
