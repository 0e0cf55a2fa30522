//! A number with where it comes from.

use serde::de::{Deserialize, Deserializer, Error, MapAccess, Visitor};
use std::fmt;
use std::marker::PhantomData;

/// A value from a data sheet, with its source and the day it was taken down.
///
/// In a system file either a bare number or `{ value = 1.04, source = "…", date = "2026-11-25" }`.
/// Built-in systems always give source and date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sourced<T> {
    /// The value; the unit stands in the field's name.
    pub value: T,
    /// Where it comes from, such as "typical, common practice".
    pub source: Option<String>,
    /// When it was taken down, `YYYY-MM-DD`.
    pub date: Option<String>,
}

impl<T> Sourced<T> {
    /// A value without a source, as a user may type it.
    pub const fn bare(value: T) -> Self {
        Self { value, source: None, date: None }
    }

    /// Made up to show the form: as the packs and prices of built-in systems are, until somebody
    /// replaces them.
    pub fn is_invented(&self) -> bool {
        self.source.as_ref().is_some_and(|source| source.trim_start().starts_with("invented"))
    }

    pub(super) fn map<U>(self, change: impl FnOnce(T) -> U) -> Sourced<U> {
        Sourced { value: change(self.value), source: self.source, date: self.date }
    }
}

/// A quantity as a system file may hold it: a number or text, within a range.
pub(super) trait Quantity: Sized {
    /// What to say was expected, with range and unit.
    const EXPECTED: &'static str;

    /// From a number, or `None` where it is out of range.
    fn from_number(number: f64) -> Option<Self>;

    /// From text, where the quantity can be written so.
    fn from_text(_text: &str) -> Option<Self> {
        None
    }
}

/// A quantity alone, as it stands at `value`.
struct Bare<T>(T);

struct BareVisitor<T>(PhantomData<T>);

impl<T: Quantity> BareVisitor<T> {
    fn number<E: Error>(number: f64) -> Result<T, E> {
        T::from_number(number)
            .ok_or_else(|| E::custom(format!("{number}: expected {}", T::EXPECTED)))
    }

    fn text<E: Error>(text: &str) -> Result<T, E> {
        T::from_text(text).ok_or_else(|| E::custom(format!("`{text}`: expected {}", T::EXPECTED)))
    }
}

impl<T: Quantity> Visitor<'_> for BareVisitor<T> {
    type Value = Bare<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(T::EXPECTED)
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<Bare<T>, E> {
        Self::number(number as f64).map(Bare)
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<Bare<T>, E> {
        Self::number(number).map(Bare)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Bare<T>, E> {
        Self::text(text).map(Bare)
    }
}

impl<'de, T: Quantity> Deserialize<'de> for Bare<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(BareVisitor(PhantomData))
    }
}

/// A calendar day, as text or as TOML's own date.
struct Day(String);

impl<'de> Deserialize<'de> for Day {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let day = match toml::Value::deserialize(deserializer)? {
            toml::Value::String(text) => text,
            toml::Value::Datetime(date) => date.to_string(),
            other => other.to_string(),
        };
        if is_day(&day) {
            return Ok(Self(day));
        }
        Err(Error::custom(format!("`{day}`: expected a day such as \"2026-11-25\"")))
    }
}

/// Whether a text is a calendar day `YYYY-MM-DD`.
pub(super) fn is_day(text: &str) -> bool {
    // TOML's own parser knows months and leap years; a date alone is ten characters.
    text.len() == 10
        && text.parse::<toml::value::Datetime>().is_ok_and(|d| d.date.is_some() && d.time.is_none())
}

struct SourcedVisitor<T>(PhantomData<T>);

/// The keys of a sourced number; an unknown one is refused where it stands.
#[derive(serde::Deserialize)]
#[serde(field_identifier, rename_all = "lowercase")]
enum Key {
    Value,
    Source,
    Date,
}

impl<'de, T: Quantity> Visitor<'de> for SourcedVisitor<T> {
    type Value = Sourced<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, or a table with `value`, `source` and `date`", T::EXPECTED)
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<Sourced<T>, E> {
        BareVisitor::number(number as f64).map(Sourced::bare)
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<Sourced<T>, E> {
        BareVisitor::number(number).map(Sourced::bare)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Sourced<T>, E> {
        BareVisitor::text(text).map(Sourced::bare)
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Sourced<T>, A::Error> {
        let (mut value, mut source, mut date) = (None, None, None);
        while let Some(key) = map.next_key::<Key>()? {
            match key {
                Key::Value => value = Some(map.next_value::<Bare<T>>()?.0),
                Key::Source => source = Some(map.next_value()?),
                Key::Date => date = Some(map.next_value::<Day>()?.0),
            }
        }
        let value = value.ok_or_else(|| Error::missing_field("value"))?;
        Ok(Sourced { value, source, date })
    }
}

impl<'de, T: Quantity> Deserialize<'de> for Sourced<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(SourcedVisitor(PhantomData))
    }
}
