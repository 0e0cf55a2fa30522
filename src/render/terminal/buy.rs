//! The purchase list: what is needed and what covers it, system by system.

use super::page::{ALERT, FAINT, PLAIN, Page, STRONG, WIDTH, shortened, width};
use crate::sheet::{ComponentBuy, Currency, PackBuy, Purchase, PurchaseFor, SystemBuy};
use rust_decimal::Decimal;

/// Columns of a component: its name, then grams.
const NAME: usize = 14;
const GRAMS: usize = 11;
/// Columns of a pack: how many, its name, one, together.
const COUNT: usize = 6;
const PRICE: usize = 16;

/// The whole list.
pub fn list(page: &mut Page, purchase: &Purchase) {
    let what = match purchase.of.as_slice() {
        [one] => one.name.clone(),
        several => format!("{} jobs together", several.len()),
    };
    page.ends((STRONG, &what), (PLAIN, "purchase list"));
    page.rule();
    for of in &purchase.of {
        page.row("For", &what_for(of));
    }
    let counted = purchase.shelf.iter().filter(|line| line.state.counts()).count();
    let shelf = match &purchase.stock_file {
        None => "nothing counted: no stock file".to_owned(),
        Some(file) if purchase.shelf.is_empty() => {
            format!("{file}: nothing of these materials, as of {}", purchase.day)
        }
        Some(file) => format!(
            "{file}: {counted} of {} entries of these materials counted, as of {}",
            purchase.shelf.len(),
            purchase.day
        ),
    };
    page.row("Shelf", &shelf);
    for system in &purchase.systems {
        page.rule();
        of_system(page, system, &purchase.currency);
    }
    page.rule();
    let packs = purchase.systems.iter().flat_map(|system| &system.packs).map(|pack| pack.count);
    let mut packs = match packs.sum::<u64>() {
        0 => "Nothing to buy".to_owned(),
        1 => "1 pack".to_owned(),
        n => format!("{n} packs"),
    };
    let all = purchase.systems.iter().flat_map(|system| &system.components);
    let mut missing: Vec<&str> = Vec::new();
    for one in all.filter(|one| one.no_pack) {
        if !missing.contains(&one.name.as_str()) {
            missing.push(&one.name);
        }
    }
    if !missing.is_empty() {
        packs += &format!(", without {}", missing.join(", "));
    }
    let invented = purchase.systems.iter().any(|system| system.invented);
    let all = match purchase.price {
        Some(price) if invented => {
            format!("at invented prices {}", amount(&purchase.currency, price))
        }
        Some(price) => amount(&purchase.currency, price),
        None => "not known: see below".to_owned(),
    };
    page.ends((STRONG, &packs), (STRONG, &all));
}

/// Castings, the moulds that are made for them, or both.
fn what_for(of: &PurchaseFor) -> String {
    let counted = |n: u32, one: &str| match n {
        1 => format!("1 {one}"),
        n => format!("{n} {one}s"),
    };
    let at_once = if of.moulds > 1 { format!(", {} at once", of.moulds) } else { String::new() };
    let castings = format!("{} of {}{at_once}", counted(of.castings, "casting"), of.name);
    let moulds = counted(of.moulds_made, "mould");
    match (of.castings, of.moulds_made) {
        (_, 0) => castings,
        (0, _) => format!("{moulds} of {}", of.name),
        _ => format!("{castings}, and {moulds} for them"),
    }
}

fn of_system(page: &mut Page, system: &SystemBuy, currency: &Currency) {
    page.ends((STRONG, &system.system_id), (PLAIN, &shortened(&system.system_title, 55)));
    if system.invented {
        page.row_in(ALERT, "Beware", "packs and prices are invented examples");
    }
    let head = ["needed", "on shelf", "short", "bought", "left", "unpaired"];
    grams_line(page, true, "grams", head.map(str::to_owned));
    for one in &system.components {
        component(page, one);
    }
    page.gap();
    if system.packs.is_empty() {
        page.row("Buy", "nothing");
    }
    for pack in &system.packs {
        pack_line(page, pack, currency);
    }
}

fn component(page: &mut Page, one: &ComponentBuy) {
    let unpaired = if one.unpaired_g.is_zero() { "–".to_owned() } else { tenths(one.unpaired_g) };
    let bought = if one.no_pack { "no pack".to_owned() } else { tenths(one.bought_g) };
    let cells = [
        tenths(one.needed_g),
        tenths(one.shelf_g),
        tenths(one.short_g),
        bought,
        tenths(one.left_g),
        unpaired,
    ];
    grams_line(page, false, &one.name, cells);
}

fn grams_line(page: &mut Page, head: bool, name: &str, cells: [String; 6]) {
    let name = shortened(name, NAME - 1);
    let mut text = name.clone() + &" ".repeat(NAME - width(&name));
    for cell in cells {
        text += &" ".repeat(GRAMS.saturating_sub(width(&cell)));
        text += &cell;
    }
    page.line(&[(if head { FAINT } else { PLAIN }, &text)]);
}

fn pack_line(page: &mut Page, pack: &PackBuy, currency: &Currency) {
    let count = format!("{} ×", pack.count);
    let count = " ".repeat(COUNT.saturating_sub(width(&count))) + &count + " ";
    let each = pack.price_each.map(|each| format!("at {each}"));
    let each = each.unwrap_or_else(|| "no price known".to_owned());
    let price = pack.price.map(|price| amount(currency, price)).unwrap_or_default();
    let room = WIDTH.saturating_sub(width(&count) + 2 * PRICE);
    let name = shortened(&pack.name, room);
    let right = |text: &str| " ".repeat(PRICE.saturating_sub(width(text))) + text;
    let gap = " ".repeat(room.saturating_sub(width(&name)));
    page.line(&[
        (STRONG, &count),
        (STRONG, &name),
        (PLAIN, &gap),
        (PLAIN, &right(&each)),
        (PLAIN, &right(&price)),
    ]);
}

/// Grams or minutes to tenths; finer ones to hundredths.
pub fn tenths(value: Decimal) -> String {
    let value = value.normalize();
    let decimals = value.scale().clamp(1, 2) as usize;
    format!("{:.decimals$}", value.round_dp(2))
}

/// An amount with its currency.
pub fn amount(currency: &Currency, value: Decimal) -> String {
    let text = currency.text(value);
    if currency.label().is_empty() { text } else { format!("{text} {}", currency.label()) }
}
