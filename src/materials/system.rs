//! A casting system, as a data sheet describes it.

use super::{Parts, Shore, Sourced};
use rust_decimal::Decimal;

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
    /// What thickens it for the brush, where there is something.
    pub thickener: Option<Thickener>,
    /// What tints it, where there is something.
    pub pigment: Option<Pigment>,
    /// Names in weighing order, softener, thickener and pigment among them; empty for the order
    /// of `components`, then softener, thickener, pigment.
    pub weighing_order: Vec<String>,
    /// Viscosity of the fresh mix, mPa·s.
    pub viscosity_mpa_s: Option<Sourced<f64>>,
    /// How thick a coat stands on a steep wall.
    pub build: Build,
    /// How long things take.
    pub times: Times,
    /// Hardness without softener.
    pub hardness: Option<(Shore, Sourced<f64>)>,
    /// Linear shrinkage on curing, %.
    pub linear_shrinkage_percent: Option<Sourced<f64>>,
    /// How it is sold.
    pub packs: Vec<Pack>,
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
    /// From mixing until it has its final hardness.
    pub full_cure_minutes: Option<Sourced<f64>>,
    /// From mixing of a coat until the next layer may go on it; the gel time where not given.
    pub bond_from_minutes: Option<Sourced<f64>>,
    /// From mixing of a coat until the next layer no longer bonds to it by itself.
    pub bond_until_minutes: Option<Sourced<f64>>,
    /// The temperature that all these times hold at, °C.
    pub temperature_c: Option<Sourced<f64>>,
    /// The mass of mix that they hold for, g.
    pub mass_g: Option<Sourced<f64>>,
}

/// A powder or liquid that makes the mix stand on a wall.
#[derive(Debug, Clone, PartialEq)]
pub struct Thickener {
    /// As the tin says.
    pub name: String,
    /// Its density, g/cm³; of a powder that of its grains.
    pub density_g_cm3: Sourced<f64>,
    /// How much of it, % of the mass of the mix without additives.
    pub dose: Dosage,
    /// Air that the thickened mix holds, % of its volume.
    pub air_percent: Option<Sourced<f64>>,
}

/// What tints the mix, so that missed places show.
#[derive(Debug, Clone, PartialEq)]
pub struct Pigment {
    /// As the bottle says.
    pub name: String,
    /// Its density, g/cm³.
    pub density_g_cm3: Sourced<f64>,
    /// How much of it, % of the mass of the mix without additives.
    pub dose: Dosage,
    /// What a drop of it weighs, g.
    pub grams_per_drop: Option<Sourced<f64>>,
}

/// How much of an additive is taken, % of the mass of the mix without additives.
#[derive(Debug, Clone, PartialEq)]
pub struct Dosage {
    /// The usual amount.
    pub usual_percent: Sourced<f64>,
    /// The least that does something.
    pub least_percent: Option<Sourced<f64>>,
    /// The most that the mix bears.
    pub most_percent: Option<Sourced<f64>>,
}

/// How thick one coat stands on a steep wall without running, mm.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Build {
    /// As mixed.
    pub plain_mm: Option<Sourced<f64>>,
    /// Thickened with the usual amount.
    pub thickened_mm: Option<Sourced<f64>>,
}

/// One way that it is sold.
#[derive(Debug, Clone, PartialEq)]
pub struct Pack {
    /// What it is called: "kit of 1.8 kg".
    pub name: String,
    /// Grams of each component in it, by the components' names; a kit holds several.
    pub contents_g: Vec<(String, Sourced<f64>)>,
    /// What it costs; the currency is the user's.
    pub price: Option<Sourced<Decimal>>,
    /// How long an opened tin keeps, days.
    pub opened_life_days: Option<Sourced<f64>>,
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
    /// How many times as long gel, demould and cure take as without softener; 1 where not given.
    pub times_factor: Option<Sourced<f64>>,
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
    /// Polyurethane foam: expands in the mould.
    Foam,
    /// Gypsum plaster.
    Plaster,
    /// Resin hardened by light in a printer.
    PrintedResin,
    /// Modelling clay with sulphur in it.
    SulphurClay,
    /// Modelling clay without sulphur, wax.
    PlainClay,
    /// Natural rubber.
    Latex,
    /// Filament of a printer, other rigid plastics.
    RigidPlastic,
    /// Metal, glass, glazed ceramic.
    MetalOrGlass,
    /// Wood, cardboard, textile.
    WoodOrFibre,
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
