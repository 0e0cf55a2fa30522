//! What people type: lengths, weights, volumes, times and the rest.

use std::fmt::Display;
use std::str::FromStr;

use cavigram::job::Up;
use cavigram::materials::{Family, Parts, ShoreReading};
use cavigram::record::{self, Gel, Lot};
use cavigram::units::{
    Area, Coats, Direction, Hours, KnownExtent, Length, LengthUnit, Minutes, OldCasting, Patch,
    Percent, Start, Temperature, Volume, Water, Weight,
};

use super::echoes;

/// Whatever is typed is a quantity in its range or an error in words, also with blanks around.
pub fn quantity(text: &str) {
    lengths(text);
    weights(text);
    if let Some(area) = taken::<Area>(text) {
        assert!(area.mm2() > 0.0 && area.mm2().is_finite());
    }
    if let Some(volume) = taken::<Volume>(text) {
        assert!(volume.mm3() > 0.0 && volume.mm3().is_finite());
        assert!(Volume::of_mm3(volume.mm3()).is_ok());
    }
    if let Some(room) = taken::<Temperature>(text) {
        assert!((-50.0..=100.0).contains(&room.celsius()));
    }
    if let Some(percent) = taken::<Percent>(text) {
        assert!(percent.value() >= 0.0 && percent.value().is_finite());
    }
    times(text);
    materials(text);
}

/// The same where errors tell by `Display` alone.
fn taken<T>(text: &str) -> Option<T>
where
    T: FromStr + PartialEq + std::fmt::Debug,
    T::Err: Display,
{
    let padded = format!(" \t{text}\n ");
    match text.parse::<T>() {
        Ok(value) => {
            let again = padded.parse::<T>();
            assert_eq!(again.ok().as_ref(), Some(&value), "{text:?} with blanks around");
            Some(value)
        }
        Err(error) => {
            echoes(&error.to_string(), None);
            assert!(padded.parse::<T>().is_err(), "{text:?} is taken only with blanks around");
            None
        }
    }
}

fn lengths(text: &str) {
    if let Some(length) = taken::<Length>(text) {
        assert!((0.0..=Length::LONGEST.mm()).contains(&length.mm()));
        let told: Length = length.to_string().parse().expect("a length as it is told");
        assert!((told.mm() - length.mm()).abs() <= 5.0001e-7, "{text:?}: {length}");
    }
    if let Err(error) = text.parse::<Length>() {
        echoes(&error.to_string(), error.hint().as_deref());
    }
    if let Some(coats) = taken::<Coats>(text)
        && let Ok(each) = coats.thicknesses(None, Length::from_mm(2.0))
    {
        assert!(!each.is_empty() && each.len() <= Coats::MOST as usize);
        assert!(each.iter().all(|coat| coat.mm() > 0.199));
    }
    if let Some(known) = taken::<KnownExtent>(text) {
        assert!(known.length() >= KnownExtent::SHORTEST);
    }
    taken::<LengthUnit>(text);
    if let Some(direction) = taken::<Direction>(text) {
        let square: f64 = direction.components().iter().map(|c| c * c).sum();
        assert!((square - 1.0).abs() < 1e-9, "{text:?}: {direction}");
        direction.to_string().parse::<Direction>().expect("a direction as it is told");
    }
    taken::<Up>(text);
}

fn weights(text: &str) {
    let grams = Weight::LEAST_G..=Weight::MOST_G;
    if let Some(weight) = taken::<Weight>(text) {
        assert!(grams.contains(&weight.grams()));
        let told: Weight = weight.to_string().parse().expect("a weight as it is told");
        assert!((told.grams() - weight.grams()).abs() <= 0.00501, "{text:?}: {weight}");
    }
    if let Some(water) = taken::<Water>(text) {
        assert!(grams.contains(&water.weight().grams()) && water.volume_mm3() > 0.0);
    }
    if let Some(old) = taken::<OldCasting>(text) {
        assert!(old.volume_mm3() > 0.0 && old.volume_mm3().is_finite());
    }
    if let Some(patch) = taken::<Patch>(text) {
        assert!(patch.thickness_mm(1.04) > 0.0 && patch.thickness_mm(1.04).is_finite());
    }
}

fn times(text: &str) {
    if let Some(time) = taken::<Minutes>(text) {
        assert!((0.0..=Minutes::MOST).contains(&time.minutes()));
        assert!(!time.to_string().is_empty());
    }
    taken::<Start>(text);
    if let Some(hours) = taken::<Hours>(text) {
        assert!(hours.opens_minute() < hours.closes_minute() && hours.closes_minute() <= 1440.0);
        assert_eq!(hours.to_string().parse(), Ok(hours));
    }
    match record::minutes(text) {
        Ok(minutes) => assert!(minutes >= 0.0 && minutes.is_finite()),
        Err(error) => echoes(&error.to_string(), error.hint().as_deref()),
    }
    match record::celsius(text) {
        Ok(celsius) => assert!((-20.0..=60.0).contains(&celsius)),
        Err(error) => echoes(&error.to_string(), error.hint().as_deref()),
    }
}

fn materials(text: &str) {
    if let Some(parts) = taken::<Parts>(text) {
        assert!(parts.as_f64() >= 0.0 && parts.as_f64().is_finite());
        assert_eq!(parts.to_string().parse(), Ok(parts.as_f64()), "{text:?}");
    }
    if let Some(shore) = taken::<ShoreReading>(text) {
        assert!((0.0..=100.0).contains(&shore.reading));
        let told: ShoreReading = shore.to_string().parse().expect("a hardness as it is told");
        assert!(told.scale == shore.scale && (told.reading - shore.reading).abs() <= 0.0501);
    }
    if let Some(family) = taken::<Family>(text) {
        assert_eq!(family.to_string().parse(), Ok(family));
    }
    if let Some(lot) = taken::<Lot>(text) {
        assert!(!lot.component.is_empty() && !lot.number.is_empty());
    }
    if let Some(gel) = taken::<Gel>(text) {
        assert!(gel.minutes >= 0.0 && gel.minutes.is_finite());
    }
}
