//! `cavigram/buy/1`: what to buy. Amounts of money are text, so that no reader makes binary
//! numbers of them.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;

use super::shared::{Warning, warnings};
use crate::sheet::{ComponentBuy, PackBuy, Purchase, PurchaseFor, ShelfLine, SystemBuy};

/// `cavigram/buy/1`.
#[derive(Serialize)]
pub struct Buy<'a> {
    schema: &'static str,
    day: String,
    currency: &'a str,
    #[serde(rename = "for")]
    of: Vec<For<'a>>,
    stock_file: Option<&'a str>,
    shelf: Vec<Shelf<'a>>,
    systems: Vec<System<'a>>,
    price: Option<String>,
    warnings: Vec<Warning<'a>>,
}

#[derive(Serialize)]
struct For<'a> {
    file: &'a str,
    castings: u32,
    moulds: u32,
    moulds_made: u32,
}

#[derive(Serialize)]
struct Shelf<'a> {
    system: &'a str,
    component: &'a str,
    lot: Option<&'a str>,
    grams: f64,
    counted: bool,
    state: &'static str,
}

#[derive(Serialize)]
struct System<'a> {
    system: &'a str,
    system_title: &'a str,
    components: Vec<Component<'a>>,
    packs: Vec<Pack<'a>>,
    price: Option<String>,
    invented: bool,
}

#[derive(Serialize)]
struct Component<'a> {
    name: &'a str,
    needed_g: f64,
    on_shelf_g: f64,
    short_g: f64,
    bought_g: f64,
    left_g: f64,
    unpaired_g: f64,
    no_pack: bool,
}

#[derive(Serialize)]
struct Pack<'a> {
    name: &'a str,
    count: u64,
    price_each: Option<String>,
    price: Option<String>,
}

/// Grams as JSON has them: a decimal of the scale survives the way through a binary number.
pub fn grams(value: Decimal) -> f64 {
    value.to_f64().unwrap_or(f64::MAX)
}

impl<'a> Buy<'a> {
    pub fn new(purchase: &'a Purchase) -> Self {
        let text = |amount: Decimal| purchase.currency.text(amount);
        Self {
            schema: "cavigram/buy/1",
            day: purchase.day.to_string(),
            currency: purchase.currency.label(),
            of: purchase.of.iter().map(For::new).collect(),
            stock_file: purchase.stock_file.as_deref(),
            shelf: purchase.shelf.iter().map(Shelf::new).collect(),
            systems: purchase.systems.iter().map(|one| System::new(one, &text)).collect(),
            price: purchase.price.map(text),
            warnings: warnings(&purchase.findings),
        }
    }
}

impl<'a> For<'a> {
    fn new(of: &'a PurchaseFor) -> Self {
        Self {
            file: &of.name,
            castings: of.castings,
            moulds: of.moulds,
            moulds_made: of.moulds_made,
        }
    }
}

impl<'a> Shelf<'a> {
    fn new(line: &'a ShelfLine) -> Self {
        Self {
            system: &line.system,
            component: &line.component,
            lot: line.lot.as_deref(),
            grams: grams(line.grams),
            counted: line.state.counts(),
            state: line.state.as_str(),
        }
    }
}

impl<'a> System<'a> {
    fn new(system: &'a SystemBuy, text: &impl Fn(Decimal) -> String) -> Self {
        Self {
            system: &system.system_id,
            system_title: &system.system_title,
            components: system.components.iter().map(Component::new).collect(),
            packs: system.packs.iter().map(|pack| Pack::new(pack, text)).collect(),
            price: system.price.map(text),
            invented: system.invented,
        }
    }
}

impl<'a> Component<'a> {
    fn new(one: &'a ComponentBuy) -> Self {
        Self {
            name: &one.name,
            needed_g: grams(one.needed_g),
            on_shelf_g: grams(one.shelf_g),
            short_g: grams(one.short_g),
            bought_g: grams(one.bought_g),
            left_g: grams(one.left_g),
            unpaired_g: grams(one.unpaired_g),
            no_pack: one.no_pack,
        }
    }
}

impl<'a> Pack<'a> {
    fn new(pack: &'a PackBuy, text: &impl Fn(Decimal) -> String) -> Self {
        Self {
            name: &pack.name,
            count: pack.count,
            price_each: pack.price_each.map(|each| each.to_string()),
            price: pack.price.map(text),
        }
    }
}
