//! One mix by itself: what to weigh for a volume that is no layer of a casting.

use super::allowance::{Laid, Purpose};
use super::check::{self, VOLUME_MM3_MAX, in_range};
use super::make::{poured, weighed};
use super::notice_batch::Told;
use super::{Coating, Dose, Layer, PlanError, Recipe, Shop};
use crate::finding::Finding;
use crate::materials::{Mix, Role, RoomTimes, System};

/// How a single mix gets to its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Lay {
    /// Brushed as coat `index` of `count`, counted from 0, on so much surface: the first of
    /// several is a plain print coat, the others are thickened, every second one is tinted.
    Brushed {
        /// What is brushed, mm².
        area_mm2: f64,
        /// Which coat.
        index: usize,
        /// Of how many.
        count: usize,
    },
    /// Pressed on, thickened.
    Trowelled,
    /// Poured.
    Poured,
}

/// What to weigh for a single mix.
#[derive(Debug, Clone, PartialEq)]
pub struct Single {
    /// Grams per cm³ that it fills.
    pub density_g_cm3: f64,
    /// It is thickened.
    pub thickened: bool,
    /// It is tinted.
    pub tinted: bool,
    /// What to weigh.
    pub dose: Dose,
    /// How long it takes, by its data sheet.
    pub times: RoomTimes,
    /// What was noticed of its batches.
    pub findings: Vec<Finding>,
}

impl Single {
    /// What to weigh so that `net_mm3` are filled, with the allowances of a skin where it is laid
    /// on, of a core where it is poured. `name` is what messages call it.
    ///
    /// # Errors
    /// [`PlanError`] where the material can't be mixed or weighed or a number is out of range.
    pub fn of(
        name: &str,
        system: &System,
        net_mm3: f64,
        lay: Lay,
        shop: &Shop,
    ) -> Result<Self, PlanError> {
        check::shop(shop)?;
        in_range("a volume in mm³", net_mm3, 0.0, VOLUME_MM3_MAX, "a volume from 0 to 1000 m³")?;
        let recipe = recipe(system, lay);
        match dosed(name, &recipe, net_mm3, lay, shop) {
            // So little tint shows on no scale: nobody asked for it by amount.
            Err(PlanError::RoundsToNothing { ref component, .. })
                if recipe.system.pigment.as_ref().is_some_and(|p| p.name == *component) =>
            {
                let plain = Recipe { pigment_percent: 0.0, ..recipe };
                dosed(name, &plain, net_mm3, lay, shop)
            }
            other => other,
        }
    }
}

fn recipe(system: &System, lay: Lay) -> Recipe {
    let plain = Recipe::plain(system.clone());
    let (index, count) = match lay {
        Lay::Brushed { index, count, .. } => (index, count),
        // Like a single coat: thickened and not tinted.
        Lay::Trowelled => (0, 1),
        Lay::Poured => return plain,
    };
    plain.with(Coating::default().additives(system, index, count))
}

fn dosed(
    name: &str,
    recipe: &Recipe,
    net_mm3: f64,
    lay: Lay,
    shop: &Shop,
) -> Result<Single, PlanError> {
    let layer = if lay == Lay::Poured { Layer::Core } else { Layer::Skin };
    let mix = recipe.mix().map_err(|source| PlanError::Mix { layer, source })?;
    let times = recipe.system.times_in(recipe.softener, shop.room_c);
    let times = times.map_err(|source| PlanError::Room { layer, source })?;
    let purpose = purpose(recipe, &mix, net_mm3, lay, shop, &times);
    let dose = weighed(name, &mix, &purpose, shop)?;
    let findings = if dose.is_empty() {
        Vec::new()
    } else {
        Told { name, dose: &dose, times: &times, shop }.findings(&recipe.system.id)
    };
    Ok(Single {
        density_g_cm3: mix.filled_density_g_cm3,
        thickened: purpose.thickened,
        tinted: mix.parts.iter().any(|p| p.role == Role::Pigment),
        dose,
        times,
        findings,
    })
}

fn purpose(
    recipe: &Recipe,
    mix: &Mix,
    net_mm3: f64,
    lay: Lay,
    shop: &Shop,
    times: &RoomTimes,
) -> Purpose {
    let (pace, allowed) = (&shop.pace, &shop.allowances);
    let poured = poured(recipe, mix, times);
    Purpose {
        net_g: net_mm3 / 1000.0 * mix.filled_density_g_cm3,
        laid: match lay {
            Lay::Brushed { area_mm2, index, count } => {
                let print = count > 1 && index == 0;
                let cm2_per_minute =
                    if print { pace.print_cm2_per_minute } else { pace.build_cm2_per_minute };
                Laid::Brushed { area_mm2, cm2_per_minute }
            }
            Lay::Trowelled | Lay::Poured => poured.laid,
        },
        remainder: match lay {
            Lay::Poured => allowed.core_remainder,
            Lay::Brushed { .. } | Lay::Trowelled => allowed.skin_remainder,
        },
        ..poured
    }
}
