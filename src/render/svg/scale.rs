//! How large a drawing is on paper, and its scale bar.

use crate::render::Lengths;

/// Scales of drawings: so many mm on paper for one of the piece.
///
/// Source: ISO 5455, technical drawings, scales: 1, 2 and 5 with powers of ten.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Scale {
    paper: u32,
    piece: u32,
}

/// From 1 : 10 000 to 50 : 1.
const DOWN: [u32; 13] = [10_000, 5000, 2000, 1000, 500, 200, 100, 50, 20, 10, 5, 2, 1];
const UP: [u32; 5] = [2, 5, 10, 20, 50];

impl Scale {
    /// The largest at which so many mm of the piece fit on so many mm of paper.
    pub fn fitting(piece_mm: [f64; 2], paper_mm: [f64; 2]) -> Self {
        let down = DOWN.map(|piece| Self { paper: 1, piece });
        let up = UP.map(|paper| Self { paper, piece: 1 });
        let fits = |scale: &Self| (0..2).all(|k| piece_mm[k] * scale.factor() <= paper_mm[k]);
        let all = down.into_iter().chain(up);
        all.take_while(fits).last().unwrap_or(Self { paper: 1, piece: DOWN[0] })
    }

    /// mm on paper for 1 mm of the piece.
    pub fn factor(self) -> f64 {
        f64::from(self.paper) / f64::from(self.piece)
    }
}

impl std::fmt::Display for Scale {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}", self.paper, self.piece)
    }
}

/// A length to read others by.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// How long each of its parts is on the piece, mm.
    pub part_mm: f64,
    /// How many.
    pub parts: u32,
    /// What all of it is, with the unit.
    pub label: String,
}

/// About as long as a bar is on paper, mm.
const BAR_MM: f64 = 30.0;

impl Bar {
    /// A bar of a round length in the unit.
    pub fn of(scale: Scale, lengths: Lengths) -> Self {
        let (unit_mm, unit) = match lengths {
            Lengths::Millimetres => (1.0, "mm"),
            Lengths::Inches => (25.4, "in"),
        };
        let wanted = BAR_MM / scale.factor() / unit_mm;
        let power = 10f64.powf(wanted.log10().floor());
        let (digit, parts) = match wanted / power {
            d if d < 2.0 => (1.0, 5),
            d if d < 5.0 => (2.0, 4),
            _ => (5.0, 5),
        };
        let length = digit * power;
        let decimals = (-length.log10().floor()).max(0.0) as usize;
        Self {
            part_mm: length * unit_mm / f64::from(parts),
            parts,
            label: format!("{length:.decimals$} {unit}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_scale_that_fits_is_taken() {
        let scale = |mm: [f64; 2]| Scale::fitting(mm, [140.0, 60.0]).to_string();
        assert_eq!(scale([110.0, 31.0]), "1:1");
        assert_eq!(scale([70.0, 30.0]), "2:1");
        assert_eq!(scale([70.0, 31.0]), "1:1");
        assert_eq!(scale([141.0, 5.0]), "1:2");
        assert_eq!(scale([5.0, 1.0]), "20:1");
        assert_eq!(scale([1e9, 1.0]), "1:10000");
    }

    #[test]
    fn bars_are_round() {
        let bar = |mm: f64, lengths| Bar::of(Scale::fitting([mm, 1.0], [140.0, 60.0]), lengths);
        assert_eq!(bar(110.0, Lengths::Millimetres).label, "20 mm");
        assert_eq!(bar(70.0, Lengths::Millimetres).label, "10 mm");
        assert_eq!(bar(110.0, Lengths::Inches).label, "1 in");
        assert_eq!(bar(14.0, Lengths::Inches).label, "0.1 in");
        let one = bar(110.0, Lengths::Millimetres);
        assert_eq!((one.part_mm, one.parts), (5.0, 4));
    }
}
