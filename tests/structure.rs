//! Modules use what the table in DEVELOPERS.md lets them use, and nothing else.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

type Names = BTreeSet<String>;

/// Not in the table: every module may use them, and they the point type of `mesh`.
const COMMON: [&str; 3] = ["units", "bounds", "finding"];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn names(list: &[&str]) -> Names {
    list.iter().map(|name| (*name).to_owned()).collect()
}

/// What stands between backticks.
fn quoted(text: &str) -> Vec<String> {
    text.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}

/// The rows of the table: modules named in the first column, text of the last.
fn rows(guide: &str) -> Vec<(Vec<String>, String)> {
    let cells = |line: &str| {
        line.trim().trim_matches('|').split('|').map(|c| c.trim().to_owned()).collect::<Vec<_>>()
    };
    let mut lines = guide.lines().skip_while(|line| !line.starts_with("| module |"));
    let head = cells(lines.next().expect("DEVELOPERS.md has a table of modules"));
    for common in COMMON {
        assert!(quoted(&head[2]).iter().any(|name| name == common), "{head:?}");
    }
    lines
        .skip(1)
        .take_while(|line| line.starts_with('|'))
        .map(|line| (quoted(&cells(line)[0]), cells(line)[2].clone()))
        .collect()
}

/// What the words of the last column let `module` use, of the modules of the library.
fn meaning(module: &str, words: &str, library: &Names) -> Names {
    let outermost = names(&["job", "sheet", "render"]);
    if words == "nothing" || words == "the public face of the library" {
        return Names::new();
    }
    if let Some(rest) = words.strip_prefix("all but ") {
        return library.difference(&quoted(rest).into_iter().collect()).cloned().collect();
    }
    if !words.contains("reads") {
        let listed: Names = quoted(words).into_iter().collect();
        assert!(!listed.is_empty() && listed.is_subset(library), "{module}: {words:?} is unclear");
        return listed;
    }
    let clause = words.split(", ").find(|c| c.starts_with(&format!("`{module}` reads ")));
    let clause = clause.unwrap_or_else(|| panic!("{words:?} does not say what {module} reads"));
    if clause.ends_with("result types") {
        return library.difference(&outermost).cloned().collect();
    }
    quoted(clause).into_iter().skip(1).collect()
}

/// What each module of the library may use.
fn allowed() -> BTreeMap<String, Names> {
    let guide = std::fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let rows = rows(&guide);
    let library: Names =
        rows.iter().flat_map(|(modules, _)| modules).filter(|m| *m != "cli").cloned().collect();
    let mut allowed: BTreeMap<String, Names> =
        COMMON.iter().map(|common| ((*common).to_owned(), names(&["mesh"]))).collect();
    for (modules, words) in &rows {
        for module in modules {
            allowed.insert(module.clone(), meaning(module, words, &library));
        }
    }
    for (module, uses) in &mut allowed {
        if module != "cli" {
            uses.extend(names(&COMMON));
        }
        uses.insert(module.clone());
    }
    allowed
}

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
}

/// The modules of a file from the crate down: `src/cli/args.rs` is `cli`, `args`.
fn module_path(file: &Path) -> Vec<String> {
    let inner = file.strip_prefix(root().join("src")).unwrap().with_extension("");
    let mut path: Vec<String> =
        inner.iter().map(|part| part.to_str().unwrap().to_owned()).collect();
    path.retain(|part| !["mod", "lib", "main"].contains(&part.as_str()));
    path
}

/// The first names after each `prefix` in the code, the names of a `{…}` list among them.
fn names_after(code: &str, prefix: &str) -> Vec<String> {
    let begins_a_path = |place: usize| {
        let before = code[..place].chars().next_back();
        !before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == ':' || c == '$')
    };
    let first_name = |text: &str| -> String {
        text.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
    };
    let mut found = Vec::new();
    for (place, _) in code.match_indices(prefix).filter(|(place, _)| begins_a_path(*place)) {
        let rest = &code[place + prefix.len()..];
        match rest.strip_prefix('{') {
            None => found.push(first_name(rest)),
            Some(list) => {
                let mut depth = 0;
                let mut start = 0;
                for (at, c) in list.char_indices() {
                    depth += i32::from(c == '{') - i32::from(c == '}');
                    if depth < 0 || (depth == 0 && c == ',') {
                        found.push(first_name(&list[start..at]));
                        start = at + 1;
                    }
                    if depth < 0 {
                        break;
                    }
                }
            }
        }
    }
    found.retain(|name| !name.is_empty());
    found
}

/// Modules that a file of module `path` names by way of the crate's root.
fn used(code: &str, path: &[String]) -> Names {
    let code: String = code
        .lines()
        .filter(|l| !l.trim_start().starts_with("//"))
        .flat_map(|l| [l, "\n"])
        .collect();
    let up = "super::".repeat(path.len().max(1));
    let mut used: Names = names_after(&code, "crate::").into_iter().collect();
    used.extend(names_after(&code, &up));
    used
}

/// Every use that the table does not have.
fn forbidden(file: &Path, code: &str, allowed: &BTreeMap<String, Names>) -> Vec<String> {
    let path = module_path(file);
    let Some(module) = path.first() else { return Vec::new() };
    let may = allowed.get(module).unwrap_or_else(|| panic!("{module} is not in the table"));
    let known = |name: &&String| allowed.contains_key(*name);
    let used = used(code, &path);
    let beyond = used.iter().filter(known).filter(|name| !may.contains(*name));
    beyond.map(|name| format!("{} uses `{name}`", file.display())).collect()
}

#[test]
fn modules_use_only_what_the_guide_lets_them_use() {
    let allowed = allowed();
    let mut files = Vec::new();
    sources(&root().join("src"), &mut files);
    let found: Vec<String> = files
        .iter()
        .flat_map(|file| forbidden(file, &std::fs::read_to_string(file).unwrap(), &allowed))
        .collect();
    assert!(found.is_empty(), "not in the table of DEVELOPERS.md:\n{}", found.join("\n"));
}

#[test]
fn the_table_and_the_library_name_the_same_modules() {
    let face = std::fs::read_to_string(root().join("src/lib.rs")).unwrap();
    let mut of_library: Names = face
        .lines()
        .filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';'))
        .map(str::to_owned)
        .collect();
    of_library.insert("cli".to_owned());
    assert_eq!(allowed().into_keys().collect::<Names>(), of_library);
}

#[test]
fn the_command_sees_only_the_public_face_of_the_library() {
    let mut files = Vec::new();
    sources(&root().join("src/cli"), &mut files);
    files.push(root().join("src/main.rs"));
    let mut by_name = 0;
    for file in &files {
        let code = std::fs::read_to_string(file).unwrap();
        by_name += code.matches("cavigram::").count();
        // Files taken in by their path would go round the public face.
        assert!(!code.contains("#[path") && !code.contains("include!"), "{}", file.display());
    }
    assert!(by_name > 0, "the command does not use the library");
    // The command's own crate holds nothing of the library a second time.
    let main = std::fs::read_to_string(root().join("src/main.rs")).unwrap();
    let modules: Vec<&str> =
        main.lines().filter_map(|l| l.strip_suffix(';')?.strip_prefix("mod ")).collect();
    assert_eq!(modules, ["cli"]);
}

/// The check sees what it is there for.
#[test]
fn a_forbidden_use_is_found() {
    let allowed = allowed();
    let at = |file: &str, code: &str| forbidden(&root().join("src").join(file), code, &allowed);
    for (file, code) in [
        ("mesh/fit.rs", "use crate::health::SoundMesh;"),
        ("mesh/mod.rs", "use super::layers;"),
        ("mesh/patches/tree.rs", "use super::super::super::cavity::Cavity;"),
        ("formats/obj.rs", "use crate::{finding::Finding, plan::{Plan, Notice}};"),
        ("materials/mix.rs", "fn f() -> crate::mesh::Vec3 {}"),
        ("plan/make.rs", "use crate::{\n    materials::System,\n    sheet,\n};"),
        ("render/json/mod.rs", "use crate::job;"),
        ("sheet/facts.rs", "use crate::render::json;"),
        ("job/mod.rs", "use crate::render;"),
        ("units/length.rs", "use crate::plan::Plan;"),
        ("cli/args.rs", "use crate::job::JobRequest;"),
    ] {
        assert_eq!(at(file, code).len(), 1, "{file}: {code}");
    }
    for (file, code) in [
        ("health/mod.rs", "use crate::mesh::{Mesh, Vec3};\nuse bodies::Bodies;"),
        ("mesh/fit.rs", "use super::Vec3; // not crate::plan\n// crate::plan"),
        ("cli/plan.rs", "use cavigram::{job, render};\nuse super::args::PlanArgs;"),
        ("job/mod.rs", "use crate::plan::{self, Layer};"),
    ] {
        let expected = usize::from(code.contains("not crate::plan"));
        assert_eq!(at(file, code).len(), expected, "{file}: {code}");
    }
}
