//! The README's first command prints what the README shows.

#[path = "support/command.rs"]
mod command;

const README: &str = include_str!("../README.md");

#[test]
fn the_sheet_in_the_readme_is_the_real_one() {
    let shown = README
        .split_once("```text\n")
        .and_then(|(_, rest)| rest.split_once("\n```"))
        .map(|(sheet, _)| sheet)
        .unwrap();
    let command = "cargo run --release -- ";
    let line = README.lines().find_map(|line| line.strip_prefix(command)).unwrap();
    let line: Vec<&str> = line.split_whitespace().collect();
    let output = command::run(env!("CARGO_MANIFEST_DIR").as_ref(), &line);
    assert!(output.status.success());
    assert_eq!(String::from_utf8(output.stdout).unwrap().trim_end(), shown);
}
