//! A system from TOML: what the file may hold, and what makes sense together.

use super::sourced::Quantity;
use super::{
    Build, By, Component, Densities, Family, HardnessPoint, Hazard, Parts, Shore, Softener,
    Sourced, System, Times,
};
use serde::Deserialize;
use std::ops::Range;
use toml::Spanned;

/// Why a system file can't be used, with the place.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, column {column}: {kind}")]
pub struct SystemError {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong and what was expected.
    pub kind: SystemErrorKind,
}

/// What is wrong with a system file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SystemErrorKind {
    /// It is no TOML, or a key or value is not one that a system has; says what was expected.
    #[error("{0}")]
    Toml(String),
    /// The id can't be typed.
    #[error("`{0}` is no id; expected lower-case letters, digits and `-`, such as `urethane-a5`")]
    Id(String),
    /// There is nothing to mix.
    #[error("no components; expected at least one `[[components]]` table")]
    NoComponents,
    /// Two components can't be told apart.
    #[error("two components are named `{0}`; expected a name of its own for each")]
    SameName(String),
    /// A component has no parts.
    #[error("component `{0}` has 0 parts; expected more")]
    NoParts(String),
    /// Grams can't be had from volumes.
    #[error("parts by volume need `density_g_cm3` of component `{0}`")]
    VolumeNeedsDensity(String),
    /// Nothing tells how dense the mix is.
    #[error(
        "the mix's density is unknown; expected `mixed_g_cm3` or `cured_g_cm3` under `[density]`, or `density_g_cm3` of every component"
    )]
    NoDensity,
    /// A foam without its density.
    #[error("a foam needs `moulded_g_cm3` under `[density]`")]
    FoamNeedsMouldedDensity,
    /// A moulded density where nothing expands.
    #[error("`moulded_g_cm3` is for family `foam` only; a rubber has `cured_g_cm3`")]
    MouldedDensityWithoutFoam,
    /// A foam's moulded density holds for its own ratio only.
    #[error("a foam takes no softener")]
    FoamWithSoftener,
    /// A hardness without a scale, or in two at once.
    #[error("expected one of `shore_a`, `shore_00`, `shore_d`")]
    OneScale,
    /// Softener points that don't rise in parts and fall in hardness.
    #[error(
        "softener points in one scale must rise in `parts` and not in hardness; the one with {0} parts doesn't"
    )]
    PointsOutOfOrder(Parts),
}

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

/// The parser's own error, with its place.
pub(super) fn of_toml(toml: &str, error: &toml::de::Error) -> SystemError {
    let start = error.span().map_or(0, |span| span.start);
    at(toml, start, SystemErrorKind::Toml(error.message().to_owned()))
}

fn at(toml: &str, byte: usize, kind: SystemErrorKind) -> SystemError {
    let before = toml.get(..byte).unwrap_or(toml);
    let line_start = before.rfind('\n').map_or(0, |i| i + 1);
    SystemError {
        line: before.matches('\n').count() + 1,
        column: before[line_start..].chars().count() + 1,
        kind,
    }
}

/// A system as its file spells it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SystemFile {
    id: Spanned<String>,
    title: String,
    family: Spanned<Family>,
    ratio: Spanned<By>,
    #[serde(default)]
    components: Vec<Spanned<ComponentFile>>,
    #[serde(default)]
    density: DensityFile,
    softener: Option<Spanned<SoftenerFile>>,
    #[serde(default)]
    times: TimesFile,
    hardness: Option<Spanned<ShoreFile>>,
    #[serde(default)]
    hazards: Vec<Hazard>,
    #[serde(default)]
    cautions: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ComponentFile {
    name: String,
    parts: Sourced<Parts>,
    density_g_cm3: Option<Sourced<Density>>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct DensityFile {
    mixed_g_cm3: Option<Sourced<Density>>,
    cured_g_cm3: Option<Sourced<Density>>,
    #[serde(alias = "molded_g_cm3")]
    moulded_g_cm3: Option<Spanned<Sourced<Density>>>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct TimesFile {
    working_minutes: Option<Sourced<Minutes>>,
    gel_minutes: Option<Sourced<Minutes>>,
    #[serde(alias = "demold_minutes")]
    demould_minutes: Option<Sourced<Minutes>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SoftenerFile {
    name: String,
    density_g_cm3: Sourced<Density>,
    #[serde(default)]
    points: Vec<Spanned<PointFile>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ShoreFile {
    shore_a: Option<Sourced<Reading>>,
    #[serde(alias = "shore_oo")]
    shore_00: Option<Sourced<Reading>>,
    shore_d: Option<Sourced<Reading>>,
}

// The scales stand here once more, since flattening would lose the refusal of unknown keys.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PointFile {
    parts: Sourced<Parts>,
    shore_a: Option<Sourced<Reading>>,
    #[serde(alias = "shore_oo")]
    shore_00: Option<Sourced<Reading>>,
    shore_d: Option<Sourced<Reading>>,
    #[serde(default)]
    tacky: bool,
}

/// g/cm³. From the lightest foam to the heaviest filler; a value in kg/m³ falls outside.
struct Density(f64);

impl Quantity for Density {
    const EXPECTED: &'static str = "a density from 0.005 to 25 g/cm³";
    fn from_number(number: f64) -> Option<Self> {
        (0.005..=25.0).contains(&number).then_some(Self(number))
    }
}

struct Minutes(f64);

impl Quantity for Minutes {
    const EXPECTED: &'static str = "minutes, more than 0 and at most 100000";
    fn from_number(number: f64) -> Option<Self> {
        (number > 0.0 && number <= 100_000.0).then_some(Self(number))
    }
}

/// A durometer's reading.
struct Reading(f64);

impl Quantity for Reading {
    const EXPECTED: &'static str = "a hardness from 0 to 100";
    fn from_number(number: f64) -> Option<Self> {
        (0.0..=100.0).contains(&number).then_some(Self(number))
    }
}

impl Quantity for Parts {
    const EXPECTED: &'static str = "parts such as 2, 1.5 or \"3/2\", at most 10000";
    fn from_number(number: f64) -> Option<Self> {
        Self::try_from(number).ok()
    }
    fn from_text(text: &str) -> Option<Self> {
        text.parse().ok()
    }
}

type Misfit = (Range<usize>, SystemErrorKind);

impl SystemFile {
    fn check(self) -> Result<System, Misfit> {
        check_id(&self.id)?;
        let foam = *self.family.get_ref() == Family::Foam;
        self.check_foam(foam)?;
        let by = *self.ratio.get_ref();
        let components = components(self.components, by, self.ratio.span())?;
        let densities = self.density.plain();
        let all_known = components.iter().all(|c| c.density_g_cm3.is_some());
        if !all_known && densities.mixed_g_cm3.is_none() && densities.cured_g_cm3.is_none() {
            return Err((self.ratio.span(), SystemErrorKind::NoDensity));
        }
        Ok(System {
            id: self.id.into_inner(),
            title: self.title,
            family: self.family.into_inner(),
            by,
            components,
            densities,
            softener: self.softener.map(|s| softener(s.into_inner())).transpose()?,
            thickener: None,
            pigment: None,
            weighing_order: Vec::new(),
            viscosity_mpa_s: None,
            build: Build::default(),
            linear_shrinkage_percent: None,
            packs: Vec::new(),
            times: self.times.plain(),
            hardness: self.hardness.map(hardness).transpose()?,
            hazards: self.hazards,
            cautions: self.cautions,
        })
    }

    fn check_foam(&self, foam: bool) -> Result<(), Misfit> {
        match (&self.density.moulded_g_cm3, &self.softener) {
            (None, _) if foam => {
                Err((self.family.span(), SystemErrorKind::FoamNeedsMouldedDensity))
            }
            (Some(moulded), _) if !foam => {
                Err((moulded.span(), SystemErrorKind::MouldedDensityWithoutFoam))
            }
            (_, Some(softener)) if foam => {
                Err((softener.span(), SystemErrorKind::FoamWithSoftener))
            }
            _ => Ok(()),
        }
    }
}

fn check_id(id: &Spanned<String>) -> Result<(), Misfit> {
    let text = id.get_ref();
    let typable = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if text.is_empty() || !text.chars().all(typable) {
        return Err((id.span(), SystemErrorKind::Id(text.clone())));
    }
    Ok(())
}

fn components(
    files: Vec<Spanned<ComponentFile>>,
    by: By,
    ratio: Range<usize>,
) -> Result<Vec<Component>, Misfit> {
    if files.is_empty() {
        return Err((ratio, SystemErrorKind::NoComponents));
    }
    let mut components: Vec<Component> = Vec::with_capacity(files.len());
    for file in files {
        let span = file.span();
        let ComponentFile { name, parts, density_g_cm3 } = file.into_inner();
        if components.iter().any(|c| c.name == name) {
            return Err((span, SystemErrorKind::SameName(name)));
        }
        if parts.value.is_zero() {
            return Err((span, SystemErrorKind::NoParts(name)));
        }
        if by == By::Volume && density_g_cm3.is_none() {
            return Err((span, SystemErrorKind::VolumeNeedsDensity(name)));
        }
        let density_g_cm3 = density_g_cm3.map(|d| d.map(|d| d.0));
        components.push(Component { name, parts, density_g_cm3 });
    }
    Ok(components)
}

impl DensityFile {
    fn plain(self) -> Densities {
        let plain = |density: Sourced<Density>| density.map(|d| d.0);
        Densities {
            mixed_g_cm3: self.mixed_g_cm3.map(plain),
            cured_g_cm3: self.cured_g_cm3.map(plain),
            moulded_g_cm3: self.moulded_g_cm3.map(|d| plain(d.into_inner())),
        }
    }
}

impl TimesFile {
    fn plain(self) -> Times {
        let plain = |time: Sourced<Minutes>| time.map(|t| t.0);
        Times {
            working_minutes: self.working_minutes.map(plain),
            gel_minutes: self.gel_minutes.map(plain),
            demould_minutes: self.demould_minutes.map(plain),
            ..Times::default()
        }
    }
}

fn hardness(file: Spanned<ShoreFile>) -> Result<(Shore, Sourced<f64>), Misfit> {
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
    Some((scale, reading.map(|r| r.0)))
}

fn softener(file: SoftenerFile) -> Result<Softener, Misfit> {
    let mut points: Vec<HardnessPoint> = Vec::with_capacity(file.points.len());
    for file in file.points {
        let span = file.span();
        let PointFile { parts, shore_a, shore_00, shore_d, tacky } = file.into_inner();
        let (scale, reading) = one_scale(shore_a, shore_00, shore_d)
            .ok_or((span.clone(), SystemErrorKind::OneScale))?;
        let before = points.iter().rev().find(|p| p.scale == scale);
        if before.is_some_and(|p| {
            p.parts.value.as_f64() >= parts.value.as_f64() || p.reading.value < reading.value
        }) {
            return Err((span, SystemErrorKind::PointsOutOfOrder(parts.value)));
        }
        points.push(HardnessPoint { parts, scale, reading, tacky, times_factor: None });
    }
    let density_g_cm3 = file.density_g_cm3.map(|d| d.0);
    Ok(Softener { name: file.name, density_g_cm3, points })
}
