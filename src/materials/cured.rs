//! How dense a cured piece is: pours are sized by the liquid, a finished piece weighs by this.

use super::{Mix, System, mixture_density_g_cm3};

impl Mix {
    /// The same mix with its cured density, where the sheet gives one: softener and other things
    /// that the sheet's density doesn't cover are mixed to it as further components, and air that
    /// a thickened mix holds stays in it.
    pub(super) fn cured(self, system: &System) -> Self {
        match self.by_the_sheet(system) {
            Some(cured_density_g_cm3) => Self { cured_density_g_cm3, ..self },
            None => self,
        }
    }

    fn by_the_sheet(&self, system: &System) -> Option<f64> {
        if system.densities.moulded_g_cm3.is_some() {
            return None;
        }
        let cured = system.densities.cured_g_cm3.as_ref()?.value;
        let (own, added): (Vec<_>, Vec<_>) =
            self.parts.iter().partition(|p| system.components.iter().any(|c| c.name == p.name));
        let own = (own.iter().map(|p| p.mass_share).sum(), cured);
        let added: Vec<_> =
            added.iter().map(|p| Some((p.mass_share, p.density_g_cm3?))).collect::<Option<_>>()?;
        let airless = mixture_density_g_cm3(std::iter::once(own).chain(added))?;
        Some(airless * (1.0 - self.air_percent / 100.0))
    }
}
