//! The skin: a mix for each coat.

use super::allowance::{Laid, Purpose};
use super::make::{Kitchen, layer, net_g};
use super::{
    CoatPlan, CoatVolume, Coating, Dose, Layer, LayerPlan, LayerVolumes, PatchTold, PlanError,
    PlanRequest, SeamCoat, SkinBy, Stir, yield_stress_pa,
};
use crate::bounds::Bounds;
use crate::finding::Finding;
use crate::materials::{Family, Mix, RoomTimes};

/// The skin with its coats, and what was noticed on the way.
pub(super) fn skin(
    volumes: &LayerVolumes,
    kitchen: &Kitchen<'_>,
) -> Result<(LayerPlan, Vec<Finding>), PlanError> {
    let request = kitchen.request;
    let recipe = &request.skin;
    let count = volumes.coats.len();
    let any = volumes.coats.iter().any(|c| net_g(c.volume_mm3.best() + c.flange_mm3, 1.0) > 0.0);
    let times = kitchen.times(Layer::Skin, recipe, any)?;
    let mut untinted = Vec::new();
    let mut coats = Vec::with_capacity(count);
    for (index, coat) in volumes.coats.iter().enumerate() {
        let name = Layer::Skin.coat_name(index + 1, count);
        let one = One { name, index, count, coat, wall_mm2: volumes.wall.area_mm2, times };
        let (plan, dropped) = one.plan(&request.coating, kitchen)?;
        coats.push(plan);
        if dropped {
            untinted.push((index + 1).to_string());
        }
    }
    let seam = volumes.two_part.seam.map(|laid| seam(&laid, times, kitchen)).transpose()?;
    let doses = coats.iter().chain(&seam).map(|c| &c.dose);
    let dose = Dose::sum(doses, request.shop.scale_step_g);
    let flange_mm3 = coats.iter().map(|c| c.flange_mm3).sum();
    let mix = kitchen.mix(Layer::Skin, &coat_recipe(&request.coating, count, count, request))?;
    let skin = layer(Layer::Skin, recipe, &mix, volumes.skin_mm3, dose, times);
    let skin = LayerPlan {
        density_g_cm3: mean(&coats, |c| c.density_g_cm3).unwrap_or(skin.density_g_cm3),
        cured_g_cm3: mean(&coats, |c| c.cured_g_cm3).unwrap_or(skin.cured_g_cm3),
        ..skin
    };
    let findings = if untinted.is_empty() {
        Vec::new()
    } else {
        vec![
            Finding::note(
                "untinted",
                format!(
                    "skin: so little pigment shows on no scale with steps of {} g; coat {} is not \
                     tinted",
                    request.shop.scale_step_g,
                    untinted.join(", ")
                ),
            )
            .with_hint("give the system file the weight of a drop"),
        ]
    };
    Ok((LayerPlan { coats, flange_mm3, seam, ..skin }, findings))
}

/// The coat over the seam: brushed however the skin is laid, and thickened as a single coat is.
fn seam(laid: &SeamCoat, times: RoomTimes, kitchen: &Kitchen<'_>) -> Result<CoatPlan, PlanError> {
    let coat = CoatVolume {
        thickness_mm: laid.thickness_mm,
        volume_mm3: Bounds::exact(laid.volume_mm3()),
        flange_mm3: 0.0,
    };
    let name = Layer::Skin.seam_name();
    let one = One { name, index: 0, count: 1, coat: &coat, wall_mm2: laid.area_mm2(), times };
    let coating = Coating { by: SkinBy::Brush, ..kitchen.request.coating };
    Ok(one.plan(&coating, kitchen)?.0)
}

/// A density of all coats together, g/cm³; `None` where nothing is brushed.
fn mean(coats: &[CoatPlan], density_g_cm3: impl Fn(&CoatPlan) -> f64) -> Option<f64> {
    let used: Vec<_> = coats.iter().filter(|c| !c.dose.is_empty()).collect();
    if let [only] = used.as_slice() {
        return Some(density_g_cm3(only));
    }
    let mm3 = |c: &CoatPlan| c.volume_mm3.best() + c.flange_mm3;
    let volume_mm3: f64 = used.iter().map(|c| mm3(c)).sum();
    let grams: f64 = used.iter().map(|c| mm3(c) * density_g_cm3(c)).sum();
    (volume_mm3 > 0.0).then(|| grams / volume_mm3)
}

/// The recipe of coat `number`, counted from 1.
fn coat_recipe(
    coating: &Coating,
    number: usize,
    count: usize,
    request: &PlanRequest,
) -> super::Recipe {
    let index = number.saturating_sub(1);
    let additives = coating.additives(&request.skin.system, index, count);
    request.skin.clone().with(additives)
}

/// One coat of a skin.
struct One<'a> {
    /// What messages call it.
    name: String,
    index: usize,
    count: usize,
    coat: &'a CoatVolume,
    wall_mm2: f64,
    times: RoomTimes,
}

impl One<'_> {
    /// Its plan, and whether it had to go without the tint that nobody asked for by amount.
    fn plan(
        &self,
        coating: &Coating,
        kitchen: &Kitchen<'_>,
    ) -> Result<(CoatPlan, bool), PlanError> {
        let dosed = self.dosed(coating, kitchen);
        match dosed {
            Err(PlanError::RoundsToNothing { ref component, .. })
                if coating.tint == Stir::Auto && self.is_pigment(component, kitchen.request) =>
            {
                let plain = Coating { tint: Stir::None, ..*coating };
                Ok((self.dosed(&plain, kitchen)?, true))
            }
            other => Ok((other?, false)),
        }
    }

    fn is_pigment(&self, component: &str, request: &PlanRequest) -> bool {
        request.skin.system.pigment.as_ref().is_some_and(|p| p.name == component)
    }

    fn dosed(&self, coating: &Coating, kitchen: &Kitchen<'_>) -> Result<CoatPlan, PlanError> {
        let request = kitchen.request;
        let recipe = coat_recipe(coating, self.index + 1, self.count, request);
        let mix = kitchen.mix(Layer::Skin, &recipe)?;
        let purpose = self.purpose(&recipe, &mix, coating.by, kitchen);
        let build = &recipe.system.build;
        let thickened = purpose.thickened;
        let stands = if thickened { &build.thickened_mm } else { &build.plain_mm };
        Ok(CoatPlan {
            thickness_mm: self.coat.thickness_mm,
            volume_mm3: self.coat.volume_mm3,
            flange_mm3: self.coat.flange_mm3,
            thickened,
            tinted: recipe.pigment_percent > 0.0,
            density_g_cm3: mix.filled_density_g_cm3,
            cured_g_cm3: mix.cured_density_g_cm3,
            stands_mm: stands.as_ref().map(|s| s.value),
            // 1 mm on 100 cm² is 10 cm³.
            g_per_100_cm2: 10.0 * self.coat.thickness_mm * mix.filled_density_g_cm3,
            yield_stress_pa: yield_stress_pa(self.coat.thickness_mm, mix.density_g_cm3),
            dose: kitchen.dose(&self.name, &mix, &purpose)?,
        })
    }

    fn purpose(
        &self,
        recipe: &super::Recipe,
        mix: &Mix,
        by: SkinBy,
        kitchen: &Kitchen<'_>,
    ) -> Purpose {
        let pace = &kitchen.request.shop.pace;
        let filled_g_cm3 = mix.filled_density_g_cm3;
        let net_one_g = net_g(self.coat.volume_mm3.best() + self.coat.flange_mm3, filled_g_cm3);
        let flange_mm2 = if self.coat.thickness_mm > 0.0 {
            self.coat.flange_mm3 / self.coat.thickness_mm
        } else {
            0.0
        };
        let area_mm2 = f64::from(kitchen.at_once) * (self.wall_mm2 + flange_mm2);
        let print = self.count > 1 && self.index == 0;
        let laid = match by {
            SkinBy::Brush => Laid::Brushed {
                area_mm2,
                cm2_per_minute: if print {
                    pace.print_cm2_per_minute
                } else {
                    pace.build_cm2_per_minute
                },
            },
            SkinBy::Spray => Laid::Sprayed { area_mm2, cm2_per_minute: pace.spray_cm2_per_minute },
            SkinBy::Slush => Laid::Slushed,
            SkinBy::Former if recipe.system.family == Family::Foam => Laid::Foamed,
            SkinBy::Former => Laid::Poured,
        };
        Purpose {
            net_g: f64::from(kitchen.at_once) * net_one_g,
            thickened: recipe.thickener_percent > 0.0,
            laid,
            levelled_mm2: 0.0,
            remainder: kitchen.request.shop.allowances.skin_remainder,
            ..kitchen.purpose(recipe, mix, &self.times)
        }
    }
}

/// What a test patch says of the coats brushed like it: the build coats.
pub(super) fn patch_told(
    skin: &LayerPlan,
    skin_g_per_tenth_mm: f64,
    kitchen: &Kitchen<'_>,
) -> Option<PatchTold> {
    let patch = kitchen.request.coating.patch?;
    let builds: Vec<&CoatPlan> =
        skin.coats.iter().skip(usize::from(skin.coats.len() > 1)).collect();
    let first = builds.first()?;
    let thickness_mm = patch.thickness_mm(first.density_g_cm3);
    // Each build coat would come out as much thicker as the patch is.
    let more_mm: f64 =
        builds.iter().map(|c| c.thickness_mm * (thickness_mm / first.thickness_mm - 1.0)).sum();
    let planned_g = skin.dose.net_g / f64::from(kitchen.at_once);
    Some(PatchTold {
        patch,
        thickness_mm,
        planned_mm: first.thickness_mm,
        skin_net_g: planned_g + skin_g_per_tenth_mm * more_mm / 0.1,
    })
}
