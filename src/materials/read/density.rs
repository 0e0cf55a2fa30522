//! Densities, in whichever unit the data sheet gives them.

use super::error::{Misfit, SystemErrorKind};
use super::quantity::{Density, Given, SpecificGravity, SpecificVolume, plain};
use crate::materials::Sourced;

/// in³/lb of something of 1 g/cm³: 453.59237 g to the pound, 16.387064 cm³ to the cubic inch.
///
/// Source: NIST Handbook 44, Appendix C; both exact.
pub(super) const IN3_LB_AT_1_G_CM3: f64 = 453.592_37 / 16.387_064;

/// One density as a file may spell it.
pub(super) struct Spelled {
    pub g_cm3: Given<Density>,
    /// Relative to 1 g/cm³: sheets name no basis, and those in use lie within 0.1 %.
    pub gravity: Given<SpecificGravity>,
    pub in3_lb: Given<SpecificVolume>,
}

impl Spelled {
    /// The density in g/cm³, where one was given; two are refused at the second.
    pub fn only(self) -> Result<Option<Sourced<f64>>, Misfit> {
        let mut spans = [
            self.g_cm3.as_ref().map(|d| d.span()),
            self.gravity.as_ref().map(|d| d.span()),
            self.in3_lb.as_ref().map(|d| d.span()),
        ]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>();
        spans.sort_by_key(|span| span.start);
        if let Some(second) = spans.into_iter().nth(1) {
            return Err((second, SystemErrorKind::TwoDensities));
        }
        let of_volume = plain(self.in3_lb).map(|volume| volume.map(|v| IN3_LB_AT_1_G_CM3 / v));
        Ok(plain(self.g_cm3).or(plain(self.gravity)).or(of_volume))
    }
}
