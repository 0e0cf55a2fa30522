//! How a system is worked and sold, as a file spells it: times, build, weighing order, packs.

use super::error::{Misfit, SystemErrorKind, not_named};
use super::quantity::{Celsius, CoatMm, Days, Given, Grams, Minutes, plain};
use crate::materials::{Build, Pack, Sourced, Times};
use rust_decimal::Decimal;
use serde::Deserialize;
use serde::de::{Deserializer, MapAccess, Visitor};
use std::fmt;
use std::ops::Range;
use toml::Spanned;

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub(super) struct TimesKeys {
    working_minutes: Given<Minutes>,
    gel_minutes: Given<Minutes>,
    #[serde(alias = "demold_minutes")]
    demould_minutes: Given<Minutes>,
    full_cure_minutes: Given<Minutes>,
    bond_from_minutes: Given<Minutes>,
    bond_until_minutes: Given<Minutes>,
    temperature_c: Given<Celsius>,
    mass_g: Given<Grams>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub(super) struct BuildKeys {
    plain_mm: Given<CoatMm>,
    thickened_mm: Given<CoatMm>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PackKeys {
    name: Spanned<String>,
    contents_g: Contents,
    price: Option<Sourced<Decimal>>,
    opened_life_days: Given<Days>,
}

/// Grams by the names of what is weighed.
struct Contents(Vec<(Spanned<String>, Sourced<Grams>)>);

impl<'de> Deserialize<'de> for Contents {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_map(ContentsVisitor)
    }
}

struct ContentsVisitor;

impl<'de> Visitor<'de> for ContentsVisitor {
    type Value = Contents;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a table of grams by the names of components, such as { A = 900, B = 900 }")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Contents, A::Error> {
        let mut contents = Vec::new();
        while let Some(entry) = map.next_entry()? {
            contents.push(entry);
        }
        Ok(Contents(contents))
    }
}

/// A value under a key, with its place, for comparing two.
type Placed = (&'static str, Option<(f64, Range<usize>)>);

fn placed<T>(key: &'static str, given: &Given<T>) -> Placed
where
    T: Copy + Into<f64>,
{
    (key, given.as_ref().map(|g| (g.get_ref().value.into(), g.span())))
}

/// The first two given values, one behind the other, that fall.
fn rising(values: &[Placed]) -> Result<(), Misfit> {
    let mut before: Option<(&'static str, f64)> = None;
    for (key, value) in values {
        let Some((value, span)) = value else { continue };
        if let Some((less, lower)) = before
            && lower > *value
        {
            return Err((span.clone(), SystemErrorKind::OutOfOrder { less, more: key }));
        }
        before = Some((key, *value));
    }
    Ok(())
}

impl TimesKeys {
    /// The times, in the order in which things happen.
    pub fn checked(self) -> Result<Times, Misfit> {
        rising(&[
            placed("working_minutes", &self.working_minutes),
            placed("gel_minutes", &self.gel_minutes),
            placed("demould_minutes", &self.demould_minutes),
            placed("full_cure_minutes", &self.full_cure_minutes),
        ])?;
        rising(&[
            placed("bond_from_minutes", &self.bond_from_minutes),
            placed("bond_until_minutes", &self.bond_until_minutes),
        ])?;
        Ok(Times {
            working_minutes: plain(self.working_minutes),
            gel_minutes: plain(self.gel_minutes),
            demould_minutes: plain(self.demould_minutes),
            full_cure_minutes: plain(self.full_cure_minutes),
            bond_from_minutes: plain(self.bond_from_minutes),
            bond_until_minutes: plain(self.bond_until_minutes),
            temperature_c: plain(self.temperature_c),
            mass_g: plain(self.mass_g),
        })
    }
}

impl BuildKeys {
    /// The coats that stand; a thickened one at least as thick as a plain one.
    pub fn checked(self) -> Result<Build, Misfit> {
        rising(&[placed("plain_mm", &self.plain_mm), placed("thickened_mm", &self.thickened_mm)])?;
        Ok(Build { plain_mm: plain(self.plain_mm), thickened_mm: plain(self.thickened_mm) })
    }
}

/// What must be weighed, and what may be: the names in a system.
pub(super) struct Names {
    /// The components, in the file's order.
    pub components: Vec<String>,
    /// Softener, thickener, pigment, where there are such.
    pub additives: Vec<String>,
}

impl Names {
    fn all(&self) -> Vec<String> {
        self.components.iter().chain(&self.additives).cloned().collect()
    }

    fn find(&self, name: Spanned<String>) -> Result<String, Misfit> {
        let all = self.all();
        let span = name.span();
        let name = name.into_inner();
        if all.contains(&name) { Ok(name) } else { Err((span, not_named(name, &all))) }
    }

    /// A weighing order: every component once; additives that it doesn't name come last.
    pub fn order(&self, order: Spanned<Vec<Spanned<String>>>) -> Result<Vec<String>, Misfit> {
        let whole = order.span();
        let mut found: Vec<String> = Vec::new();
        for name in order.into_inner() {
            let span = name.span();
            let name = self.find(name)?;
            if found.contains(&name) {
                return Err((span, SystemErrorKind::NamedTwice(name)));
            }
            found.push(name);
        }
        if found.is_empty() {
            return Ok(found);
        }
        if let Some(missing) = self.components.iter().find(|c| !found.contains(c)) {
            return Err((whole, SystemErrorKind::LeftOut(missing.clone())));
        }
        let rest: Vec<String> =
            self.additives.iter().filter(|a| !found.contains(a)).cloned().collect();
        found.extend(rest);
        Ok(found)
    }

    /// The packs, each with something in it that the system has, in the order of the names.
    pub fn packs(&self, files: Vec<PackKeys>) -> Result<Vec<Pack>, Misfit> {
        let mut packs: Vec<Pack> = Vec::with_capacity(files.len());
        for file in files {
            let span = file.name.span();
            let pack = self.pack(file)?;
            if packs.iter().any(|known| known.name == pack.name) {
                return Err((span, SystemErrorKind::PackTwice(pack.name)));
            }
            packs.push(pack);
        }
        Ok(packs)
    }

    fn pack(&self, file: PackKeys) -> Result<Pack, Misfit> {
        let span = file.name.span();
        let name = file.name.into_inner();
        if name.trim().is_empty() {
            return Err((span, SystemErrorKind::Empty("name")));
        }
        if file.contents_g.0.is_empty() {
            return Err((span, SystemErrorKind::EmptyPack(name)));
        }
        let mut contents_g = Vec::new();
        for (component, grams) in file.contents_g.0 {
            contents_g.push((self.find(component)?, grams.map(Into::into)));
        }
        let all = self.all();
        contents_g.sort_by_key(|(name, _)| all.iter().position(|known| known == name));
        let opened_life_days = plain(file.opened_life_days);
        Ok(Pack { name, contents_g, price: file.price, opened_life_days })
    }
}
