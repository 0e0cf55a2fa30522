//! The catalogue of bad meshes: each must come out as it is written beside it, through the command;
//! and docs/reliability.md must show the same table.

#[path = "bad/mod.rs"]
mod bad;
mod bytes;
#[path = "support/command.rs"]
mod command;
#[path = "support/shapes.rs"]
mod shapes;

use std::fs;
use std::path::Path;

use bad::{Bad, Held, Outcome};
use command::{run, text};
use serde_json::Value;

/// What is wrong with how this case came out; `None` where it came out as written.
fn differs(folder: &Path, case: &Bad) -> Option<String> {
    fs::write(folder.join(&case.file), &case.bytes).unwrap();
    let [survey, plan] = ["survey", "plan"].map(|c| run(folder, &[c, &case.file, "--json"]));
    let [surveyed, planned] = [&survey, &plan].map(|o| text(&o.stdout));
    let [survey_error, plan_error] = [&survey, &plan].map(|o| text(&o.stderr));
    let status = (survey.status.code(), plan.status.code());
    let refused = |error: &str, words: &str| {
        error.matches("cavigram: ").count() == 1 && error.contains(words) && error.len() < 1000
    };
    let fine = match case.comes {
        Outcome::Unread(words) => {
            status == (Some(1), Some(1))
                && (surveyed.is_empty() && planned.is_empty())
                && refused(&survey_error, words)
                && refused(&plan_error, words)
        }
        Outcome::Untrusted(words) => {
            status == (Some(0), Some(1))
                && planned.is_empty()
                && refused(&plan_error, words)
                && untrusted(&surveyed, words)
        }
        Outcome::NotCast(words) => {
            status == (Some(0), Some(1)) && planned.is_empty() && refused(&plan_error, words)
        }
        Outcome::Holds(held) => {
            status == (Some(0), Some(0))
                && [&surveyed, &planned].into_iter().all(|j| holds(j, &held))
        }
    };
    let told: String = surveyed.chars().take(3000).collect();
    let shown = || format!("{}: {status:?}\n{survey_error}{plan_error}{told}\n", case.file);
    (!fine).then(shown)
}

/// No cavity, and a warning with these words.
fn untrusted(surveyed: &str, words: &str) -> bool {
    let Ok(json) = serde_json::from_str::<Value>(surveyed) else { return false };
    json["cavity"].is_null() && json["warnings"].to_string().contains(words)
}

fn holds(json: &str, held: &Held) -> bool {
    let Ok(json) = serde_json::from_str::<Value>(json) else { return false };
    let number = |key: &str| json["cavity"][key].as_f64().unwrap_or(f64::NAN);
    let (low, best, high) =
        (number("volume_low_cm3"), number("volume_cm3"), number("volume_high_cm3"));
    let near = (best - held.cm3).abs() <= held.within * held.cm3;
    // The limits themselves must hold the truth, but for rounding.
    let slack = 1e-6 * held.cm3;
    let told = held.told.is_none_or(|code| {
        let code = format!("\"{code}\"");
        [&json["warnings"], &json["health"], &json["notes"]]
            .iter()
            .any(|v| v.to_string().contains(&code))
    });
    near && low <= held.cm3 + slack && high >= held.cm3 - slack && told
}

#[test]
fn every_bad_mesh_comes_out_as_written() {
    let folder = tempfile::tempdir().unwrap();
    let cases = bad::all();
    let wrong: Vec<String> = cases.iter().filter_map(|case| differs(folder.path(), case)).collect();
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), cases.len(), wrong.join("\n"));
}

#[test]
fn the_catalogue_is_large_and_names_nothing_twice() {
    let cases = bad::all();
    assert!(cases.len() >= 60, "{}", cases.len());
    let mut names: Vec<&str> = cases.iter().map(|case| case.file.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), cases.len());
}
