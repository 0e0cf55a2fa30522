//! The command around the library: it opens files, prints, and sets the exit status.

pub mod args;
mod failure;
mod input;
mod level;
mod library;
mod new_file;
mod plan;
mod request;
mod survey;
mod systems;
pub mod terminal;
mod touching;
mod weighing;

pub use failure::Failure;

use args::Command;
use terminal::Progress;

/// Does what was typed and returns what is to be printed.
pub fn run(command: Command) -> Result<String, Failure> {
    match command {
        Command::Survey(args) => survey::run(&args, &Progress::start()),
        Command::Plan(args) => plan::run(&args, &Progress::start()),
        Command::Level(args) => level::run(&args, &Progress::start()),
        Command::Systems(args) => systems::run(&args),
    }
}
