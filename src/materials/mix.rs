//! What is weighed together for one pour.

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
}

impl MixError {
    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        todo!()
    }
}

impl Mix {
    /// Mixes a system with so many parts of softener (0 for none), in the unit of its own parts:
    /// 1 part to 1:1 gives 1:1:1.
    ///
    /// # Errors
    /// [`MixError`].
    pub fn new(_system: &System, _softener: Parts) -> Result<Self, MixError> {
        todo!()
    }
}

/// Density of a mixture of masses, g/cm³, without change of volume on mixing.
pub fn mixture_density_g_cm3(
    _mass_and_density: impl IntoIterator<Item = (f64, f64)>,
) -> Option<f64> {
    todo!()
}
