//! Lengths as a page or drawing shows them.

use crate::units::InchFraction;

/// Millimetres in an inch, exactly (NIST Handbook 44, Appendix C).
const MM_PER_INCH: f64 = 25.4;
/// A height nearer to the lip than this lies in it, mm.
pub const AT_LIP_MM: f64 = 0.05;

/// The unit that comes first on pages and drawings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Lengths {
    /// Millimetres.
    #[default]
    Millimetres,
    /// Inches.
    Inches,
}

impl Lengths {
    /// A size, in the unit alone: `31.0 mm`, `1.22 in`.
    pub fn size(self, mm: f64) -> String {
        match self {
            Self::Millimetres => format!("{} mm", tenths(mm)),
            Self::Inches => format!("{} in", decimals(mm / MM_PER_INCH)),
        }
    }

    /// A depth or height to mark, in both units: `3 mm (1/8 in)`, `1/8 in (3 mm)`. Inches are to
    /// the nearest 1/32.
    pub fn mark(self, mm: f64) -> String {
        let fraction = InchFraction::nearest(mm);
        let inches = match (fraction.is_zero(), mm > 0.0) {
            (true, true) => "< 1/64 in".to_owned(),
            _ => format!("{fraction} in"),
        };
        self.both(format!("{} mm", tenths(mm)), inches)
    }

    /// A thickness, in both units: `0.8 mm (0.031 in)`.
    pub fn thickness(self, mm: f64) -> String {
        let inches = format!("{} in", decimals(mm / MM_PER_INCH));
        self.both(format!("{} mm", hundredths(mm)), inches)
    }

    /// Three sides, in both units.
    pub fn sides(self, sides_mm: [f64; 3]) -> String {
        let mm = sides_mm.map(tenths).join(" × ");
        let inches = sides_mm.map(|mm| decimals(mm / MM_PER_INCH)).join(" × ");
        self.both(format!("{mm} mm"), format!("{inches} in"))
    }

    /// Where a height lies that is so far under the lip.
    pub fn under_lip(self, mm: f64) -> String {
        if mm < AT_LIP_MM {
            "at the lip".to_owned()
        } else {
            format!("{} under the lip", self.mark(mm))
        }
    }

    fn both(self, mm: String, inches: String) -> String {
        match self {
            Self::Millimetres => format!("{mm} ({inches})"),
            Self::Inches => format!("{inches} ({mm})"),
        }
    }
}

/// Tenths without an idle zero; of what is small three digits.
fn tenths(mm: f64) -> String {
    if mm != 0.0 && mm.abs() < 1.0 { idle(format!("{mm:.2}")) } else { idle(format!("{mm:.1}")) }
}

fn hundredths(mm: f64) -> String {
    idle(format!("{mm:.2}"))
}

fn decimals(inches: f64) -> String {
    if inches.abs() < 1.0 { format!("{inches:.3}") } else { format!("{inches:.2}") }
}

fn idle(text: String) -> String {
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_units_are_told_the_asked_one_first() {
        assert_eq!(Lengths::Millimetres.mark(3.0), "3 mm (1/8 in)");
        assert_eq!(Lengths::Inches.mark(3.0), "1/8 in (3 mm)");
        assert_eq!(Lengths::Millimetres.mark(0.2), "0.2 mm (< 1/64 in)");
        assert_eq!(Lengths::Inches.thickness(0.8), "0.031 in (0.8 mm)");
        assert_eq!(Lengths::Millimetres.under_lip(0.0), "at the lip");
        assert_eq!(Lengths::Inches.size(25.4), "1.00 in");
        assert_eq!(
            Lengths::Millimetres.sides([110.0, 57.04, 31.0]),
            "110 × 57 × 31 mm (4.33 × 2.25 × 1.22 in)"
        );
    }
}
