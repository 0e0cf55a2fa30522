//! The record of a job: lines that are only added, torn ones told, and proposals with evidence.
#![cfg(feature = "cli")]

#[path = "support/command.rs"]
mod command;
#[path = "support/shapes.rs"]
mod shapes;

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use cavigram::plan::Layer;
use cavigram::record::{self, Entry, Judged, PerLayer, Summary, Verdict, judged, proposals};
use command::{done, run, text};
use serde_json::Value;
use shapes::Shape;
use tempfile::TempDir;

/// A folder with a mesh and a job for it.
fn bench() -> TempDir {
    let directory = tempfile::tempdir().unwrap();
    let piece = Shape::cuboid([60.0, 40.0, 30.0]);
    fs::write(directory.path().join("piece.stl"), piece.stl()).unwrap();
    done(directory.path(), &["plan", "piece.stl", "--save", "knee.toml"]);
    directory
}

fn record_of(directory: &Path) -> Vec<u8> {
    fs::read(directory.join("knee.record.jsonl")).unwrap()
}

/// A good casting of a one-coat skin of 100 g net for which `allowed_g` were allowed at 10 %, and
/// of which `kept_g` stuck.
fn casting(kept_g: f64, allowed_g: f64) -> Entry {
    let layer = |net_g: f64, kept_g: f64, remainder_percent: f64| {
        format!(
            "{{\"net_g\":{net_g},\"mix_g\":{},\"kept_g\":{kept_g},\"waste_g\":0,\
             \"remainder_percent\":{remainder_percent},\"mixes\":1}}",
            net_g + kept_g
        )
    };
    let line = format!(
        "{{\"schema\":\"cavigram/record/1\",\"at\":\"2026-11-26T10:00:00+01:00\",\"revision\":1,\
         \"left_g\":{{\"skin\":{kept_g}}},\"good\":true,\"planned\":{{\"skin\":{},\"core\":{},\
         \"cap\":{},\"skin_mm\":2,\"piece_g\":{{\"best\":90,\"low\":88,\"high\":92}}}}}}",
        layer(100.0, allowed_g, 10.0),
        layer(200.0, 12.0, 4.0),
        layer(30.0, 3.0, 4.0)
    );
    let log = record::read(line.as_bytes());
    assert_eq!(log.findings, []);
    log.entries[0].1.clone()
}

#[test]
fn an_entry_holds_what_was_typed_and_what_was_planned() {
    let bench = bench();
    let at = bench.path();
    let sheet: Value = serde_json::from_str(&done(at, &["plan", "knee.toml", "--json"])).unwrap();
    let line = [
        "record",
        "knee.toml",
        "--skin-used",
        "14.8g",
        "--core-used",
        "45",
        "--cap-used",
        "0.2oz",
        "--skin-left",
        "9g",
        "--core-left",
        "0",
        "--room",
        "71.6F",
        "--humidity",
        "45%",
        "--lot",
        "A=12-34",
        "--lot",
        "B=7",
        "--gel-seen",
        "skin=42min",
        "--gel-seen",
        "core=1h30min",
        "--thickness",
        "2.1mm",
        "--piece",
        "72g",
        "--good",
        "--note",
        "first \"one\"\nof two",
    ];
    let told = done(at, &line);
    assert!(told.contains("knee.record.jsonl") && told.contains("14.8 g"), "{told}");
    let line = text(&record_of(at));
    assert_eq!(line.matches('\n').count(), 1);
    let entry: Value = serde_json::from_str(&line).unwrap();
    assert_eq!(entry["schema"], "cavigram/record/1");
    assert_eq!(entry["revision"], 1);
    assert_eq!(entry["used_g"]["skin"], 14.8);
    // 1 oz is 28.349523125 g exactly (NIST Handbook 44, Appendix C).
    assert!((entry["used_g"]["cap"].as_f64().unwrap() - 5.669904625).abs() < 1e-9);
    assert_eq!(entry["left_g"]["core"], 0.0);
    assert!((entry["room_c"].as_f64().unwrap() - 22.0).abs() < 1e-9);
    assert_eq!(entry["humidity_percent"], 45.0);
    assert_eq!(entry["lots"]["A"], "12-34");
    assert_eq!(entry["gel_seen_minutes"]["core"], 90.0);
    assert_eq!(entry["thickness_mm"], 2.1);
    assert_eq!(entry["good"], true);
    assert_eq!(entry["note"], "first \"one\"\nof two");
    assert_eq!(entry["planned"]["core"]["mix_g"], sheet["layers"][1]["mix_g"]);
    assert_eq!(entry["planned"]["piece_g"], sheet["expected_piece_g"]);
    // RFC 3339: date, T, time, offset.
    let when = entry["at"].as_str().unwrap();
    let shape: String = when.chars().map(|c| if c.is_ascii_digit() { '9' } else { c }).collect();
    assert!(
        ["9999-99-99T99:99:99+99:99", "9999-99-99T99:99:99-99:99"].contains(&&*shape),
        "{when}"
    );
    let mut offsets = command_in(at, "Asia/Tokyo");
    offsets.args(["record", "knee.toml", "--good"]);
    assert!(offsets.output().unwrap().status.success());
    let last = text(&record_of(at)).lines().last().unwrap().to_owned();
    let tokyo: Value = serde_json::from_str(&last).unwrap();
    assert!(tokyo["at"].as_str().unwrap().ends_with("+09:00"), "{last}");
}

fn command_in(directory: &Path, zone: &str) -> Command {
    let mut command = command::command(directory, &[]);
    command.env("TZ", zone);
    command
}

#[test]
fn a_line_torn_at_any_byte_costs_that_line_alone() {
    let bench = bench();
    let at = bench.path();
    done(at, &["record", "knee.toml", "--skin-used", "14g", "--good"]);
    let first = record_of(at);
    done(at, &["record", "knee.toml", "--skin-used", "15g", "--note", "größer"]);
    let both = record_of(at);
    assert_eq!(&both[..first.len()], &first[..]);
    for cut in first.len()..=both.len() {
        let log = record::read(&both[..cut]);
        // Whole but for its line break it is an entry; torn it is told with its line.
        let whole = cut + 1 >= both.len();
        assert_eq!(log.entries.len(), if whole { 2 } else { 1 }, "{cut}");
        let torn = !whole && cut > first.len();
        assert_eq!(log.findings.len(), usize::from(torn), "{cut}");
        if torn {
            assert!(log.findings[0].message.contains("line 2 "), "{:?}", log.findings);
        }
    }
    // The next entry begins on a line of its own.
    for cut in [first.len() + 1, first.len() + 200, both.len() - 1] {
        fs::write(at.join("knee.record.jsonl"), &both[..cut]).unwrap();
        done(at, &["record", "knee.toml", "--skin-used", "16g"]);
        let log = record::read(&record_of(at));
        let last = &log.entries.last().unwrap().1;
        assert_eq!(last.used_g.skin, Some(16.0), "{cut}");
        assert_eq!(log.entries.last().unwrap().0, 3, "{cut}");
    }
    fs::write(at.join("knee.record.jsonl"), &both[..first.len() + 20]).unwrap();
    let told = done(at, &["record", "knee.toml"]);
    assert!(told.contains("line 2 of the record is skipped"), "{told}");
}

#[test]
fn lines_that_are_no_entries_are_told_and_the_others_stand() {
    let bench = bench();
    let at = bench.path();
    done(at, &["record", "knee.toml", "--skin-used", "14g"]);
    let good = record_of(at);
    let mut bytes = b"\n\xff\xfe\n[1]\n{\"schema\":\"cavigram/record/2\"}\n".to_vec();
    bytes.extend(b"{\"schema\":\"cavigram/record/1\",\"at\":5}\n\0\0\0\n\r\n");
    bytes.extend(&good);
    let log = record::read(&bytes);
    assert_eq!(log.entries.len(), 1);
    let lines: Vec<&str> =
        log.findings.iter().map(|finding| finding.message.split(' ').nth(1).unwrap()).collect();
    assert_eq!(lines, ["2", "3", "4", "5", "6"]);
}

#[test]
fn two_at_once_lose_nothing() {
    let bench = bench();
    let at = bench.path();
    let each = 12;
    std::thread::scope(|scope| {
        for who in ["skin", "core"] {
            scope.spawn(move || {
                for number in 1..=each {
                    let used = format!("--{who}-used={number}g");
                    done(at, &["record", "knee.toml", &used]);
                }
            });
        }
    });
    let log = record::read(&record_of(at));
    assert_eq!((log.entries.len(), log.findings.len()), (2 * each, 0));
    for layer in [Layer::Skin, Layer::Core] {
        let used: Vec<f64> =
            log.entries.iter().filter_map(|(_, entry)| entry.used_g.of(layer)).collect();
        assert_eq!(used, (1..=each).map(|n| n as f64).collect::<Vec<_>>());
    }
}

/// By hand: 100 g net at 10 % remainder, 11.7 g allowed for cup, brush and remainder. 12.8, 14.0
/// and 15.8 g stuck: each would have needed 10 + (kept − 11.7) %, so 11.1, 12.3 and 14.1 %; their
/// median of 12.3 % is 13 % in whole per cents.
#[test]
fn a_proposal_is_the_one_worked_by_hand() {
    let entries = [14.0, 12.8, 15.8].map(|kept| casting(kept, 11.7));
    let told = proposals(&entries);
    assert_eq!(told.len(), 1);
    let proposal = &told[0];
    assert_eq!(proposal.layer, Layer::Skin);
    assert_eq!(proposal.kept_g.sorted(), [12.8, 14.0, 15.8]);
    assert_eq!(proposal.kept_g.median(), 14.0);
    assert!((proposal.planned_g - 11.7).abs() < 1e-12);
    assert_eq!((proposal.remainder_percent, proposal.new_remainder_percent), (10.0, 13.0));
    // Less stuck than was allowed for: 10 − 5.7, 10 − 4.7, 10 − 3.7 % and so 6 %.
    let less = proposals(&[6.0, 7.0, 8.0].map(|kept| casting(kept, 11.7)));
    assert_eq!(less[0].new_remainder_percent, 6.0);
    // Never below nothing.
    let none = proposals(&[0.0, 0.1, 0.2].map(|kept| casting(kept, 30.0)));
    assert_eq!(none[0].new_remainder_percent, 0.0);
}

#[test]
fn nothing_is_proposed_without_evidence() {
    let good = || [12.8, 14.0, 15.8].map(|kept| casting(kept, 11.7));
    let mut entries = good().to_vec();
    entries[0].verdict = Verdict { good: Some(false), reject_reason: Some("bubbles".into()) };
    assert_eq!(proposals(&entries), [], "a reject is no evidence");
    entries[0].verdict = Verdict::default();
    assert_eq!(proposals(&entries), [], "nobody said that it is good");
    let mut entries = good().to_vec();
    entries[0].left_g = PerLayer::default();
    assert_eq!(proposals(&entries), [], "two weights are too few");
    let around = [11.0, 14.0, 15.8].map(|kept| casting(kept, 11.7));
    assert_eq!(proposals(&around), [], "what was planned lies within what was seen");
    assert_eq!(proposals(&good()[..2]), []);
}

#[test]
fn a_slip_at_the_scale_moves_no_proposal() {
    let mut entries = [12.8, 14.0, 15.8, 14.2, 13.9].map(|kept| casting(kept, 11.7));
    let before = proposals(&entries)[0].new_remainder_percent;
    entries[2].left_g.skin = Some(1580.0);
    assert_eq!(proposals(&entries)[0].new_remainder_percent, before);
}

#[test]
fn a_piece_is_judged_by_the_band_of_its_sheet() {
    let weighing = |grams: Option<f64>| judged(&Entry { piece_g: grams, ..casting(12.0, 11.7) });
    assert_eq!(weighing(None), None);
    assert_eq!(weighing(Some(88.0)), Some(Judged::Within));
    assert_eq!(weighing(Some(92.0)), Some(Judged::Within));
    assert_eq!(weighing(Some(87.5)), Some(Judged::Under(0.5)));
    assert_eq!(weighing(Some(93.0)), Some(Judged::Over(1.0)));
}

#[test]
fn a_record_is_told_as_a_table_and_as_json() {
    let bench = bench();
    let at = bench.path();
    let empty = done(at, &["record", "knee.toml"]);
    assert!(empty.contains("none is recorded yet"), "{empty}");
    assert!(!at.join("knee.record.jsonl").exists(), "looking records nothing");
    for (left, piece) in [("30g", "72g"), ("31g", "73g"), ("33g", "99g")] {
        done(at, &["record", "knee.toml", "--skin-left", left, "--piece", piece, "--good"]);
    }
    let why = "bubbles\u{1b}[31m in the tip";
    done(at, &["record", "knee.toml", "--reject", why, "--piece", "5g"]);
    let told = done(at, &["record", "knee.toml"]);
    assert!(told.contains("heavy") && told.contains("reject: bubbles"), "{told}");
    assert!(!told.contains('\u{1b}'), "{told}");
    assert!(told.contains("30.0, 31.0, 33.0") && told.contains("skin-remainder"), "{told}");
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
    let json: Value = serde_json::from_str(&done(at, &["record", "knee.toml", "--json"])).unwrap();
    assert_eq!(json["schema"], "cavigram/records/1");
    assert_eq!(json["entries"].as_array().unwrap().len(), 4);
    assert_eq!(json["entries"][2]["piece_is"], "over");
    assert_eq!(json["good"], 3);
    let piece = json["spreads"].as_array().unwrap().iter().find(|s| s["what"] == "piece_g");
    // The reject is left out.
    assert_eq!(piece.unwrap()["median"], 73.0);
    let proposal = &json["proposals"][0];
    assert_eq!(proposal["median_g_per_mix"], 31.0);
    // Nothing was set: the plan is as it was.
    assert_eq!(done(at, &["plan", "knee.toml"]), done(at, &["plan", "piece.stl"]));
    let log = record::read(&record_of(at));
    assert_eq!(Summary::new("knee.toml", log).good, 3);
}

#[test]
fn what_cannot_be_recorded_is_refused_and_nothing_is_written() {
    let bench = bench();
    let at = bench.path();
    for (line, status, word) in [
        (vec!["record", "piece.stl", "--good"], 2, "job file"),
        (vec!["record", "none.toml", "--good"], 1, "none.toml"),
        (vec!["record", "knee.toml", "--room", "warm"], 2, "22C"),
        (vec!["record", "knee.toml", "--humidity", "145%"], 2, "100%"),
        (vec!["record", "knee.toml", "--lot", "1234"], 2, "A=1234"),
        (vec!["record", "knee.toml", "--gel-seen", "42min"], 2, "skin=42min"),
        (vec!["record", "knee.toml", "--gel-seen", "skin=soon"], 2, "42min"),
        (vec!["record", "knee.toml", "--skin-used", "-3g"], 2, "negative"),
        (vec!["record", "knee.toml", "--piece", "heavy"], 2, "838g"),
        (vec!["record", "knee.toml", "--good", "--reject", "no"], 2, "--reject"),
    ] {
        let output = run(at, &line);
        let error = text(&output.stderr);
        assert_eq!(output.status.code(), Some(status), "{line:?}: {error}");
        assert!(error.contains(word), "{line:?}: {error}");
        assert!(!at.join("knee.record.jsonl").exists(), "{line:?}");
    }
    // Without the mesh there is nothing to compare with; both paths are told.
    fs::remove_file(at.join("piece.stl")).unwrap();
    let output = run(at, &["record", "knee.toml", "--good"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("knee.toml names piece.stl"), "{output:?}");
}
