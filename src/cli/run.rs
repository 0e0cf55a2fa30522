//! The options that tell how many castings are made, in how many moulds.

use cavigram::plan::Run;
use clap::Args;

use super::request::{UsageError, usage};

/// How many castings are made.
#[derive(Debug, Args)]
#[command(next_help_heading = "Run")]
pub struct RunArgs {
    /// How many castings are made [default: 1]
    #[arg(long, value_name = "N", allow_hyphen_values = true, verbatim_doc_comment)]
    pub castings: Option<String>,

    /// In how many moulds like this one; they are filled
    /// at once, and share batches [default: 1]
    #[arg(long, value_name = "N", allow_hyphen_values = true, verbatim_doc_comment)]
    pub moulds: Option<String>,

    /// The first casting in a new mould: films, brush and
    /// remainders are doubled, in the first round only
    #[arg(long, verbatim_doc_comment)]
    pub first_casting: bool,
}

/// What the options mean.
pub fn run(args: &RunArgs) -> Result<Run, UsageError> {
    Ok(Run {
        castings: count("--castings", &args.castings)?,
        moulds: count("--moulds", &args.moulds)?,
        first_casting: args.first_casting,
    })
}

/// A number of castings or moulds; 1 where none was typed.
pub fn count(option: &'static str, typed: &Option<String>) -> Result<u32, UsageError> {
    let Some(text) = typed else { return Ok(1) };
    match text.trim().parse::<u32>() {
        Ok(count) if (1..=Run::MOST).contains(&count) => Ok(count),
        _ => {
            let reason = format!("this takes a whole number from 1 to {}", Run::MOST);
            Err(usage(option, text, &reason, None))
        }
    }
}
