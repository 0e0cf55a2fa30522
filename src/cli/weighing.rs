//! The options that compare the mesh with what the real mould took.

use cavigram::job::WeighedFilling;
use cavigram::units::{OldCasting, Water, Weighing, WeighingError, WeighingMeans};
use clap::Args;

use super::request::{UsageError, read, unknown_word, usage, word};

/// What the real mould took.
#[derive(Debug, Args)]
#[command(next_help_heading = "Real mould (to check the mesh by)")]
pub struct WeighingArgs {
    /// Grams of water that the real mould took up to
    /// the fill level, and how warm it was: 838g@21C
    #[arg(long, value_name = "GRAMS@TEMP", allow_hyphen_values = true, verbatim_doc_comment)]
    pub water: Option<String>,

    /// Or a whole solid casting from it, weighed, and
    /// its density in g/cm³: 610g@1.04
    #[arg(long, value_name = "G@DENS", allow_hyphen_values = true, verbatim_doc_comment)]
    pub old_casting: Option<String>,

    /// What is off where it differs: size scales the
    /// mesh, level moves the fill level
    /// [default: only told]
    #[arg(long, value_name = "WHAT", allow_hyphen_values = true, verbatim_doc_comment)]
    pub water_means: Option<String>,
}

/// What the options mean.
pub fn weighed(args: &WeighingArgs) -> Result<Option<WeighedFilling>, UsageError> {
    let water: Option<Water> = read("--water", &args.water, WeighingError::hint)?;
    let casting: Option<OldCasting> =
        read("--old-casting", &args.old_casting, WeighingError::hint)?;
    let means = match word(&args.water_means).as_deref() {
        None => None,
        Some("size") => Some(WeighingMeans::Size),
        Some("level") => Some(WeighingMeans::Level),
        Some(_) => return Err(unknown_word("--water-means", &args.water_means, "size or level")),
    };
    let weighing = match (water, casting) {
        (None, None) => match means {
            None => return Ok(None),
            Some(means) => {
                let reason = "nothing was weighed that could mean something";
                let hint = "give --water 838g@21C or --old-casting 610g@1.04 too";
                return Err(usage("--water-means", means.as_str(), reason, Some(hint)));
            }
        },
        (Some(water), None) => Weighing::Water(water),
        (None, Some(casting)) => Weighing::OldCasting(casting),
        (Some(_), Some(_)) => {
            let value = args.old_casting.as_deref().unwrap_or_default();
            let reason = "--water tells the cavity's volume already";
            return Err(usage("--old-casting", value, reason, Some("leave out one of the two")));
        }
    };
    Ok(Some(WeighedFilling { weighing, means }))
}
