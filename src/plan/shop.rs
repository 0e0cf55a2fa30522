//! What a workshop has and how it works: scale, cups, rates.

use super::Allowances;

/// A workshop's habits and tools. All defaults are common practice without a source.
#[derive(Debug, Clone, PartialEq)]
pub struct Shop {
    /// What is mixed beyond what stays in the mould.
    pub allowances: Allowances,
    /// The scale's step, g.
    pub scale_step_g: f64,
    /// Brim-full volume of the cups at hand, cm³; empty for cups of any size.
    pub cups_cm3: Vec<f64>,
    /// How full a cup may be for stirring, 0 to 1.
    pub cup_fill: f64,
    /// How full a cup may be where it is degassed, 0 to 1.
    pub cup_fill_vacuum: f64,
    /// How full a cup of silicone, which rises higher, may be where it is degassed, 0 to 1.
    pub cup_fill_vacuum_silicone: f64,
    /// The mix is degassed under vacuum.
    pub vacuum: bool,
    /// How fast people and tools are.
    pub pace: Pace,
    /// Temperature of the room, °C; `None` for that of the data sheets.
    pub room_c: Option<f64>,
}

/// How fast the work goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pace {
    /// Brushing a print coat, cm²/min.
    pub print_cm2_per_minute: f64,
    /// Brushing a build coat, cm²/min.
    pub build_cm2_per_minute: f64,
    /// Spraying a coat, cm²/min.
    pub spray_cm2_per_minute: f64,
    /// Pouring, g/min.
    pub pour_g_per_minute: f64,
    /// Mixing up to 1 kg, min.
    pub mixing_minutes: f64,
    /// Mixing more than 1 kg, min.
    pub mixing_large_minutes: f64,
    /// Mixing a foam, which rises at once, min.
    pub mixing_foam_minutes: f64,
    /// Degassing, min; counted where the shop degasses.
    pub degassing_minutes: f64,
    /// Share of the working time kept in reserve, 0 to 1.
    pub reserve: f64,
    /// Drying of the release agent before the first coat, min.
    pub release_minutes: f64,
}

impl Shop {
    /// The scale's step where none is named, g.
    pub const SCALE_STEP_G: f64 = 0.1;
}

impl Default for Shop {
    /// Source: common practice, no source.
    fn default() -> Self {
        Self {
            allowances: Allowances::default(),
            scale_step_g: Self::SCALE_STEP_G,
            cups_cm3: Vec::new(),
            cup_fill: 2.0 / 3.0,
            cup_fill_vacuum: 1.0 / 3.0,
            cup_fill_vacuum_silicone: 0.25,
            vacuum: false,
            pace: Pace::default(),
            room_c: None,
        }
    }
}

impl Default for Pace {
    /// Source: common practice, no source.
    fn default() -> Self {
        Self {
            print_cm2_per_minute: 50.0,
            build_cm2_per_minute: 80.0,
            spray_cm2_per_minute: 400.0,
            pour_g_per_minute: 200.0,
            mixing_minutes: 3.0,
            mixing_large_minutes: 5.0,
            mixing_foam_minutes: 0.25,
            degassing_minutes: 4.0,
            reserve: 0.20,
            release_minutes: 15.0,
        }
    }
}
