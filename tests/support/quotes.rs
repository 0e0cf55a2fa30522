//! A piece to quote for, with grams that are known, and rates of our own workshop.

// Every test program takes its own part of these.
#![allow(dead_code)]

use cavigram::bounds::Bounds;
use cavigram::costs::{GivenPrice, LineGroup, Quote, QuoteColumn, QuoteRequest, Rates};
use cavigram::materials::Sourced;
use cavigram::plan::{LayerVolumes, PlanRequest, TwoPart, WallFacts};
use rust_decimal::Decimal;

/// A core of 200 cm³ by itself: 53.5 g of A, 53.5 g of B, 107 g of softener a casting.
pub fn volumes() -> LayerVolumes {
    LayerVolumes {
        skin_mm3: Bounds::ZERO,
        coats: vec![],
        core_mm3: Bounds::exact(200_000.0),
        cap_mm3: Bounds::ZERO,
        inner_face_mm2: 0.0,
        level_area_mm2: 0.0,
        opening_area_mm2: 0.0,
        wall: WallFacts::default(),
        two_part: TwoPart::default(),
    }
}

/// The usual materials; where they are `sold` their packs and prices are somebody's own.
pub fn materials(sold: bool) -> PlanRequest {
    let mut materials = PlanRequest::typical().unwrap();
    for recipe in [&mut materials.skin, &mut materials.core, &mut materials.cap] {
        for pack in recipe.system.packs.iter_mut().filter(|_| sold) {
            pack.price = pack.price.as_ref().map(|price| Sourced::bare(price.value));
            for (_, grams) in &mut pack.contents_g {
                *grams = Sourced::bare(grams.value);
            }
        }
    }
    materials
}

pub fn request(rates: &str, prices: &[&str], pieces: &[u32]) -> QuoteRequest {
    QuoteRequest {
        mould_rubber: None,
        volumes: volumes(),
        materials: materials(false),
        rates: if rates.is_empty() { Rates::default() } else { Rates::from_toml(rates).unwrap() },
        rates_file: None,
        typed_prices: prices.iter().map(|text| text.parse::<GivenPrice>().unwrap().0).collect(),
        pieces: pieces.to_vec(),
    }
}

pub fn lines(column: &QuoteColumn, group: LineGroup) -> Vec<String> {
    let of = column.lines.iter().filter(|line| line.group == group);
    of.map(|line| line.amount.map_or("?".to_owned(), |amount| format!("{amount:.2}"))).collect()
}

#[track_caller]
pub fn decimal(text: &str) -> Decimal {
    text.parse().unwrap()
}

pub fn codes(quote: &Quote) -> Vec<&str> {
    quote.findings.iter().map(|finding| finding.code).collect()
}

pub const RATES: &str = r#"
currency = "EUR"
hourly_rate = 38.00
overhead_percent = 12
margin_percent = 30
rejects_percent = 5

[[prices]]
system = "urethane-a5"
per_kg = "24.00"

[[bought_in]]
name = "steel insert"
price = 1.20
each = 2

[mould]
cost = 180
life_castings = 40

[[steps]]
name = "set up"
minutes = 20
per = "order"

[[steps]]
name = "mix and pour"
minutes = 14
waiting_minutes = 45.5

[[taxes]]
name = "value added tax"
percent = 20

[[taxes]]
name = "levy"
percent = 5
on_taxes = true
"#;
