//! The JSON that others build on: wire types of its own, so that a change inside changes no key.
//!
//! Keys, units and meanings are fixed under a schema number; keys may be added beside.

mod buy;
mod dose;
mod in_mould;
mod inserts;
mod level;
mod mix;
mod mould;
mod parting;
mod plan;
mod quote;
mod record;
mod run;
mod shared;
mod systems;
mod timeline;

use serde::Serialize;

use crate::sheet::{
    LevelTable, MixSheet, MouldSheet, Purchase, Quote, Sheet, Summary, Survey, SystemPage,
    SystemsList,
};

/// A survey as one JSON object, schema `cavigram/survey/1`, with a line break at its end.
///
/// # Errors
/// Only what the writer of JSON itself may fail with.
pub fn survey(survey: &Survey) -> Result<String, serde_json::Error> {
    text(&shared::Survey::new(survey))
}

/// A batch sheet as one JSON object, schema `cavigram/plan/1`, with a line break at its end.
///
/// # Errors
/// Only what the writer of JSON itself may fail with.
pub fn plan(sheet: &Sheet) -> Result<String, serde_json::Error> {
    text(&plan::Plan::new(sheet))
}

/// A dip-stick table as one JSON object, schema `cavigram/level/1`, with a line break at its end.
///
/// # Errors
/// Only what the writer of JSON itself may fail with.
pub fn level(table: &LevelTable) -> Result<String, serde_json::Error> {
    text(&level::Level::new(table))
}

/// A mould sheet as one JSON object, schema `cavigram/mould/1`, with a line break at its end.
///
/// # Errors
/// Only what the writer of JSON itself may fail with.
pub fn mould(sheet: &MouldSheet) -> Result<String, serde_json::Error> {
    text(&mould::Mould::new(sheet))
}

/// One mix without a mesh as one JSON object, schema `cavigram/mix/1`, with a line break at its
/// end.
///
/// # Errors
/// Only what the writer of JSON itself may fail with.
pub fn mix(sheet: &MixSheet) -> Result<String, serde_json::Error> {
    text(&mix::Mix::new(sheet))
}

/// What a job's record tells as one JSON object, schema `cavigram/records/1`, with a line break at
/// its end.
///
/// # Errors
/// Only what the writer of JSON itself may fail with.
pub fn record(summary: &Summary) -> Result<String, serde_json::Error> {
    text(&record::Records::new(summary))
}

/// The casting systems at hand as one JSON object, schema `cavigram/systems/1`, with a line break
/// at its end.
///
/// # Errors
/// Only what the writer of JSON itself may fail with.
pub fn systems(list: &SystemsList) -> Result<String, serde_json::Error> {
    text(&systems::Systems::new(list))
}

/// All of a casting system as one JSON object, schema `cavigram/system/1`, with a line break at
/// its end.
///
/// # Errors
/// Only what the writer of JSON itself may fail with.
pub fn system(page: &SystemPage) -> Result<String, serde_json::Error> {
    text(&systems::System::new(page))
}

/// A purchase list as one JSON object, schema `cavigram/buy/1`, with a line break at its end.
///
/// # Errors
/// Only what the writer of JSON itself may fail with.
pub fn buy(purchase: &Purchase) -> Result<String, serde_json::Error> {
    text(&buy::Buy::new(purchase))
}

/// A quote as one JSON object, schema `cavigram/quote/1`, with a line break at its end.
///
/// # Errors
/// Only what the writer of JSON itself may fail with.
pub fn quote(quote: &Quote) -> Result<String, serde_json::Error> {
    text(&quote::QuoteWire::new(quote))
}

fn text(value: &impl Serialize) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string_pretty(value)?;
    text.push('\n');
    Ok(text)
}
