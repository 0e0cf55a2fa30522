//! `cavigram completions` and `cavigram manual`: made from the same description of the command
//! line that reads it, so that neither can forget an option.

use clap::{Args, CommandFactory};
use clap_complete::Shell;
use clap_mangen::Man;

use super::Failure;
use super::args::CommandLine;

/// What `completions` takes.
#[derive(Debug, Args)]
pub struct CompletionsArgs {
    /// Which shell is to complete commands and options
    pub shell: Shell,
}

/// The text that a shell reads to complete `cavigram`.
pub fn completions(args: &CompletionsArgs) -> Result<String, Failure> {
    let mut text = Vec::new();
    let mut command = CommandLine::command();
    clap_complete::generate(args.shell, &mut command, "cavigram", &mut text);
    Ok(String::from_utf8_lossy(&text).into_owned())
}

/// The manual page in roff: the command, then each of its commands with all options.
pub fn manual() -> Result<String, Failure> {
    let mut text = Vec::new();
    let mut command = CommandLine::command();
    // Fills in what is worked out only when a line is read, such as the full names of commands.
    command.build();
    Man::new(command.clone()).render(&mut text)?;
    for inner in command.get_subcommands() {
        let name = inner.get_display_name().unwrap_or_else(|| inner.get_name()).replace('-', " ");
        text.extend_from_slice(format!(".SH \"{}\"\n", name.to_uppercase()).as_bytes());
        let page = Man::new(inner.clone());
        page.render_description_section(&mut text)?;
        page.render_synopsis_section(&mut text)?;
        if inner.get_arguments().next().is_some() {
            page.render_options_section(&mut text)?;
        }
        if inner.has_subcommands() {
            page.render_subcommands_section(&mut text)?;
        }
    }
    Ok(as_parts(&String::from_utf8_lossy(&text)))
}

/// Sections of a command's own become parts of its section, below the first that bears its name.
fn as_parts(page: &str) -> String {
    let mut within = false;
    let mut lines = String::new();
    for line in page.lines() {
        within |= line.starts_with(".SH \"CAVIGRAM ");
        match line.strip_prefix(".SH ").filter(|title| within && !title.starts_with('"')) {
            Some(title) => lines.push_str(&format!(".SS {title}")),
            None => lines.push_str(line),
        }
        lines.push('\n');
    }
    lines
}
