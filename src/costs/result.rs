//! Purchase lists and quotes, as all outputs read them.

use super::{Currency, MouldCost, Reckoning};
use crate::finding::Finding;
use jiff::civil::Date;
use rust_decimal::Decimal;

/// What to buy.
#[derive(Debug, Clone, PartialEq)]
pub struct Purchase {
    /// What amounts are in.
    pub currency: Currency,
    /// The day that it holds for.
    pub day: Date,
    /// What is made.
    pub of: Vec<PurchaseFor>,
    /// The stock file, where there is one.
    pub stock_file: Option<String>,
    /// What lies on the shelf of the systems that are needed, in the stock file's order.
    pub shelf: Vec<ShelfLine>,
    /// What is needed and bought, system by system.
    pub systems: Vec<SystemBuy>,
    /// What all listed packs cost; `None` where the price of one is not known.
    pub price: Option<Decimal>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// One job of a purchase.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PurchaseFor {
    /// The job or mesh.
    pub name: String,
    /// Castings of it.
    pub castings: u32,
    /// In so many moulds at once.
    pub moulds: u32,
    /// Moulds that are made for it.
    pub moulds_made: u32,
}

/// One tin on the shelf, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct ShelfLine {
    /// The system's id.
    pub system: String,
    /// Which component.
    pub component: String,
    /// Its lot.
    pub lot: Option<String>,
    /// What is left in it, g.
    pub grams: Decimal,
    /// Whether it counts.
    pub state: ShelfState,
}

/// Whether what is on the shelf counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ShelfState {
    /// It is used.
    Counted,
    /// It is used, though nobody said how long it keeps once opened.
    LifeUnknown,
    /// Past its date: the last day that it was good.
    Expired(Date),
    /// Opened too long: the last day that it was good.
    OpenTooLong(Date),
    /// Opened on a day that hasn't come.
    OpenedLater(Date),
}

impl ShelfState {
    /// Whether it is used.
    pub const fn counts(&self) -> bool {
        matches!(self, Self::Counted | Self::LifeUnknown)
    }

    /// The word used in JSON.
    pub const fn as_str(&self) -> &'static str {
        match self {
            Self::Counted => "counted",
            Self::LifeUnknown => "counted-opened-life-unknown",
            Self::Expired(_) => "expired",
            Self::OpenTooLong(_) => "open-too-long",
            Self::OpenedLater(_) => "opened-later",
        }
    }
}

/// What is needed and bought of one system.
#[derive(Debug, Clone, PartialEq)]
pub struct SystemBuy {
    /// Its id.
    pub system_id: String,
    /// It in words.
    pub system_title: String,
    /// Component by component.
    pub components: Vec<ComponentBuy>,
    /// Packs to buy, in the order of the system's file; each at least one.
    pub packs: Vec<PackBuy>,
    /// What they cost; `None` where the price of one is not known.
    pub price: Option<Decimal>,
    /// Packs or prices are still the invented ones of a built-in system.
    pub invented: bool,
}

/// One component of a purchase. Units: g.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ComponentBuy {
    /// As the tin says.
    pub name: String,
    /// What all jobs take.
    pub needed_g: Decimal,
    /// What is on the shelf and counts.
    pub shelf_g: Decimal,
    /// What the shelf doesn't cover.
    pub short_g: Decimal,
    /// What the packs hold of it.
    pub bought_g: Decimal,
    /// What is left on the shelf behind the jobs.
    pub left_g: Decimal,
    /// What of that has no counterpart among the other components.
    pub unpaired_g: Decimal,
    /// No pack holds it: it is not on the list.
    pub no_pack: bool,
}

/// So many packs of one sort.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PackBuy {
    /// What it is called.
    pub name: String,
    /// How many.
    pub count: u64,
    /// What one costs, where known.
    pub price_each: Option<Decimal>,
    /// What they cost together, where known.
    pub price: Option<Decimal>,
}

/// What to ask for a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Quote {
    /// What amounts are in.
    pub currency: Currency,
    /// How materials are charged.
    pub reckoning: Reckoning,
    /// The mould's cost, where it is charged.
    pub mould: Option<MouldCost>,
    /// What of its cost is rubber, line by line, where that is charged.
    pub mould_rubber: Vec<QuoteLine>,
    /// Margin as a share of the price before tax, %.
    pub margin_percent: Decimal,
    /// The same as a share of the cost, %.
    pub markup_percent: Decimal,
    /// The file of rates, where there is one.
    pub rates_file: Option<String>,
    /// What no rate was given for, so that it is not in the price.
    pub not_charged: Vec<&'static str>,
    /// One for each number of pieces.
    pub columns: Vec<QuoteColumn>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// What to ask for so many pieces.
#[derive(Debug, Clone, PartialEq)]
pub struct QuoteColumn {
    /// Good pieces that are handed over.
    pub pieces: u32,
    /// In so many moulds at once.
    pub moulds: u32,
    /// How often they are filled for these pieces.
    pub rounds: u32,
    /// Trial castings beside them.
    pub trial_castings: u32,
    /// What is weighed for these pieces, component by component.
    pub grams: Vec<QuoteGrams>,
    /// The build-up.
    pub lines: Vec<QuoteLine>,
    /// All lines up to overhead; `None` where a price is not known.
    pub cost: Option<Decimal>,
    /// Cost and margin.
    pub before_tax: Option<Decimal>,
    /// What is asked for all pieces: the sum of the lines.
    pub price: Option<Decimal>,
    /// The price before tax over the pieces, rounded.
    pub each_before_tax: Option<Decimal>,
    /// The price over the pieces, rounded.
    pub each: Option<Decimal>,
    /// Minutes that somebody works, trial and rejects included.
    pub attended_minutes: Decimal,
    /// Minutes that nobody needs to be there; they cost nothing.
    pub waiting_minutes: Decimal,
}

/// What is weighed of one component.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteGrams {
    /// The system's id.
    pub system: String,
    /// Which of its components.
    pub component: String,
    /// For the pieces, without trial and rejects, g.
    pub pieces_g: Decimal,
    /// For the trial castings, g.
    pub trial_g: Decimal,
}

/// One line of the build-up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteLine {
    /// What it belongs to.
    pub group: LineGroup,
    /// What it is for.
    pub name: String,
    /// How it is reckoned, in numbers.
    pub formula: String,
    /// What it comes to, rounded; `None` where a price is not known.
    pub amount: Option<Decimal>,
}

/// What a line of the build-up belongs to, in their order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LineGroup {
    /// Rubber.
    Material,
    /// Parts that are bought in.
    BoughtIn,
    /// What the mould cost.
    Mould,
    /// Attended minutes.
    Work,
    /// The first-off trial.
    Trial,
    /// Castings that fail.
    Rejects,
    /// What the workshop costs by itself.
    Overhead,
    /// What is to be earned.
    Margin,
    /// Taxes.
    Tax,
}

impl LineGroup {
    /// All of them, in their order.
    pub const ALL: [Self; 9] = [
        Self::Material,
        Self::BoughtIn,
        Self::Mould,
        Self::Work,
        Self::Trial,
        Self::Rejects,
        Self::Overhead,
        Self::Margin,
        Self::Tax,
    ];

    /// The word used in JSON and CSV.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Material => "material",
            Self::BoughtIn => "bought-in",
            Self::Mould => "mould",
            Self::Work => "work",
            Self::Trial => "trial",
            Self::Rejects => "rejects",
            Self::Overhead => "overhead",
            Self::Margin => "margin",
            Self::Tax => "tax",
        }
    }
}
