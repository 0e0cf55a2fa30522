//! New allowances from what was really kept by cup and brush: proposed with the evidence, never
//! set.

use super::{Entry, Spread};
use crate::plan::Layer;

/// Good castings that a proposal rests on at least.
///
/// Source: common practice, no source; the median of three is the first that one slip can't move
/// to either end.
pub const LEAST_GOOD: usize = 3;

/// A new remainder for a layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// Which layer.
    pub layer: Layer,
    /// What each mix left in cup and brush, g.
    pub kept_g: Spread,
    /// What was planned to stay there by each mix, g; of several plans the last one's.
    pub planned_g: f64,
    /// The remainder as it was planned last, % of net.
    pub remainder_percent: f64,
    /// The remainder that would have fitted, % of net.
    pub new_remainder_percent: f64,
}

impl Proposal {
    /// What the shop file would say: the one place that knows how it spells it.
    pub fn shop_line(&self) -> String {
        format!("{}-remainder = \"{}%\"", self.layer.as_str(), self.new_remainder_percent)
    }
}

/// What the good castings propose: where all of them kept more than was allowed for, or all of
/// them less.
///
/// The remainder is what moves, so that film, brush and levelling keep their meaning: each casting
/// tells the remainder it would have needed, its own less what was allowed and plus what was kept
/// as shares of its net grams; their median is rounded up to whole per cents.
pub fn proposals<'a>(entries: impl IntoIterator<Item = &'a Entry>) -> Vec<Proposal> {
    let good: Vec<&Entry> = entries.into_iter().filter(|entry| entry.is_good()).collect();
    [Layer::Skin, Layer::Core, Layer::Cap]
        .into_iter()
        .filter_map(|layer| proposal(layer, &good))
        .collect()
}

fn proposal(layer: Layer, good: &[&Entry]) -> Option<Proposal> {
    let told: Vec<(&Entry, f64)> =
        good.iter().filter_map(|entry| Some((*entry, entry.kept_g(layer)?))).collect();
    let (last, _) = told.last().filter(|_| told.len() >= LEAST_GOOD)?;
    let needed = told.iter().filter_map(|(entry, kept_g)| {
        let planned = entry.planned.of(layer);
        let more_g = kept_g - planned.kept_g;
        (planned.net_g > 0.0).then(|| planned.remainder_percent + 100.0 * more_g / planned.net_g)
    });
    let needed = Spread::new(needed).filter(|needed| needed.count() >= LEAST_GOOD)?;
    let planned = last.planned.of(layer);
    let remainder_percent = planned.remainder_percent;
    if (needed.low()..=needed.high()).contains(&remainder_percent) {
        return None;
    }
    // Less than a thousandth over a whole per cent is rounding.
    let new_remainder_percent = (needed.median() - 1e-3).ceil().max(0.0);
    let kept_g = Spread::new(
        told.iter().map(|(entry, kept_g)| kept_g / entry.planned.of(layer).mixes.max(1) as f64),
    )?;
    let changes = (new_remainder_percent - remainder_percent).abs() > 1e-9;
    changes.then(|| Proposal {
        layer,
        kept_g,
        planned_g: planned.kept_g / planned.mixes.max(1) as f64,
        remainder_percent,
        new_remainder_percent,
    })
}
