//! What to ask for a piece, at several numbers of pieces.

use super::build_up::{BuildUp, Order};
use super::money::{fraction, sum};
use super::need::{SystemNeeds, names, needs};
use super::rates::{COLUMNS_MOST, SystemPrice};
use super::{
    Charge, CostError, LineGroup, MouldCost, Per, Profit, Quote, QuoteColumn, QuoteGrams, Rates,
    Reckoning,
};
use crate::finding::Finding;
use crate::materials::System;
use crate::plan::{LayerVolumes, PlanRequest, Run, plan};
use crate::units::nearest_word;
use rust_decimal::{Decimal, RoundingStrategy};

/// What is to be quoted for.
#[derive(Debug, Clone, PartialEq)]
pub struct QuoteRequest {
    /// What is filled.
    pub volumes: LayerVolumes,
    /// What it is made of, in how many moulds at once; the systems' packs tell prices.
    pub materials: PlanRequest,
    /// What the workshop charges.
    pub rates: Rates,
    /// The file that the rates come from.
    pub rates_file: Option<String>,
    /// The rubber of one mould, where the rates charge it.
    pub mould_rubber: Option<SystemNeeds>,
    /// Prices that were typed; they come before those of the rates.
    pub typed_prices: Vec<SystemPrice>,
    /// Numbers of pieces; empty for those of the rates, else the usual ones.
    pub pieces: Vec<u32>,
}

/// Works out what to ask for a piece: for every number of pieces the grams are weighed out anew,
/// and every line is rounded half up, so that the price is the exact sum of what is shown.
///
/// # Errors
/// [`CostError`] where no plan can be made, a price names what the piece isn't made of, or amounts
/// are too large.
pub fn quote(request: &QuoteRequest) -> Result<Quote, CostError> {
    let mut rates = request.rates.clone();
    let systems = systems(request);
    for price in &request.typed_prices {
        check_typed(price, &systems)?;
    }
    for list in [&request.rates.prices, &request.typed_prices] {
        check_once(list)?;
    }
    let unused = request.rates.prices.iter().filter_map(|price| unused(price, &systems));
    let unused: Vec<Finding> = unused.collect();
    rates.prices.extend(request.typed_prices.iter().cloned());
    if rates.reckoning == Reckoning::Packs
        && let Some(price) = rates.prices.iter().find(|p| systems.iter().any(|s| s.id == p.system))
    {
        return Err(CostError::PriceBesidePacks(price.system.clone()));
    }
    let mould_rubber = match request.mould_rubber.as_ref().zip(rates.mould.clone()) {
        Some((needs, mould)) if mould.rubber => {
            let lines = BuildUp::of_materials(&rates, needs)?;
            let amounts = lines.iter().map(|line| line.amount).collect::<Option<Vec<_>>>();
            let amounts = amounts
                .ok_or_else(|| CostError::RubberUnpriced { system: needs.system.id.clone() })?;
            let cost = sum("the mould", amounts.into_iter().chain([mould.cost]))?;
            rates.mould = Some(MouldCost { cost, ..mould });
            lines
        }
        _ => Vec::new(),
    };
    let trial_needs = match rates.trial_castings {
        0 => Vec::new(),
        castings => needs_for(request, Run { castings, moulds: 1, first_casting: true })?,
    };
    let mut columns = Vec::new();
    let mut unpriced = Vec::new();
    for pieces in numbers(request) {
        columns.push(column(request, &rates, pieces, &trial_needs, &mut unpriced)?);
    }
    let (margin_percent, markup_percent) = both_ways(rates.profit)?;
    let mut findings = findings(&rates, &columns);
    findings.extend(unused);
    findings.extend(unknown_prices(&rates, &systems, &columns, &unpriced)?);
    Ok(Quote {
        currency: rates.currency.clone(),
        reckoning: rates.reckoning,
        mould: rates.mould.clone(),
        mould_rubber,
        margin_percent,
        markup_percent,
        rates_file: request.rates_file.clone(),
        not_charged: not_charged(&rates),
        columns,
        findings,
    })
}

/// The numbers of pieces, rising, each once.
fn numbers(request: &QuoteRequest) -> Vec<u32> {
    let asked = [&request.pieces, &request.rates.pieces].into_iter().find(|list| !list.is_empty());
    let mut numbers = asked.cloned().unwrap_or_else(|| Rates::PIECES.to_vec());
    numbers.sort_unstable();
    numbers.dedup();
    numbers.truncate(COLUMNS_MOST);
    numbers
}

/// The systems of the three layers and of the mould's rubber, each once.
fn systems(request: &QuoteRequest) -> Vec<&System> {
    let materials = &request.materials;
    let layers = [&materials.skin, &materials.core, &materials.cap].map(|recipe| &recipe.system);
    let rubber = request.mould_rubber.as_ref().map(|needs| &needs.system);
    let mut systems: Vec<&System> = Vec::new();
    for system in layers.into_iter().chain(rubber) {
        if !systems.iter().any(|known| known.id == system.id) {
            systems.push(system);
        }
    }
    systems
}

/// A price that was typed must be of something that the piece is made of.
fn check_typed(price: &SystemPrice, systems: &[&System]) -> Result<(), CostError> {
    let nothing = |typed: &str, known: Vec<&str>| CostError::PriceOfNothing {
        typed: typed.to_owned(),
        nearest: nearest_word(typed, known.iter().copied()).map(str::to_owned),
        known: known.iter().map(|word| (*word).to_owned()).collect(),
    };
    let Some(system) = systems.iter().find(|system| system.id == price.system) else {
        let known = systems.iter().map(|system| system.id.as_str()).collect();
        return Err(nothing(&price.system, known));
    };
    match &price.component {
        Some(component) if !names(system).contains(&component.as_str()) => {
            Err(nothing(component, names(system)))
        }
        _ => Ok(()),
    }
}

/// Of two prices of the same thing neither can be meant.
fn check_once(prices: &[SystemPrice]) -> Result<(), CostError> {
    for (at, price) in prices.iter().enumerate() {
        let same = |other: &&SystemPrice| {
            other.system == price.system && other.component == price.component
        };
        if prices.iter().take(at).any(|other| same(&other)) {
            let component = price.component.as_ref().map_or_else(String::new, |c| format!(":{c}"));
            return Err(CostError::PriceTwice(format!("{}{component}", price.system)));
        }
    }
    Ok(())
}

/// A price in the rates may be of another piece's material, or misspelt: it is said.
fn unused(price: &SystemPrice, systems: &[&System]) -> Option<Finding> {
    let error = check_typed(price, systems).err()?;
    let message = format!("in the rates, {error}: it charges nothing here");
    Some(match error.hint() {
        // What is nearly a name that counts is likely that name misspelt.
        Some(hint) => Finding::warning("price-unused", message).with_hint(hint),
        None => Finding::note("price-unused", message),
    })
}

fn needs_for(request: &QuoteRequest, run: Run) -> Result<Vec<SystemNeeds>, CostError> {
    let materials = PlanRequest { run, ..request.materials.clone() };
    let made = plan(&request.volumes, &materials)
        .map_err(|error| CostError::Plan { castings: run.castings, error: Box::new(error) })?;
    Ok(needs(&made, &materials))
}

fn column(
    request: &QuoteRequest,
    rates: &Rates,
    pieces: u32,
    trial_needs: &[SystemNeeds],
    unpriced: &mut Vec<String>,
) -> Result<QuoteColumn, CostError> {
    let run = Run { castings: pieces, ..request.materials.run };
    let needs = needs_for(request, run)?;
    let order = Order {
        pieces,
        at_once: run.at_once(),
        rounds: run.rounds(),
        needs: &needs,
        trial: rates.trial_castings,
        trial_needs,
    };
    let built = BuildUp::of(rates, &order)?;
    let before_tax = built.sum(|group| group < LineGroup::Tax)?;
    let price = built.sum(|_| true)?;
    let each = |all: Option<Decimal>| {
        let each = all.map(|all| fraction("the price of a piece", &[all], &[pieces.into()]));
        Ok::<_, CostError>(each.transpose()?.map(|each| rates.currency.rounded(each)))
    };
    unpriced.extend(built.unpriced_systems.iter().cloned());
    Ok(QuoteColumn {
        pieces,
        moulds: order.at_once,
        rounds: order.rounds,
        trial_castings: order.trial,
        grams: grams(&needs, trial_needs),
        cost: built.sum(|group| group <= LineGroup::Overhead)?,
        before_tax,
        price,
        each_before_tax: each(before_tax)?,
        each: each(price)?,
        attended_minutes: minutes(rates, &order, |step| step.minutes)?,
        waiting_minutes: minutes(rates, &order, |step| step.waiting_minutes)?,
        lines: built.lines,
    })
}

fn grams(needs: &[SystemNeeds], trial: &[SystemNeeds]) -> Vec<QuoteGrams> {
    let mut grams = Vec::new();
    for of_system in needs {
        for need in &of_system.needs {
            let same = trial.iter().find(|other| other.system.id == of_system.system.id);
            let same = same.and_then(|s| s.needs.iter().find(|n| n.component == need.component));
            grams.push(QuoteGrams {
                system: of_system.system.id.clone(),
                component: need.component.clone(),
                pieces_g: need.grams,
                trial_g: same.map_or(Decimal::ZERO, |need| need.grams),
            });
        }
    }
    grams
}

/// Minutes of all steps, trial and rejects included, to tenths.
fn minutes(
    rates: &Rates,
    order: &Order<'_>,
    of: impl Fn(&super::Step) -> Decimal,
) -> Result<Decimal, CostError> {
    let good = Decimal::ONE_HUNDRED.saturating_sub(rates.rejects_percent);
    let mut all = Vec::new();
    for step in &rates.steps {
        let what = &step.name;
        let trial = |count: u32| fraction(what, &[count.into(), of(step)], &[Decimal::ONE]);
        let made =
            |count: u32| fraction(what, &[count.into(), of(step), Decimal::ONE_HUNDRED], &[good]);
        match step.per {
            Per::Casting => all.extend([made(order.pieces)?, trial(order.trial)?]),
            Per::Round => all.extend([made(order.rounds)?, trial(order.trial)?]),
            Per::Order => all.push(of(step)),
        }
    }
    let all = sum("the minutes", all)?;
    Ok(all.round_dp_with_strategy(1, RoundingStrategy::MidpointAwayFromZero))
}

/// A margin as the share of the price and as the share of the cost, %.
fn both_ways(profit: Option<Profit>) -> Result<(Decimal, Decimal), CostError> {
    let hundred = Decimal::ONE_HUNDRED;
    let (margin, markup) = match profit {
        None => (Decimal::ZERO, Decimal::ZERO),
        Some(Profit::Margin(m)) => {
            (m, fraction("the margin", &[m, hundred], &[hundred.saturating_sub(m)])?)
        }
        Some(Profit::Markup(u)) => {
            (fraction("the mark-up", &[u, hundred], &[hundred.saturating_add(u)])?, u)
        }
    };
    Ok((margin.round_dp(2), markup.round_dp(2)))
}

/// What no rate was given for.
fn not_charged(rates: &Rates) -> Vec<&'static str> {
    let work = rates.hourly_rate.is_some() && !rates.steps.is_empty();
    [
        (work, "work"),
        (rates.mould.is_some(), "the mould"),
        (rates.trial_castings > 0, "a first-off trial"),
        (!rates.rejects_percent.is_zero(), "rejects"),
        (rates.overhead_percent.is_some(), "overhead"),
        (rates.profit.is_some(), "margin"),
        (!rates.taxes.is_empty(), "taxes"),
    ]
    .into_iter()
    .filter(|(charged, _)| !charged)
    .map(|(_, what)| what)
    .collect()
}

fn findings(rates: &Rates, columns: &[QuoteColumn]) -> Vec<Finding> {
    let mut findings = Vec::new();
    if rates.hourly_rate.is_none() && rates.steps.iter().any(|step| step.minutes > Decimal::ZERO) {
        let message = "steps are given, but no hourly_rate: no work is charged";
        findings.push(Finding::warning("no-hourly-rate", message));
    }
    if rates.hourly_rate.is_some() && rates.steps.is_empty() {
        let message = "an hourly_rate is given, but no [[steps]]: no work is charged";
        findings.push(Finding::warning("no-steps", message));
    }
    if let Some(MouldCost { charge: Charge::Wear, life_castings, .. }) = rates.mould
        && let Some(least) = columns.first()
        && least.pieces < life_castings
    {
        let message = format!(
            "the mould is charged by its wear, 1/{life_castings} of its cost for each casting: an \
             order of {} leaves the rest to later ones",
            if least.pieces == 1 {
                "1 piece".to_owned()
            } else {
                format!("{} pieces", least.pieces)
            }
        );
        let hint = "charge = \"whole\" under [mould] charges whole moulds";
        findings.push(Finding::note("mould-by-wear", message).with_hint(hint));
    }
    findings
}

/// What no price is known of.
fn unknown_prices(
    rates: &Rates,
    systems: &[&System],
    columns: &[QuoteColumn],
    unpriced: &[String],
) -> Result<Vec<Finding>, CostError> {
    let mut findings = Vec::new();
    for system in systems {
        let used = columns.iter().flat_map(|column| &column.grams);
        let mut missing: Vec<&str> = Vec::new();
        for one in used.filter(|one| one.system == system.id) {
            let known = match rates.reckoning {
                Reckoning::Grams => {
                    super::price::rate(system, &one.component, &rates.prices)?.is_some()
                }
                Reckoning::Packs => !unpriced.contains(&system.id),
            };
            if !known && !missing.contains(&one.component.as_str()) {
                missing.push(&one.component);
            }
        }
        if missing.is_empty() {
            continue;
        }
        let invented = system
            .packs
            .iter()
            .any(|pack| pack.price.as_ref().is_some_and(|price| price.is_invented()));
        let why = if invented { "; the built-in system's own are invented examples" } else { "" };
        let message = format!("{}: no price is known of {}{why}", system.id, missing.join(", "));
        let packs = "packs with prices in a system file of your own";
        let hint = match rates.reckoning {
            Reckoning::Grams => format!("give --price {}=PRICE/kg, or {packs}", system.id),
            Reckoning::Packs => format!("give {packs}"),
        };
        findings.push(Finding::warning("price-unknown", message).with_hint(hint));
    }
    Ok(findings)
}
