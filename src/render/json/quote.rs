//! `cavigram/quote/1`: what to ask for a piece. Amounts of money are text, so that no reader makes
//! binary numbers of them.

use rust_decimal::Decimal;
use serde::Serialize;

use super::buy::grams;
use super::shared::{Warning, warnings};
use crate::sheet::{Currency, Quote, QuoteColumn, QuoteGrams, QuoteLine};

/// `cavigram/quote/1`.
#[derive(Serialize)]
pub struct QuoteWire<'a> {
    schema: &'static str,
    currency: &'a str,
    decimals: u32,
    materials: &'static str,
    margin_percent: String,
    markup_percent: String,
    rates_file: Option<&'a str>,
    not_charged: &'a [&'static str],
    /// What of one mould's cost is rubber, where that is charged.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    mould_rubber: Vec<Line<'a>>,
    quantities: Vec<Column<'a>>,
    warnings: Vec<Warning<'a>>,
}

#[derive(Serialize)]
struct Column<'a> {
    pieces: u32,
    moulds: u32,
    rounds: u32,
    trial_castings: u32,
    weigh: Vec<Grams<'a>>,
    lines: Vec<Line<'a>>,
    cost: Option<String>,
    price_before_tax: Option<String>,
    price: Option<String>,
    each_before_tax: Option<String>,
    each: Option<String>,
    attended_minutes: f64,
    waiting_minutes: f64,
}

#[derive(Serialize)]
struct Grams<'a> {
    system: &'a str,
    component: &'a str,
    grams: f64,
    trial_grams: f64,
}

#[derive(Serialize)]
struct Line<'a> {
    group: &'static str,
    name: &'a str,
    formula: &'a str,
    amount: Option<String>,
}

impl<'a> QuoteWire<'a> {
    pub fn new(quote: &'a Quote) -> Self {
        Self {
            schema: "cavigram/quote/1",
            currency: quote.currency.label(),
            decimals: quote.currency.decimals(),
            materials: quote.reckoning.as_str(),
            margin_percent: quote.margin_percent.normalize().to_string(),
            markup_percent: quote.markup_percent.normalize().to_string(),
            rates_file: quote.rates_file.as_deref(),
            not_charged: &quote.not_charged,
            mould_rubber: quote
                .mould_rubber
                .iter()
                .map(|l| Line::new(l, &quote.currency))
                .collect(),
            quantities: quote.columns.iter().map(|one| Column::new(one, &quote.currency)).collect(),
            warnings: warnings(&quote.findings),
        }
    }
}

impl<'a> Line<'a> {
    fn new(line: &'a QuoteLine, currency: &Currency) -> Self {
        Self {
            group: line.group.as_str(),
            name: &line.name,
            formula: &line.formula,
            amount: line.amount.map(|amount| currency.text(amount)),
        }
    }
}

impl<'a> Column<'a> {
    fn new(column: &'a QuoteColumn, currency: &Currency) -> Self {
        let text = |amount: Option<Decimal>| amount.map(|amount| currency.text(amount));
        let weigh = |one: &'a QuoteGrams| Grams {
            system: &one.system,
            component: &one.component,
            grams: grams(one.pieces_g),
            trial_grams: grams(one.trial_g),
        };
        Self {
            pieces: column.pieces,
            moulds: column.moulds,
            rounds: column.rounds,
            trial_castings: column.trial_castings,
            weigh: column.grams.iter().map(weigh).collect(),
            lines: column.lines.iter().map(|line| Line::new(line, currency)).collect(),
            cost: text(column.cost),
            price_before_tax: text(column.before_tax),
            price: text(column.price),
            each_before_tax: text(column.each_before_tax),
            each: text(column.each),
            attended_minutes: grams(column.attended_minutes),
            waiting_minutes: grams(column.waiting_minutes),
        }
    }
}
