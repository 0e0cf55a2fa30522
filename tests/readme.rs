//! The README's commands print what the README shows.

#[path = "support/command.rs"]
mod command;

const README: &str = include_str!("../README.md");

/// Commands with the text that is shown right below each.
fn shown() -> Vec<(&'static str, &'static str)> {
    let blocks = README.split("```sh\ncargo run --release -- ").skip(1);
    let with_output = blocks.filter_map(|block| {
        let (line, rest) = block.split_once("\n```\n\n```text\n")?;
        let (text, _) = rest.split_once("\n```")?;
        (!line.contains('\n')).then_some((line, text))
    });
    with_output.collect()
}

#[test]
fn the_sheets_in_the_readme_are_the_real_ones() {
    let shown = shown();
    let commands: Vec<&str> = shown.iter().filter_map(|(line, _)| line.split(' ').next()).collect();
    assert_eq!(commands, ["plan", "quote"]);
    for (line, text) in shown {
        let words: Vec<&str> = line.split_whitespace().collect();
        let output = command::run(env!("CARGO_MANIFEST_DIR").as_ref(), &words);
        assert!(output.status.success(), "{line}");
        assert_eq!(String::from_utf8(output.stdout).unwrap().trim_end(), text, "{line}");
    }
}
