//! Fractions of an inch, as a folding rule has them.

use std::fmt;

/// Millimetres in an inch, exactly (NIST Handbook 44, Appendix C).
const MM_PER_INCH: f64 = 25.4;
/// The finest division of a workshop's rule (common practice, no source).
const PER_INCH: u64 = 32;

/// A length to the nearest 1/32 of an inch, never negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct InchFraction {
    thirty_seconds: u64,
}

impl InchFraction {
    /// The nearest to so many millimetres; nothing below zero.
    pub fn nearest(mm: f64) -> Self {
        // A float becomes the nearest whole number there is: 0 from below zero.
        Self { thirty_seconds: (mm / MM_PER_INCH * PER_INCH as f64).round() as u64 }
    }

    /// Shorter than the half of 1/32 of an inch.
    pub const fn is_zero(self) -> bool {
        self.thirty_seconds == 0
    }

    /// Whole inches, and above and below the line of what is left, in lowest terms; above is 0
    /// where nothing is left.
    pub const fn parts(self) -> (u64, u64, u64) {
        let (mut above, mut below) = (self.thirty_seconds % PER_INCH, PER_INCH);
        while above % 2 == 0 && above > 0 {
            (above, below) = (above / 2, below / 2);
        }
        (self.thirty_seconds / PER_INCH, above, below)
    }
}

/// Shows inches without their unit: `0`, `1/8`, `3 5/32`, `2`.
impl fmt::Display for InchFraction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = match self.parts() {
            (wholes, 0, _) => wholes.to_string(),
            (0, above, below) => format!("{above}/{below}"),
            (wholes, above, below) => format!("{wholes} {above}/{below}"),
        };
        f.pad(&text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The fractions themselves are exact (references U2); to the nearest 1/32 is common practice,
    /// no source.
    #[test]
    fn lengths_are_shown_as_fractions_in_lowest_terms() {
        for (mm, text) in [
            (0.0, "0"),
            (0.39, "0"),
            (0.4, "1/32"),
            (0.79375, "1/32"),
            (1.5875, "1/16"),
            (2.38125, "3/32"),
            (3.0, "1/8"),
            (3.175, "1/8"),
            (4.7625, "3/16"),
            (12.7, "1/2"),
            (25.4, "1"),
            (25.1, "1"),
            (80.16875, "3 5/32"),
            (304.8, "12"),
        ] {
            assert_eq!(InchFraction::nearest(mm).to_string(), text, "{mm} mm");
        }
        assert!(InchFraction::nearest(0.39).is_zero() && !InchFraction::nearest(0.4).is_zero());
        assert_eq!(format!("{:>6}", InchFraction::nearest(3.175)), "   1/8");
    }

    #[test]
    fn what_is_no_depth_is_none() {
        for mm in [-3.0, -0.0, f64::NAN, f64::NEG_INFINITY] {
            assert!(InchFraction::nearest(mm).is_zero(), "{mm}");
        }
    }

    #[test]
    fn every_thirty_second_comes_back() {
        for k in 0..=100_u32 {
            let mm = f64::from(k) * MM_PER_INCH / 32.0;
            let (wholes, above, below) = InchFraction::nearest(mm).parts();
            let inches = wholes as f64 + above as f64 / below as f64;
            assert!((inches * MM_PER_INCH - mm).abs() < 1e-12, "{k}/32");
            assert!(above == 0 || above % 2 == 1, "{k}/32");
        }
    }
}
