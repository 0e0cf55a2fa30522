//! The rigid jacket that holds a brushed mould: what to weigh for it.

use super::PlanError;
use super::check::in_range;
use crate::materials::Family;

/// What a jacket is laid from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Jacket {
    /// Plaster, with so many grams of water to 100 g of powder.
    Plaster {
        /// Grams of water to 100 g of powder.
        water_to_100: f64,
    },
    /// Resin and glass mat in layers.
    Laminate,
}

/// What to weigh for a jacket.
#[derive(Debug, Clone, PartialEq)]
pub struct JacketDose {
    /// Grams per cm³ as it is laid.
    pub fresh_g_cm3: f64,
    /// What stays on the mould, g.
    pub net_g: f64,
    /// Of each component what to weigh, a remainder included, in whole grams.
    pub components: Vec<(&'static str, f64)>,
    /// The remainder, as a share of the net grams.
    pub remainder: f64,
}

/// Grains of plaster powder, g/cm³ (references P6: 2.63 to 2.76, derived).
const POWDER_G_CM3: f64 = 2.70;
/// Glass fibre, g/cm³ (from memory: 2.54 to 2.60).
const GLASS_G_CM3: f64 = 2.55;
/// Laminating resin, g/cm³ (from memory: 1.1 to 1.2).
const RESIN_G_CM3: f64 = 1.15;
/// Glass mat in a laminate laid by hand, as a share of its mass (from memory: 0.25 to 0.35).
const GLASS_SHARE: f64 = 0.30;
/// What stays in bowl, brush and cloth, as a share of net (common practice, no source).
const REMAINDER: f64 = 0.10;

impl Jacket {
    /// Grams of water to 100 g of powder where none are named (references P6).
    pub const WATER_TO_100: f64 = 70.0;
    /// Thickness in plaster where none is named, mm (references B7: 15 to 20, common practice).
    pub const PLASTER_MM: f64 = 18.0;
    /// Thickness in laminate where none is named, mm (references B7: 4 to 6, common practice).
    pub const LAMINATE_MM: f64 = 5.0;

    /// The word that is typed.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Plaster { .. } => "plaster",
            Self::Laminate => "laminate",
        }
    }

    /// Its thickness where none is named, mm.
    pub const fn usual_mm(self) -> f64 {
        match self {
            Self::Plaster { .. } => Self::PLASTER_MM,
            Self::Laminate => Self::LAMINATE_MM,
        }
    }

    /// Its family where it lies against rubber; a laminate's resin differs from maker to maker.
    pub const fn family(self) -> Option<Family> {
        match self {
            Self::Plaster { .. } => Some(Family::Plaster),
            Self::Laminate => None,
        }
    }

    /// What must stand on the sheet. It says what is so, and gives no advice on protection.
    pub const fn caution(self) -> &'static str {
        match self {
            Self::Plaster { .. } => {
                "Plaster heats up while it sets, thick plaster enough to burn, and its dust must \
                 not be breathed; see its safety data sheet."
            }
            Self::Laminate => {
                "Laminating resins and their hardeners can irritate, sensitise and burn, give off \
                 vapour and heat up in the pot; dust of ground laminate must not be breathed; see \
                 their safety data sheets."
            }
        }
    }

    /// What to weigh for so much of it, mm³.
    ///
    /// # Errors
    /// [`PlanError::OutOfRange`].
    pub fn dose(self, net_mm3: f64) -> Result<JacketDose, PlanError> {
        in_range("a jacket in mm³", net_mm3, 0.0, 1e12, "a volume from 0 to 1000 m³")?;
        let parts = match self {
            Self::Plaster { water_to_100: water } => {
                let expected = "20 to 200 g to 100 g of powder";
                in_range("water in g", water, 20.0, 200.0, expected)?;
                [("water", water, 1.0), ("plaster", 100.0, POWDER_G_CM3)]
            }
            Self::Laminate => [
                ("resin with hardener", 1.0 - GLASS_SHARE, RESIN_G_CM3),
                ("glass mat", GLASS_SHARE, GLASS_G_CM3),
            ],
        };
        let mass: f64 = parts.iter().map(|(_, parts, _)| parts).sum();
        // Masses over densities add up to the volume.
        let fresh_g_cm3 = mass / parts.iter().map(|(_, parts, g_cm3)| parts / g_cm3).sum::<f64>();
        let net_g = net_mm3 / 1000.0 * fresh_g_cm3;
        let whole = net_g * (1.0 + REMAINDER);
        let weighed = parts.map(|(name, parts, _)| (name, (whole * parts / mass).ceil()));
        Ok(JacketDose { fresh_g_cm3, net_g, components: weighed.to_vec(), remainder: REMAINDER })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// References P6: slurry of 70 water to 100 powder is 1.57 to 1.60 g/cm³.
    #[test]
    fn slurry_is_as_dense_as_published() {
        let dose = Jacket::Plaster { water_to_100: 70.0 }.dose(1e6).unwrap();
        assert!((1.57..=1.60).contains(&dose.fresh_g_cm3), "{}", dose.fresh_g_cm3);
        assert!((dose.net_g - 1000.0 * dose.fresh_g_cm3).abs() < 1e-9);
        let [(_, water), (_, powder)] = dose.components[..] else { panic!("two components") };
        assert!((water / powder - 0.7).abs() < 1e-3, "{water} {powder}");
        assert!((water + powder - 1.1 * dose.net_g).abs() <= 2.0);
    }

    #[test]
    fn what_is_no_slurry_is_refused() {
        assert!(Jacket::Plaster { water_to_100: 0.0 }.dose(1e3).is_err());
        assert!(Jacket::Plaster { water_to_100: f64::NAN }.dose(1e3).is_err());
        assert!(Jacket::Laminate.dose(-1.0).is_err());
    }
}
