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
    /// Lost beside the wall where a skin is sprayed, as a share of its net grams.
    pub overspray: f64,
    /// Poured beyond net and drained back where a skin is slushed, as a share of its net grams.
    pub slush_surplus: f64,
    /// A witness puck from each batch, cm³; 0 for none.
    pub puck_cm3: f64,
    /// The smallest batch that mixes well by hand, g.
    pub smallest_batch_g: f64,
    /// A component lighter than this is hard to measure: told, never raised, g.
    pub smallest_component_g: f64,
    /// The share of the smallest component of the ratio that half a step of the scale may be; a
    /// batch is raised until it holds.
    pub ratio_tolerance: f64,
}

impl Allowances {
    /// A disc 45 mm across and 8 mm high, cm³ (common practice, no source).
    pub const PUCK_CM3: f64 = PI / 4.0 * 4.5 * 4.5 * 0.8;

    /// Nothing beyond what stays in the mould, and batches as small as they come.
    pub const NONE: Self = Self {
        film_plain_mm: 0.0,
        film_thickened_mm: 0.0,
        brush_g: 0.0,
        levelling_mm: 0.0,
        skin_remainder: 0.0,
        core_remainder: 0.0,
        cap_remainder: 0.0,
        overspray: 0.0,
        slush_surplus: 0.0,
        puck_cm3: 0.0,
        smallest_batch_g: 0.0,
        smallest_component_g: 0.0,
        // Half a step of a component that is half a step: no batch is raised for it.
        ratio_tolerance: 1.0,
    };
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
            overspray: 0.30,
            slush_surplus: 0.50,
            puck_cm3: 0.0,
            smallest_batch_g: 30.0,
            smallest_component_g: 5.0,
            ratio_tolerance: 0.02,
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
    /// Sprayed past the wall.
    Overspray,
    /// Drained back after slushing.
    DrainedBack,
    /// Poured into discs that show cure and hardness.
    WitnessPuck,
    /// Left in the gate of a two-part mould and the tube to it.
    Gate,
}

impl AllowanceKind {
    /// What a sheet calls it.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::CupFilm => "film in the cup",
            Self::Brush => "brush",
            Self::Levelling => "levelling",
            Self::Remainder => "remainder",
            Self::Overspray => "overspray",
            Self::DrainedBack => "drained back",
            Self::WitnessPuck => "witness puck",
            Self::Gate => "gate and tube",
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

/// Wall and floor that a batch wets in a cup of this brim-full volume, mm².
///
/// Assumptions: the cup is as high as it is wide, and stirring wets no more than the batch stands
/// high, but never more than the cup.
pub fn wetted_in_cup_mm2(batch_mm3: f64, cup_mm3: f64) -> f64 {
    let width_mm = (4.0 * cup_mm3 / PI).cbrt();
    let height_mm = batch_mm3 / (PI / 4.0 * width_mm * width_mm);
    wetted_area_mm2(width_mm, height_mm.min(width_mm))
}

/// Wall and floor of a round cup `width_mm` across, wetted `height_mm` high, mm².
pub fn wetted_area_mm2(width_mm: f64, height_mm: f64) -> f64 {
    PI * width_mm * height_mm + PI / 4.0 * width_mm * width_mm
}

/// What one mix is for, as far as allowances and batches ask.
#[derive(Debug, Clone, Copy)]
pub(super) struct Purpose {
    /// What stays in the moulds, g.
    pub net_g: f64,
    /// Of the liquid mix, g/cm³.
    pub liquid_g_cm3: f64,
    /// Of what fills the mould, g/cm³.
    pub filled_g_cm3: f64,
    /// The mix is thickened.
    pub thickened: bool,
    /// How it gets to its place.
    pub laid: Laid,
    /// The opening that it is levelled over, mm²; 0 where it is not.
    pub levelled_mm2: f64,
    /// Gates and tubes that it is poured through, mm³.
    pub gate_mm3: f64,
    /// Share of the net grams that remains for no one reason.
    pub remainder: f64,
    /// How long it can be worked, min, where known.
    pub working_minutes: Option<f64>,
    /// A silicone rises higher in vacuum.
    pub silicone: bool,
    /// The first casting in a new mould.
    pub first_casting: bool,
}

/// How a mix gets to its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Laid {
    /// Brushed on so much wall, mm², at so many cm²/min.
    Brushed { area_mm2: f64, cm2_per_minute: f64 },
    /// Sprayed on it likewise.
    Sprayed { area_mm2: f64, cm2_per_minute: f64 },
    /// Poured in, turned round and drained.
    Slushed,
    /// Poured in.
    Poured,
    /// Poured in at once, to expand.
    Foamed,
}

impl Allowances {
    /// The lines for one mix in so many equal batches. The film is that of a cup for all the rest
    /// of the batch; its own volume is too small to change the cup.
    ///
    /// `cup_cm3` tells the brim-full volume of the cup that so many cm³ of a batch are mixed in,
    /// where the workshop named its cups.
    pub(super) fn lines(
        &self,
        mix: &Purpose,
        batches: u32,
        cup_cm3: impl Fn(f64) -> Option<f64>,
    ) -> Vec<Allowance> {
        let mut lines = Vec::new();
        let twice = if mix.first_casting { 2.0 } else { 1.0 };
        let mut lost = |kind, grams: f64, reason: String| {
            let reason = if mix.first_casting { format!("{reason}, doubled") } else { reason };
            lines.push(Allowance { kind, grams: twice * grams, reason });
        };
        let percent = |share: f64| {
            // Rounded so that 0.07 × 100 doesn't print as 7.000000000000001.
            format!("{} % of net", (share * 1e6).round() / 1e4)
        };
        match mix.laid {
            Laid::Brushed { .. } => {
                lost(AllowanceKind::Brush, self.brush_g, format!("{} g a coat", self.brush_g));
            }
            Laid::Sprayed { .. } => {
                lost(AllowanceKind::Overspray, self.overspray * mix.net_g, percent(self.overspray))
            }
            Laid::Slushed => lost(
                AllowanceKind::DrainedBack,
                self.slush_surplus * mix.net_g,
                percent(self.slush_surplus),
            ),
            Laid::Poured | Laid::Foamed => {}
        }
        lost(AllowanceKind::Remainder, mix.remainder * mix.net_g, percent(mix.remainder));
        lines.extend(self.levelling(mix));
        lines.extend(gate(mix));
        lines.extend(self.puck(mix, batches));
        let rest_g = mix.net_g + lines.iter().map(|line| line.grams).sum::<f64>();
        let batch_mm3 = rest_g / f64::from(batches) / mix.liquid_g_cm3 * 1000.0;
        let area_mm2 = match cup_cm3(batch_mm3 / 1000.0) {
            Some(cup_cm3) => wetted_in_cup_mm2(batch_mm3, cup_cm3 * 1000.0),
            None => wetted_cup_area_mm2(batch_mm3),
        };
        lines.push(self.film(mix, area_mm2, batches));
        lines.retain(|line| line.grams > 0.0);
        lines
    }

    fn levelling(&self, mix: &Purpose) -> Option<Allowance> {
        (mix.levelled_mm2 > 0.0).then(|| Allowance {
            kind: AllowanceKind::Levelling,
            grams: mix.levelled_mm2 * self.levelling_mm / 1000.0 * mix.filled_g_cm3,
            reason: format!(
                "{} mm on {:.1} cm² of opening",
                self.levelling_mm,
                mix.levelled_mm2 / 100.0
            ),
        })
    }

    /// A foam's puck would tell nothing: it rises as it likes.
    fn puck(&self, mix: &Purpose, batches: u32) -> Option<Allowance> {
        (self.puck_cm3 > 0.0 && mix.laid != Laid::Foamed).then(|| Allowance {
            kind: AllowanceKind::WitnessPuck,
            grams: f64::from(batches) * self.puck_cm3 * mix.liquid_g_cm3,
            reason: format!("{:.1} cm³ a batch", self.puck_cm3),
        })
    }

    fn film(&self, mix: &Purpose, area_mm2: f64, batches: u32) -> Allowance {
        let film_mm = if mix.thickened { self.film_thickened_mm } else { self.film_plain_mm };
        let count = f64::from(batches);
        let cups = if batches > 1 { format!("each of {batches} cups") } else { "cup".to_owned() };
        let of = if batches > 1 { "in" } else { "of" };
        let (twice, doubled) = if mix.first_casting { (2.0, ", doubled") } else { (1.0, "") };
        Allowance {
            kind: AllowanceKind::CupFilm,
            grams: twice * count * film_mm * area_mm2 / 1000.0 * mix.liquid_g_cm3,
            reason: format!("{film_mm} mm on {:.0} cm² {of} {cups}{doubled}", area_mm2 / 100.0),
        }
    }
}

fn gate(mix: &Purpose) -> Option<Allowance> {
    let cm3 = mix.gate_mm3 / 1000.0;
    (cm3 > 0.0).then(|| Allowance {
        kind: AllowanceKind::Gate,
        grams: cm3 * mix.filled_g_cm3,
        reason: format!("{cm3:.1} cm³"),
    })
}
