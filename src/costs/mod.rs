//! What material costs: which packs to buy, and what to ask for a piece.
//!
//! Amounts of money are decimals from the text they were written in to the sum, never binary
//! numbers. Where one must be rounded it is rounded half up, to the currency's decimals; a total is
//! the exact sum of its rounded lines. The currency is a label that is only printed.

mod build_up;
mod buy;
mod choose;
mod error;
mod file;
mod money;
mod need;
mod packs;
mod price;
mod quote;
mod rates;
mod result;
mod shelf;

pub use buy::{BuyRequest, buy};
pub use choose::TooManyWays;
pub use error::CostError;
pub use file::{CostFileError, CostFileErrorKind, UnknownWord};
pub use money::{Currency, CurrencyError};
pub use need::{Need, SystemNeeds, needs, needs_of};
pub use price::{GivenPrice, Mass, PriceError, Priced};
pub use quote::{QuoteRequest, quote};
pub use rates::{
    BoughtIn, Charge, MouldCost, Per, PriceOf, Profit, Rates, Reckoning, Step, SystemPrice, Tax,
};
pub use result::{
    ComponentBuy, LineGroup, PackBuy, Purchase, PurchaseFor, Quote, QuoteColumn, QuoteGrams,
    QuoteLine, ShelfLine, ShelfState, SystemBuy,
};
pub use shelf::{Shelf, ShelfEntry};
