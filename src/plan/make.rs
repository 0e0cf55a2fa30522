//! Volumes in, grams out.

use super::allowance::Purpose;
use super::notice;
use super::{CoatPlan, CoatVolume, Dose, Layer, LayerPlan, LayerVolumes, Plan, PlanRequest};
use super::{Recipe, Slopes};
use crate::bounds::Bounds;
use crate::materials::{Hazard, Mix, MixError, cautions};

/// Why no plan can be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// A layer's material can't be mixed.
    #[error("{}: {source}", .layer.as_str())]
    Mix {
        /// Which layer.
        layer: Layer,
        /// Why.
        source: MixError,
    },
    /// A number is negative or not finite.
    #[error("{what} is {value}; expected {expected}")]
    OutOfRange {
        /// Which number, with its unit.
        what: &'static str,
        /// What it is.
        value: f64,
        /// What was expected.
        expected: &'static str,
    },
}

impl PlanError {
    /// What to do about it.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::Mix { source, .. } => Some(source.hint()),
            Self::OutOfRange { .. } => None,
        }
    }
}

/// Less than this is nothing: a tenth of a milligram, below any scale, but above the rounding of
/// volumes that are differences.
const NOTHING_MM3: f64 = 0.1;
/// A litre has 1e6 mm³; a thousand cubic metres are no casting but a slip.
const VOLUME_MM3_MAX: f64 = 1e12;
const AREA_MM2_MAX: f64 = 1e9;

/// Acceleration of gravity, m/s² (standard value, ISO 80000-3).
const GRAVITY_M_S2: f64 = 9.80665;

/// Makes the plan: grams of each component of each layer, in pouring order.
///
/// Units: mm, mm², mm³ in, g out.
/// Assumptions: every coat and every pour is one mix; the layers' best estimates are what is filled.
///
/// # Errors
/// [`PlanError`] where a material can't be mixed or a number is out of range.
///
/// # Example
/// A core of 200 cm³, by itself, in the usual soft urethane:
/// ```
/// use cavigram::bounds::Bounds;
/// use cavigram::plan::{LayerVolumes, PlanRequest, plan};
///
/// let volumes = LayerVolumes {
///     skin_mm3: Bounds::ZERO,
///     coats: vec![],
///     core_mm3: Bounds::exact(200_000.0),
///     cap_mm3: Bounds::ZERO,
///     inner_face_mm2: 0.0,
///     level_area_mm2: 0.0,
///     opening_area_mm2: 0.0,
/// };
/// let plan = plan(&volumes, &PlanRequest::typical()?)?;
/// let [_, core, _] = &plan.layers;
/// let grams: Vec<f64> = core.dose.components.iter().map(|c| c.grams).collect();
/// assert_eq!(grams, [53.5, 53.5, 107.0]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn plan(volumes: &LayerVolumes, request: &PlanRequest) -> Result<Plan, PlanError> {
    check_volumes(volumes)?;
    check_request(request)?;
    let skin = skin(volumes, request)?;
    let core = poured(
        &Pour {
            layer: Layer::Core,
            recipe: &request.core,
            volume_mm3: volumes.core_mm3,
            levelled_mm2: 0.0,
            remainder: request.shop.allowances.core_remainder,
        },
        request,
    )?;
    let cap = poured(
        &Pour {
            layer: Layer::Cap,
            recipe: &request.cap,
            volume_mm3: volumes.cap_mm3,
            levelled_mm2: volumes.opening_area_mm2,
            remainder: request.shop.allowances.cap_remainder,
        },
        request,
    )?;
    let slopes = Slopes {
        skin_g_per_tenth_mm: volumes.inner_face_mm2 * 0.1 / 1000.0 * skin.density_g_cm3,
        core_g_per_mm: volumes.level_area_mm2 / 1000.0 * core.density_g_cm3,
        cap_g_per_mm: volumes.level_area_mm2 / 1000.0 * cap.density_g_cm3,
    };
    let layers = [skin, core, cap];
    let recipes = [&request.skin, &request.core, &request.cap];
    let used = layers.iter().zip(recipes).filter(|(layer, _)| !layer.dose.is_empty());
    let systems = used.map(|(_, recipe)| &recipe.system);
    // What thickens a build coat is a powder, whatever the system.
    let thickened = layers[0].coats.iter().any(|c| c.thickened && !c.dose.is_empty());
    let work: &[Hazard] = if thickened { &[Hazard::Dust] } else { &[] };
    Ok(Plan {
        findings: notice::findings(&layers, recipes, volumes.opening_area_mm2 > 0.0, request),
        cautions: cautions(systems, work),
        layers,
        slopes,
        allowances: request.shop.allowances,
        scale_step_g: request.shop.scale_step_g,
    })
}

fn skin(volumes: &LayerVolumes, request: &PlanRequest) -> Result<LayerPlan, PlanError> {
    let mix = mix_for(Layer::Skin, &request.skin)?;
    let several = volumes.coats.len() > 1;
    let coats: Vec<CoatPlan> = volumes
        .coats
        .iter()
        .enumerate()
        .map(|(i, coat)| one_coat(coat, !several || i > 0, &mix, request))
        .collect();
    let dose = Dose::sum(coats.iter().map(|c| &c.dose), request.shop.scale_step_g);
    let flange_mm3 = coats.iter().map(|c| c.flange_mm3).sum();
    let skin = layer(Layer::Skin, &request.skin, &mix, volumes.skin_mm3, dose);
    Ok(LayerPlan { coats, flange_mm3, ..skin })
}

fn one_coat(coat: &CoatVolume, thickened: bool, mix: &Mix, request: &PlanRequest) -> CoatPlan {
    let filled_g_cm3 = mix.filled_density_g_cm3;
    let purpose = Purpose {
        net_g: net_g(coat.volume_mm3.best() + coat.flange_mm3, filled_g_cm3),
        liquid_g_cm3: mix.density_g_cm3,
        filled_g_cm3,
        thickened,
        brushed: true,
        levelled_mm2: 0.0,
        remainder: request.shop.allowances.skin_remainder,
    };
    CoatPlan {
        thickness_mm: coat.thickness_mm,
        volume_mm3: coat.volume_mm3,
        flange_mm3: coat.flange_mm3,
        thickened,
        // 1 mm on 100 cm² is 10 cm³.
        g_per_100_cm2: 10.0 * coat.thickness_mm * filled_g_cm3,
        yield_stress_pa: yield_stress_pa(coat.thickness_mm, mix.density_g_cm3),
        dose: dose(mix, &purpose, request),
    }
}

/// The yield stress that a coat needs to stand on a vertical wall without draining, Pa.
///
/// Units: mm and g/cm³ in; 1 g/cm³ × 1 m/s² × 1 mm is 1 Pa.
/// Source: balance of weight and wall shear of a layer that doesn't flow, τ = ρ·g·t.
pub fn yield_stress_pa(thickness_mm: f64, density_g_cm3: f64) -> f64 {
    density_g_cm3 * GRAVITY_M_S2 * thickness_mm
}

/// Core or cap: what is poured in one go.
struct Pour<'a> {
    layer: Layer,
    recipe: &'a Recipe,
    volume_mm3: Bounds,
    /// The opening that it is levelled over.
    levelled_mm2: f64,
    remainder: f64,
}

fn poured(pour: &Pour<'_>, request: &PlanRequest) -> Result<LayerPlan, PlanError> {
    let mix = mix_for(pour.layer, pour.recipe)?;
    let purpose = Purpose {
        net_g: poured_g(pour.volume_mm3, mix.filled_density_g_cm3, request.shop.scale_step_g),
        liquid_g_cm3: mix.density_g_cm3,
        filled_g_cm3: mix.filled_density_g_cm3,
        thickened: false,
        brushed: false,
        levelled_mm2: pour.levelled_mm2,
        remainder: pour.remainder,
    };
    let dose = dose(&mix, &purpose, request);
    Ok(layer(pour.layer, pour.recipe, &mix, pour.volume_mm3, dose))
}

fn layer(layer: Layer, recipe: &Recipe, mix: &Mix, volume_mm3: Bounds, dose: Dose) -> LayerPlan {
    LayerPlan {
        layer,
        system_id: recipe.system.id.clone(),
        system_title: recipe.system.title.clone(),
        softener: recipe.softener,
        hardness: recipe.system.hardness_with(recipe.softener),
        volume_mm3,
        flange_mm3: 0.0,
        density_g_cm3: mix.filled_density_g_cm3,
        density_basis: mix.basis,
        expands: recipe.system.densities.moulded_g_cm3.is_some(),
        dose,
        coats: Vec::new(),
    }
}

fn mix_for(layer: Layer, recipe: &Recipe) -> Result<Mix, PlanError> {
    Mix::new(&recipe.system, recipe.softener).map_err(|source| PlanError::Mix { layer, source })
}

fn net_g(volume_mm3: f64, density_g_cm3: f64) -> f64 {
    if volume_mm3 < NOTHING_MM3 { 0.0 } else { volume_mm3 / 1000.0 * density_g_cm3 }
}

/// What is to be poured: nothing where there may be nothing and the scale would show nothing.
fn poured_g(volume_mm3: Bounds, density_g_cm3: f64, step_g: f64) -> f64 {
    let grams = net_g(volume_mm3.best(), density_g_cm3);
    if volume_mm3.low() <= 0.0 && grams < step_g { 0.0 } else { grams }
}

fn dose(mix: &Mix, purpose: &Purpose, request: &PlanRequest) -> Dose {
    if purpose.net_g > 0.0 { Dose::of(mix, purpose, request) } else { Dose::default() }
}

fn check_volumes(volumes: &LayerVolumes) -> Result<(), PlanError> {
    let volume = |what, value| {
        in_range(what, value, -NOTHING_MM3, VOLUME_MM3_MAX, "a volume from 0 to 1000 m³")
    };
    let area = |what, value| in_range(what, value, 0.0, AREA_MM2_MAX, "an area from 0 to 1000 m²");
    for coat in &volumes.coats {
        volume("the volume of a coat in mm³", coat.volume_mm3.best())?;
        volume("the flange's share of a coat in mm³", coat.flange_mm3)?;
        in_range("a coat's thickness in mm", coat.thickness_mm, 0.0, 1e6, "0 to 1000 m")?;
    }
    volume("the skin's volume in mm³", volumes.skin_mm3.best())?;
    volume("the core's volume in mm³", volumes.core_mm3.best())?;
    volume("the cap's volume in mm³", volumes.cap_mm3.best())?;
    area("the skin's inner face in mm²", volumes.inner_face_mm2)?;
    area("the level area in mm²", volumes.level_area_mm2)?;
    area("the opening's area in mm²", volumes.opening_area_mm2)
}

fn check_request(request: &PlanRequest) -> Result<(), PlanError> {
    let a = &request.shop.allowances;
    in_range("the scale's step in g", request.shop.scale_step_g, 0.001, 1000.0, "0.001 g to 1 kg")?;
    for (what, value) in [
        ("the film of a plain mix in mm", a.film_plain_mm),
        ("the film of a thickened mix in mm", a.film_thickened_mm),
        ("the levelling in mm", a.levelling_mm),
    ] {
        in_range(what, value, 0.0, 100.0, "0 to 100 mm")?;
    }
    for (what, value) in [
        ("what stays in the brush in g", a.brush_g),
        ("the smallest batch in g", a.smallest_batch_g),
    ] {
        in_range(what, value, 0.0, 1e6, "0 g to 1000 kg")?;
    }
    for (what, value) in [
        ("the skin's remainder", a.skin_remainder),
        ("the core's remainder", a.core_remainder),
        ("the cap's remainder", a.cap_remainder),
    ] {
        in_range(what, value, 0.0, 10.0, "a share from 0 to 10")?;
    }
    Ok(())
}

fn in_range(
    what: &'static str,
    value: f64,
    low: f64,
    high: f64,
    expected: &'static str,
) -> Result<(), PlanError> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(PlanError::OutOfRange { what, value, expected })
}
