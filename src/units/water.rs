//! `838g@21C`: water that was weighed, and what it measures.

use std::str::FromStr;

use super::weighing::{WeighingError, Weight, split_at, without_sign};

/// Weighed water of a known temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Water {
    weight: Weight,
    celsius: f64,
}

/// Temperatures for which the density is known, °C.
pub const WATER_CELSIUS: std::ops::RangeInclusive<f64> = 0.0..=40.0;

/// Density of air-free water at 1 atm, g/cm³; `celsius` within [`WATER_CELSIUS`].
///
/// The published formula itself, so nothing is interpolated between the lines of its table. Water
/// from the tap is lighter by a few millionths for the air in it, and every weighing in air by a
/// thousandth: both far less than what a mould is filled to.
///
/// Source: Tanaka et al., Recommended table for the density of water between 0 °C and 40 °C based
/// on recent experimental reports, Metrologia 38 (2001) 301.
pub fn water_density_g_cm3(celsius: f64) -> f64 {
    let (a1, a2, a3, a4, a5) = (-3.983035, 301.797, 522_528.9, 69.34881, 999.974950);
    let t = celsius;
    a5 * (1.0 - (t + a1) * (t + a1) * (t + a2) / (a3 * (t + a4))) / 1000.0
}

impl Water {
    /// Water of a weight and a temperature, °C.
    ///
    /// # Errors
    /// [`WeighingError::Temperature`] outside of [`WATER_CELSIUS`].
    pub fn new(weight: Weight, celsius: f64) -> Result<Self, WeighingError> {
        if !WATER_CELSIUS.contains(&celsius) {
            return Err(WeighingError::Temperature { celsius });
        }
        Ok(Self { weight, celsius })
    }

    /// What it measures, mm³.
    pub fn volume_mm3(self) -> f64 {
        1000.0 * self.weight.grams() / water_density_g_cm3(self.celsius)
    }

    /// How much was weighed.
    pub const fn weight(self) -> Weight {
        self.weight
    }

    /// How warm it was, °C.
    pub const fn celsius(self) -> f64 {
        self.celsius
    }
}

impl FromStr for Water {
    type Err = WeighingError;

    fn from_str(text: &str) -> Result<Self, WeighingError> {
        let (weight, temperature) =
            split_at(text).ok_or_else(|| WeighingError::NoTemperature(text.trim().to_owned()))?;
        let weight = weight.parse()?;
        let bad = || WeighingError::BadTemperature(temperature.to_owned());
        let word = temperature.to_lowercase().replace('°', "");
        let (number, fahrenheit) = match word.strip_suffix('f') {
            Some(number) => (number, true),
            None => (word.strip_suffix('c').unwrap_or(&word), false),
        };
        let (sign, digits) = match number.trim().strip_prefix('-') {
            Some(digits) => (-1.0, digits),
            None => (1.0, number),
        };
        let degrees = sign * without_sign(digits).ok_or_else(bad)?;
        Self::new(weight, if fahrenheit { (degrees - 32.0) / 1.8 } else { degrees })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The lines of the published table, kg/m³ (Tanaka et al. 2001; references U5).
    #[test]
    fn the_density_is_the_published_one() {
        for (celsius, kg_m3) in [
            (10.0, 999.7027),
            (15.0, 999.1026),
            (20.0, 998.2067),
            (22.0, 997.7730),
            (23.0, 997.5408),
            (25.0, 997.0470),
            (30.0, 995.6488),
            (35.0, 994.0326),
        ] {
            let density = 1000.0 * water_density_g_cm3(celsius);
            assert!((density - kg_m3).abs() <= 0.00005 + 1e-9, "{celsius} °C: {density}");
        }
    }

    #[test]
    fn degrees_are_read_in_both_scales() {
        let water = |text: &str| text.parse::<Water>().unwrap();
        for same in ["838g@20C", "838@20", "0.838kg @ 20 °C", "838 g@68F", "838g@68°f"] {
            let read = water(same);
            assert!((read.weight().grams() - 838.0).abs() < 1e-9, "{same}");
            assert!((read.celsius() - 20.0).abs() < 1e-12, "{same}");
        }
        assert!((water("838g@20C").volume_mm3() - 838_000.0 / 0.9982067).abs() < 0.05);
    }

    #[test]
    fn what_is_no_water_is_told_apart() {
        let error = |text: &str| text.parse::<Water>().unwrap_err();
        assert_eq!(error("838g"), WeighingError::NoTemperature("838g".into()));
        assert_eq!(error("838g@warm"), WeighingError::BadTemperature("warm".into()));
        assert_eq!(error("838g@"), WeighingError::BadTemperature(String::new()));
        assert_eq!(error("838g@nan"), WeighingError::BadTemperature("nan".into()));
        assert_eq!(error("838g@-1C"), WeighingError::Temperature { celsius: -1.0 });
        assert_eq!(error("838g@70C"), WeighingError::Temperature { celsius: 70.0 });
        assert_eq!(error("0g@20C"), WeighingError::NoWeight);
        assert_eq!(error("-5g@20C"), WeighingError::Negative);
        assert_eq!(error("5ml@20C"), WeighingError::BadWeight("5ml".into()));
    }
}
