//! The `cavigram` command.

// A failure ends the run: its size costs nothing.
#![allow(clippy::result_large_err)]

mod cli;

use std::process::ExitCode;

use clap::CommandFactory;

use cli::args::CommandLine;
use cli::{Failure, terminal};

fn main() -> ExitCode {
    let result = match CommandLine::command().try_get_matches() {
        Ok(typed) => cli::run(typed).and_then(|text| Ok(terminal::print(&text)?)),
        Err(error) if error.use_stderr() => {
            terminal::print_usage(&error);
            return ExitCode::from(2);
        }
        Err(help) => terminal::print(&help.render().ansi().to_string()).map_err(Failure::from),
    };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(Failure::CommandLine(error)) => {
            terminal::print_usage(&error);
            ExitCode::from(2)
        }
        Err(failure) => {
            terminal::complain(&failure, failure.hint().as_deref());
            ExitCode::from(failure.exit_status())
        }
    }
}
