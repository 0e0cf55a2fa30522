//! Reading the files of stock and rates: keys that are known, numbers exactly as they are written.

use crate::units::{line_and_column, nearest_word};
use jiff::civil::Date;
use rust_decimal::Decimal;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Why a file of stock or rates can't be used, with the place.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, column {column}: {kind}")]
pub struct CostFileError {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong and what was expected.
    pub kind: CostFileErrorKind,
}

/// What is wrong with a file of stock or rates.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CostFileErrorKind {
    /// Nothing is in it.
    #[error("the file is empty; expected {0}")]
    Empty(&'static str),
    /// No TOML.
    #[error("{0}")]
    Toml(String),
    /// A key or word that doesn't belong there.
    #[error(transparent)]
    Unknown(Box<UnknownWord>),
    /// A key that must be there.
    #[error("`{key}` is missing {place}")]
    Missing {
        /// Where.
        place: String,
        /// Which key.
        key: &'static str,
    },
    /// A value that can't be meant.
    #[error("`{key}` is {found}; expected {expected}")]
    Expected {
        /// Which key.
        key: String,
        /// What stands there.
        found: String,
        /// What was expected.
        expected: &'static str,
    },
    /// Two keys of which one was to be chosen.
    #[error("`{one}` and `{other}` stand together; expected one of them")]
    OneOf {
        /// The first.
        one: &'static str,
        /// The second.
        other: &'static str,
    },
    /// A currency's label that is none.
    #[error("{0}")]
    Currency(#[from] super::CurrencyError),
}

/// A key or word that doesn't belong where it stands.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("there is no {what} `{typed}` {place}; there are {}", .known.join(", "))]
pub struct UnknownWord {
    /// "key", "word", "component" or the like.
    pub what: &'static str,
    /// As it stands there.
    pub typed: String,
    /// Where: "at the head of the file", "under `[mould]`".
    pub place: String,
    /// All there are.
    pub known: Vec<String>,
    /// What was likely meant.
    pub nearest: Option<String>,
}

impl CostFileError {
    /// What to do about it, where that can be told.
    pub fn hint(&self) -> Option<String> {
        match &self.kind {
            CostFileErrorKind::Unknown(unknown) => {
                unknown.nearest.as_ref().map(|word| format!("did you mean `{word}`?"))
            }
            _ => None,
        }
    }
}

pub(super) type Fault = (Range<usize>, CostFileErrorKind);
pub(super) type Read<T> = Result<T, Fault>;

/// Reads a file with `read`, and puts faults in their place.
pub(super) fn read_toml<T>(
    toml: &str,
    holds: &'static str,
    read: impl FnOnce(&Table<'_, '_>) -> Read<T>,
) -> Result<T, CostFileError> {
    let text = toml.strip_prefix('\u{feff}').unwrap_or(toml);
    let placed = |(span, kind): Fault| {
        let (line, column) = line_and_column(text, span.start);
        CostFileError { line, column, kind }
    };
    if text.trim().is_empty() {
        return Err(placed((0..0, CostFileErrorKind::Empty(holds))));
    }
    let table = DeTable::parse(text).map_err(|error| {
        let kind = CostFileErrorKind::Toml(error.message().to_owned());
        placed((error.span().unwrap_or(0..0), kind))
    })?;
    let whole =
        Table { entries: table.get_ref(), place: "at the head of the file".into(), at: 0..0 };
    read(&whole).map_err(placed)
}

/// A table of the file.
pub(super) struct Table<'t, 'i> {
    entries: &'t DeTable<'i>,
    place: String,
    at: Range<usize>,
}

/// A value with its key.
pub(super) struct Value<'t, 'i> {
    key: &'static str,
    value: &'t Spanned<DeValue<'i>>,
}

impl<'t, 'i> Table<'t, 'i> {
    /// Every key must be one of these.
    pub fn only(&self, known: &[&str]) -> Read<()> {
        for (key, _) in self.entries {
            let typed: &str = key.get_ref();
            if !known.contains(&typed) {
                let kind = unknown("key", typed, self.place.clone(), known);
                return Err((key.span(), kind));
            }
        }
        Ok(())
    }

    /// Where the table begins.
    pub fn begins(&self) -> usize {
        self.at.start
    }

    pub fn get(&self, key: &'static str) -> Option<Value<'t, 'i>> {
        self.entries.get(key).map(|value| Value { key, value })
    }

    pub fn must(&self, key: &'static str) -> Read<Value<'t, 'i>> {
        self.get(key).ok_or_else(|| self.missing(key))
    }

    /// The fault that a key isn't there.
    pub fn missing(&self, key: &'static str) -> Fault {
        (self.at.clone(), CostFileErrorKind::Missing { place: self.place.clone(), key })
    }

    /// At most one of two keys.
    pub fn one_of(&self, one: &'static str, other: &'static str) -> Read<()> {
        match (self.get(one), self.get(other)) {
            (Some(_), Some(second)) => {
                Err((second.value.span(), CostFileErrorKind::OneOf { one, other }))
            }
            _ => Ok(()),
        }
    }

    /// A table under a key.
    pub fn table(&self, key: &'static str) -> Read<Option<Table<'t, 'i>>> {
        let Some(value) = self.get(key) else { return Ok(None) };
        match value.value.get_ref() {
            DeValue::Table(entries) => {
                Ok(Some(Table { entries, place: under(key), at: value.value.span() }))
            }
            _ => Err(value.not("a table with keys")),
        }
    }

    /// A list of tables under a key: `[[key]]`.
    pub fn tables(&self, key: &'static str) -> Read<Vec<Table<'t, 'i>>> {
        let Some(value) = self.get(key) else { return Ok(Vec::new()) };
        let DeValue::Array(items) = value.value.get_ref() else {
            return Err(value.not("tables, each under its own double brackets: [[…]]"));
        };
        let one = |item: &'t Spanned<DeValue<'i>>| match item.get_ref() {
            DeValue::Table(entries) => {
                Ok(Table { entries, place: format!("under `[[{key}]]`"), at: item.span() })
            }
            _ => Err((item.span(), Value { key, value: item }.kind("a table with keys"))),
        };
        items.iter().map(one).collect()
    }
}

fn under(key: &str) -> String {
    format!("under `[{key}]`")
}

impl<'t, 'i> Value<'t, 'i> {
    /// Where it stands.
    pub fn begins(&self) -> Range<usize> {
        self.value.span()
    }

    /// The fault that it isn't what was expected.
    pub fn not(&self, expected: &'static str) -> Fault {
        (self.value.span(), self.kind(expected))
    }

    fn kind(&self, expected: &'static str) -> CostFileErrorKind {
        let found = match self.value.get_ref() {
            DeValue::String(text) => format!("\"{text}\""),
            DeValue::Integer(number) => number.as_str().to_owned(),
            DeValue::Float(number) => number.as_str().to_owned(),
            DeValue::Boolean(yes) => yes.to_string(),
            DeValue::Datetime(date) => date.to_string(),
            DeValue::Array(_) => "a list".to_owned(),
            DeValue::Table(_) => "a table".to_owned(),
        };
        CostFileErrorKind::Expected { key: self.key.to_owned(), found, expected }
    }

    /// Words that say something.
    pub fn words(&self) -> Read<String> {
        let text = self.value.get_ref().as_str().map(str::trim).filter(|text| !text.is_empty());
        text.map(str::to_owned).ok_or_else(|| self.not("words between quotation marks"))
    }

    /// One of these words.
    pub fn word<T: Copy>(&self, known: &[(&'static str, T)]) -> Read<T> {
        let typed = self.words()?;
        let found = known.iter().find(|(word, _)| typed.eq_ignore_ascii_case(word));
        found.map(|(_, meaning)| *meaning).ok_or_else(|| {
            let words: Vec<&str> = known.iter().map(|(word, _)| *word).collect();
            let place = format!("for `{}`", self.key);
            (self.value.span(), unknown("word", &typed, place, &words))
        })
    }

    /// A number with at most four decimals between two others, exactly as it is written.
    pub fn decimal(&self, range: Allowed) -> Read<Decimal> {
        let text = match self.value.get_ref() {
            DeValue::String(text) => Some(text.trim().to_owned()),
            DeValue::Integer(number) if number.radix() == 10 => Some(number.as_str().to_owned()),
            DeValue::Float(number) => Some(number.as_str().to_owned()),
            _ => None,
        };
        let number = text.and_then(|text| plain_decimal(&text));
        let number = number.filter(|number| range.holds(*number));
        number.ok_or_else(|| self.not(range.expected))
    }

    /// A whole number.
    pub fn whole(&self, least: u32, most: u32, expected: &'static str) -> Read<u32> {
        let number = self.value.get_ref().as_integer().filter(|number| number.radix() == 10);
        let number: Option<u32> = number.and_then(|number| number.as_str().parse().ok());
        let number = number.filter(|number| (least..=most).contains(number));
        number.ok_or_else(|| self.not(expected))
    }

    /// True or false.
    pub fn yes(&self) -> Read<bool> {
        match self.value.get_ref() {
            DeValue::Boolean(yes) => Ok(*yes),
            _ => Err(self.not("true or false")),
        }
    }

    /// A calendar day.
    pub fn day(&self) -> Read<Date> {
        let text = match self.value.get_ref() {
            DeValue::String(text) => text.trim().to_owned(),
            DeValue::Datetime(date) if date.time.is_none() => date.to_string(),
            _ => String::new(),
        };
        text.parse().map_err(|_| self.not("a day such as 2026-11-25"))
    }

    /// Each of a list of values.
    pub fn each(&self) -> Read<Vec<Value<'t, 'i>>> {
        match self.value.get_ref() {
            DeValue::Array(items) => {
                Ok(items.iter().map(|value| Value { key: self.key, value }).collect())
            }
            _ => Err(self.not("a list between brackets")),
        }
    }
}

/// A word that is not among those known.
pub(super) fn unknown(
    what: &'static str,
    typed: &str,
    place: String,
    known: &[&str],
) -> CostFileErrorKind {
    CostFileErrorKind::Unknown(Box::new(UnknownWord {
        what,
        typed: typed.to_owned(),
        place,
        nearest: nearest_word(typed, known.iter().copied()).map(str::to_owned),
        known: known.iter().map(|word| (*word).to_owned()).collect(),
    }))
}

/// What a number may be.
#[derive(Debug, Clone, Copy)]
pub(super) struct Allowed {
    least: Decimal,
    most: Decimal,
    /// In words, with an example.
    pub expected: &'static str,
    /// The least itself is too little.
    above: bool,
}

impl Allowed {
    fn holds(self, number: Decimal) -> bool {
        let enough = if self.above { number > self.least } else { number >= self.least };
        enough && number <= self.most
    }

    /// Money.
    pub const PRICE: Self = Self {
        least: Decimal::ZERO,
        most: MILLIONS,
        expected: "a price such as 48.50, from 0 to 10000000 with at most 4 decimals, without a \
                   currency",
        above: false,
    };
    /// Grams on the shelf.
    pub const GRAMS: Self = Self {
        least: Decimal::ZERO,
        most: MILLIONS,
        expected: "grams from 0 to 10000000 with at most 4 decimals",
        above: false,
    };
    /// Days that something keeps.
    pub const DAYS: Self = Self {
        least: Decimal::ZERO,
        most: Decimal::from_parts(10_000, 0, 0, false, 0),
        expected: "days, more than 0 and at most 10000",
        above: true,
    };
    /// Minutes.
    pub const MINUTES: Self = Self {
        least: Decimal::ZERO,
        most: Decimal::from_parts(100_000, 0, 0, false, 0),
        expected: "minutes from 0 to 100000",
        above: false,
    };
    /// How many of something for one casting.
    pub const COUNT: Self = Self {
        least: Decimal::ZERO,
        most: Decimal::from_parts(10_000, 0, 0, false, 0),
        expected: "a number from 0 to 10000",
        above: false,
    };
    /// A surcharge.
    pub const PERCENT: Self = Self {
        least: Decimal::ZERO,
        most: Decimal::from_parts(1000, 0, 0, false, 0),
        expected: "per cent as a number from 0 to 1000, such as 20",
        above: false,
    };
    /// A share of the whole, which leaves something.
    pub const SHARE: Self = Self {
        least: Decimal::ZERO,
        most: Decimal::from_parts(95, 0, 0, false, 0),
        expected: "per cent of the whole as a number from 0 to 95, such as 5",
        above: false,
    };
}

const MILLIONS: Decimal = Decimal::from_parts(10_000_000, 0, 0, false, 0);

/// A plain decimal number of at most four decimals: no sign, no exponent, no separators.
pub(super) fn plain_decimal(text: &str) -> Option<Decimal> {
    let plain = text.chars().all(|c| c.is_ascii_digit() || c == '.');
    let number = Decimal::from_str_exact(text).ok().filter(|_| plain && !text.is_empty())?;
    (number.normalize().scale() <= super::Currency::DECIMALS_MOST).then_some(number)
}
