//! A casting system, as a data sheet describes it.

use super::{Parts, Shore, Sourced};

/// A casting material: its components, mix ratio, densities, times, hardness and hazards.
///
/// Made from TOML by [`System::from_toml`] or taken from the built-in ones by
/// [`builtin`](super::builtin).
#[derive(Debug, Clone, PartialEq)]
pub struct System {
    /// Short name to type, such as `urethane-a5`.
    pub id: String,
    /// What it is, in words: "Polyurethane, Shore A 5, 1:1 by weight".
    pub title: String,
    /// What it is chemically; decides what bonds and what inhibits.
    pub family: Family,
    /// Whether parts are told by weight or by volume.
    pub by: By,
    /// What is mixed, in weighing order; at least one.
    pub components: Vec<Component>,
    /// Densities of the whole, where the sheet gives them.
    pub densities: Densities,
    /// The component that softens, where there is one.
    pub softener: Option<Softener>,
    /// How long things take.
    pub times: Times,
    /// Hardness without softener.
    pub hardness: Option<(Shore, Sourced<f64>)>,
    /// What to beware of; the cautions follow from it.
    pub hazards: Vec<Hazard>,
    /// Further cautions in words.
    pub cautions: Vec<String>,
}

/// One component of a system.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// As the tin says: "A", "B", "base".
    pub name: String,
    /// Its parts in the ratio.
    pub parts: Sourced<Parts>,
    /// Its density, g/cm³; needed by volume, or when the sheet gives no density of the mix.
    pub density_g_cm3: Option<Sourced<f64>>,
}

/// Densities of the mixed material, g/cm³.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Densities {
    /// The liquid mix, as poured.
    pub mixed_g_cm3: Option<Sourced<f64>>,
    /// The cured rubber.
    pub cured_g_cm3: Option<Sourced<f64>>,
    /// A foam as it stands in the mould after expanding; makes the system a foam.
    pub moulded_g_cm3: Option<Sourced<f64>>,
}

/// How long things take, in minutes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Times {
    /// From mixing until it no longer pours or brushes well.
    pub working_minutes: Option<Sourced<f64>>,
    /// From mixing until it no longer flows.
    pub gel_minutes: Option<Sourced<f64>>,
    /// From mixing until the piece may leave the mould.
    pub demould_minutes: Option<Sourced<f64>>,
}

/// A component that makes the rubber softer the more of it there is.
#[derive(Debug, Clone, PartialEq)]
pub struct Softener {
    /// As the tin says.
    pub name: String,
    /// Its density, g/cm³.
    pub density_g_cm3: Sourced<f64>,
    /// Measured hardness by parts of softener, in rising order of parts.
    pub points: Vec<HardnessPoint>,
}

/// Hardness measured with so much softener.
#[derive(Debug, Clone, PartialEq)]
pub struct HardnessPoint {
    /// Parts of softener, in the unit of the system's own parts.
    pub parts: Sourced<Parts>,
    /// The scale it was measured in.
    pub scale: Shore,
    /// The reading.
    pub reading: Sourced<f64>,
    /// The surface stays tacky.
    pub tacky: bool,
}

/// How parts are measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum By {
    /// On a scale.
    Weight,
    /// In a measuring cup; turned into grams through the components' densities.
    Volume,
}

/// What a system is chemically.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// Polyurethane rubber.
    Urethane,
    /// Platinum-cure silicone.
    AdditionCureSilicone,
    /// Tin-cure silicone.
    CondensationCureSilicone,
    /// A material that expands in the mould.
    Foam,
}

/// What to beware of while mixing and pouring.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hazard {
    /// A component holds isocyanates.
    Isocyanate,
    /// Powders that float: fumed silica, fillers.
    Dust,
    /// Solvent, or a flammable release spray.
    Solvent,
    /// A hardener that irritates, such as a tin catalyst.
    IrritantHardener,
    /// Large leftovers heat up by themselves.
    Exotherm,
    /// Gas is set free and presses on the mould.
    Expansion,
    /// The cure is easily inhibited by what it touches.
    CureInhibition,
    /// Warmth to cure.
    Heat,
    /// Degassing under vacuum.
    Vacuum,
    /// Curing under pressure.
    Pressure,
}
