//! What stands in the mould, in the upper part of the batch sheet.

use super::head::limits;
use super::numbers::{tenths, three};
use super::page::{Page, shortened};
use crate::sheet::{InsertFacts, Sheet};

/// Columns of an insert's name.
const NAME: usize = 30;

/// A row for each insert, and one for what several take together.
pub fn rows(page: &mut Page, sheet: &Sheet) {
    let Some(inserts) = &sheet.inserts else { return };
    for insert in &inserts.each {
        page.row("Insert", &describe(insert));
    }
    if inserts.each.len() > 1 {
        let (core, cap) = (inserts.together.core_mm3, inserts.together.cap_mm3);
        let [in_core, in_cap] = [core, cap].map(|v| three(v.best() / 1000.0));
        let text = format!(
            "together they take {in_core} cm³{} of the core, {in_cap} cm³{} of the cap",
            limits(core),
            limits(cap)
        );
        page.row("", &text);
    }
}

fn describe(insert: &InsertFacts) -> String {
    let size = |mm3: f64| three(mm3 / 1000.0);
    let mut text = format!(
        "{}: {} cm³, of it {}{} in the core, {}{} in the cap",
        shortened(&insert.file, NAME),
        size(insert.volume_mm3),
        size(insert.core_mm3.best()),
        limits(insert.core_mm3),
        size(insert.cap_mm3.best()),
        limits(insert.cap_mm3)
    );
    match insert.wall_mm {
        None => {}
        Some(_) if insert.outside_mm3.low() > 0.0 => text += "; it passes through the wall",
        Some(wall_mm) if wall_mm <= 0.0 => text += "; it touches the wall",
        // Rounded down: rather told too near than too far.
        Some(wall_mm) => {
            text += &format!("; {} mm from the wall", tenths((wall_mm * 10.0).floor() / 10.0));
        }
    }
    text
}
