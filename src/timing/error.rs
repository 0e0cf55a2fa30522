//! Why no timeline can be made.

use super::TimelineRequest;
use crate::units::Minutes;

/// Why no timeline can be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TimingError {
    /// A time is negative, not finite, or longer than any cure.
    #[error(
        "{name}: {what} takes {minutes} min; expected 0 min to {} days",
        Minutes::MOST / 1440.0
    )]
    OutOfRange {
        /// The pour.
        name: String,
        /// Which time.
        what: &'static str,
        /// What it is, min.
        minutes: f64,
    },
    /// All of the working time, or more, is kept in reserve.
    #[error("a reserve of {share} of the working time; expected a share from 0 to below 1")]
    Reserve {
        /// The share.
        share: f64,
    },
    /// No batch, or too many.
    #[error("{name}: {batches} batches; expected 1 to {}", TimelineRequest::MOST_BATCHES)]
    Batches {
        /// The pour.
        name: String,
        /// How many.
        batches: u32,
    },
    /// Coats come first, then the core, then the cap.
    #[error("{after} can't come after {before}")]
    OutOfOrder {
        /// The one before.
        before: String,
        /// The one that can't follow.
        after: String,
    },
    /// No castings or no moulds.
    #[error("a run has at least one casting and one mould")]
    Nothing,
    /// Too many rounds.
    #[error("{rounds} rounds of castings; expected at most {}", TimelineRequest::MOST_ROUNDS)]
    Rounds {
        /// How many.
        rounds: u32,
    },
    /// Beyond the year 9999.
    #[error("the work would go on beyond the year 9999, where the calendar ends")]
    BeyondCalendar,
}

impl TimingError {
    /// What to do about it.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::BeyondCalendar => Some("give an earlier --start"),
            Self::Rounds { .. } => Some("plan fewer castings, or more moulds"),
            Self::OutOfRange { .. } => Some("see the times of the casting system"),
            _ => None,
        }
    }
}
