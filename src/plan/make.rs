//! Volumes in, grams out.

use super::allowance::{Laid, Purpose};
use super::check::{self, NOTHING_MM3};
use super::dose::times;
use super::{
    Dose, FurtherRounds, Layer, LayerPlan, LayerVolumes, Plan, PlanError, PlanRequest, Recipe, Run,
    Shop, Slopes, Weighed, coat, notice,
};
use crate::bounds::Bounds;
use crate::finding::Finding;
use crate::materials::{Family, Hazard, Mix, Role, RoomTimes, cautions};

/// Makes the plan: grams of each component of each layer, in pouring order.
///
/// Units: mm, mm², mm³ in, g out.
/// Assumptions: the layers' best estimates are what is filled; castings made at once share the
/// batches of each coat and pour.
///
/// # Errors
/// [`PlanError`] where a material can't be mixed or weighed, the room is too far from the data
/// sheet's temperature, or a number is out of range.
///
/// # Example
/// A core of 200 cm³, by itself, in the usual soft urethane:
/// ```
/// use cavigram::bounds::Bounds;
/// use cavigram::plan::{LayerVolumes, PlanRequest, TwoPart, WallFacts, plan};
///
/// let volumes = LayerVolumes {
///     skin_mm3: Bounds::ZERO,
///     coats: vec![],
///     core_mm3: Bounds::exact(200_000.0),
///     cap_mm3: Bounds::ZERO,
///     inner_face_mm2: 0.0,
///     level_area_mm2: 0.0,
///     opening_area_mm2: 0.0,
///     wall: WallFacts::default(),
///     two_part: TwoPart::default(),
/// };
/// let plan = plan(&volumes, &PlanRequest::typical()?)?;
/// let [_, core, _] = &plan.layers;
/// let grams: Vec<f64> = core.dose.components.iter().map(|c| c.grams).collect();
/// assert_eq!(grams, [53.5, 107.0, 53.5]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn plan(volumes: &LayerVolumes, request: &PlanRequest) -> Result<Plan, PlanError> {
    check::volumes(volumes)?;
    check::request(request, volumes)?;
    let run = request.run;
    let kitchen = Kitchen { request, at_once: run.at_once(), first_casting: run.first_casting };
    let (layers, noticed) = one_round(volumes, &kitchen)?;
    let further = further(volumes, &kitchen)?;
    let totals = totals(&layers, &further, run, request.shop.scale_step_g);
    let [skin, core, cap] = &layers;
    let slopes = Slopes {
        skin_g_per_tenth_mm: volumes.inner_face_mm2 * 0.1 / 1000.0 * skin.density_g_cm3,
        core_g_per_mm: volumes.level_area_mm2 / 1000.0 * core.density_g_cm3,
        cap_g_per_mm: volumes.level_area_mm2 / 1000.0 * cap.density_g_cm3,
    };
    let patch = coat::patch_told(skin, slopes.skin_g_per_tenth_mm, &kitchen);
    let recipes = [&request.skin, &request.core, &request.cap];
    let used = layers.iter().zip(recipes).filter(|(layer, _)| !layer.dose.is_empty());
    let systems = used.map(|(_, recipe)| &recipe.system);
    let thickened =
        layers.iter().flat_map(|l| &l.dose.components).any(|c| c.role == Role::Thickener);
    let mut work = Vec::new();
    // What thickens is mostly a powder, whatever the system.
    work.extend(thickened.then_some(Hazard::Dust));
    work.extend(request.shop.vacuum.then_some(Hazard::Vacuum));
    let mut findings = noticed;
    findings.extend(notice::findings(&layers, recipes, patch.as_ref(), volumes, request));
    Ok(Plan {
        findings,
        cautions: cautions(systems, &work),
        layers,
        slopes,
        skin_by: request.coating.by,
        patch,
        run,
        further,
        totals,
        shop: request.shop.clone(),
    })
}

/// The rounds that are not weighed like the first: those behind a first casting, and a last one
/// that fills fewer moulds.
fn further(volumes: &LayerVolumes, first: &Kitchen<'_>) -> Result<Vec<FurtherRounds>, PlanError> {
    let run = first.request.run;
    let (rounds, in_last) = (run.rounds(), run.in_last_round());
    let fewer_at_last = in_last < run.at_once();
    let alike_to = if fewer_at_last { rounds - 1 } else { rounds };
    let mut further = Vec::new();
    let mut add = |from, to, castings| {
        let kitchen = Kitchen { at_once: castings, first_casting: false, ..*first };
        let (layers, _) = one_round(volumes, &kitchen)?;
        further.push(FurtherRounds { from, to, castings, layers });
        Ok(())
    };
    if run.first_casting && alike_to > 1 {
        add(2, alike_to, run.at_once())?;
    }
    if fewer_at_last {
        add(rounds, rounds, in_last)?;
    }
    Ok(further)
}

/// What to weigh in all rounds together.
fn totals(
    first: &[LayerPlan; 3],
    further: &[FurtherRounds],
    run: Run,
    step_g: f64,
) -> [Vec<Weighed>; 3] {
    let like_first = run.rounds() - further.iter().map(FurtherRounds::count).sum::<u32>();
    let mut totals = first.each_ref().map(|l| times(&l.dose.components, like_first, step_g));
    for rounds in further {
        for (total, layer) in totals.iter_mut().zip(&rounds.layers) {
            let more = times(&layer.dose.components, rounds.count(), step_g);
            super::dose::add_components(total, &more, step_g);
        }
    }
    totals
}

/// Skin, core and cap of all castings that are made at once.
fn one_round(
    volumes: &LayerVolumes,
    kitchen: &Kitchen<'_>,
) -> Result<([LayerPlan; 3], Vec<Finding>), PlanError> {
    let request = kitchen.request;
    let two_part = &volumes.two_part;
    let (skin, noticed) = coat::skin(volumes, kitchen)?;
    let core = Pour {
        layer: Layer::Core,
        recipe: &request.core,
        volume_mm3: volumes.core_mm3,
        more_mm3: -two_part.seam.map_or(0.0, |seam| seam.volume_mm3()),
        gate_mm3: two_part.gate_mm3,
        levelled_mm2: 0.0,
        remainder: request.shop.allowances.core_remainder,
    };
    let cap = Pour {
        layer: Layer::Cap,
        recipe: &request.cap,
        volume_mm3: volumes.cap_mm3,
        more_mm3: two_part.plug_mm3,
        gate_mm3: 0.0,
        levelled_mm2: volumes.opening_area_mm2,
        remainder: request.shop.allowances.cap_remainder,
    };
    Ok(([skin, core.plan(kitchen)?, cap.plan(kitchen)?], noticed))
}

/// What all mixes of a round share.
#[derive(Clone, Copy)]
pub(super) struct Kitchen<'a> {
    /// What was asked for.
    pub request: &'a PlanRequest,
    /// Castings made at once.
    pub at_once: u32,
    /// They are the first ones in new moulds.
    pub first_casting: bool,
}

impl Kitchen<'_> {
    /// What goes into the cup.
    pub(super) fn mix(&self, layer: Layer, recipe: &Recipe) -> Result<Mix, PlanError> {
        recipe.mix().map_err(|source| PlanError::Mix { layer, source })
    }

    /// How long it takes in the room; in the data sheet's own where nothing is mixed.
    pub(super) fn times(
        &self,
        layer: Layer,
        recipe: &Recipe,
        mixed: bool,
    ) -> Result<RoomTimes, PlanError> {
        let room_c = self.request.shop.room_c.filter(|_| mixed);
        let told = recipe.system.times_in(recipe.softener, room_c);
        told.map_err(|source| PlanError::Room { layer, source })
    }

    /// What is the same for coats and pours; nothing to fill yet.
    pub(super) fn purpose(&self, recipe: &Recipe, mix: &Mix, times: &RoomTimes) -> Purpose {
        Purpose { first_casting: self.first_casting, ..poured(recipe, mix, times) }
    }

    /// What to weigh for a coat or pour of this name; nothing where there is nothing to fill.
    pub(super) fn dose(&self, name: &str, mix: &Mix, purpose: &Purpose) -> Result<Dose, PlanError> {
        weighed(name, mix, purpose, &self.request.shop)
    }
}

/// A mix that is poured, or foams; nothing to fill yet, and no remainder.
pub(super) fn poured(recipe: &Recipe, mix: &Mix, times: &RoomTimes) -> Purpose {
    let family = recipe.system.family;
    Purpose {
        net_g: 0.0,
        liquid_g_cm3: mix.density_g_cm3,
        filled_g_cm3: mix.filled_density_g_cm3,
        thickened: recipe.thickener_percent > 0.0,
        laid: if family == Family::Foam { Laid::Foamed } else { Laid::Poured },
        levelled_mm2: 0.0,
        gate_mm3: 0.0,
        remainder: 0.0,
        working_minutes: times.working_minutes,
        silicone: matches!(family, Family::AdditionCureSilicone | Family::CondensationCureSilicone),
        first_casting: false,
    }
}

/// What to weigh for a mix of this name; nothing where there is nothing to fill.
pub(super) fn weighed(
    name: &str,
    mix: &Mix,
    purpose: &Purpose,
    shop: &Shop,
) -> Result<Dose, PlanError> {
    if purpose.net_g <= 0.0 {
        return Ok(Dose::default());
    }
    Dose::of(mix, purpose, shop).map_err(|nothing| PlanError::RoundsToNothing {
        mix: name.to_owned(),
        is_additive: mix.parts.iter().any(|p| p.name == nothing.component && p.role.is_additive()),
        component: nothing.component,
        step_g: shop.scale_step_g,
        least_mix_g: nothing.least_mix_g,
        finer_step_g: nothing.finer_step_g,
    })
}

/// Core or cap: what is poured in one go.
struct Pour<'a> {
    layer: Layer,
    recipe: &'a Recipe,
    volume_mm3: Bounds,
    /// What stays in the mould beside it; less where something else takes its place.
    more_mm3: f64,
    /// What is poured beyond, into the gate.
    gate_mm3: f64,
    /// The opening that it is levelled over.
    levelled_mm2: f64,
    remainder: f64,
}

impl Pour<'_> {
    fn plan(&self, kitchen: &Kitchen<'_>) -> Result<LayerPlan, PlanError> {
        let mix = kitchen.mix(self.layer, self.recipe)?;
        let step_g = kitchen.request.shop.scale_step_g;
        let fills = self.volume_mm3 + Bounds::exact(self.more_mm3);
        let one_g = poured_g(fills.clamped(0.0, f64::INFINITY), mix.filled_density_g_cm3, step_g);
        let times = kitchen.times(self.layer, self.recipe, one_g > 0.0)?;
        let purpose = Purpose {
            net_g: f64::from(kitchen.at_once) * one_g,
            levelled_mm2: f64::from(kitchen.at_once) * self.levelled_mm2,
            gate_mm3: f64::from(kitchen.at_once) * self.gate_mm3,
            remainder: self.remainder,
            ..kitchen.purpose(self.recipe, &mix, &times)
        };
        let dose = kitchen.dose(self.layer.as_str(), &mix, &purpose)?;
        Ok(layer(self.layer, self.recipe, &mix, self.volume_mm3, dose, times))
    }
}

pub(super) fn layer(
    layer: Layer,
    recipe: &Recipe,
    mix: &Mix,
    volume_mm3: Bounds,
    dose: Dose,
    times: RoomTimes,
) -> LayerPlan {
    LayerPlan {
        layer,
        system_id: recipe.system.id.clone(),
        system_title: recipe.system.title.clone(),
        softener: recipe.softener,
        hardness: recipe.system.hardness_with(recipe.softener),
        volume_mm3,
        flange_mm3: 0.0,
        density_g_cm3: mix.filled_density_g_cm3,
        cured_g_cm3: mix.cured_density_g_cm3,
        density_basis: mix.basis,
        expands: recipe.system.densities.moulded_g_cm3.is_some(),
        times,
        dose,
        coats: Vec::new(),
        seam: None,
    }
}

pub(super) fn net_g(volume_mm3: f64, density_g_cm3: f64) -> f64 {
    if volume_mm3 < NOTHING_MM3 { 0.0 } else { volume_mm3 / 1000.0 * density_g_cm3 }
}

/// What is to be poured: nothing where there may be nothing and the scale would show nothing.
fn poured_g(volume_mm3: Bounds, density_g_cm3: f64, step_g: f64) -> f64 {
    let grams = net_g(volume_mm3.best(), density_g_cm3);
    if volume_mm3.low() <= 0.0 && grams < step_g { 0.0 } else { grams }
}
