//! Hardness as a function of softener: between measured points, never beyond them in silence.

use super::{HardnessPoint, Parts, Softener, Sourced, System};

/// Durometer scales. Readings in different scales are never mixed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Shore {
    /// Shore A, for ordinary rubber.
    A,
    /// Shore 00, for very soft rubber and foam.
    OO,
    /// Shore D, for hard material.
    D,
}

impl Shore {
    /// As written on data sheets: "A", "00", "D".
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::OO => "00",
            Self::D => "D",
        }
    }
}

/// How hard a mix will be, and how far that can be relied on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hardness {
    /// The scale of the reading.
    pub scale: Shore,
    /// The reading.
    pub reading: f64,
    /// What it rests on.
    pub basis: HardnessBasis,
    /// Whether the surface stays tacky.
    pub tack: Tack,
}

/// What a hardness rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HardnessBasis {
    /// A point of the data sheet.
    Measured,
    /// Straight between two measured amounts of softener.
    Interpolated {
        /// The measured amounts on either side.
        between: (Parts, Parts),
        /// What was read with them.
        readings: (f64, f64),
    },
    /// Outside what was measured: the reading is that of the nearest point, not an estimate.
    Outside {
        /// The nearest measured amount.
        nearest: Parts,
    },
}

/// Whether a cured surface stays tacky.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tack {
    /// Dry to the touch.
    Dry,
    /// More softener than any point measured dry, less than any measured tacky.
    Between,
    /// As much softener as a point measured tacky, or more.
    Tacky,
}

impl System {
    /// How hard the system will be with so many parts of softener; `None` where nothing was
    /// measured.
    ///
    /// Between two points in one scale the reading is interpolated straight; the closest pair of
    /// points wins where several scales were measured.
    pub fn hardness_with(&self, softener: Parts) -> Option<Hardness> {
        if let (true, Some((scale, reading))) = (softener.is_zero(), &self.hardness) {
            let basis = HardnessBasis::Measured;
            return Some(Hardness {
                scale: *scale,
                reading: reading.value,
                basis,
                tack: Tack::Dry,
            });
        }
        let mut points = self.softener.as_ref()?.points.clone();
        points.extend(self.unsoftened(&points));
        let tack = tack(&points, softener);
        let (scale, reading, basis) = measured(&points, softener)
            .or_else(|| interpolated(&points, softener))
            .or_else(|| outside(&points, softener))?;
        Some(Hardness { scale, reading, basis, tack })
    }

    /// The system's own hardness as a point of no softener, where other points are in its scale
    /// and none of them is without softener.
    fn unsoftened(&self, points: &[HardnessPoint]) -> Option<HardnessPoint> {
        let (scale, reading) = self.hardness.clone()?;
        let mut in_scale = points.iter().filter(|p| p.scale == scale).peekable();
        let needed = in_scale.peek().is_some() && in_scale.all(|p| !p.parts.value.is_zero());
        needed.then_some(HardnessPoint {
            parts: Sourced::bare(Parts::ZERO),
            scale,
            reading,
            tacky: false,
            times_factor: None,
        })
    }
}

impl Softener {
    /// The least amount measured to leave the surface tacky.
    pub fn tacky_from(&self) -> Option<Parts> {
        let tacky = self.points.iter().filter(|p| p.tacky).map(|p| p.parts.value);
        tacky.min_by(|a, b| a.as_f64().total_cmp(&b.as_f64()))
    }
}

type Reading = (Shore, f64, HardnessBasis);

fn amount(point: &HardnessPoint) -> f64 {
    point.parts.value.as_f64()
}

fn measured(points: &[HardnessPoint], softener: Parts) -> Option<Reading> {
    let point = points.iter().find(|p| p.parts.value == softener)?;
    Some((point.scale, point.reading.value, HardnessBasis::Measured))
}

fn interpolated(points: &[HardnessPoint], softener: Parts) -> Option<Reading> {
    let parts = softener.as_f64();
    let pairs = points.iter().flat_map(|a| points.iter().map(move |b| (a, b)));
    let (a, b) = pairs
        .filter(|(a, b)| a.scale == b.scale && amount(a) < parts && parts < amount(b))
        .min_by(|(a, b), (c, d)| (amount(b) - amount(a)).total_cmp(&(amount(d) - amount(c))))?;
    let share = (parts - amount(a)) / (amount(b) - amount(a));
    let reading = a.reading.value + share * (b.reading.value - a.reading.value);
    let between = (a.parts.value, b.parts.value);
    let readings = (a.reading.value, b.reading.value);
    Some((a.scale, reading, HardnessBasis::Interpolated { between, readings }))
}

fn outside(points: &[HardnessPoint], softener: Parts) -> Option<Reading> {
    let distance = |p: &HardnessPoint| (amount(p) - softener.as_f64()).abs();
    let point = points.iter().min_by(|a, b| distance(a).total_cmp(&distance(b)))?;
    let nearest = point.parts.value;
    Some((point.scale, point.reading.value, HardnessBasis::Outside { nearest }))
}

fn tack(points: &[HardnessPoint], softener: Parts) -> Tack {
    let parts = softener.as_f64();
    if points.iter().any(|p| p.tacky && amount(p) <= parts) {
        Tack::Tacky
    } else if points.iter().any(|p| !p.tacky && amount(p) >= parts) {
        Tack::Dry
    } else {
        Tack::Between
    }
}
