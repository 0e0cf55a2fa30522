//! A quote's build-up: one row for every line at every number of pieces.

use super::text::{cell, line};
use crate::sheet::Quote;

const HEAD: &str = "pieces,group,line,formula,amount,currency\r\n";

/// The lines, then the sums; amounts with a dot, empty where a price is not known.
pub fn table(quote: &Quote) -> String {
    let mut text = HEAD.to_owned();
    let currency = cell(quote.currency.label());
    for column in &quote.columns {
        let pieces = column.pieces.to_string();
        let amount = |amount: Option<rust_decimal::Decimal>| {
            amount.map(|amount| quote.currency.text(amount)).unwrap_or_default()
        };
        for one in &column.lines {
            text += &line(&[
                pieces.clone(),
                one.group.as_str().to_owned(),
                cell(&one.name),
                cell(&one.formula),
                amount(one.amount),
                currency.clone(),
            ]);
        }
        for (name, of) in [
            ("cost", column.cost),
            ("price before tax", column.before_tax),
            ("price", column.price),
            ("each before tax", column.each_before_tax),
            ("each", column.each),
        ] {
            text += &line(&[
                pieces.clone(),
                "sum".to_owned(),
                name.to_owned(),
                String::new(),
                amount(of),
                currency.clone(),
            ]);
        }
    }
    text
}
