//! The options that say how much work is taken on.

use cavigram::formats::USUAL_TRIANGLES_MOST;
use clap::Args;

use super::request::{UsageError, usage};

/// How much is taken on.
#[derive(Debug, Args)]
pub struct LimitArgs {
    /// Refuse a mesh of more triangles than this:
    /// 40M, 500k or a plain number [default: 20M]
    #[arg(long, value_name = "N", allow_hyphen_values = true, verbatim_doc_comment)]
    pub max_triangles: Option<String>,
}

/// The most triangles that are read.
pub fn triangles_most(args: &LimitArgs) -> Result<u64, UsageError> {
    let Some(typed) = &args.max_triangles else { return Ok(USUAL_TRIANGLES_MOST) };
    let hint = Some("give a whole number from 1, such as 40M, 500k or 40000000");
    number(typed)
        .filter(|most| *most > 0)
        .ok_or_else(|| usage("--max-triangles", typed, "this is no number of triangles", hint))
}

/// A whole number, perhaps in thousands (`k`) or millions (`M`).
fn number(typed: &str) -> Option<u64> {
    let typed = typed.trim();
    let (digits, times) = match typed.strip_suffix(['k', 'K']) {
        Some(digits) => (digits, 1_000),
        None => typed.strip_suffix(['m', 'M']).map_or((typed, 1), |digits| (digits, 1_000_000)),
    };
    let digits = digits.trim_end();
    let plain = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit());
    if plain { digits.parse::<u64>().ok()?.checked_mul(times) } else { None }
}
