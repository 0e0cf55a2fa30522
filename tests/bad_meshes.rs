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

/// What must come of a case, as the table in the documentation tells it.
fn told(comes: &Outcome) -> String {
    match comes {
        Outcome::Unread(words) => format!("refused: \"…{words}…\""),
        Outcome::Untrusted(words) => {
            format!("surveyed without a cavity, not planned: \"…{words}…\"")
        }
        Outcome::NotCast(words) => format!("surveyed, not planned: \"…{words}…\""),
        Outcome::Holds(held) => {
            let code = held.told.map(|code| format!(", told as `{code}`")).unwrap_or_default();
            let share = if held.within > 1e-6 {
                format!(" within {:.1} %", 100.0 * held.within)
            } else {
                String::new()
            };
            let cm3 = held.cm3;
            let cm3 = if (1e-3..1e5).contains(&cm3) {
                let digits = format!("{cm3:.3}");
                digits.trim_end_matches('0').trim_end_matches('.').to_owned()
            } else {
                format!("{cm3:.1e}")
            };
            format!("holds {cm3} cm³{share}{code}")
        }
    }
}

fn table() -> String {
    let rows = bad::all();
    let rows = rows.iter().map(|c| format!("| `{}` | {} | {} |\n", c.file, c.what, told(&c.comes)));
    format!(
        "| file | what is wrong | what comes of it |\n| --- | --- | --- |\n{}",
        rows.collect::<String>()
    )
}

const BEGIN: &str = "<!-- bad meshes: begin -->\n";
const END: &str = "<!-- bad meshes: end -->";

/// With `CAVIGRAM_WRITE_TABLE=1` the table is written instead.
#[test]
fn the_documentation_shows_the_catalogue_as_it_is() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/reliability.md");
    let page = fs::read_to_string(&path).unwrap();
    let (before, rest) = page.split_once(BEGIN).unwrap();
    let (shown, after) = rest.split_once(END).unwrap();
    if std::env::var_os("CAVIGRAM_WRITE_TABLE").is_some() {
        fs::write(&path, [before, BEGIN, &table(), END, after].concat()).unwrap();
        return;
    }
    assert!(
        shown == table(),
        "write it again with CAVIGRAM_WRITE_TABLE=1 cargo test --release --test bad_meshes"
    );
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
