//! Hardness as a function of softener: between measured points, never beyond them in silence.

use super::{Parts, System};

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
    /// Dry to the touch as far as measured.
    Dry,
    /// Between a dry and a tacky measured point.
    Between,
    /// Tacky, or softer than a point that was.
    Tacky,
}

impl System {
    /// How hard the system will be with so many parts of softener; `None` where nothing was
    /// measured.
    pub fn hardness_with(&self, _softener: Parts) -> Option<Hardness> {
        todo!()
    }
}
