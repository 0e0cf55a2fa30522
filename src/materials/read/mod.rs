//! A system from TOML: what the file may hold, and what makes sense together.

mod density;
mod error;
mod mix_keys;
mod quantity;
mod work_keys;

pub(super) use error::of_toml;
pub use error::{SystemError, SystemErrorKind};

use super::{By, Family, Hazard, Pigment, Shore, Softener, Sourced, System, Thickener};
use error::{Misfit, at};
use mix_keys::{ComponentKeys, DensityKeys, PigmentKeys, ShoreKeys, SoftenerKeys, ThickenerKeys};
use quantity::{Given, ShrinkagePercent, Viscosity, plain};
use serde::Deserialize;
use toml::Spanned;
use work_keys::{BuildKeys, Names, PackKeys, TimesKeys};

impl System {
    /// Reads a system from the text of its TOML file.
    ///
    /// # Errors
    /// [`SystemError`] with line, column and what was expected.
    ///
    /// # Example
    /// ```
    /// use cavigram::materials::System;
    ///
    /// let system = System::from_toml(
    ///     r#"
    ///     id = "mine"
    ///     title = "Polyurethane, Shore A 10, 100:50 by weight"
    ///     family = "urethane"
    ///     ratio = "weight"
    ///     components = [{ name = "A", parts = 100 }, { name = "B", parts = 50 }]
    ///     density = { mixed_g_cm3 = 1.05 }
    ///     "#,
    /// )?;
    /// assert_eq!(system.components.len(), 2);
    /// # Ok::<(), cavigram::materials::SystemError>(())
    /// ```
    pub fn from_toml(toml: &str) -> Result<Self, SystemError> {
        let file: SystemFile = toml::from_str(toml).map_err(|e| of_toml(toml, &e))?;
        file.check().map_err(|(span, kind)| at(toml, span.start, kind))
    }
}

/// A system as its file spells it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SystemFile {
    id: Spanned<String>,
    title: Spanned<String>,
    family: Spanned<Family>,
    ratio: Spanned<By>,
    #[serde(default)]
    components: Vec<Spanned<ComponentKeys>>,
    #[serde(default)]
    density: DensityKeys,
    softener: Option<Spanned<SoftenerKeys>>,
    thickener: Option<Spanned<ThickenerKeys>>,
    pigment: Option<Spanned<PigmentKeys>>,
    weighing_order: Option<Spanned<Vec<Spanned<String>>>>,
    viscosity_mpa_s: Given<Viscosity>,
    #[serde(default)]
    build: BuildKeys,
    #[serde(default)]
    times: TimesKeys,
    hardness: Option<Spanned<ShoreKeys>>,
    linear_shrinkage_percent: Given<ShrinkagePercent>,
    #[serde(default)]
    packs: Vec<PackKeys>,
    #[serde(default)]
    hazards: Vec<Hazard>,
    #[serde(default)]
    cautions: Vec<String>,
}

/// What a system has beside its components, where it has it.
struct Additives {
    softener: Option<Softener>,
    thickener: Option<Thickener>,
    pigment: Option<Pigment>,
}

impl SystemFile {
    fn check(self) -> Result<System, Misfit> {
        check_id(&self.id)?;
        if self.title.get_ref().trim().is_empty() {
            return Err((self.title.span(), SystemErrorKind::Empty("title")));
        }
        self.check_foam(*self.family.get_ref() == Family::Foam)?;
        let by = *self.ratio.get_ref();
        let components = mix_keys::components(self.components, by, self.ratio.span())?;
        let densities = self.density.checked()?;
        let all_known = components.iter().all(|c| c.density_g_cm3.is_some());
        if !all_known && densities.mixed_g_cm3.is_none() && densities.cured_g_cm3.is_none() {
            return Err((self.ratio.span(), SystemErrorKind::NoDensity));
        }
        let mut names = Names {
            components: components.iter().map(|c| c.name.clone()).collect(),
            additives: Vec::new(),
        };
        let additives = additives(self.softener, self.thickener, self.pigment, &mut names)?;
        let hardness = hardness(self.hardness, additives.softener.as_ref())?;
        Ok(System {
            id: self.id.into_inner(),
            title: self.title.into_inner(),
            family: self.family.into_inner(),
            by,
            components,
            densities,
            softener: additives.softener,
            thickener: additives.thickener,
            pigment: additives.pigment,
            weighing_order: self
                .weighing_order
                .map(|order| names.order(order))
                .transpose()?
                .unwrap_or_default(),
            viscosity_mpa_s: plain(self.viscosity_mpa_s),
            build: self.build.checked()?,
            times: self.times.checked()?,
            hardness,
            linear_shrinkage_percent: plain(self.linear_shrinkage_percent),
            packs: names.packs(self.packs)?,
            hazards: self.hazards,
            cautions: self.cautions,
        })
    }

    fn check_foam(&self, foam: bool) -> Result<(), Misfit> {
        let moulded = self.density.moulded_span();
        if !foam {
            return match moulded {
                Some(span) => Err((span, SystemErrorKind::MouldedDensityWithoutFoam)),
                None => Ok(()),
            };
        }
        if moulded.is_none() {
            return Err((self.family.span(), SystemErrorKind::FoamNeedsMouldedDensity));
        }
        if let Some(softener) = &self.softener {
            return Err((softener.span(), SystemErrorKind::FoamWithSoftener));
        }
        match &self.thickener {
            Some(thickener) => Err((thickener.span(), SystemErrorKind::FoamWithThickener)),
            None => Ok(()),
        }
    }
}

/// Softener, thickener and pigment, whose names must tell them from all else that is weighed.
fn additives(
    softener: Option<Spanned<SoftenerKeys>>,
    thickener: Option<Spanned<ThickenerKeys>>,
    pigment: Option<Spanned<PigmentKeys>>,
    names: &mut Names,
) -> Result<Additives, Misfit> {
    let mut take = |name: &str, span: std::ops::Range<usize>| {
        if names.components.iter().chain(&names.additives).any(|known| known == name) {
            return Err((span, SystemErrorKind::SameName(name.to_owned())));
        }
        names.additives.push(name.to_owned());
        Ok(())
    };
    let mut found = Additives { softener: None, thickener: None, pigment: None };
    if let Some(file) = softener {
        let span = file.span();
        let softener = file.into_inner().checked()?;
        take(&softener.name, span)?;
        found.softener = Some(softener);
    }
    if let Some(file) = thickener {
        let span = file.span();
        let thickener = file.into_inner().checked()?;
        take(&thickener.name, span)?;
        found.thickener = Some(thickener);
    }
    if let Some(file) = pigment {
        let span = file.span();
        let pigment = file.into_inner().checked()?;
        take(&pigment.name, span)?;
        found.pigment = Some(pigment);
    }
    Ok(found)
}

/// The hardness without softener, which a softener's point of 0 parts must not contradict.
fn hardness(
    file: Option<Spanned<ShoreKeys>>,
    softener: Option<&Softener>,
) -> Result<Option<(Shore, Sourced<f64>)>, Misfit> {
    let Some(file) = file else { return Ok(None) };
    let span = file.span();
    let (scale, reading) = mix_keys::hardness(file)?;
    let mut points = softener.iter().flat_map(|softener| &softener.points);
    let contradicted = points
        .any(|p| p.parts.value.is_zero() && p.scale == scale && p.reading.value != reading.value);
    if contradicted {
        return Err((span, SystemErrorKind::TwoHardnesses));
    }
    Ok(Some((scale, reading)))
}

fn check_id(id: &Spanned<String>) -> Result<(), Misfit> {
    let text = id.get_ref();
    let typable = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if text.is_empty() || !text.chars().all(typable) {
        return Err((id.span(), SystemErrorKind::Id(text.clone())));
    }
    Ok(())
}
