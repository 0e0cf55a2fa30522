//! Values of a shop file as text, and from text.

use super::ShopValueError;
use crate::plan::Allowances;
use crate::units::{
    Area, ClockError, Hours, Length, LengthError, Minutes, MinutesError, Percent, PercentError,
    QuantityError, Temperature, Volume, WeighingError, Weight,
};
use std::fmt::Display;
use std::str::FromStr;
use toml::de::DeValue;

type Read<T> = Result<T, ShopValueError>;

/// A value as it would be typed; `None` for a table or date.
pub(super) fn text(value: &DeValue<'_>) -> Option<String> {
    match value {
        DeValue::String(text) => Some(text.to_string()),
        DeValue::Integer(number) if number.radix() == 10 => Some(number.as_str().to_owned()),
        DeValue::Float(number) => Some(number.as_str().to_owned()),
        DeValue::Boolean(yes) => Some(if *yes { "yes" } else { "no" }.to_owned()),
        DeValue::Array(items) => {
            let texts: Option<Vec<String>> =
                items.iter().map(|item| text(item.get_ref())).collect();
            Some(texts?.join(","))
        }
        _ => None,
    }
}

fn parsed<T: FromStr<Err: Display>>(text: &str, hint: fn(&T::Err) -> Option<String>) -> Read<T> {
    text.parse().map_err(|error: T::Err| ShopValueError::new(&error, hint(&error)))
}

/// `none`, or zero in any unit: what can't be a weight or volume.
fn is_nothing(text: &str) -> bool {
    let text = text.trim().to_lowercase();
    let number = text.trim_end_matches(|c: char| !c.is_ascii_digit());
    text == "none" || number.parse() == Ok(0.0)
}

pub(super) fn mm(text: &str) -> Read<f64> {
    if is_nothing(text) {
        return Ok(0.0);
    }
    parsed::<Length>(text, LengthError::hint).map(Length::mm)
}

pub(super) fn grams(text: &str) -> Read<f64> {
    if is_nothing(text) {
        return Ok(0.0);
    }
    parsed::<Weight>(text, WeighingError::hint).map(Weight::grams)
}

pub(super) fn share(text: &str) -> Read<f64> {
    if text.trim().eq_ignore_ascii_case("none") {
        return Ok(0.0);
    }
    parsed::<Percent>(text, PercentError::hint).map(Percent::share)
}

pub(super) fn minutes(text: &str) -> Read<f64> {
    if is_nothing(text) {
        return Ok(0.0);
    }
    parsed::<Minutes>(text, MinutesError::hint).map(Minutes::minutes)
}

/// A witness puck: of the usual size, of another, or none.
pub(super) fn puck_cm3(text: &str) -> Read<f64> {
    match text.trim().to_lowercase().as_str() {
        "usual" | "yes" => Ok(Allowances::PUCK_CM3),
        "no" => Ok(0.0),
        _ if is_nothing(text) => Ok(0.0),
        _ => parsed::<Volume>(text, QuantityError::hint).map(Volume::cm3),
    }
}

/// Cups of these sizes; none for cups of any size.
pub(super) fn cups_cm3(text: &str) -> Read<Vec<f64>> {
    if text.trim().eq_ignore_ascii_case("any") {
        return Ok(Vec::new());
    }
    let one = |cup: &str| parsed::<Volume>(cup, QuantityError::hint).map(Volume::cm3);
    let mut cups: Vec<f64> = text.split(',').map(one).collect::<Result<_, _>>()?;
    cups.sort_by(f64::total_cmp);
    cups.dedup();
    Ok(cups)
}

/// The room's temperature; `sheet` for that of the data sheets.
pub(super) fn room_c(text: &str) -> Read<Option<f64>> {
    if text.trim().eq_ignore_ascii_case("sheet") {
        return Ok(None);
    }
    parsed::<Temperature>(text, QuantityError::hint).map(|room| Some(room.celsius()))
}

/// When somebody is there; `always` for any time.
pub(super) fn hours(text: &str) -> Read<Option<Hours>> {
    if text.trim().eq_ignore_ascii_case("always") {
        return Ok(None);
    }
    parsed::<Hours>(text, ClockError::hint).map(Some)
}

pub(super) fn yes_or_no(text: &str) -> Read<bool> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "true" => Ok(true),
        "no" | "false" => Ok(false),
        _ => Err(ShopValueError::new("this takes yes or no", None)),
    }
}

/// Area a minute, cm².
pub(super) fn cm2_per_minute(text: &str) -> Read<f64> {
    let area = before_minute(text, "50cm2/min")?;
    parsed::<Area>(area, QuantityError::hint).map(Area::cm2)
}

/// Grams a minute.
pub(super) fn g_per_minute(text: &str) -> Read<f64> {
    let weight = before_minute(text, "200g/min")?;
    parsed::<Weight>(weight, WeighingError::hint).map(Weight::grams)
}

fn before_minute<'a>(text: &'a str, example: &str) -> Read<&'a str> {
    let split = text.rsplit_once('/');
    let rate = split.filter(|(_, per)| per.trim().eq_ignore_ascii_case("min"));
    let missing = || {
        let reason = format!("\"{text}\" is nothing a minute");
        ShopValueError::new(reason, Some(format!("write it as {example}")))
    };
    rate.map(|(amount, _)| amount).ok_or_else(missing)
}
