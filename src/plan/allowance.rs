//! What is mixed beyond what stays in the mould, each thing counted once.

use std::f64::consts::PI;

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

impl AllowanceKind {
    /// What a sheet calls it.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::CupFilm => "film in the cup",
            Self::Brush => "brush",
            Self::Levelling => "levelling",
            Self::Remainder => "remainder",
        }
    }
}

/// Wall and floor of a cup that a batch wets, mm².
///
/// Assumptions: a cup of just the size, filled as high as it is wide: v = π/4·d³, so
/// d = (4v/π)^(1/3) and the area is π·d² of wall and π/4·d² of floor.
pub fn wetted_cup_area_mm2(batch_mm3: f64) -> f64 {
    let width_mm = (4.0 * batch_mm3 / PI).cbrt();
    wetted_area_mm2(width_mm, width_mm)
}

/// Wall and floor of a round cup `width_mm` across, wetted `height_mm` high, mm².
pub fn wetted_area_mm2(width_mm: f64, height_mm: f64) -> f64 {
    PI * width_mm * height_mm + PI / 4.0 * width_mm * width_mm
}

/// What one mix is for, as far as the allowances ask.
pub(super) struct Purpose {
    /// What stays in the mould, g.
    pub net_g: f64,
    /// Of the liquid mix, g/cm³.
    pub liquid_g_cm3: f64,
    /// Of what fills the mould, g/cm³.
    pub filled_g_cm3: f64,
    /// The mix is thickened.
    pub thickened: bool,
    /// It is brushed.
    pub brushed: bool,
    /// The opening that it is levelled over, mm²; 0 where it is not.
    pub levelled_mm2: f64,
    /// Share of the net grams that remains for no one reason.
    pub remainder: f64,
}

impl Allowances {
    /// The lines for one mix. The film is that of a cup for all the rest of the mix; its own
    /// volume is too small to change the cup.
    pub(super) fn lines(&self, mix: &Purpose) -> Vec<Allowance> {
        let mut lines = Vec::new();
        if mix.brushed {
            lines.push(Allowance {
                kind: AllowanceKind::Brush,
                grams: self.brush_g,
                reason: format!("{} g a coat", self.brush_g),
            });
        }
        if mix.levelled_mm2 > 0.0 {
            lines.push(Allowance {
                kind: AllowanceKind::Levelling,
                grams: mix.levelled_mm2 * self.levelling_mm / 1000.0 * mix.filled_g_cm3,
                reason: format!(
                    "{} mm on {:.1} cm² of opening",
                    self.levelling_mm,
                    mix.levelled_mm2 / 100.0
                ),
            });
        }
        lines.push(Allowance {
            kind: AllowanceKind::Remainder,
            grams: mix.remainder * mix.net_g,
            // Rounded so that 0.07 × 100 doesn't print as 7.000000000000001.
            reason: format!("{} % of net", (mix.remainder * 1e6).round() / 1e4),
        });
        let rest_g = mix.net_g + lines.iter().map(|line| line.grams).sum::<f64>();
        lines.push(self.film(mix, rest_g));
        lines.retain(|line| line.grams > 0.0);
        lines
    }

    fn film(&self, mix: &Purpose, rest_g: f64) -> Allowance {
        let film_mm = if mix.thickened { self.film_thickened_mm } else { self.film_plain_mm };
        let area_mm2 = wetted_cup_area_mm2(rest_g / mix.liquid_g_cm3 * 1000.0);
        Allowance {
            kind: AllowanceKind::CupFilm,
            grams: film_mm * area_mm2 / 1000.0 * mix.liquid_g_cm3,
            reason: format!("{film_mm} mm on {:.0} cm² of cup", area_mm2 / 100.0),
        }
    }
}
