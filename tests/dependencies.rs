//! Every dependency has its purpose in DEVELOPERS.md, and nothing stands there that is none.

use std::collections::BTreeSet;

const GUIDE: &str = include_str!("../DEVELOPERS.md");
const MANIFEST: &str = include_str!("../Cargo.toml");

#[test]
fn every_dependency_has_its_purpose_and_every_purpose_its_dependency() {
    let manifest: toml::Table = MANIFEST.parse().unwrap();
    let named: BTreeSet<&str> = ["dependencies", "dev-dependencies", "build-dependencies"]
        .iter()
        .filter_map(|table| manifest.get(*table)?.as_table())
        .flat_map(|table| table.keys().map(String::as_str))
        .collect();
    assert!(named.len() > 20, "{named:?}");
    let mut told = BTreeSet::new();
    let table = GUIDE.lines().skip_while(|line| !line.starts_with("| crate | what for |")).skip(2);
    for line in table.take_while(|line| line.starts_with('|')) {
        let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
        let [crates, purpose] = cells[..] else { panic!("{line}") };
        assert!(purpose.len() > 5, "{line}");
        for name in crates.split('`').skip(1).step_by(2) {
            assert!(told.insert(name), "{name} stands there twice");
        }
    }
    assert_eq!(named, told);
}

#[test]
fn no_dependency_comes_from_outside_the_registry() {
    let manifest: toml::Table = MANIFEST.parse().unwrap();
    for name in ["dependencies", "dev-dependencies"] {
        for (crate_name, told) in manifest[name].as_table().unwrap() {
            let version = told.as_str().or_else(|| told.get("version")?.as_str());
            assert!(version.is_some_and(|v| !v.contains('*')), "{crate_name}");
            assert!(told.get("git").is_none() && told.get("path").is_none(), "{crate_name}");
        }
    }
}
