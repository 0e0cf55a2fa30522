//! The dip-stick table: heights, depths, volumes and grams in columns.

use super::head::limits_within;
use super::page::{FAINT, PLAIN, Page, STRONG, width};
use super::pours::{density, with_softener};
use crate::sheet::{LevelRow, LevelTable};
use crate::units::InchFraction;

/// Columns of a height or depth, of inches, of a volume and of grams.
const COLUMNS: [usize; 5] = [13, 15, 13, 19, 19];

/// What the table is of, and its rows.
pub fn table(page: &mut Page, table: &LevelTable) {
    let material = &table.material;
    page.row(
        "Material",
        &format!(
            "{}; {} g/cm³ (typical)",
            with_softener(&material.system_title, material.softener),
            density(material.density_g_cm3)
        ),
    );
    page.row("Holds for", "the bare cavity: a skin brushed on its wall takes its own volume");
    if let Some(unsure_cm3) = limits_within(table.rows.iter().map(|row| row.volume_mm3)) {
        page.row("Unsure", &format!("each volume by up to {unsure_cm3} cm³"));
    }
    page.gap();
    let edge = if table.cavity.open { "the lip" } else { "the top" };
    line(page, ["above the", "under", "", "", ""].map(str::to_owned));
    line(page, ["lowest point", edge, "", "volume", "mix"].map(str::to_owned));
    line(page, ["mm", "mm", "in", "cm³", "g"].map(str::to_owned));
    let digits = Digits::of(table);
    for row in &table.rows {
        digits.row(page, row);
    }
    page.gap();
}

/// Digits behind the point, the same all down a column.
struct Digits {
    length: usize,
    volume: usize,
    grams: usize,
}

impl Digits {
    fn of(table: &LevelTable) -> Self {
        let last = table.rows.last();
        let volume_cm3 = last.map_or(0.0, |row| row.volume_mm3.best() / 1000.0);
        let behind = |value: f64, most: usize| match value {
            v if v >= 1000.0 => most - 2,
            v if v >= 10.0 => most - 1,
            _ => most,
        };
        Self {
            // Rows of a fine step must not look the same.
            length: if table.step_mm >= 0.1 { 2 } else { 4 },
            volume: behind(volume_cm3, 3),
            grams: behind(last.map_or(0.0, |row| row.grams), 2).max(1),
        }
    }

    fn row(&self, page: &mut Page, row: &LevelRow) {
        let length = self.length;
        let [height, below, inches, volume, grams] = cells([
            format!("{:.length$}", row.height_mm),
            format!("{:.length$}", row.below_lip_mm),
            InchFraction::nearest(row.below_lip_mm).to_string(),
            format!("{:.*}", self.volume, row.volume_mm3.best() / 1000.0),
            format!("{:.*}", self.grams, row.grams),
        ]);
        let lengths = [height, below, inches].concat();
        page.line(&[(PLAIN, &lengths), (STRONG, &volume), (PLAIN, &grams)]);
    }
}

/// A line of the table's head.
fn line(page: &mut Page, texts: [String; 5]) {
    page.line(&[(FAINT, cells(texts).concat().trim_end())]);
}

/// Texts at the right edges of their columns.
fn cells(texts: [String; 5]) -> [String; 5] {
    let mut columns = COLUMNS.iter();
    texts.map(|text| {
        let room = columns.next().copied().unwrap_or_default();
        " ".repeat(room.saturating_sub(width(&text))) + &text
    })
}
