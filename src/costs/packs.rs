//! Which packs of a system to open for what is short.

use super::choose::{Sort, cheapest};
use super::money::{fraction, sum};
use super::need::decimal_grams;
use super::{CostError, Currency, PackBuy};
use crate::materials::{Pack, System};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// What is short of one component.
pub(super) struct Short<'a> {
    /// Its name.
    pub component: &'a str,
    /// How much, g.
    pub grams: Decimal,
}

/// The packs to open.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Chosen {
    /// In the order of the system's file; each at least one.
    pub packs: Vec<PackBuy>,
    /// What they hold of each component that was asked for, g; in the order asked.
    pub holds_g: Vec<Decimal>,
    /// Components that no pack holds; in the order asked.
    pub no_pack: Vec<bool>,
    /// What these packs cost; `None` where the price of one is not known.
    pub price: Option<Decimal>,
    /// Some of them are still the invented ones of a built-in system.
    pub invented: bool,
    /// Packs that are left out as only they have no price.
    pub without_price: Vec<String>,
    /// Packs that are left out as only they are invented.
    pub left_invented: Vec<String>,
}

/// Decimals that prices are compared to.
const COMPARED_DECIMALS: u32 = 8;

/// The cheapest set of packs that covers all that is short. Of equally cheap sets the one that
/// leaves least over, then the one of fewest packs, then the one with more of the packs that hold
/// more of the needed components, then of those listed earlier. Where prices are missing for
/// something that is short, the set that leaves least over.
pub(super) fn choose(
    system: &System,
    short: &[Short<'_>],
    currency: &Currency,
) -> Result<Chosen, CostError> {
    let mut chosen = Chosen {
        no_pack: short.iter().map(|one| !is_sold(&system.packs, one)).collect(),
        ..Chosen::default()
    };
    let sold: Vec<&Short<'_>> = short
        .iter()
        .zip(&chosen.no_pack)
        .filter(|(one, none)| !**none && one.grams > Decimal::ZERO)
        .map(|(one, _)| one)
        .collect();
    let packs = to_choose_from(&system.packs, &sold, &mut chosen);
    let all_priced = packs.iter().all(|pack| pack.price.is_some());
    let sorts = packs.iter().map(|pack| sort(pack, &sold, all_priced));
    let sorts: Vec<Sort> = sorts.collect::<Result<_, _>>()?;
    let needs_mg = sold.iter().map(|one| milligrams(one.grams));
    let needs_mg: Vec<u64> = needs_mg.collect::<Result<_, _>>()?;
    let counts = cheapest(&needs_mg, &sorts)
        .map_err(|error| CostError::Packs { system: system.id.clone(), error })?
        .unwrap_or_else(|| vec![0; packs.len()]);
    let bought: Vec<(&Pack, u64)> =
        packs.into_iter().zip(counts).filter(|(_, count)| *count > 0).collect();
    let what = || format!("what the packs of {} cost", system.id);
    for (pack, count) in &bought {
        let price_each = pack.price.as_ref().map(|price| price.value);
        let price = price_each
            .map(|price| fraction(&what(), &[price, Decimal::from(*count)], &[Decimal::ONE]))
            .transpose()?
            .map(|price| currency.rounded(price));
        chosen.packs.push(PackBuy { name: pack.name.clone(), count: *count, price_each, price });
        chosen.invented |= is_invented(pack);
    }
    let prices: Option<Vec<Decimal>> = chosen.packs.iter().map(|pack| pack.price).collect();
    chosen.price = prices.map(|prices| sum(&what(), prices)).transpose()?;
    for one in short {
        let held = bought.iter().map(|(pack, count)| {
            fraction(
                &what(),
                &[held_g(pack, one.component), Decimal::from(*count)],
                &[Decimal::ONE],
            )
        });
        chosen.holds_g.push(sum(&what(), held.collect::<Result<Vec<_>, _>>()?)?);
    }
    Ok(chosen)
}

/// The packs among which is chosen: those that are real before those that are invented, those
/// with a price before those without, as long as they hold all that is short.
fn to_choose_from<'a>(
    packs: &'a [Pack],
    short: &[&Short<'_>],
    chosen: &mut Chosen,
) -> Vec<&'a Pack> {
    let useful = |pack: &&Pack| short.iter().any(|one| held_g(pack, one.component) > Decimal::ZERO);
    let mut left: Vec<&Pack> = packs.iter().filter(useful).collect();
    let covers = |packs: &[&Pack]| {
        let held =
            |one: &Short<'_>| packs.iter().any(|pack| held_g(pack, one.component) > Decimal::ZERO);
        short.iter().all(|one| held(one))
    };
    for (good, left_out) in [
        (&(|pack: &Pack| !is_invented(pack)) as &dyn Fn(&Pack) -> bool, &mut chosen.left_invented),
        (&|pack: &Pack| pack.price.is_some(), &mut chosen.without_price),
    ] {
        let (kept, out): (Vec<&Pack>, Vec<&Pack>) = left.iter().partition(|pack| good(pack));
        if covers(&kept) {
            left_out.extend(out.iter().map(|pack| pack.name.clone()));
            left = kept;
        }
    }
    left
}

fn is_sold(packs: &[Pack], short: &Short<'_>) -> bool {
    packs.iter().any(|pack| held_g(pack, short.component) > Decimal::ZERO)
}

/// Contents or price are still those that show the form of a file.
fn is_invented(pack: &Pack) -> bool {
    pack.price.as_ref().is_some_and(|price| price.is_invented())
        || pack.contents_g.iter().any(|(_, grams)| grams.is_invented())
}

/// What a pack holds of a component, g; less than a milligram is nothing.
fn held_g(pack: &Pack, component: &str) -> Decimal {
    let held = pack.contents_g.iter().find(|(name, _)| name == component);
    let grams = held.map_or(Decimal::ZERO, |(_, grams)| decimal_grams(grams.value));
    grams.trunc_with_scale(MG_DECIMALS)
}

const MG_DECIMALS: u32 = 3;

/// A pack as the search sees it.
fn sort(pack: &Pack, short: &[&Short<'_>], priced: bool) -> Result<Sort, CostError> {
    let holds = |one: &&Short<'_>| milligrams(held_g(pack, one.component));
    let grams = pack.contents_g.iter().map(|(name, _)| held_g(pack, name));
    let all_mg = i128::from(milligrams(grams.fold(Decimal::ZERO, Decimal::saturating_add))?);
    let price = pack.price.as_ref().map_or(Decimal::ZERO, |price| price.value);
    let mut units = price.round_dp(COMPARED_DECIMALS);
    units.rescale(COMPARED_DECIMALS);
    Ok(Sort {
        holds_mg: short.iter().map(holds).collect::<Result<_, _>>()?,
        weight: if priced { [units.mantissa(), all_mg, 1] } else { [all_mg, 0, 1] },
    })
}

/// Whole milligrams, not less.
fn milligrams(grams: Decimal) -> Result<u64, CostError> {
    let mg = grams.checked_mul(Decimal::ONE_THOUSAND).and_then(|mg| mg.ceil().to_u64());
    mg.ok_or_else(|| CostError::TooLarge { what: "what is needed of a component".to_owned() })
}
