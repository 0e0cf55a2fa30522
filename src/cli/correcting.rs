//! The options that correct a plan in mid-job, by what is in the mould already.

use cavigram::job::{InMould, LayersRequest};
use cavigram::units::{Length, LengthError, WeighingError, Weight};
use clap::Args;

use super::request::{UsageError, read, usage};

/// What is in the mould already.
#[derive(Debug, Args)]
#[command(next_help_heading = "Correct in mid-job")]
pub struct CorrectingArgs {
    /// Grams of skin that are really in the mould,
    /// flange included, weighed before and after
    /// brushing (of several moulds the mean of one):
    /// tells the thickness reached, and new core and cap
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true, verbatim_doc_comment)]
    pub skin_used: Option<String>,

    /// Measured gap from the set core's surface to the
    /// fill level: tells a new cap
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub gap: Option<String>,
}

/// What the options mean for these layers.
pub fn in_mould(args: &CorrectingArgs, layers: &LayersRequest) -> Result<InMould, UsageError> {
    let skin_used: Option<Weight> = read("--skin-used", &args.skin_used, WeighingError::hint)?;
    let gap: Option<Length> = read("--gap", &args.gap, LengthError::hint)?;
    if let Some(typed) = args.skin_used.as_ref().filter(|_| layers.coats.is_empty()) {
        let reason = "--skin 0 plans no skin that could be brushed";
        return Err(usage("--skin-used", typed, reason, Some("give --skin as it was planned")));
    }
    Ok(InMould { skin_used, gap })
}
