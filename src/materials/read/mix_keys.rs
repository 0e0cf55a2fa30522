//! What is mixed, as a file spells it: components, softener, thickener, pigment, densities.

use super::density::Spelled;
use super::error::{Misfit, SystemErrorKind};
use super::quantity::{
    AirPercent, Density, DosePercent, DropGrams, Factor, Given, Reading, SpecificGravity,
    SpecificVolume, plain,
};
use crate::materials::{
    By, Component, Densities, Dosage, HardnessPoint, Parts, Pigment, Shore, Softener, Sourced,
    Thickener,
};
use serde::Deserialize;
use std::ops::Range;
use toml::Spanned;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ComponentKeys {
    name: String,
    parts: Sourced<Parts>,
    density_g_cm3: Given<Density>,
    specific_gravity: Given<SpecificGravity>,
    specific_volume_in3_lb: Given<SpecificVolume>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub(super) struct DensityKeys {
    mixed_g_cm3: Given<Density>,
    mixed_specific_gravity: Given<SpecificGravity>,
    mixed_specific_volume_in3_lb: Given<SpecificVolume>,
    cured_g_cm3: Given<Density>,
    cured_specific_gravity: Given<SpecificGravity>,
    cured_specific_volume_in3_lb: Given<SpecificVolume>,
    #[serde(alias = "molded_g_cm3")]
    moulded_g_cm3: Given<Density>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SoftenerKeys {
    name: Spanned<String>,
    density_g_cm3: Given<Density>,
    specific_gravity: Given<SpecificGravity>,
    specific_volume_in3_lb: Given<SpecificVolume>,
    #[serde(default)]
    points: Vec<Spanned<PointKeys>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ShoreKeys {
    shore_a: Option<Sourced<Reading>>,
    #[serde(alias = "shore_oo")]
    shore_00: Option<Sourced<Reading>>,
    shore_d: Option<Sourced<Reading>>,
}

// The scales stand here once more, since flattening would lose the refusal of unknown keys.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PointKeys {
    parts: Sourced<Parts>,
    shore_a: Option<Sourced<Reading>>,
    #[serde(alias = "shore_oo")]
    shore_00: Option<Sourced<Reading>>,
    shore_d: Option<Sourced<Reading>>,
    #[serde(default)]
    tacky: bool,
    times_factor: Given<Factor>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ThickenerKeys {
    name: Spanned<String>,
    density_g_cm3: Given<Density>,
    specific_gravity: Given<SpecificGravity>,
    specific_volume_in3_lb: Given<SpecificVolume>,
    usual_percent: Spanned<Sourced<DosePercent>>,
    least_percent: Given<DosePercent>,
    most_percent: Given<DosePercent>,
    air_percent: Given<AirPercent>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PigmentKeys {
    name: Spanned<String>,
    density_g_cm3: Given<Density>,
    specific_gravity: Given<SpecificGravity>,
    specific_volume_in3_lb: Given<SpecificVolume>,
    usual_percent: Spanned<Sourced<DosePercent>>,
    least_percent: Given<DosePercent>,
    most_percent: Given<DosePercent>,
    #[serde(alias = "drop_g")]
    grams_per_drop: Given<DropGrams>,
}

/// The components, each checked by itself and against those before it.
pub(super) fn components(
    files: Vec<Spanned<ComponentKeys>>,
    by: By,
    ratio: Range<usize>,
) -> Result<Vec<Component>, Misfit> {
    if files.is_empty() {
        return Err((ratio, SystemErrorKind::NoComponents));
    }
    let mut components: Vec<Component> = Vec::with_capacity(files.len());
    for file in files {
        let span = file.span();
        let keys = file.into_inner();
        let (name, parts) = (keys.name, keys.parts);
        check_name(&name, &span)?;
        if components.iter().any(|c| c.name == name) {
            return Err((span, SystemErrorKind::SameName(name)));
        }
        if parts.value.is_zero() {
            return Err((span, SystemErrorKind::NoParts(name)));
        }
        let density_g_cm3 = Spelled {
            g_cm3: keys.density_g_cm3,
            gravity: keys.specific_gravity,
            in3_lb: keys.specific_volume_in3_lb,
        }
        .only()?;
        if by == By::Volume && density_g_cm3.is_none() {
            return Err((span, SystemErrorKind::VolumeNeedsDensity(name)));
        }
        components.push(Component { name, parts, density_g_cm3 });
    }
    Ok(components)
}

impl DensityKeys {
    /// Where the moulded density stands, if it is given.
    pub fn moulded_span(&self) -> Option<Range<usize>> {
        self.moulded_g_cm3.as_ref().map(Spanned::span)
    }

    /// The densities in g/cm³.
    pub fn checked(self) -> Result<Densities, Misfit> {
        let mixed = Spelled {
            g_cm3: self.mixed_g_cm3,
            gravity: self.mixed_specific_gravity,
            in3_lb: self.mixed_specific_volume_in3_lb,
        };
        let cured = Spelled {
            g_cm3: self.cured_g_cm3,
            gravity: self.cured_specific_gravity,
            in3_lb: self.cured_specific_volume_in3_lb,
        };
        Ok(Densities {
            mixed_g_cm3: mixed.only()?,
            cured_g_cm3: cured.only()?,
            moulded_g_cm3: plain(self.moulded_g_cm3),
        })
    }
}

impl SoftenerKeys {
    /// The softener, its points in order.
    pub fn checked(self) -> Result<Softener, Misfit> {
        let density = Spelled {
            g_cm3: self.density_g_cm3,
            gravity: self.specific_gravity,
            in3_lb: self.specific_volume_in3_lb,
        };
        let (name, density_g_cm3) = named(self.name, density)?;
        Ok(Softener { name, density_g_cm3, points: points(self.points)? })
    }
}

fn points(files: Vec<Spanned<PointKeys>>) -> Result<Vec<HardnessPoint>, Misfit> {
    let mut points: Vec<HardnessPoint> = Vec::with_capacity(files.len());
    for file in files {
        let span = file.span();
        let PointKeys { parts, shore_a, shore_00, shore_d, tacky, times_factor } =
            file.into_inner();
        let (scale, reading) = one_scale(shore_a, shore_00, shore_d)
            .ok_or((span.clone(), SystemErrorKind::OneScale))?;
        let before = points.iter().rev().find(|p| p.scale == scale);
        if before.is_some_and(|p| {
            p.parts.value.as_f64() >= parts.value.as_f64() || p.reading.value < reading.value
        }) {
            return Err((span, SystemErrorKind::PointsOutOfOrder(parts.value)));
        }
        let times_factor = plain(times_factor);
        points.push(HardnessPoint { parts, scale, reading, tacky, times_factor });
    }
    Ok(points)
}

impl ThickenerKeys {
    /// The thickener, its dose in order.
    pub fn checked(self) -> Result<Thickener, Misfit> {
        let density = Spelled {
            g_cm3: self.density_g_cm3,
            gravity: self.specific_gravity,
            in3_lb: self.specific_volume_in3_lb,
        };
        let (name, density_g_cm3) = named(self.name, density)?;
        let dose = dosage(self.usual_percent, self.least_percent, self.most_percent)?;
        Ok(Thickener { name, density_g_cm3, dose, air_percent: plain(self.air_percent) })
    }
}

impl PigmentKeys {
    /// The pigment, its dose in order.
    pub fn checked(self) -> Result<Pigment, Misfit> {
        let density = Spelled {
            g_cm3: self.density_g_cm3,
            gravity: self.specific_gravity,
            in3_lb: self.specific_volume_in3_lb,
        };
        let (name, density_g_cm3) = named(self.name, density)?;
        let dose = dosage(self.usual_percent, self.least_percent, self.most_percent)?;
        Ok(Pigment { name, density_g_cm3, dose, grams_per_drop: plain(self.grams_per_drop) })
    }
}

/// An additive's name with the density that it must have.
fn named(name: Spanned<String>, density: Spelled) -> Result<(String, Sourced<f64>), Misfit> {
    let span = name.span();
    let name = name.into_inner();
    check_name(&name, &span)?;
    match density.only()? {
        Some(density) => Ok((name, density)),
        None => Err((span, SystemErrorKind::MissingDensity(name))),
    }
}

fn check_name(name: &str, span: &Range<usize>) -> Result<(), Misfit> {
    if name.trim().is_empty() {
        return Err((span.clone(), SystemErrorKind::Empty("name")));
    }
    Ok(())
}

fn dosage(
    usual: Spanned<Sourced<DosePercent>>,
    least: Given<DosePercent>,
    most: Given<DosePercent>,
) -> Result<Dosage, Misfit> {
    let span = usual.span();
    let usual_percent: Sourced<f64> = usual.into_inner().map(Into::into);
    let (least_percent, most_percent) = (plain(least), plain(most));
    let out_of_order = |less, more| Err((span.clone(), SystemErrorKind::OutOfOrder { less, more }));
    if least_percent.as_ref().is_some_and(|least| least.value > usual_percent.value) {
        return out_of_order("least_percent", "usual_percent");
    }
    if most_percent.as_ref().is_some_and(|most| most.value < usual_percent.value) {
        return out_of_order("usual_percent", "most_percent");
    }
    Ok(Dosage { usual_percent, least_percent, most_percent })
}

/// A hardness in the one scale that it is given in.
pub(super) fn hardness(file: Spanned<ShoreKeys>) -> Result<(Shore, Sourced<f64>), Misfit> {
    let span = file.span();
    let file = file.into_inner();
    one_scale(file.shore_a, file.shore_00, file.shore_d).ok_or((span, SystemErrorKind::OneScale))
}

fn one_scale(
    a: Option<Sourced<Reading>>,
    oo: Option<Sourced<Reading>>,
    d: Option<Sourced<Reading>>,
) -> Option<(Shore, Sourced<f64>)> {
    let (scale, reading) = match (a, oo, d) {
        (Some(a), None, None) => (Shore::A, a),
        (None, Some(oo), None) => (Shore::OO, oo),
        (None, None, Some(d)) => (Shore::D, d),
        _ => return None,
    };
    Some((scale, reading.map(Into::into)))
}
