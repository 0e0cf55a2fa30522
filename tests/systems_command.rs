//! The command's casting systems from outside: folders, `systems`, and systems named in a plan.
#![cfg(feature = "cli")]

#[path = "support/shapes.rs"]
mod shapes;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;
use cavigram::materials::{System, builtin_ids, builtin_toml};
use serde_json::Value;
use shapes::Shape;
use tempfile::TempDir;

/// A home of its own with a folder for systems, and a bench with a mesh.
struct Shop {
    root: TempDir,
}

impl Shop {
    fn new() -> Self {
        let root = tempfile::tempdir().unwrap();
        let shop = Self { root };
        fs::create_dir_all(shop.own()).unwrap();
        fs::create_dir_all(shop.bench().join("systems")).unwrap();
        fs::write(shop.bench().join("piece.stl"), Shape::cuboid([60.0, 40.0, 30.0]).stl()).unwrap();
        shop
    }

    fn bench(&self) -> PathBuf {
        self.root.path().join("bench")
    }

    fn own(&self) -> PathBuf {
        self.root.path().join("config/cavigram/systems")
    }

    /// A copy of a built-in system under another id and title.
    fn put(&self, folder: &Path, file: &str, id: &str, title: &str) {
        let text = builtin_toml("urethane-a5").unwrap();
        let text = text.replacen("id = \"urethane-a5\"", &format!("id = \"{id}\""), 1);
        let text = text.replacen("Polyurethane, Shore A 5, 1:1 by weight", title, 1);
        fs::write(folder.join(file), text).unwrap();
    }

    fn run(&self, line: &[&str]) -> Output {
        let mut command = Command::new(env!("CARGO_BIN_EXE_cavigram"));
        command.current_dir(self.bench()).args(line);
        command.env("XDG_CONFIG_HOME", self.root.path().join("config"));
        command.env("HOME", self.root.path().join("home"));
        command.output().unwrap()
    }

    #[track_caller]
    fn done(&self, line: &[&str]) -> String {
        let output = self.run(line);
        let error = String::from_utf8(output.stderr).unwrap();
        assert_eq!((output.status.code(), error.as_str()), (Some(0), ""), "{line:?}");
        String::from_utf8(output.stdout).unwrap()
    }

    #[track_caller]
    fn refused(&self, line: &[&str], status: i32, words: &[&str]) -> String {
        let output = self.run(line);
        let error = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(status), "{line:?}: {error}");
        assert!(output.stdout.is_empty(), "{line:?}");
        assert_eq!(error.matches("cavigram: ").count(), 1, "{line:?}: {error}");
        for word in words {
            assert!(error.contains(word), "{line:?} doesn't say {word:?}: {error}");
        }
        error
    }
}

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

// ---- the list ----

#[test]
fn the_list_tells_where_each_system_is_from() {
    let shop = Shop::new();
    shop.put(&shop.own(), "mine.toml", "mine", "Mine");
    shop.put(&shop.bench().join("systems"), "job.toml", "of-the-job", "Of the job");
    let list = shop.done(&["systems"]);
    for words in ["mine", "own folder", "of-the-job", "beside the job", "built in", "Looked in"] {
        assert!(list.contains(words), "{words}: {list}");
    }
    assert!(list.lines().all(|line| line.chars().count() <= 80), "{list}");
    let list = json(&shop.done(&["systems", "--json"]));
    assert_eq!(list["schema"], "cavigram/systems/1");
    let systems = list["systems"].as_array().unwrap();
    let ids: Vec<&str> = systems.iter().map(|s| s["id"].as_str().unwrap()).collect();
    let expected: Vec<&str> = ["mine", "of-the-job"].into_iter().chain(builtin_ids()).collect();
    assert_eq!(ids, expected);
    assert_eq!(systems[0]["title"], "Mine");
    assert_eq!(systems[0]["shore_reading"], 5.0);
    assert_eq!(systems[0]["working_minutes"], 15.0);
}

/// Own, beside the job, built in: the first hit by id wins.
#[test]
fn the_first_system_of_a_name_wins() {
    let shop = Shop::new();
    let title = || json(&shop.done(&["systems", "show", "urethane-a5", "--json"]))["title"].clone();
    assert_eq!(title(), "Polyurethane, Shore A 5, 1:1 by weight");
    shop.put(&shop.bench().join("systems"), "a.toml", "urethane-a5", "Of the job");
    assert_eq!(title(), "Of the job");
    shop.put(&shop.own(), "z.toml", "urethane-a5", "My own");
    assert_eq!(title(), "My own");
    let list = json(&shop.done(&["systems", "--json"]));
    let hidden = list["systems"].as_array().unwrap().iter().filter(|s| s["hidden"] == true);
    assert_eq!(hidden.count(), 2);
    assert!(shop.done(&["systems"]).contains("hidden by"));
    let sheet = json(&shop.done(&["plan", "piece.stl", "--skin-system", "urethane-a5", "--json"]));
    assert_eq!(sheet["layers"][0]["name"], "skin");
    let text = shop.done(&["plan", "piece.stl", "--skin-system", "Urethane A5"]);
    assert!(text.contains("My own"), "{text}");
}

// ---- broken files ----

#[test]
fn a_broken_file_is_told_only_where_it_is_asked_for() {
    let shop = Shop::new();
    fs::write(shop.own().join("half.toml"), "id = \"half\"\ntitle = \"Half\"\nfamly = 3\n")
        .unwrap();
    fs::write(shop.own().join("empty.toml"), "").unwrap();
    fs::write(shop.own().join("latin.toml"), b"id = \"latin\"\ntitle = \"\xfc\"\n").unwrap();
    fs::write(shop.own().join("huge.toml"), vec![b'#'; (1 << 20) + 1]).unwrap();
    fs::create_dir(shop.own().join("folder.toml")).unwrap();
    fs::write(shop.own().join("notes.txt"), "no system").unwrap();
    fs::write(shop.own().join(".half.toml"), "leftover").unwrap();
    shop.done(&["plan", "piece.stl"]);
    shop.done(&["plan", "piece.stl", "--core-system", "silicone-00-30"]);
    let words = ["half.toml", "line 3, column 1", "`famly`", "did you mean `family`?"];
    shop.refused(&["plan", "piece.stl", "--skin-system", "half"], 1, &words);
    shop.refused(&["systems", "show", "half"], 1, &words);
    shop.refused(&["systems", "show", "empty"], 1, &["empty.toml", "line 1"]);
    shop.refused(&["systems", "show", "latin"], 1, &["byte 23 is no UTF-8"]);
    shop.refused(&["systems", "show", "huge"], 1, &["larger than 1 MiB"]);
    let list = shop.done(&["systems"]);
    assert_eq!(list.matches("can't be used").count(), 4, "{list}");
    assert!(!list.contains("folder.toml") && !list.contains("notes") && !list.contains("leftover"));
    let list = json(&shop.done(&["systems", "--json"]));
    let half = list["systems"].as_array().unwrap().iter().find(|s| s["id"] == "half").unwrap();
    assert!(half["error"].as_str().unwrap().starts_with("line 3, column 1"));
    assert_eq!(half["title"], Value::Null);
}

#[cfg(unix)]
#[test]
fn a_folder_that_can_not_be_looked_into_stops_nobody() {
    use std::os::unix::fs::PermissionsExt;
    let shop = Shop::new();
    let folder = shop.own();
    fs::set_permissions(&folder, fs::Permissions::from_mode(0o000)).unwrap();
    // Whoever may read everything sees the folder all the same.
    let closed = fs::read_dir(&folder).is_err();
    shop.done(&["plan", "piece.stl"]);
    if closed {
        assert!(shop.done(&["systems"]).contains("can't look into"));
        let line = ["plan", "piece.stl", "--skin-system", "qqqqqqqq"];
        shop.refused(&line, 2, &["there is no system", "can't look into"]);
    }
    fs::set_permissions(&folder, fs::Permissions::from_mode(0o755)).unwrap();
    // A file where a folder belongs.
    fs::remove_dir(&folder).unwrap();
    fs::write(&folder, "not a folder").unwrap();
    shop.done(&["plan", "piece.stl"]);
    assert!(shop.done(&["systems"]).contains("can't look into"));
}

// ---- named files ----

#[test]
fn a_value_that_ends_in_toml_names_a_file() {
    let shop = Shop::new();
    shop.put(&shop.bench(), "elsewhere.toml", "elsewhere", "From a named file");
    for option in ["--skin-system", "--core-system", "--cap-system"] {
        let sheet = shop.done(&["plan", "piece.stl", option, "elsewhere.toml"]);
        assert!(sheet.contains("From a named file"), "{option}");
    }
    let table = shop.done(&["level", "piece.stl", "--system", "./elsewhere.toml"]);
    assert!(table.contains("From a named file"));
    let line = ["plan", "piece.stl", "--skin-system", "none.toml"];
    shop.refused(&line, 1, &["none.toml", "there is no such file"]);
    fs::write(shop.bench().join("bad.toml"), "id = [\n").unwrap();
    let line = ["level", "piece.stl", "--system", "bad.toml"];
    shop.refused(&line, 1, &["bad.toml", "line "]);
    shop.refused(&["plan", "piece.stl", "--cap-system", "systems.toml/"], 1, &["systems.toml"]);
}

// ---- show, check, new ----

#[test]
fn show_tells_every_number_with_unit_and_source() {
    let shop = Shop::new();
    for id in builtin_ids() {
        let page = shop.done(&["systems", "show", id]);
        assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
        let shown = json(&shop.done(&["systems", "show", id, "--json"]));
        assert_eq!(shown["schema"], "cavigram/system/1");
        let facts = shown["facts"].as_array().unwrap();
        // As many numbers as the file has.
        let numbers = builtin_toml(id).unwrap().matches("value = ").count();
        assert_eq!(facts.len(), numbers, "{id}");
        for fact in facts {
            assert!(fact["source"].is_string() && fact["date"].is_string(), "{id}: {fact}");
        }
    }
    let shown = json(&shop.done(&["systems", "show", "urethane-a5", "--json"]));
    let facts = shown["facts"].as_array().unwrap();
    let fact = |key: &str| facts.iter().find(|f| f["key"] == key).unwrap();
    assert_eq!(fact("gel_minutes")["value"], 40.0);
    assert_eq!(fact("gel_minutes")["unit"], "min");
    assert_eq!(fact("price")["exact"], "64.00");
    shop.refused(&["systems", "show", "urethan"], 2, &["did you mean `urethane-a5`?"]);
}

#[test]
fn check_says_fine_or_the_place() {
    let shop = Shop::new();
    shop.put(&shop.bench(), "good.toml", "good", "Good");
    let fine = shop.done(&["systems", "check", "good.toml"]);
    assert!(fine.contains("good.toml") && fine.contains("fine"), "{fine}");
    assert!(!fine.contains("Missing"), "{fine}");
    let bare = "id = \"bare\"\ntitle = \"Bare\"\nfamily = \"urethane\"\nratio = \"weight\"\n\
                components = [{ name = \"A\", parts = 1, density_g_cm3 = 1 }]\n";
    fs::write(shop.bench().join("bare.toml"), bare).unwrap();
    let gaps = shop.done(&["systems", "check", "bare.toml", "good.toml"]);
    for words in ["working time", "demould time", "mixed_g_cm3", "packs"] {
        assert!(gaps.contains(words), "{words}: {gaps}");
    }
    assert_eq!(gaps.matches("fine").count(), 2, "{gaps}");
    fs::write(shop.bench().join("bad.toml"), bare.replace("parts = 1", "parts = -1")).unwrap();
    let words = ["bad.toml: line 5, column ", "parts such as 2", "gone.toml: there is no such"];
    shop.refused(&["systems", "check", "good.toml", "bad.toml", "gone.toml"], 1, &words);
    shop.refused(&["systems", "check", "systems"], 1, &["no file"]);
    shop.refused(&["systems", "check"], 2, &[]);
}

#[test]
fn new_begins_a_file_and_never_writes_over_one() {
    let shop = Shop::new();
    for id in builtin_ids() {
        let text = shop.done(&["systems", "new", "mine", "--from", id]);
        assert!(text.starts_with("# Fill this in"), "{text}");
        let system = System::from_toml(&text).unwrap();
        assert_eq!(system.id, "mine");
        let of = System::from_toml(builtin_toml(id).unwrap()).unwrap();
        assert_eq!(System { id: of.id.clone(), ..system }, of);
    }
    let to = ["systems", "new", "mine", "--from", "urethane-a5", "--to", "mine.toml"];
    assert!(shop.done(&to).contains("mine.toml is written"));
    let written = fs::read_to_string(shop.bench().join("mine.toml")).unwrap();
    assert_eq!(System::from_toml(&written).unwrap().id, "mine");
    let left: Vec<_> =
        fs::read_dir(shop.bench()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(left.len(), 3, "{left:?}");
    fs::write(shop.bench().join("mine.toml"), "precious").unwrap();
    shop.refused(&to, 1, &["exists already"]);
    assert_eq!(fs::read_to_string(shop.bench().join("mine.toml")).unwrap(), "precious");
    let nowhere = ["systems", "new", "mine", "--from", "urethane-a5", "--to", "no/mine.toml"];
    shop.refused(&nowhere, 1, &["can't write", "make the folder"]);
    shop.refused(&["systems", "new", "My One", "--from", "urethane-a5"], 2, &["no id"]);
    shop.refused(&["systems", "new", "x\"y", "--from", "urethane-a5"], 2, &["no id"]);
    shop.refused(&["systems", "new", "mine", "--from", "nothing"], 2, &["there is no system"]);
    shop.refused(&["systems", "new", "urethane-a5", "--from", "foam"], 2, &["already"]);
    shop.refused(&["systems", "new", "mine"], 2, &["--from"]);
}

// ---- softness and contacts in a plan ----

#[test]
fn a_hardness_chooses_the_softener() {
    let shop = Shop::new();
    for wished in ["00-25", "oo25", "shore 00 25", "00:25"] {
        let sheet = shop.done(&["plan", "piece.stl", "--core-hardness", wished]);
        assert!(sheet.contains("softener 1.5 parts"), "{sheet}");
        let by_parts = shop.done(&["plan", "piece.stl", "--softener", "1.5"]);
        assert_eq!(sheet, by_parts);
    }
    let line = |wished| ["plan", "piece.stl", "--core-hardness", wished];
    let beyond = shop.done(&line("00-5"));
    assert!(beyond.contains("00-5 was asked for"), "{beyond}");
    shop.refused(&line("25"), 2, &["names no scale", "00-25"]);
    shop.refused(&line("D20"), 2, &["not measured in Shore D", "00 and A"]);
    shop.refused(&line("00-101"), 2, &["0 to 100"]);
    let both = ["plan", "piece.stl", "--core-hardness", "A5", "--softener", "1"];
    shop.refused(&both, 2, &["--core-hardness A5", "--softener", "leave out"]);
    let silicone =
        ["plan", "piece.stl", "--core-hardness", "00-20", "--core-system", "silicone-00-30"];
    shop.refused(&silicone, 2, &["takes no softener", "00-30", "hint"]);
}

#[test]
fn conflicts_stand_before_the_grams() {
    let shop = Shop::new();
    let line = ["plan", "piece.stl", "--skin-system", "silicone-00-30", "--core-system"];
    let line = [&line[..], &["silicone-00-30", "--mould-of", "mould-silicone-a25"]].concat();
    let sheet = shop.done(&line);
    let (stop, grams) = (sheet.find("Stop").unwrap(), sheet.find("scale reads").unwrap());
    assert!(stop < grams && sheet.contains("skin on mould"), "{sheet}");
    let plain = shop.done(&["plan", "piece.stl"]);
    assert_eq!(plain.matches("not checked against").count(), 1, "{plain}");
    let named = shop.done(&["plan", "piece.stl", "--mold-of", "tin silicone"]);
    assert!(!named.contains("not checked"), "{named}");
    let fresh = ["plan", "piece.stl", "--mould-of", "tin silicone", "--mould-fresh"];
    assert!(shop.done(&fresh).contains("Stop"));
    let unknown = ["plan", "piece.stl", "--mould-of", "cheese"];
    shop.refused(&unknown, 2, &["--mould-of cheese", "sulphur-clay", "wood-or-fibre"]);
    shop.refused(&["plan", "piece.stl", "--mould-fresh"], 2, &["--mould-of"]);
}

#[test]
fn a_foam_core_takes_no_cap_unless_one_is_asked_for() {
    let shop = Shop::new();
    let line = ["plan", "piece.stl", "--core-system", "foam-flexible", "--json"];
    let codes = |sheet: &Value| -> Vec<String> {
        let told = sheet["warnings"].as_array().unwrap().iter();
        told.map(|w| w["code"].as_str().unwrap().to_owned()).collect()
    };
    let sheet = json(&shop.done(&line));
    assert_eq!(sheet["layers"][2]["volume_cm3"], 0.0);
    let told = codes(&sheet);
    assert!(told.contains(&"foam-without-cap".to_owned()), "{told:?}");
    let asked = json(&shop.done(&[&line[..], &["--cap", "3mm"]].concat()));
    assert!(codes(&asked).contains(&"cap-on-foam".to_owned()));
    assert!(asked["layers"][2]["volume_cm3"].as_f64().unwrap() > 0.0);
}
