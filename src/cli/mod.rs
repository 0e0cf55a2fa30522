//! The command around the library: it opens files, prints, and sets the exit status.

pub mod args;
mod buy;
mod clock;
mod coating;
mod correcting;
mod cost_file;
mod failure;
mod input;
mod job_file;
mod level;
mod library;
mod limits;
mod manual;
mod mix;
mod mould;
mod new_file;
mod paper;
mod parting;
mod plan;
mod quote;
mod record;
mod record_file;
mod request;
mod run;
mod shop;
mod survey;
mod systems;
pub mod terminal;
mod touching;
mod weighing;

pub use failure::Failure;

use args::{Command, CommandLine};
use clap::{ArgMatches, FromArgMatches};
use terminal::Progress;

/// Does what was typed and returns what is to be printed.
pub fn run(typed: ArgMatches) -> Result<String, Failure> {
    let line = job_file::open(typed)?;
    let command = CommandLine::from_arg_matches(&line.matches)?.command;
    let done = match command {
        Command::Survey(args) => survey::run(&args, &line, &Progress::start()),
        Command::Plan(args) => plan::run(&args, &line, &Progress::start()),
        Command::Level(args) => level::run(&args, &line, &Progress::start()),
        Command::Mix(args) => mix::run(&args),
        Command::Mould(args) => mould::run(&args, &line, &Progress::start()),
        Command::Systems(args) => systems::run(&args),
        Command::Buy(args) => buy::run(&args, &Progress::start()),
        Command::Quote(args) => quote::run(&args, &line, &Progress::start()),
        Command::Record(args) => record::run(&args, &Progress::start()),
        Command::Completions(args) => manual::completions(&args),
        Command::Manual => manual::manual(),
    };
    done.map_err(|failure| line.blamed(failure))
}
