//! What an entry may say. A number that no casting has is a slip or a damaged line: it would move
//! every mean and proposal that follows, so it is not taken.

use std::ops::RangeInclusive;

use super::typed::{MOST_MINUTES, ROOM_C, SKIN_MM};
use super::{Entry, PerLayer, PlannedLayer};
use crate::units::{Length, Weight};

/// What is weighed, g: as much as is understood where weights are typed.
const WEIGHED_G: RangeInclusive<f64> = 0.0..=Weight::MOST_G;
/// What is planned for all castings together, g: as many as are made at once, each of the largest
/// piece that is planned, 1000 m³, of the heaviest filler.
const PLANNED_G: RangeInclusive<f64> = 0.0..=2.5e14;
/// A remainder, % of net.
const REMAINDER_PERCENT: RangeInclusive<f64> = 0.0..=1e6;
/// Castings made at once.
const CASTINGS: RangeInclusive<f64> = 1.0..=10_000.0;
/// Mixes of a layer: batches by coats, and room.
const MIXES: RangeInclusive<f64> = 0.0..=1e7;

/// A number of an entry that no casting has.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{what} is {value:e}, and not between {low} and {high}", low = .within.start(), high = .within.end())]
pub struct OddNumber {
    /// Which, as the line names it.
    pub what: String,
    /// The number.
    pub value: f64,
    /// What it has to be.
    pub within: RangeInclusive<f64>,
}

impl Entry {
    /// Every number is one that a casting may have.
    ///
    /// # Errors
    /// [`OddNumber`], the first that isn't.
    pub fn check(&self) -> Result<(), OddNumber> {
        within("castings", Some(f64::from(self.castings)), &CASTINGS)?;
        each("used_g", &self.used_g, &WEIGHED_G)?;
        each("left_g", &self.left_g, &WEIGHED_G)?;
        each("gel_seen_minutes", &self.gel_seen_minutes, &(0.0..=MOST_MINUTES))?;
        within("room_c", self.room_c, &ROOM_C)?;
        within("humidity_percent", self.humidity_percent, &(0.0..=100.0))?;
        within("thickness_mm", self.thickness_mm, &SKIN_MM)?;
        within("piece_g", self.piece_g, &WEIGHED_G)?;
        let planned = &self.planned;
        within("planned.skin_mm", Some(planned.skin_mm), &(0.0..=Length::LONGEST.mm()))?;
        let piece = planned.piece_g;
        for (which, grams) in [("best", piece.best), ("low", piece.low), ("high", piece.high)] {
            within(&format!("planned.piece_g.{which}"), Some(grams), &PLANNED_G)?;
        }
        for (name, layer) in [("skin", planned.skin), ("core", planned.core), ("cap", planned.cap)]
        {
            planned_layer(name, &layer)?;
        }
        Ok(())
    }
}

fn each(what: &str, numbers: &PerLayer, range: &RangeInclusive<f64>) -> Result<(), OddNumber> {
    for (layer, number) in [("skin", numbers.skin), ("core", numbers.core), ("cap", numbers.cap)] {
        within(&format!("{what}.{layer}"), number, range)?;
    }
    Ok(())
}

fn planned_layer(name: &str, layer: &PlannedLayer) -> Result<(), OddNumber> {
    let grams = [
        ("net_g", layer.net_g),
        ("mix_g", layer.mix_g),
        ("kept_g", layer.kept_g),
        ("waste_g", layer.waste_g),
    ];
    for (which, grams) in grams {
        within(&format!("planned.{name}.{which}"), Some(grams), &PLANNED_G)?;
    }
    let remainder = ("remainder_percent", layer.remainder_percent, &REMAINDER_PERCENT);
    for (which, number, range) in [remainder, ("mixes", layer.mixes as f64, &MIXES)] {
        within(&format!("planned.{name}.{which}"), Some(number), range)?;
    }
    Ok(())
}

fn within(what: &str, number: Option<f64>, range: &RangeInclusive<f64>) -> Result<(), OddNumber> {
    match number {
        Some(value) if !range.contains(&value) => {
            Err(OddNumber { what: what.to_owned(), value, within: range.clone() })
        }
        _ => Ok(()),
    }
}
