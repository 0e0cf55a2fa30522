//! The `cavigram` command.

mod cli;

use std::process::ExitCode;

use clap::Parser;

use cli::args::CommandLine;
use cli::{Failure, terminal};

fn main() -> ExitCode {
    let result = match CommandLine::try_parse() {
        Ok(line) => cli::run(line.command).and_then(|text| Ok(terminal::print(&text)?)),
        Err(error) if error.use_stderr() => {
            terminal::print_usage(&error);
            return ExitCode::from(2);
        }
        Err(help) => terminal::print(&help.render().ansi().to_string()).map_err(Failure::from),
    };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            terminal::complain(&failure, failure.hint().as_deref());
            ExitCode::from(failure.exit_status())
        }
    }
}
