//! The options that tell how the skin is laid.

use cavigram::plan::{Coating, SkinBy, Stir};
use cavigram::units::{Patch, Percent, PercentError, QuantityError};
use clap::Args;

use super::request::{UsageError, read, unknown_word, usage, word};

/// The most that is stirred in, % of the mix: as much as there is of it.
const MOST_PERCENT: f64 = 100.0;

/// How the skin is laid.
#[derive(Debug, Args)]
#[command(next_help_heading = "Laying the skin")]
pub struct CoatingArgs {
    /// How the skin is laid: brush, slush (poured in,
    /// turned round, drained), spray, or former (poured
    /// round a core former) [default: brush]
    #[arg(long, value_name = "HOW", allow_hyphen_values = true, verbatim_doc_comment)]
    pub skin_by: Option<String>,

    /// Thickener in the build coats, of the mix's mass:
    /// auto, 1.5% or none [default: auto, the system's
    /// usual amount]
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true, verbatim_doc_comment)]
    pub thicken: Option<String>,

    /// Pigment in every second coat, so that misses
    /// show: auto, 0.5% or none [default: auto]
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true, verbatim_doc_comment)]
    pub tint: Option<String>,

    /// A test patch brushed by your hand, grams on an
    /// area: tells how thick you really brush
    #[arg(long, value_name = "G@AREA", allow_hyphen_values = true, verbatim_doc_comment)]
    pub patch: Option<String>,
}

/// What the options mean.
pub fn coating(args: &CoatingArgs) -> Result<Coating, UsageError> {
    let by = match word(&args.skin_by).as_deref() {
        None => SkinBy::default(),
        Some("brush") => SkinBy::Brush,
        Some("slush") => SkinBy::Slush,
        Some("spray") => SkinBy::Spray,
        Some("former") => SkinBy::Former,
        Some(_) => {
            return Err(unknown_word("--skin-by", &args.skin_by, "brush, slush, spray or former"));
        }
    };
    let patch: Option<Patch> = read("--patch", &args.patch, QuantityError::hint)?;
    if let Some(typed) = args.patch.as_ref().filter(|_| by != SkinBy::Brush) {
        let reason = "a test patch is brushed, and this skin isn't";
        return Err(usage("--patch", typed, reason, Some("leave out --patch or --skin-by")));
    }
    let thicken = stir("--thicken", &args.thicken)?;
    let tint = stir("--tint", &args.tint)?;
    Ok(Coating { by, thicken, tint, patch })
}

/// How much of an additive was asked for.
pub fn stir(option: &'static str, typed: &Option<String>) -> Result<Stir, UsageError> {
    match word(typed).as_deref() {
        None | Some("auto") => return Ok(Stir::Auto),
        Some("none" | "0") => return Ok(Stir::None),
        Some(_) => {}
    }
    let value = typed.as_deref().unwrap_or_default();
    let Some(percent) = read::<Percent>(option, typed, PercentError::hint)? else {
        return Ok(Stir::Auto);
    };
    match percent.value() {
        0.0 => Ok(Stir::None),
        percent if percent <= MOST_PERCENT => Ok(Stir::Percent(percent)),
        _ => Err(usage(option, value, "this takes at most 100% of the mix", None)),
    }
}
