//! A purchase list: first what is bought, pack by pack, then component by component.

use super::text::{cell, line};
use crate::sheet::Purchase;

const HEAD: &str = "what,system,name,count,price_each,price,currency,needed_g,on_shelf_g,bought_g,\
                    left_g,unpaired_g\r\n";

/// Rows of `pack`, then rows of `component`; amounts and grams with a dot and all their digits.
pub fn table(purchase: &Purchase) -> String {
    let mut text = HEAD.to_owned();
    let empty = String::new;
    for system in &purchase.systems {
        for pack in &system.packs {
            let each = pack.price_each.map(|each| each.to_string()).unwrap_or_default();
            let price = pack.price.map(|price| purchase.currency.text(price)).unwrap_or_default();
            let mut cells = vec![
                "pack".to_owned(),
                cell(&system.system_id),
                cell(&pack.name),
                pack.count.to_string(),
                each,
                price,
                cell(purchase.currency.label()),
            ];
            cells.extend((0..5).map(|_| empty()));
            text += &line(&cells);
        }
    }
    for system in &purchase.systems {
        for one in &system.components {
            let mut cells = vec!["component".to_owned(), cell(&system.system_id), cell(&one.name)];
            cells.extend((0..4).map(|_| empty()));
            let grams = [one.needed_g, one.shelf_g, one.bought_g, one.left_g, one.unpaired_g];
            cells.extend(grams.map(|grams| grams.normalize().to_string()));
            text += &line(&cells);
        }
    }
    text
}
