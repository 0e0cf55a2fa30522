//! Tables as comma-separated values: one header row with units in the names, dots as decimal
//! points, lines ended as RFC 4180 has them.

mod buy;
mod quote;
mod text;

use crate::sheet::{LevelTable, Purchase, Quote};
use crate::units::InchFraction;

/// The columns of a dip-stick table.
const LEVEL: &str =
    "height_mm,below_lip_mm,below_lip_in,volume_cm3,volume_low_cm3,volume_high_cm3,grams";

/// A dip-stick table, numbers with all their digits.
///
/// Fractions of an inch always have their whole inches, `0 1/8`: a spreadsheet reads that as a
/// number, and a bare `1/8` as a day.
pub fn level(table: &LevelTable) -> String {
    let mut text = format!("{LEVEL}\r\n");
    for row in &table.rows {
        let volume = row.volume_mm3;
        let [best, low, high] = [volume.best(), volume.low(), volume.high()].map(|v| v / 1000.0);
        text += &format!(
            "{},{},{},{best},{low},{high},{}\r\n",
            row.height_mm,
            row.below_lip_mm,
            with_wholes(InchFraction::nearest(row.below_lip_mm)),
            row.grams
        );
    }
    text
}

/// A purchase list: rows of packs, then rows of components.
pub fn buy(purchase: &Purchase) -> String {
    buy::table(purchase)
}

/// A quote: every line of the build-up at every number of pieces, and the sums.
pub fn quote(quote: &Quote) -> String {
    quote::table(quote)
}

fn with_wholes(inches: InchFraction) -> String {
    match inches.parts() {
        (wholes, 0, _) => wholes.to_string(),
        (wholes, above, below) => format!("{wholes} {above}/{below}"),
    }
}
