//! Shell completion and the manual page: made, and nothing left out.
#![cfg(feature = "cli")]

use assert_cmd::Command;

fn printed(line: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_cavigram")).args(line).output().unwrap();
    let error = String::from_utf8(output.stderr).unwrap();
    assert!(output.status.success() && error.is_empty(), "{line:?}: {error}");
    String::from_utf8(output.stdout).unwrap()
}

/// The commands as the help lists them.
fn commands() -> Vec<String> {
    let help = printed(&["--help"]);
    let listed = help.lines().skip_while(|line| !line.starts_with("Commands:")).skip(1);
    // What is wrapped is indented further.
    let listed = listed
        .take_while(|line| !line.is_empty())
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let names: Vec<String> =
        listed.filter_map(|line| line.split_whitespace().next()).map(str::to_owned).collect();
    assert!(names.iter().any(|name| name == "plan") && names.len() >= 7, "{names:?}");
    names
}

/// The long options that the help of a command lists.
fn options(command: &str) -> Vec<String> {
    let help = printed(&[command, "--help"]);
    let words = help.lines().filter_map(|line| {
        let line = line.trim_start();
        let from = line.find("--").filter(|at| *at == 0 || line.starts_with('-'))?;
        let name: String = line[from + 2..]
            .chars()
            .take_while(|c| c.is_ascii_alphanumeric() || *c == '-')
            .collect();
        (!name.is_empty()).then_some(name)
    });
    words.collect()
}

#[test]
fn completions_are_made_for_every_shell_and_name_every_command_and_option() {
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let text = printed(&["completions", shell]);
        for command in commands() {
            assert!(text.contains(&command), "{shell} lacks {command}");
        }
        let of_plan = options("plan");
        assert!(of_plan.iter().any(|o| o == "skin") && of_plan.len() > 20, "{of_plan:?}");
        for option in of_plan {
            assert!(text.contains(&option), "{shell} lacks --{option}");
        }
    }
}

#[test]
fn a_shell_that_does_not_exist_is_wrong_usage() {
    let output =
        Command::new(env!("CARGO_BIN_EXE_cavigram")).args(["completions", "sea"]).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    assert!(String::from_utf8(output.stderr).unwrap().contains("bash"));
}

#[test]
fn the_manual_has_a_section_for_every_command_with_every_option_of_it() {
    let page = printed(&["manual"]);
    assert!(page.contains(".TH cavigram"), "{page:.200}");
    let plain = page.replace("\\-", "-").replace("\\fB", "").replace("\\fR", "");
    for command in commands() {
        let head = format!(".SH \"CAVIGRAM {}\"\n", command.to_uppercase());
        let (_, section) = plain.split_once(&head).unwrap_or_else(|| panic!("{head}"));
        let section = section.split("\n.SH ").next().unwrap();
        for option in options(&command).iter().filter(|o| *o != "version") {
            assert!(section.contains(&format!("--{option}")), "{command} lacks --{option}");
        }
    }
}
