//! What is weighed together for one pour.

use super::parts::gcd;
use super::{By, Parts, System};

/// A system with its softener: what goes into one cup, and how dense it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Mix {
    /// In weighing order, softener last.
    pub parts: Vec<MixPart>,
    /// How the parts are told.
    pub by: By,
    /// The liquid mix, g/cm³.
    pub density_g_cm3: f64,
    /// Where that density comes from.
    pub basis: DensityBasis,
    /// What a filled cm³ of the mould weighs, g/cm³: the foam's moulded density, else the mix's.
    pub filled_density_g_cm3: f64,
    /// The cured piece, g/cm³: by the sheet's cured density where it gives one, else as dense as
    /// what was filled.
    pub cured_density_g_cm3: f64,
    /// The masses as the smallest whole numbers that stand in their ratio, such as 1, 1, 2, where
    /// it has such numbers of moderate size.
    pub mass_ratio: Option<Vec<u64>>,
}

/// One component of a mix.
#[derive(Debug, Clone, PartialEq)]
pub struct MixPart {
    /// As the tin says.
    pub name: String,
    /// Its parts, by weight or volume as the mix says.
    pub parts: Parts,
    /// Its share of the mix's mass, 0 to 1.
    pub mass_share: f64,
    /// Its density, g/cm³, where known.
    pub density_g_cm3: Option<f64>,
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
    parts: Parts,
    density_g_cm3: Option<f64>,
}

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
    /// assert_eq!(softened.mass_ratio, Some(vec![1, 1, 2]));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn new(system: &System, softener: Parts) -> Result<Self, MixError> {
        let poured = poured(system, softener)?;
        let no_density = || MixError::NoDensity { system: system.id.clone() };
        let masses: Vec<f64> = poured
            .iter()
            .map(|p| relative_mass(p, system.by))
            .collect::<Option<_>>()
            .ok_or_else(no_density)?;
        let total: f64 = masses.iter().sum();
        if !(total.is_finite() && total > 0.0) {
            return Err(MixError::Empty { system: system.id.clone() });
        }
        let (density_g_cm3, basis) = density(system, &poured, &masses).ok_or_else(no_density)?;
        let moulded = system.densities.moulded_g_cm3.as_ref().map(|d| d.value);
        let filled_density_g_cm3 = moulded.unwrap_or(density_g_cm3);
        let mix = Self {
            mass_ratio: whole_ratio(&poured, system.by),
            parts: poured
                .iter()
                .zip(&masses)
                .map(|(p, mass)| MixPart {
                    name: p.name.to_owned(),
                    parts: p.parts,
                    mass_share: mass / total,
                    density_g_cm3: p.density_g_cm3,
                })
                .collect(),
            by: system.by,
            density_g_cm3,
            basis,
            filled_density_g_cm3,
            cured_density_g_cm3: filled_density_g_cm3,
        };
        Ok(mix.cured(system))
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
            parts: c.parts.value,
            density_g_cm3: c.density_g_cm3.as_ref().map(|d| d.value),
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
            parts: softener,
            density_g_cm3: Some(known.density_g_cm3.value),
        });
    }
    Ok(poured)
}

fn relative_mass(poured: &Poured<'_>, by: By) -> Option<f64> {
    match by {
        By::Weight => Some(poured.parts.as_f64()),
        By::Volume => poured.density_g_cm3.map(|density| poured.parts.as_f64() * density),
    }
}

/// The mix's density by the best of what is known: mixed, cured, components.
fn density(system: &System, poured: &[Poured<'_>], masses: &[f64]) -> Option<(f64, DensityBasis)> {
    let given = [
        (&system.densities.mixed_g_cm3, DensityBasis::Mixed),
        (&system.densities.cured_g_cm3, DensityBasis::Cured),
    ];
    let given = given.into_iter().find_map(|(d, basis)| Some((d.as_ref()?.value, basis)));
    let own = system.components.len();
    let (density, basis) = match given {
        Some((given, basis)) => {
            let of_system = (masses[..own].iter().sum(), given);
            let softener =
                masses.iter().zip(poured).skip(own).map(|(m, p)| Some((*m, p.density_g_cm3?)));
            let all: Vec<_> =
                std::iter::once(Some(of_system)).chain(softener).collect::<Option<_>>()?;
            (mixture_density_g_cm3(all)?, basis)
        }
        None => {
            let all: Vec<_> = masses
                .iter()
                .zip(poured)
                .map(|(m, p)| Some((*m, p.density_g_cm3?)))
                .collect::<Option<_>>()?;
            (mixture_density_g_cm3(all)?, DensityBasis::Components)
        }
    };
    Some((density, basis))
}

/// The masses as whole numbers in lowest terms. By volume the densities count as the decimals
/// that they were written as.
fn whole_ratio(poured: &[Poured<'_>], by: By) -> Option<Vec<u64>> {
    let fractions: Vec<(u64, u64)> = poured
        .iter()
        .map(|p| {
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
