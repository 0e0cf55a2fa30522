//! What is weighed together for one pour.

use super::parts::gcd;
use super::{By, Parts, System};

/// A system with its softener and additives: what goes into one cup, and how dense it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Mix {
    /// In weighing order: the system's own, else components, softener, thickener, pigment.
    pub parts: Vec<MixPart>,
    /// How the parts are told.
    pub by: By,
    /// The liquid mix with the air that it holds, g/cm³.
    pub density_g_cm3: f64,
    /// Where that density comes from.
    pub basis: DensityBasis,
    /// Air that the mix holds, % of its volume; 0 unless it is thickened.
    pub air_percent: f64,
    /// The cured piece, g/cm³: by the sheet's cured density where it gives one, else as dense as
    /// what was filled.
    pub cured_density_g_cm3: f64,
    /// What a filled cm³ of the mould weighs, g/cm³: the foam's moulded density, else the mix's.
    pub filled_density_g_cm3: f64,
    /// The masses of components and softener, in weighing order, as the smallest whole numbers
    /// that stand in their ratio, such as 1, 1, 2, where it has such numbers of moderate size.
    pub mass_ratio: Option<Vec<u64>>,
}

/// What is stirred in beside components and softener, % of the mass of the mix without it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Additives {
    /// Thickener; 0 for none.
    pub thickener_percent: f64,
    /// Pigment; 0 for none.
    pub pigment_percent: f64,
}

/// What something in a mix is there for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// A component of the system.
    Component,
    /// The softener, a further component of the ratio.
    Softener,
    /// Makes the mix stand on a wall.
    Thickener,
    /// Tints it.
    Pigment,
}

impl Role {
    /// Not bound by the ratio: thickener and pigment.
    pub const fn is_additive(self) -> bool {
        matches!(self, Self::Thickener | Self::Pigment)
    }

    /// The word used in JSON.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Component => "component",
            Self::Softener => "softener",
            Self::Thickener => "thickener",
            Self::Pigment => "pigment",
        }
    }
}

/// One component of a mix.
#[derive(Debug, Clone, PartialEq)]
pub struct MixPart {
    /// As the tin says.
    pub name: String,
    /// What it is there for.
    pub role: Role,
    /// Its parts, by weight or volume as the mix says; of an additive by weight, to four decimals:
    /// grams to as many grams (or cm³) of the others as they have parts.
    pub parts: Parts,
    /// Its share of the mix's mass, 0 to 1.
    pub mass_share: f64,
    /// Its density, g/cm³, where known.
    pub density_g_cm3: Option<f64>,
    /// What a drop of it weighs, g, where known.
    pub grams_per_drop: Option<f64>,
}

/// Where a mix's density comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DensityBasis {
    /// The data sheet's density of the liquid mix.
    Mixed,
    /// The data sheet's density of the cured rubber.
    Cured,
    /// Total mass over the sum of mass/density of the components.
    Components,
}

/// Why a mix can't be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MixError {
    /// Softener was asked for and the system has none.
    #[error("system `{system}` has no softener")]
    NoSoftener {
        /// Its id.
        system: String,
    },
    /// Thickener was asked for and the system has none.
    #[error("system `{system}` has no thickener")]
    NoThickener {
        /// Its id.
        system: String,
    },
    /// Pigment was asked for and the system has none.
    #[error("system `{system}` has no pigment")]
    NoPigment {
        /// Its id.
        system: String,
    },
    /// More additive than mix, less than none, or no number.
    #[error("{what}: expected 0 % to 100 % of the mix without it")]
    AdditiveOutOfRange {
        /// `thickener` or `pigment`.
        what: &'static str,
    },
    /// Densities are missing, zero or not finite.
    #[error("system `{system}` gives no density to tell grams from")]
    NoDensity {
        /// Its id.
        system: String,
    },
    /// The system has no components.
    #[error("system `{system}` has nothing to mix")]
    Empty {
        /// Its id.
        system: String,
    },
}

impl MixError {
    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::NoSoftener { .. } => "take 0 parts of softener, or a system that has one",
            Self::NoThickener { .. } => "leave the thickener out, or take a system that has one",
            Self::NoPigment { .. } => "leave the pigment out, or take a system that has one",
            Self::AdditiveOutOfRange { .. } => "take what the data sheet gives",
            Self::NoDensity { .. } => {
                "give the density of the mix or of every component, as the data sheet has it"
            }
            Self::Empty { .. } => "give the system its components with their parts",
        }
    }
}

/// What goes into the cup, before shares are known.
struct Poured<'a> {
    name: &'a str,
    role: Role,
    parts: Parts,
    density_g_cm3: Option<f64>,
    grams_per_drop: Option<f64>,
}

/// Something poured with its mass relative to the others'.
type Massed<'a> = (Poured<'a>, f64);

impl Mix {
    /// Mixes a system with so many parts of softener (0 for none), in the unit of its own parts:
    /// 1 part to 1:1 gives 1:1:1.
    ///
    /// Assumptions: no change of volume on mixing; a density that the sheet gives for the mix
    /// holds without softener, which is mixed to it as one more liquid.
    ///
    /// # Errors
    /// [`MixError`].
    ///
    /// # Example
    /// ```
    /// use cavigram::materials::{Mix, Parts, builtin};
    ///
    /// let firm = builtin("urethane-a5")?;
    /// let softened = Mix::new(&firm, Parts::whole(2))?;
    /// // In weighing order: A, the softener stirred into it, B.
    /// assert_eq!(softened.mass_ratio, Some(vec![1, 2, 1]));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn new(system: &System, softener: Parts) -> Result<Self, MixError> {
        Self::with_additives(system, softener, Additives::default())
    }

    /// Mixes a system with softener, thickener and pigment.
    ///
    /// Assumptions: as [`Mix::new`]; additives are further components by mass, and a thickened mix
    /// holds the air that its system tells, whatever the amount of thickener.
    ///
    /// # Errors
    /// [`MixError`].
    pub fn with_additives(
        system: &System,
        softener: Parts,
        additives: Additives,
    ) -> Result<Self, MixError> {
        let no_density = || MixError::NoDensity { system: system.id.clone() };
        let mut massed: Vec<Massed<'_>> = poured(system, softener)?
            .into_iter()
            .map(|p| relative_mass(&p, system.by).map(|mass| (p, mass)))
            .collect::<Option<_>>()
            .ok_or_else(no_density)?;
        let of_ratio: f64 = massed.iter().map(|(_, mass)| mass).sum();
        if !(of_ratio.is_finite() && of_ratio > 0.0) {
            return Err(MixError::Empty { system: system.id.clone() });
        }
        massed.extend(stirred_in(system, additives, of_ratio)?);
        let (airless, basis) = density(system, &massed).ok_or_else(no_density)?;
        let air_percent = match &system.thickener {
            Some(known) if additives.thickener_percent > 0.0 => {
                known.air_percent.as_ref().map_or(0.0, |air| air.value)
            }
            _ => 0.0,
        };
        let density_g_cm3 = airless * (1.0 - air_percent / 100.0);
        if !(density_g_cm3 > 0.0 && density_g_cm3.is_finite()) {
            return Err(no_density());
        }
        let moulded = system.densities.moulded_g_cm3.as_ref().map(|d| d.value);
        in_weighing_order(&mut massed, &system.weighing_order);
        let total: f64 = massed.iter().map(|(_, mass)| mass).sum();
        let filled_density_g_cm3 = moulded.unwrap_or(density_g_cm3);
        let mix = Self {
            mass_ratio: whole_ratio(&massed, system.by),
            parts: massed.iter().map(|(p, mass)| p.part(mass / total)).collect(),
            by: system.by,
            density_g_cm3,
            basis,
            air_percent,
            filled_density_g_cm3,
            cured_density_g_cm3: filled_density_g_cm3,
        };
        Ok(mix.cured(system))
    }
}

impl Poured<'_> {
    fn part(&self, mass_share: f64) -> MixPart {
        MixPart {
            name: self.name.to_owned(),
            role: self.role,
            parts: self.parts,
            mass_share,
            density_g_cm3: self.density_g_cm3,
            grams_per_drop: self.grams_per_drop,
        }
    }
}

/// Density of a mixture of masses and densities, in the densities' unit, without change of volume
/// on mixing; `None` for no mass or a density that is not positive.
///
/// Source: conservation of mass and volume, ρ = Σm / Σ(m/ρ); never the mass-weighted mean.
pub fn mixture_density_g_cm3(
    mass_and_density: impl IntoIterator<Item = (f64, f64)>,
) -> Option<f64> {
    let (mut mass, mut volume) = (0.0, 0.0);
    for (m, density) in mass_and_density {
        mass += m;
        volume += m / density;
    }
    let density = mass / volume;
    (density.is_finite() && density > 0.0).then_some(density)
}

fn poured(system: &System, softener: Parts) -> Result<Vec<Poured<'_>>, MixError> {
    let mut poured: Vec<Poured<'_>> = system
        .components
        .iter()
        .map(|c| Poured {
            name: &c.name,
            role: Role::Component,
            parts: c.parts.value,
            density_g_cm3: c.density_g_cm3.as_ref().map(|d| d.value),
            grams_per_drop: None,
        })
        .collect();
    if poured.is_empty() {
        return Err(MixError::Empty { system: system.id.clone() });
    }
    if !softener.is_zero() {
        let Some(known) = &system.softener else {
            return Err(MixError::NoSoftener { system: system.id.clone() });
        };
        poured.push(Poured {
            name: &known.name,
            role: Role::Softener,
            parts: softener,
            density_g_cm3: Some(known.density_g_cm3.value),
            grams_per_drop: None,
        });
    }
    Ok(poured)
}

/// Thickener and pigment, with their masses relative to those of the ratio.
fn stirred_in(
    system: &System,
    additives: Additives,
    of_ratio: f64,
) -> Result<Vec<Massed<'_>>, MixError> {
    let Additives { thickener_percent, pigment_percent } = additives;
    let mut stirred = Vec::new();
    for (what, percent) in [("thickener", thickener_percent), ("pigment", pigment_percent)] {
        // No range holds NaN.
        if !(0.0..=100.0).contains(&percent) {
            return Err(MixError::AdditiveOutOfRange { what });
        }
    }
    let one = |name, role, percent: f64, density, grams_per_drop| {
        let mass = of_ratio * percent / 100.0;
        // Parts have four decimals at most; less than that is none to speak of.
        let parts = Parts::try_from((mass * 1e4).round() / 1e4).unwrap_or(Parts::ZERO);
        (Poured { name, role, parts, density_g_cm3: Some(density), grams_per_drop }, mass)
    };
    if thickener_percent > 0.0 {
        let none = || MixError::NoThickener { system: system.id.clone() };
        let known = system.thickener.as_ref().ok_or_else(none)?;
        let density = known.density_g_cm3.value;
        stirred.push(one(known.name.as_str(), Role::Thickener, thickener_percent, density, None));
    }
    if pigment_percent > 0.0 {
        let none = || MixError::NoPigment { system: system.id.clone() };
        let known = system.pigment.as_ref().ok_or_else(none)?;
        let drop = known.grams_per_drop.as_ref().map(|d| d.value).filter(|d| *d > 0.0);
        let density = known.density_g_cm3.value;
        stirred.push(one(known.name.as_str(), Role::Pigment, pigment_percent, density, drop));
    }
    Ok(stirred)
}

/// What the system names comes first, in its order; the rest stays as it is.
fn in_weighing_order(massed: &mut [Massed<'_>], order: &[String]) {
    massed.sort_by_key(|(p, _)| order.iter().position(|name| name == p.name).unwrap_or(usize::MAX));
}

fn relative_mass(poured: &Poured<'_>, by: By) -> Option<f64> {
    match by {
        By::Weight => Some(poured.parts.as_f64()),
        By::Volume => poured.density_g_cm3.map(|density| poured.parts.as_f64() * density),
    }
}

/// The mix's density by the best of what is known: mixed, cured, components.
fn density(system: &System, massed: &[Massed<'_>]) -> Option<(f64, DensityBasis)> {
    let given = [
        (&system.densities.mixed_g_cm3, DensityBasis::Mixed),
        (&system.densities.cured_g_cm3, DensityBasis::Cured),
    ];
    let given = given.into_iter().find_map(|(d, basis)| Some((d.as_ref()?.value, basis)));
    let each = |(p, mass): &Massed<'_>| Some((*mass, p.density_g_cm3?));
    let (own, added): (Vec<_>, Vec<_>) =
        massed.iter().partition(|(p, _)| p.role == Role::Component);
    let (own, basis) = match given {
        Some((given, basis)) => (vec![(own.iter().map(|(_, mass)| mass).sum(), given)], basis),
        None => {
            let own = own.into_iter().map(each).collect::<Option<Vec<_>>>()?;
            (own, DensityBasis::Components)
        }
    };
    let added = added.into_iter().map(each).collect::<Option<Vec<_>>>()?;
    Some((mixture_density_g_cm3(own.into_iter().chain(added))?, basis))
}

/// The masses as whole numbers in lowest terms. By volume the densities count as the decimals
/// that they were written as.
fn whole_ratio(massed: &[Massed<'_>], by: By) -> Option<Vec<u64>> {
    let fractions: Vec<(u64, u64)> = massed
        .iter()
        .filter(|(p, _)| !p.role.is_additive())
        .map(|(p, _)| {
            let (n, d) = p.parts.fraction();
            match by {
                By::Weight => Some((n, d)),
                By::Volume => {
                    let (density_n, density_d) = Parts::try_from(p.density_g_cm3?).ok()?.fraction();
                    Some((n.checked_mul(density_n)?, d.checked_mul(density_d)?))
                }
            }
        })
        .collect::<Option<_>>()?;
    let common =
        fractions.iter().try_fold(1_u64, |lcm, (_, d)| (lcm / gcd(lcm, *d)).checked_mul(*d))?;
    let whole: Vec<u64> =
        fractions.iter().map(|(n, d)| n.checked_mul(common / d)).collect::<Option<_>>()?;
    let divisor = whole.iter().fold(0, |g, n| gcd(g, *n));
    let whole: Vec<u64> = whole.iter().map(|n| n.checked_div(divisor)).collect::<Option<_>>()?;
    // Beyond a million no batch on any scale comes to a multiple of the ratio.
    let total = whole.iter().try_fold(0_u64, |sum, n| sum.checked_add(*n))?;
    (total <= 1_000_000).then_some(whole)
}
