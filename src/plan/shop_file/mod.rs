//! The workshop's own values: the shop file, as TOML, and single values typed over it.

mod error;
mod keys;
mod value;

pub use error::{ShopFileError, ShopFileErrorKind, ShopValueError};
pub use keys::ShopKey;

use super::Shop;
use crate::units::{Hours, line_and_column, nearest_word};
use error::ShopFileErrorKind as Kind;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Something that makes no sense, at bytes of the text.
type Misfit = (Range<usize>, Box<Kind>);

/// What a workshop has, how it works, and what of that it said itself.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Workshop {
    /// What it has, and how it works.
    pub shop: Shop,
    /// When somebody is there.
    pub hours: Option<Hours>,
    /// What was said rather than taken as usual, in the order it was said.
    said: Vec<ShopKey>,
}

/// Where a workshop's values come from, for the sheet.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ShopTold {
    /// The file, where there was one.
    pub file: Option<String>,
    /// What was said there or typed; the rest is as usual.
    pub said: Vec<ShopKey>,
}

impl Workshop {
    /// Reads the text of a shop file; what it leaves out is as usual.
    ///
    /// # Errors
    /// [`ShopFileError`] with line, column and what was expected.
    ///
    /// # Example
    /// ```
    /// use cavigram::plan::Workshop;
    ///
    /// let workshop = Workshop::from_toml(
    ///     r#"
    ///     scale.step = "0.5g"
    ///     cups.sizes = ["250ml", "600ml"]
    ///     "#,
    /// )?;
    /// assert_eq!(workshop.shop.scale_step_g, 0.5);
    /// let error = Workshop::from_toml("scale.stepp = \"1g\"").unwrap_err();
    /// assert_eq!((error.line, error.column), (1, 7));
    /// assert_eq!(error.hint().as_deref(), Some("did you mean `step`?"));
    /// # Ok::<(), cavigram::plan::ShopFileError>(())
    /// ```
    pub fn from_toml(toml: &str) -> Result<Self, ShopFileError> {
        let text = toml.strip_prefix('\u{feff}').unwrap_or(toml);
        let placed = |span: Range<usize>, kind| {
            let (line, column) = line_and_column(text, span.start);
            ShopFileError { line, column, kind: Box::new(kind) }
        };
        let table = DeTable::parse(text).map_err(|error| {
            placed(error.span().unwrap_or(0..0), Kind::Toml(error.message().to_owned()))
        })?;
        let mut workshop = Self::default();
        for (name, value) in table.get_ref() {
            workshop.take_table(name, value).map_err(|(span, kind)| placed(span, *kind))?;
        }
        Ok(workshop)
    }

    /// Sets one value from its text, as it would stand in the file or be typed.
    ///
    /// # Errors
    /// [`ShopValueError`].
    pub fn set(&mut self, key: ShopKey, text: &str) -> Result<(), ShopValueError> {
        let mut changed = self.clone();
        keys::set(&mut changed, key, text)?;
        super::check::shop(&changed.shop).map_err(ShopValueError::of_plan)?;
        changed.said.retain(|said| *said != key);
        changed.said.push(key);
        *self = changed;
        Ok(())
    }

    /// What was said rather than taken as usual, in the order it was said.
    pub fn said(&self) -> &[ShopKey] {
        &self.said
    }

    fn take_table(
        &mut self,
        name: &Spanned<impl AsRef<str>>,
        value: &Spanned<DeValue<'_>>,
    ) -> Result<(), Misfit> {
        let table: &str = name.get_ref().as_ref();
        if !ShopKey::tables().contains(&table) {
            return Err((name.span(), Box::new(unknown(None, table, ShopKey::tables()))));
        }
        let Some(entries) = value.get_ref().as_table() else {
            return Err((value.span(), Box::new(Kind::NoTable(table.to_owned()))));
        };
        for (key, value) in entries {
            let typed: &str = key.get_ref();
            let Some(known) = ShopKey::find(table, typed) else {
                let kind = unknown(Some(table), typed, ShopKey::names(table));
                return Err((key.span(), Box::new(kind)));
            };
            let text = value::text(value.get_ref())
                .ok_or_else(|| (value.span(), Box::new(Kind::NoText(typed.to_owned()))))?;
            let misfit = |error| {
                let key = typed.to_owned();
                (value.span(), Box::new(Kind::Value { key, error }))
            };
            self.set(known, &text).map_err(misfit)?;
        }
        Ok(())
    }
}

fn unknown(table: Option<&str>, typed: &str, known: Vec<&'static str>) -> Kind {
    let plain = typed.to_lowercase().replace('_', "-");
    Kind::Unknown {
        table: table.map(str::to_owned),
        typed: typed.to_owned(),
        nearest: nearest_word(&plain, known.iter().copied()).map(str::to_owned),
        known,
        elsewhere: table.and_then(|_| ShopKey::table_of(&plain)),
    }
}
