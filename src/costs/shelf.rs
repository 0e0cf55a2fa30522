//! What is on the shelf: the stock file.

use super::file::{Allowed, CostFileError, Read, Table, read_toml};
use crate::units::line_and_column;
use jiff::civil::Date;
use rust_decimal::Decimal;

/// What is on the shelf, as the stock file tells it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shelf {
    /// In the file's order.
    pub entries: Vec<ShelfEntry>,
}

/// One tin on the shelf.
#[derive(Debug, Clone, PartialEq)]
pub struct ShelfEntry {
    /// The system's id.
    pub system: String,
    /// Which of its components.
    pub component: String,
    /// What is left in it, g.
    pub grams: Decimal,
    /// Its lot.
    pub lot: Option<String>,
    /// When it was opened.
    pub opened: Option<Date>,
    /// How long it keeps once opened, days; where not said as the system's packs tell.
    pub opened_life_days: Option<Decimal>,
    /// The last day that it may be used.
    pub expires: Option<Date>,
    /// Where it stands in the file: line and column, from 1.
    pub place: (usize, usize),
}

const KEYS: [&str; 7] =
    ["system", "component", "grams", "lot", "opened", "opened_life_days", "expires"];

impl Shelf {
    /// Reads the text of a stock file.
    ///
    /// # Errors
    /// [`CostFileError`] with line, column and what was expected.
    ///
    /// # Example
    /// ```
    /// use cavigram::costs::Shelf;
    ///
    /// let shelf = Shelf::from_toml(
    ///     r#"
    ///     [[shelf]]
    ///     system = "urethane-a5"
    ///     component = "A"
    ///     grams = 640.5
    ///     opened = 2026-09-01
    ///     "#,
    /// )?;
    /// assert_eq!(shelf.entries[0].grams.to_string(), "640.5");
    /// let error = Shelf::from_toml("[[shelf]]\nsytem = \"x\"").unwrap_err();
    /// assert_eq!(error.hint().as_deref(), Some("did you mean `system`?"));
    /// # Ok::<(), cavigram::costs::CostFileError>(())
    /// ```
    pub fn from_toml(toml: &str) -> Result<Self, CostFileError> {
        let text = toml.strip_prefix('\u{feff}').unwrap_or(toml);
        read_toml(toml, "`[[shelf]]` tables with system, component and grams", |file| {
            file.only(&["shelf"])?;
            let entries = file.tables("shelf")?;
            let entries = entries.iter().map(|table| entry(table, text));
            Ok(Self { entries: entries.collect::<Read<_>>()? })
        })
    }
}

fn entry(table: &Table<'_, '_>, text: &str) -> Read<ShelfEntry> {
    table.only(&KEYS)?;
    Ok(ShelfEntry {
        system: table.must("system")?.words()?.to_lowercase(),
        component: table.must("component")?.words()?,
        grams: table.must("grams")?.decimal(Allowed::GRAMS)?,
        lot: table.get("lot").map(|lot| lot.words()).transpose()?,
        opened: table.get("opened").map(|day| day.day()).transpose()?,
        opened_life_days: table
            .get("opened_life_days")
            .map(|days| days.decimal(Allowed::DAYS))
            .transpose()?,
        expires: table.get("expires").map(|day| day.day()).transpose()?,
        place: line_and_column(text, table.begins()),
    })
}
