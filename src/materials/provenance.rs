//! Every number in a built-in system says its unit, source and date.

use super::SystemError;
use super::read::of_toml;
use super::sourced::is_day;
use toml::{Table, Value};

/// A number in a system file that doesn't say where it comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unsourced {
    /// The key, from the top: `components[1].density_g_cm3`.
    pub key: String,
    /// What is missing: "unit in the key", "source" or "date".
    pub missing: &'static str,
}

/// How keys of numbers end: the unit, or the scale that stands for one. A factor and a specific
/// gravity have none, and a price is in the user's own currency.
const UNITS: &[&str] = &[
    "_g_cm3",
    "_minutes",
    "parts",
    "shore_a",
    "shore_00",
    "shore_d",
    "_percent",
    "_mm",
    "_mpa_s",
    "_c",
    "_g",
    "_days",
    "_in3_lb",
    "grams_per_drop",
    "times_factor",
    "specific_gravity",
    ".price",
];

/// Tables whose keys are names and whose own key tells the unit.
const UNIT_OF_TABLE: &str = ".contents_g.";

/// Lists the numbers of a system file that lack a unit in the key, a source or a date.
///
/// # Errors
/// [`SystemError`] where the text is no TOML.
pub fn unsourced_numbers(toml: &str) -> Result<Vec<Unsourced>, SystemError> {
    let table: Table = toml.parse().map_err(|e| of_toml(toml, &e))?;
    let mut found = Vec::new();
    look_through(&table, "", &mut found);
    Ok(found)
}

fn look_through(table: &Table, path: &str, found: &mut Vec<Unsourced>) {
    for (key, value) in table {
        let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
        look_at(value, &path, found);
    }
}

fn look_at(value: &Value, path: &str, found: &mut Vec<Unsourced>) {
    match value {
        Value::Integer(_) | Value::Float(_) => judge(&Table::new(), path, found),
        // A table with a value is one number, whether written as number or as text ("3/2").
        Value::Table(table) if table.contains_key("value") => judge(table, path, found),
        Value::Table(table) => look_through(table, path, found),
        Value::Array(items) => {
            for (i, item) in items.iter().enumerate() {
                look_at(item, &format!("{path}[{i}]"), found);
            }
        }
        Value::String(_) | Value::Boolean(_) | Value::Datetime(_) => {}
    }
}

/// Checks one number: `around` is the table that gives its source and date.
fn judge(around: &Table, path: &str, found: &mut Vec<Unsourced>) {
    let source = around.get("source").and_then(Value::as_str);
    let date = around.get("date").map(|d| d.as_str().map_or_else(|| d.to_string(), str::to_owned));
    let lacks = [
        ("unit in the key", !says_unit(path)),
        ("source", source.is_none_or(|s| s.trim().is_empty())),
        ("date", !date.is_some_and(|d| is_day(&d))),
    ];
    let missing = lacks.iter().filter(|(_, lacks)| *lacks);
    found.extend(missing.map(|(missing, _)| Unsourced { key: path.to_owned(), missing }));
}

fn says_unit(path: &str) -> bool {
    path.contains(UNIT_OF_TABLE) || UNITS.iter().any(|unit| path.ends_with(unit))
}
