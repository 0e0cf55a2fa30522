//! What to buy for several jobs together.

use super::file::{CostFileError, unknown};
use super::money::sum;
use super::need::{add, names};
use super::packs::{Chosen, Short, choose};
use super::{
    ComponentBuy, CostError, Currency, Purchase, PurchaseFor, Shelf, ShelfEntry, ShelfLine,
    ShelfState, SystemBuy, SystemNeeds,
};
use crate::finding::Finding;
use crate::materials::{Additives, Mix, Parts, System};
use crate::units::nearest_word;
use jiff::ToSpan;
use jiff::civil::Date;
use rust_decimal::prelude::ToPrimitive;
use rust_decimal::{Decimal, RoundingStrategy};

/// What is to be bought for.
#[derive(Debug, Clone, PartialEq)]
pub struct BuyRequest {
    /// What amounts are in.
    pub currency: Currency,
    /// The day that it holds for: what is on the shelf is judged by it.
    pub day: Date,
    /// What is made, and what it needs.
    pub of: Vec<(PurchaseFor, Vec<SystemNeeds>)>,
    /// The stock file's name, and what is on the shelf.
    pub shelf: Option<(String, Shelf)>,
}

/// Works out what to buy: what all jobs need together, less what is on the shelf, covered by the
/// cheapest set of packs.
///
/// # Errors
/// [`CostError`] where the shelf names what a system doesn't have, amounts are too large, or the
/// search for the cheapest set would take too long.
pub fn buy(request: &BuyRequest) -> Result<Purchase, CostError> {
    let mut together = Vec::new();
    for needs in request.of.iter().flat_map(|(_, needs)| needs) {
        add(&mut together, needs.clone());
    }
    let mut findings = Vec::new();
    let shelf = match &request.shelf {
        Some((file, shelf)) => judged(file, shelf, &together, request.day, &mut findings)?,
        None => Vec::new(),
    };
    let mut systems = Vec::new();
    for needs in &together {
        systems.push(of_system(needs, &shelf, &request.currency, &mut findings)?);
    }
    let prices: Option<Vec<Decimal>> = systems.iter().map(|system| system.price).collect();
    let price = prices.map(|prices| sum("what all packs cost", prices)).transpose()?;
    Ok(Purchase {
        currency: request.currency.clone(),
        day: request.day,
        of: request.of.iter().map(|(of, _)| of.clone()).collect(),
        stock_file: request.shelf.as_ref().map(|(file, _)| file.clone()),
        shelf,
        systems,
        price,
        findings,
    })
}

/// What of the shelf belongs to these systems, and whether it counts.
fn judged(
    file: &str,
    shelf: &Shelf,
    needed: &[SystemNeeds],
    day: Date,
    findings: &mut Vec<Finding>,
) -> Result<Vec<ShelfLine>, CostError> {
    let ids: Vec<&str> = needed.iter().map(|needs| needs.system.id.as_str()).collect();
    let mut lines = Vec::new();
    let mut elsewhere: Vec<&str> = Vec::new();
    for entry in &shelf.entries {
        let Some(needs) = needed.iter().find(|needs| needs.system.id == entry.system) else {
            if !elsewhere.contains(&entry.system.as_str()) {
                elsewhere.push(&entry.system);
            }
            continue;
        };
        let known = names(&needs.system);
        if !known.contains(&entry.component.as_str()) {
            let place = format!("of system {}", entry.system);
            let kind = unknown("component", &entry.component, place, &known);
            let (line, column) = entry.place;
            let error = Box::new(CostFileError { line, column, kind });
            return Err(CostError::Stock { file: file.to_owned(), error });
        }
        if needs.needs.iter().any(|need| need.component == entry.component) {
            lines.push(ShelfLine {
                system: entry.system.clone(),
                component: entry.component.clone(),
                lot: entry.lot.clone(),
                grams: entry.grams,
                state: state(entry, &needs.system, day),
            });
        }
    }
    for system in elsewhere {
        let message = format!("on the shelf, but not needed here: system {system}");
        let finding = Finding::note("stock-not-needed", message);
        findings.push(match nearest_word(system, ids.iter().copied()) {
            Some(near) => finding.with_hint(format!("if {near} is meant, correct the stock file")),
            None => finding,
        });
    }
    findings.extend(lines.iter().filter_map(shelf_finding));
    Ok(lines)
}

/// Whether a tin counts on a day: its date, and the day it was opened plus how long it then
/// keeps, are the last days that it is good.
fn state(entry: &ShelfEntry, system: &System, day: Date) -> ShelfState {
    if let Some(last) = entry.expires.filter(|last| *last < day) {
        return ShelfState::Expired(last);
    }
    let Some(opened) = entry.opened else { return ShelfState::Counted };
    if opened > day {
        return ShelfState::OpenedLater(opened);
    }
    // Of packs that keep differently nobody says which one this was: the shorter time holds.
    let of_packs = || {
        let holding = system
            .packs
            .iter()
            .filter(|pack| pack.contents_g.iter().any(|(name, _)| *name == entry.component));
        let days = holding.filter_map(|pack| pack.opened_life_days.as_ref()).map(|life| life.value);
        days.min_by(f64::total_cmp).map(|days| days.floor() as i64)
    };
    let own = entry.opened_life_days.and_then(|days| days.floor().to_i64());
    let Some(days) = own.or_else(of_packs) else { return ShelfState::LifeUnknown };
    match opened.checked_add(days.days()) {
        Ok(last) if last < day => ShelfState::OpenTooLong(last),
        _ => ShelfState::Counted,
    }
}

fn shelf_finding(line: &ShelfLine) -> Option<Finding> {
    let lot = line.lot.as_ref().map(|lot| format!(", lot {lot}")).unwrap_or_default();
    let what =
        format!("{} g of {} of {}{lot}", line.grams.normalize(), line.component, line.system);
    let not_counted = |why: String| {
        let message = format!("on the shelf, but not counted: {what}: {why}");
        Some(Finding::warning("stock-not-counted", message))
    };
    match &line.state {
        ShelfState::Counted => None,
        ShelfState::LifeUnknown => {
            let message =
                format!("counted, though nobody says how long it keeps once opened: {what}");
            let hint = "look whether it is still good; give opened_life_days in the stock file";
            Some(Finding::note("stock-life-unknown", message).with_hint(hint))
        }
        ShelfState::Expired(last) => not_counted(format!("it was good until {last}")),
        ShelfState::OpenTooLong(last) => {
            not_counted(format!("it is open too long; it was good until {last}"))
        }
        ShelfState::OpenedLater(day) => {
            not_counted(format!("it is said to be opened on {day}, which hasn't come yet"))
        }
    }
}

fn of_system(
    needs: &SystemNeeds,
    shelf: &[ShelfLine],
    currency: &Currency,
    findings: &mut Vec<Finding>,
) -> Result<SystemBuy, CostError> {
    let system = &needs.system;
    let mut components = Vec::new();
    for need in &needs.needs {
        let of_it = |line: &&ShelfLine| {
            line.system == system.id && line.component == need.component && line.state.counts()
        };
        let on_shelf = shelf.iter().filter(of_it).map(|line| line.grams);
        let shelf_g = sum("what is on the shelf", on_shelf)?;
        components.push(ComponentBuy {
            name: need.component.clone(),
            needed_g: need.grams,
            shelf_g,
            short_g: need.grams.saturating_sub(shelf_g).max(Decimal::ZERO),
            bought_g: Decimal::ZERO,
            left_g: Decimal::ZERO,
            unpaired_g: Decimal::ZERO,
            no_pack: false,
        });
    }
    let short: Vec<Short<'_>> =
        components.iter().map(|one| Short { component: &one.name, grams: one.short_g }).collect();
    let chosen = choose(system, &short, currency)?;
    for ((one, bought_g), no_pack) in
        components.iter_mut().zip(&chosen.holds_g).zip(&chosen.no_pack)
    {
        one.bought_g = *bought_g;
        one.no_pack = *no_pack && one.short_g > Decimal::ZERO;
        let had = sum("what there is of a component", [one.shelf_g, *bought_g])?;
        one.left_g = had.saturating_sub(one.needed_g).max(Decimal::ZERO);
    }
    unpaired(system, &mut components);
    findings.extend(pack_findings(system, &components, &chosen));
    Ok(SystemBuy {
        system_id: system.id.clone(),
        system_title: system.title.clone(),
        components,
        packs: chosen.packs,
        price: chosen.price,
        invented: chosen.invented,
    })
}

/// What is left of the system's own components beyond the ratio that they are mixed in.
fn unpaired(system: &System, components: &mut [ComponentBuy]) {
    let Ok(mix) = Mix::with_additives(system, Parts::ZERO, Additives::default()) else { return };
    let share = |name: &str| {
        let part = mix.parts.iter().find(|part| part.name == name);
        part.and_then(|part| Decimal::from_f64_retain(part.mass_share))
            .map(|share| share.round_dp(12))
            .filter(|share| *share > Decimal::ZERO)
    };
    let pairs = components.iter().filter_map(|one| one.left_g.checked_div(share(&one.name)?));
    let Some(mixable) = pairs.min() else { return };
    for one in components {
        let Some(share) = share(&one.name) else { continue };
        let paired = mixable.checked_mul(share).unwrap_or(one.left_g);
        let rest = one.left_g.saturating_sub(paired).max(Decimal::ZERO);
        // Finer than a tenth of a gram only the rounding of shares would show.
        one.unpaired_g = rest.round_dp_with_strategy(1, RoundingStrategy::MidpointAwayFromZero);
    }
}

fn pack_findings(system: &System, components: &[ComponentBuy], chosen: &Chosen) -> Vec<Finding> {
    let mut findings = Vec::new();
    let id = &system.id;
    let missing: Vec<&str> =
        components.iter().filter(|one| one.no_pack).map(|one| one.name.as_str()).collect();
    if !missing.is_empty() {
        let message = format!("{id}: no pack holds {}: not on the list", missing.join(", "));
        let hint = format!("tell how it is sold under [[packs]] in a system file; {}", begin(id));
        findings.push(Finding::warning("no-pack", message).with_hint(hint));
    }
    if chosen.invented {
        let message = format!(
            "{id}: packs and prices are invented examples of the built-in system, not an offer of \
             anybody's"
        );
        let hint = format!("put your supplier's into a system file; {}", begin(id));
        findings.push(Finding::warning("packs-invented", message).with_hint(hint));
    }
    let bare: Vec<&str> = chosen
        .packs
        .iter()
        .filter(|pack| pack.price_each.is_none())
        .map(|pack| pack.name.as_str())
        .collect();
    if !bare.is_empty() {
        let message = format!(
            "{id}: no price is known of {}, so the packs that leave least over were taken",
            bare.join(", ")
        );
        findings.push(Finding::warning("pack-without-price", message));
    }
    for (packs, why) in [
        (&chosen.without_price, "they have no price"),
        (&chosen.left_invented, "they are still invented examples"),
    ] {
        if !packs.is_empty() {
            let message = format!("{id}: left out, as {why}: {}", packs.join(", "));
            findings.push(Finding::note("pack-left-out", message));
        }
    }
    findings
}

/// How a system file of one's own is begun.
fn begin(id: &str) -> String {
    format!("cavigram systems new MY-SYSTEM --from {id} begins one")
}
