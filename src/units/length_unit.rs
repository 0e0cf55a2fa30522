//! mm, cm, m, in, ft, and µm: units of length in both spellings.

use std::str::FromStr;

/// A unit that lengths are typed in, or that the numbers in a mesh file are in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LengthUnit {
    /// Micrometre, which 3MF calls micron.
    Micrometre,
    /// Millimetre.
    Millimetre,
    /// Centimetre.
    Centimetre,
    /// Metre.
    Metre,
    /// International inch, 25.4 mm exactly.
    Inch,
    /// International foot, 304.8 mm exactly.
    Foot,
}

/// A word that is no unit of length.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("there is no unit \"{0}\" here")]
pub struct UnknownUnit(pub String);

const UNITS: &str = "the units are mm, cm, m, in (or \") and ft (or ')";

impl LengthUnit {
    /// The word used on the command line and in JSON.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Micrometre => "um",
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Metre => "m",
            Self::Inch => "in",
            Self::Foot => "ft",
        }
    }

    /// Millimetres in one of this unit.
    ///
    /// Source: NIST Handbook 44, Appendix C (inch 25.4 mm, foot 304.8 mm, both exact).
    pub fn mm(self) -> f64 {
        let (numerator, denominator) = self.mm_ratio();
        numerator / denominator
    }

    /// Millimetres in one of this unit as whole numbers, so that fractions round only once.
    pub(super) const fn mm_ratio(self) -> (f64, f64) {
        match self {
            Self::Micrometre => (1.0, 1000.0),
            Self::Millimetre => (1.0, 1.0),
            Self::Centimetre => (10.0, 1.0),
            Self::Metre => (1000.0, 1.0),
            Self::Inch => (254.0, 10.0),
            Self::Foot => (3048.0, 10.0),
        }
    }
}

impl UnknownUnit {
    /// What to type instead.
    pub fn hint(&self) -> String {
        UNITS.to_owned()
    }
}

impl FromStr for LengthUnit {
    type Err = UnknownUnit;

    fn from_str(text: &str) -> Result<Self, UnknownUnit> {
        let word = text.trim();
        match word.to_lowercase().as_str() {
            "um" | "µm" | "μm" | "micron" | "microns" | "micrometre" | "micrometres"
            | "micrometer" | "micrometers" => Ok(Self::Micrometre),
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => {
                Ok(Self::Millimetre)
            }
            "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => {
                Ok(Self::Centimetre)
            }
            "m" | "metre" | "metres" | "meter" | "meters" => Ok(Self::Metre),
            "in" | "in." | "inch" | "inches" | "\"" | "''" | "″" | "”" => Ok(Self::Inch),
            "ft" | "ft." | "foot" | "feet" | "'" | "′" | "’" => Ok(Self::Foot),
            _ => Err(UnknownUnit(word.to_owned())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_read_in_both_spellings() {
        assert_eq!("Inches".parse(), Ok(LengthUnit::Inch));
        assert_eq!("meter".parse(), Ok(LengthUnit::Metre));
        assert_eq!("metre".parse(), Ok(LengthUnit::Metre));
        assert_eq!("mil".parse::<LengthUnit>(), Err(UnknownUnit("mil".into())));
        for unit in [
            LengthUnit::Micrometre,
            LengthUnit::Millimetre,
            LengthUnit::Centimetre,
            LengthUnit::Metre,
            LengthUnit::Inch,
            LengthUnit::Foot,
        ] {
            assert_eq!(unit.as_str().parse(), Ok(unit));
        }
        assert_eq!(LengthUnit::Inch.mm(), 25.4);
        assert_eq!(LengthUnit::Foot.mm(), 304.8);
    }
}
