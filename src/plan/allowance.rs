//! What is mixed beyond what stays in the mould, each thing counted once.

/// How much to allow for. All values are common practice without a source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Allowances {
    /// Film left on the wetted area of a cup by a plain mix, mm.
    pub film_plain_mm: f64,
    /// The same for a thickened mix, mm.
    pub film_thickened_mm: f64,
    /// Left in the brush, g per coat.
    pub brush_g: f64,
    /// Levelling of the cap over the opening, mm.
    pub levelling_mm: f64,
    /// Remainder of the skin, as a share of its net grams.
    pub skin_remainder: f64,
    /// Remainder of the core.
    pub core_remainder: f64,
    /// Remainder of the cap.
    pub cap_remainder: f64,
    /// The smallest batch that mixes well by hand, g.
    pub smallest_batch_g: f64,
}

impl Default for Allowances {
    fn default() -> Self {
        Self {
            film_plain_mm: 0.3,
            film_thickened_mm: 0.7,
            brush_g: 8.0,
            levelling_mm: 1.0,
            skin_remainder: 0.10,
            core_remainder: 0.04,
            cap_remainder: 0.04,
            smallest_batch_g: 30.0,
        }
    }
}

/// One line of what is allowed for.
#[derive(Debug, Clone, PartialEq)]
pub struct Allowance {
    /// What it is for.
    pub kind: AllowanceKind,
    /// How much, g.
    pub grams: f64,
    /// The rule it follows, in words: "0.7 mm on 58 cm² of cup".
    pub reason: String,
}

/// What an allowance is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AllowanceKind {
    /// The film left in the cup.
    CupFilm,
    /// What stays in the brush.
    Brush,
    /// Levelling of the cap.
    Levelling,
    /// A small remainder in per cent.
    Remainder,
}
