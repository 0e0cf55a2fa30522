//! The price table and, under it, how the first of its columns is built up.

use super::buy::{amount, tenths};
use super::page::{FAINT, PLAIN, Page, STRONG, WIDTH, shortened, width, wrap};
use crate::sheet::{LineGroup, Quote, QuoteColumn, QuoteLine, Reckoning};
use anstyle::Style;
use rust_decimal::Decimal;

/// Columns of a row's name, and of an amount at least.
const NAME: usize = 25;
const AMOUNT: usize = 11;

/// All of it.
pub fn table(page: &mut Page, quote: &Quote, of: &str) {
    page.ends((STRONG, of), (PLAIN, "quote"));
    page.rule();
    basis(page, quote);
    let wide = widest(quote) + 2;
    let at_once = ((WIDTH - NAME) / wide.max(AMOUNT)).max(1);
    for columns in quote.columns.chunks(at_once) {
        page.rule();
        block(page, quote, columns, wide.max(AMOUNT));
    }
    if let Some(first) = quote.columns.first() {
        page.rule();
        build_up(page, quote, first);
    }
}

/// What the price rests on.
fn basis(page: &mut Page, quote: &Quote) {
    let rates = match &quote.rates_file {
        Some(file) => format!("from {file}"),
        None => "no file of rates: material alone".to_owned(),
    };
    page.row("Rates", &rates);
    let label = quote.currency.label();
    let label = if label.is_empty() { "whatever the prices are in" } else { label };
    page.row("Amounts", &format!("in {label}, each line rounded half up, sums exact"));
    let material = match quote.reckoning {
        Reckoning::Grams => "charged by the grams weighed; what is left in tins is not charged",
        Reckoning::Packs => "charged by the packs opened, each whole",
    };
    page.row("Material", material);
    if let Some(mould) = quote.mould.as_ref().filter(|_| !quote.mould_rubber.is_empty()) {
        let told = |line: &QuoteLine| {
            line.amount.map_or_else(|| "?".to_owned(), |a| quote.currency.text(a))
        };
        let each = quote.mould_rubber.iter();
        let each: Vec<String> =
            each.map(|line| format!("{}: {} = {}", line.name, line.formula, told(line))).collect();
        let cost = amount(&quote.currency, mould.cost);
        page.row("Mould", &format!("{cost} each, its rubber in it: {}", each.join("; ")));
    }
    if !quote.margin_percent.is_zero() {
        let text = format!(
            "{} % of the price before tax, which is the same as a mark-up of {} % on the cost",
            quote.margin_percent.normalize(),
            quote.markup_percent.normalize()
        );
        page.row("Margin", &text);
    }
    if !quote.not_charged.is_empty() {
        let text = format!("{} (no rate is given)", quote.not_charged.join(", "));
        page.row("Not in it", &text);
    }
    if let Some(column) = quote.columns.iter().max_by_key(|column| column.moulds)
        && column.moulds > 1
    {
        page.row("Moulds", &format!("{} filled at once", column.moulds));
    }
}

/// The widest number of the table.
fn widest(quote: &Quote) -> usize {
    let of = |column: &QuoteColumn| {
        let price = column.price.map_or(1, |price| width(&quote.currency.text(price)));
        let minutes = [column.attended_minutes, column.waiting_minutes];
        let weighed = column.grams.iter().map(|one| one.pieces_g);
        weighed.chain(minutes).map(|one| width(&tenths(one))).fold(price, usize::max)
    };
    quote.columns.iter().map(of).max().unwrap_or(0)
}

fn block(page: &mut Page, quote: &Quote, columns: &[QuoteColumn], wide: usize) {
    let mut row = |style: Style, name: &str, cells: Vec<String>| {
        let name = shortened(name, NAME - 1);
        let mut text = name.clone() + &" ".repeat(NAME - width(&name));
        for cell in cells {
            text += &" ".repeat(wide.saturating_sub(width(&cell)));
            text += &cell;
        }
        page.line(&[(style, text.trim_end())]);
    };
    let each = |of: &dyn Fn(&QuoteColumn) -> String| columns.iter().map(of).collect::<Vec<_>>();
    let money = |value: Option<Decimal>| {
        value.map_or_else(|| "?".to_owned(), |value| quote.currency.text(value))
    };
    row(STRONG, "Pieces", each(&|column| column.pieces.to_string()));
    let mut weighed: Vec<(&str, &str)> = Vec::new();
    for one in columns.iter().flat_map(|column| &column.grams) {
        if !weighed.contains(&(one.component.as_str(), one.system.as_str())) {
            weighed.push((&one.component, &one.system));
        }
    }
    let one_system = weighed.windows(2).all(|pair| matches!(pair, [a, b] if a.1 == b.1));
    for (component, system) in weighed {
        let cell = |column: &QuoteColumn| {
            let one = column.grams.iter().find(|g| g.component == component && g.system == system);
            one.map(|one| tenths(one.pieces_g)).unwrap_or_default()
        };
        let of = if one_system { String::new() } else { format!(", {system}") };
        row(FAINT, &format!("{component}{of}, g"), each(&cell));
    }
    for group in LineGroup::ALL {
        if !columns.iter().any(|column| column.lines.iter().any(|line| line.group == group)) {
            continue;
        }
        if group == LineGroup::Margin {
            row(PLAIN, "cost", each(&|column| money(column.cost)));
        }
        if group == LineGroup::Tax {
            row(PLAIN, "price before tax", each(&|column| money(column.before_tax)));
        }
        row(PLAIN, group.as_str(), each(&|column| money(group_sum(column, group))));
    }
    row(STRONG, "Price", each(&|column| money(column.price)));
    if columns.iter().any(|column| column.each != column.each_before_tax) {
        row(PLAIN, "Each before tax", each(&|column| money(column.each_before_tax)));
    }
    row(STRONG, "Each", each(&|column| money(column.each)));
    if columns.iter().any(|column| !column.attended_minutes.is_zero()) {
        row(FAINT, "attended, min", each(&|column| tenths(column.attended_minutes)));
    }
    if columns.iter().any(|column| !column.waiting_minutes.is_zero()) {
        row(FAINT, "waiting, free, min", each(&|column| tenths(column.waiting_minutes)));
    }
}

fn group_sum(column: &QuoteColumn, group: LineGroup) -> Option<Decimal> {
    let lines = column.lines.iter().filter(|line| line.group == group);
    lines.map(|line| line.amount).try_fold(Decimal::ZERO, |all, one| all.checked_add(one?))
}

/// Every line with how it is reckoned.
fn build_up(page: &mut Page, quote: &Quote, column: &QuoteColumn) {
    let pieces = if column.pieces == 1 { "PIECE" } else { "PIECES" };
    let head = format!("BUILD-UP OF {} {pieces}", column.pieces);
    let others =
        if quote.columns.len() > 1 { "the others: --pieces N, --csv or --json" } else { "" };
    page.ends((STRONG, &head), (FAINT, others));
    let mut group = None;
    for line in &column.lines {
        if group != Some(line.group) {
            page.line(&[(FAINT, line.group.as_str())]);
            group = Some(line.group);
        }
        let shown = line.amount.map_or_else(|| "?".to_owned(), |a| quote.currency.text(a));
        page.ends((PLAIN, &format!("  {}", line.name)), (PLAIN, &shown));
        for part in wrap(&line.formula, WIDTH - 20) {
            page.line(&[(FAINT, &format!("    {part}"))]);
        }
    }
    let price = column
        .price
        .map_or_else(|| "not known: see below".to_owned(), |p| amount(&quote.currency, p));
    page.ends((STRONG, "Price: the sum of these lines"), (STRONG, &price));
}
