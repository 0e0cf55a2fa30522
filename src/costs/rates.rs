//! What a workshop charges: the file of rates.

use super::Currency;
use super::file::{Allowed, CostFileError, CostFileErrorKind, Read, Table, read_toml};
use super::price::{Mass, Priced};
use rust_decimal::Decimal;

/// What a workshop charges. What is left out is not charged.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rates {
    /// What amounts are in.
    pub currency: Currency,
    /// How materials are charged.
    pub reckoning: Reckoning,
    /// Numbers of pieces to quote for; empty for the usual ones.
    pub pieces: Vec<u32>,
    /// Prices of materials beside those of the systems' packs.
    pub prices: Vec<SystemPrice>,
    /// Parts that are bought in.
    pub bought_in: Vec<BoughtIn>,
    /// What the mould cost.
    pub mould: Option<MouldCost>,
    /// Castings of a first-off trial.
    pub trial_castings: u32,
    /// Castings that fail, % of all that are made.
    pub rejects_percent: Decimal,
    /// What is done, and how long it takes.
    pub steps: Vec<Step>,
    /// What an attended hour costs, where it is charged.
    pub hourly_rate: Option<Decimal>,
    /// What the workshop costs by itself, % of everything before it, where it is charged.
    pub overhead_percent: Option<Decimal>,
    /// What is to be earned, where it is charged.
    pub profit: Option<Profit>,
    /// Taxes, in their order.
    pub taxes: Vec<Tax>,
}

/// How materials are charged: never both ways.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Reckoning {
    /// By the grams that are weighed.
    #[default]
    Grams,
    /// By the packs that must be opened, each whole.
    Packs,
}

impl Reckoning {
    /// The word used in files and JSON.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Grams => "grams",
            Self::Packs => "packs",
        }
    }
}

/// A price of a system's material.
#[derive(Debug, Clone, PartialEq)]
pub struct SystemPrice {
    /// The system's id.
    pub system: String,
    /// One of its components; of all where not said.
    pub component: Option<String>,
    /// What it is.
    pub price: PriceOf,
}

/// What a price of a material is.
#[derive(Debug, Clone, PartialEq)]
pub enum PriceOf {
    /// So much for so many grams.
    Mass(Priced),
    /// As the pack of this name has it.
    Pack(String),
}

/// A part that is bought in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoughtIn {
    /// What it is.
    pub name: String,
    /// What one costs.
    pub price: Decimal,
    /// How many a casting takes.
    pub each: Decimal,
}

/// What a mould cost, and how long it lasts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MouldCost {
    /// What one cost; beside its rubber where that is charged.
    pub cost: Decimal,
    /// Its rubber is charged beside, as it is weighed for this piece.
    pub rubber: bool,
    /// Castings until it is worn out.
    pub life_castings: u32,
    /// How it is charged.
    pub charge: Charge,
}

/// How a mould is charged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Charge {
    /// By its wear: every casting carries its share of the life.
    Wear,
    /// As many whole moulds as the castings need.
    Whole,
}

/// What is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// Its name.
    pub name: String,
    /// Minutes that somebody works.
    pub minutes: Decimal,
    /// Minutes that nobody needs to be there; they cost nothing.
    pub waiting_minutes: Decimal,
    /// How often.
    pub per: Per,
}

/// How often something is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Per {
    /// For every casting.
    Casting,
    /// For every round, in which all moulds are filled.
    Round,
    /// Once for the order.
    Order,
}

/// What is to be earned: the same thing in two ways of telling it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Profit {
    /// % of the price before tax.
    Margin(Decimal),
    /// % of the cost.
    Markup(Decimal),
}

/// A tax.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tax {
    /// Its name.
    pub name: String,
    /// %.
    pub percent: Decimal,
    /// On the taxes before it too, not only on the price before tax.
    pub on_taxes: bool,
}

/// The most pieces of one column.
pub(super) const PIECES_MOST: u32 = 10_000;
/// The most columns.
pub(super) const COLUMNS_MOST: usize = 20;

const HEAD: [&str; 15] = [
    "currency",
    "decimals",
    "materials",
    "pieces",
    "hourly_rate",
    "rejects_percent",
    "overhead_percent",
    "margin_percent",
    "markup_percent",
    "trial_castings",
    "prices",
    "bought_in",
    "mould",
    "steps",
    "taxes",
];

impl Rates {
    /// Numbers of pieces where none are said.
    pub const PIECES: [u32; 5] = [1, 5, 10, 25, 100];

    /// Reads the text of a file of rates.
    ///
    /// # Errors
    /// [`CostFileError`] with line, column and what was expected.
    ///
    /// # Example
    /// ```
    /// use cavigram::costs::Rates;
    ///
    /// let rates = Rates::from_toml("currency = \"EUR\"\nhourly_rate = 38.10")?;
    /// assert_eq!(rates.hourly_rate.unwrap().to_string(), "38.10");
    /// let error = Rates::from_toml("hourly_rates = 38").unwrap_err();
    /// assert_eq!(error.hint().as_deref(), Some("did you mean `hourly_rate`?"));
    /// # Ok::<(), cavigram::costs::CostFileError>(())
    /// ```
    pub fn from_toml(toml: &str) -> Result<Self, CostFileError> {
        read_toml(toml, "rates such as hourly_rate = 38", rates)
    }
}

fn rates(file: &Table<'_, '_>) -> Read<Rates> {
    file.only(&HEAD)?;
    file.one_of("margin_percent", "markup_percent")?;
    let percent = |key, range| file.get(key).map(|value| value.decimal(range)).transpose();
    let margin = percent("margin_percent", Allowed::SHARE)?.map(Profit::Margin);
    let markup = percent("markup_percent", Allowed::PERCENT)?.map(Profit::Markup);
    let words = [("grams", Reckoning::Grams), ("packs", Reckoning::Packs)];
    let trial = "a whole number of castings from 0 to 100";
    Ok(Rates {
        currency: currency(file)?,
        reckoning: file.get("materials").map(|m| m.word(&words)).transpose()?.unwrap_or_default(),
        pieces: pieces(file)?,
        prices: file.tables("prices")?.iter().map(price).collect::<Read<_>>()?,
        bought_in: file.tables("bought_in")?.iter().map(bought_in).collect::<Read<_>>()?,
        mould: file.table("mould")?.map(|table| mould(&table)).transpose()?,
        trial_castings: file
            .get("trial_castings")
            .map(|count| count.whole(0, 100, trial))
            .transpose()?
            .unwrap_or(0),
        rejects_percent: percent("rejects_percent", Allowed::SHARE)?.unwrap_or_default(),
        steps: file.tables("steps")?.iter().map(step).collect::<Read<_>>()?,
        hourly_rate: percent("hourly_rate", Allowed::PRICE)?,
        overhead_percent: percent("overhead_percent", Allowed::PERCENT)?,
        profit: margin.or(markup),
        taxes: file.tables("taxes")?.iter().map(tax).collect::<Read<_>>()?,
    })
}

fn currency(file: &Table<'_, '_>) -> Read<Currency> {
    let decimals = file
        .get("decimals")
        .map(|d| d.whole(0, Currency::DECIMALS_MOST, "a whole number of decimals from 0 to 4"))
        .transpose()?
        .unwrap_or(Currency::DECIMALS);
    let Some(label) = file.get("currency") else {
        let currency = Currency::default().with_decimals(decimals);
        return currency.map_err(|error| (0..0, CostFileErrorKind::Currency(error)));
    };
    Currency::new(&label.words()?, decimals)
        .map_err(|error| (label.begins(), CostFileErrorKind::Currency(error)))
}

fn pieces(file: &Table<'_, '_>) -> Read<Vec<u32>> {
    let Some(list) = file.get("pieces") else { return Ok(Vec::new()) };
    let expected = "up to 20 whole numbers from 1 to 10000, such as [1, 5, 10]";
    let items = list.each()?;
    if items.is_empty() || items.len() > COLUMNS_MOST {
        return Err(list.not(expected));
    }
    items.iter().map(|one| one.whole(1, PIECES_MOST, expected)).collect()
}

fn price(table: &Table<'_, '_>) -> Read<SystemPrice> {
    table.only(&["system", "component", "per_kg", "per_lb", "pack"])?;
    table.one_of("per_kg", "per_lb")?;
    table.one_of("per_kg", "pack")?;
    table.one_of("per_lb", "pack")?;
    let mass = |key, mass| {
        let price = table.get(key).map(|value| value.decimal(Allowed::PRICE)).transpose()?;
        Ok(price.map(|price| PriceOf::Mass(Priced { price, mass })))
    };
    let pack = table.get("pack").map(|name| name.words()).transpose()?.map(PriceOf::Pack);
    let price = match (mass("per_kg", Mass::Kilogram)?, mass("per_lb", Mass::Pound)?, pack) {
        (Some(price), ..) | (_, Some(price), _) | (.., Some(price)) => price,
        (None, None, None) => return Err(table.missing("per_kg")),
    };
    Ok(SystemPrice {
        system: table.must("system")?.words()?.to_lowercase(),
        component: table.get("component").map(|name| name.words()).transpose()?,
        price,
    })
}

fn bought_in(table: &Table<'_, '_>) -> Read<BoughtIn> {
    table.only(&["name", "price", "each"])?;
    let each = table.get("each").map(|each| each.decimal(Allowed::COUNT)).transpose()?;
    Ok(BoughtIn {
        name: table.must("name")?.words()?,
        price: table.must("price")?.decimal(Allowed::PRICE)?,
        each: each.unwrap_or(Decimal::ONE),
    })
}

fn mould(table: &Table<'_, '_>) -> Read<MouldCost> {
    table.only(&["cost", "rubber", "life_castings", "charge"])?;
    let rubber = table.get("rubber").map(|yes| yes.yes()).transpose()?.unwrap_or(false);
    let cost = match table.get("cost") {
        None if rubber => Decimal::ZERO,
        _ => table.must("cost")?.decimal(Allowed::PRICE)?,
    };
    let life = "a whole number of castings from 1 to 1000000";
    let words = [("wear", Charge::Wear), ("whole", Charge::Whole)];
    Ok(MouldCost {
        cost,
        rubber,
        life_castings: table.must("life_castings")?.whole(1, 1_000_000, life)?,
        charge: table.get("charge").map(|c| c.word(&words)).transpose()?.unwrap_or(Charge::Wear),
    })
}

fn step(table: &Table<'_, '_>) -> Read<Step> {
    table.only(&["name", "minutes", "waiting_minutes", "per"])?;
    let words = [("casting", Per::Casting), ("round", Per::Round), ("order", Per::Order)];
    let waiting = table.get("waiting_minutes").map(|m| m.decimal(Allowed::MINUTES)).transpose()?;
    Ok(Step {
        name: table.must("name")?.words()?,
        minutes: table.must("minutes")?.decimal(Allowed::MINUTES)?,
        waiting_minutes: waiting.unwrap_or_default(),
        per: table.get("per").map(|per| per.word(&words)).transpose()?.unwrap_or(Per::Casting),
    })
}

fn tax(table: &Table<'_, '_>) -> Read<Tax> {
    table.only(&["name", "percent", "on_taxes"])?;
    Ok(Tax {
        name: table.must("name")?.words()?,
        percent: table.must("percent")?.decimal(Allowed::PERCENT)?,
        on_taxes: table.get("on_taxes").map(|yes| yes.yes()).transpose()?.unwrap_or(false),
    })
}
