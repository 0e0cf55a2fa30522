//! All that a record tells.

use super::{Entry, Log, Proposal, Spread, proposals};
use crate::finding::Finding;
use crate::plan::Layer;

/// All that a record tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    /// Name of the job file.
    pub job: String,
    /// The entries in the file's order, with their lines, from 1.
    pub entries: Vec<(usize, Entry)>,
    /// How what was recorded spreads, rejects left out.
    pub spreads: Vec<(Quantity, Spread, Option<f64>)>,
    /// What the good castings propose.
    pub proposals: Vec<Proposal>,
    /// How many castings were told to be good.
    pub good: usize,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// What was recorded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// What of a layer is in the mould, g.
    Used(Layer),
    /// What each mix of a layer left in cup and brush, g.
    Kept(Layer),
    /// When a layer's gel was seen, minutes.
    GelSeen(Layer),
    /// The skin's thickness, mm.
    Thickness,
    /// The trimmed piece, g.
    Piece,
}

/// A piece's weight beside what was expected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Judged {
    /// Within the limits.
    Within,
    /// Lighter than the lower limit by so much, g.
    Under(f64),
    /// Heavier than the upper limit by so much, g.
    Over(f64),
}

/// How a recorded piece weighs beside what was expected of it; `None` where it wasn't weighed.
pub fn judged(entry: &Entry) -> Option<Judged> {
    let (piece_g, expected) = (entry.piece_g?, entry.planned.piece_g);
    Some(if piece_g < expected.low {
        Judged::Under(expected.low - piece_g)
    } else if piece_g > expected.high {
        Judged::Over(piece_g - expected.high)
    } else {
        Judged::Within
    })
}

const LAYERS: [Layer; 3] = [Layer::Skin, Layer::Core, Layer::Cap];

impl Summary {
    /// What a job's record tells.
    pub fn new(job: impl Into<String>, log: Log) -> Self {
        let kept: Vec<&Entry> =
            log.entries.iter().map(|(_, entry)| entry).filter(|e| !e.is_reject()).collect();
        let mut quantities: Vec<Quantity> = LAYERS.map(Quantity::Used).to_vec();
        quantities.extend(LAYERS.map(Quantity::Kept));
        quantities.extend(LAYERS.map(Quantity::GelSeen));
        quantities.extend([Quantity::Thickness, Quantity::Piece]);
        let spreads = quantities.into_iter().filter_map(|quantity| {
            let told = kept.iter().filter_map(|entry| quantity.of(entry));
            let spread = Spread::new(told)?;
            let last = kept.iter().rev().find(|entry| quantity.of(entry).is_some())?;
            Some((quantity, spread, quantity.planned(last)))
        });
        Self {
            job: job.into(),
            spreads: spreads.collect(),
            proposals: proposals(log.entries.iter().map(|(_, entry)| entry)),
            good: kept.iter().filter(|entry| entry.is_good()).count(),
            findings: log.findings,
            entries: log.entries,
        }
    }
}

impl Quantity {
    fn of(self, entry: &Entry) -> Option<f64> {
        match self {
            Self::Used(layer) => entry.used_g.of(layer),
            Self::Kept(layer) => {
                Some(entry.kept_g(layer)? / entry.planned.of(layer).mixes.max(1) as f64)
            }
            Self::GelSeen(layer) => entry.gel_seen_minutes.of(layer),
            Self::Thickness => entry.thickness_mm,
            Self::Piece => entry.piece_g,
        }
    }

    fn planned(self, entry: &Entry) -> Option<f64> {
        match self {
            Self::Used(layer) => Some(entry.planned.of(layer).net_g),
            Self::Kept(layer) => {
                let planned = entry.planned.of(layer);
                Some(planned.kept_g / planned.mixes.max(1) as f64)
            }
            Self::GelSeen(_) => None,
            Self::Thickness => Some(entry.planned.skin_mm),
            Self::Piece => Some(entry.planned.piece_g.best),
        }
    }

    /// The word used in JSON, its unit at the end.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Used(Layer::Skin) => "skin_used_g",
            Self::Used(Layer::Core) => "core_used_g",
            Self::Used(Layer::Cap) => "cap_used_g",
            Self::Kept(Layer::Skin) => "skin_kept_g_per_coat",
            Self::Kept(Layer::Core) => "core_kept_g",
            Self::Kept(Layer::Cap) => "cap_kept_g",
            Self::GelSeen(Layer::Skin) => "skin_gel_seen_minutes",
            Self::GelSeen(Layer::Core) => "core_gel_seen_minutes",
            Self::GelSeen(Layer::Cap) => "cap_gel_seen_minutes",
            Self::Thickness => "thickness_mm",
            Self::Piece => "piece_g",
        }
    }
}
