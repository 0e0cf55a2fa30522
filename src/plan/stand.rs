//! Whether a coat stands on the steep part of the wall.

use super::{CoatPlan, LayerPlan, LayerVolumes, Recipe, SkinBy};
use crate::finding::Finding;
use crate::units::Coats;

/// Acceleration of gravity, m/s² (standard value, ISO 80000-3).
const GRAVITY_M_S2: f64 = 9.80665;
/// Less of the wall than this is not worth telling that it is steep.
const STEEP_SHARE_WORTH_TELLING: f64 = 0.01;
/// How thick a plain print coat is laid where the system doesn't say how thick it stands, mm.
///
/// Source: common practice, no source.
const PRINT_MM: f64 = 0.4;
/// A coat over what it stands by less than this stands, mm: finer than any brush lays it.
const SLACK_MM: f64 = 0.005;

/// The yield stress that a coat needs to stand on a vertical wall without draining, Pa.
///
/// Units: mm and g/cm³ in; 1 g/cm³ × 1 m/s² × 1 mm is 1 Pa.
/// Source: balance of weight and wall shear of a layer that doesn't flow, τ = ρ·g·t.
pub fn yield_stress_pa(thickness_mm: f64, density_g_cm3: f64) -> f64 {
    density_g_cm3 * GRAVITY_M_S2 * thickness_mm
}

/// The film that is left of a liquid on a vertical wall so far below its upper edge, mm.
///
/// Units: mPa·s, mm, g/cm³, minutes. Assumptions: a liquid without yield stress, of one viscosity
/// until it gels.
/// Source: H. Jeffreys 1930, h = √(μz/(ρgT)).
pub fn draining_film_mm(
    viscosity_mpa_s: f64,
    below_edge_mm: f64,
    density_g_cm3: f64,
    minutes: f64,
) -> f64 {
    let viscosity_pa_s = viscosity_mpa_s / 1000.0;
    let (below_m, seconds) = (below_edge_mm / 1000.0, minutes * 60.0);
    let density_kg_m3 = density_g_cm3 * 1000.0;
    1000.0 * (viscosity_pa_s * below_m / (density_kg_m3 * GRAVITY_M_S2 * seconds)).sqrt()
}

/// What the person with the brush should know: one finding for all coats, with the way out.
pub(super) fn coats_that_run(
    skin: &LayerPlan,
    recipe: &Recipe,
    volumes: &LayerVolumes,
    by: SkinBy,
) -> Option<Finding> {
    let wall = &volumes.wall;
    let steep_mm2 = wall.steep_mm2 + wall.overhanging_mm2;
    if by == SkinBy::Former || steep_mm2 <= STEEP_SHARE_WORTH_TELLING * wall.area_mm2 {
        return None;
    }
    let coats = || skin.coats.iter().enumerate().filter(|(_, coat)| !coat.dose.is_empty());
    let runs = |coat: &CoatPlan| coat.stands_mm.is_some_and(|mm| coat.thickness_mm > mm + SLACK_MM);
    let running: Vec<String> = coats()
        .filter(|(_, coat)| runs(coat))
        .map(|(i, coat)| {
            let which =
                if skin.coats.len() == 1 { "the coat".into() } else { format!("coat {}", i + 1) };
            let thick = if coat.thickened { "thickened" } else { "plain" };
            let stands_mm = coat.stands_mm.unwrap_or_default();
            format!("{which} of {:.2} mm, {thick}, stands to {stands_mm} mm", coat.thickness_mm)
        })
        .collect();
    if !running.is_empty() {
        let message = format!(
            "skin: {:.0} cm² of wall are steep, and a coat too thick runs down: {}",
            steep_mm2 / 100.0,
            running.join("; ")
        );
        return Some(Finding::warning("coat-runs", message).with_hint(way_out(skin, recipe, by)));
    }
    let (_, unknown) = coats()
        .filter(|(_, coat)| coat.stands_mm.is_none())
        .max_by(|a, b| a.1.thickness_mm.total_cmp(&b.1.thickness_mm))?;
    Some(not_known(unknown, skin, recipe, wall.depth_mm, by))
}

/// Nothing tells how thick the mix stands: what it needs, and what a plain one leaves.
fn not_known(
    coat: &CoatPlan,
    skin: &LayerPlan,
    recipe: &Recipe,
    depth_mm: f64,
    by: SkinBy,
) -> Finding {
    let mut message = format!(
        "skin: system `{}` doesn't say how thick a coat stands; {:.2} mm stand on a steep wall with \
         a yield stress of {:.0} Pa or more",
        recipe.system.id, coat.thickness_mm, coat.yield_stress_pa
    );
    let viscosity = recipe.system.viscosity_mpa_s.as_ref().map(|v| v.value);
    let gel = skin.times.gel_minutes.filter(|minutes| *minutes > 0.0);
    if !coat.thickened
        && depth_mm > 0.0
        && let (Some(viscosity_mpa_s), Some(minutes)) = (viscosity, gel)
    {
        let film_mm = draining_film_mm(viscosity_mpa_s, depth_mm, coat.density_g_cm3, minutes);
        message += &format!(
            "; with none, {film_mm:.2} mm are left {depth_mm:.0} mm below the edge after {minutes:.0} \
             minutes"
        );
        if film_mm < coat.thickness_mm {
            let hint = way_out(skin, recipe, by);
            return Finding::warning("coat-runs", message).with_hint(hint);
        }
    }
    Finding::note("coat-stand-unknown", message)
        .with_hint("brush a test patch on a steep place first, and look at it once it has gelled")
}

/// More coats, thickened, or turned while it gels.
fn way_out(skin: &LayerPlan, recipe: &Recipe, by: SkinBy) -> String {
    let mut ways = Vec::new();
    if let Some(list) = list_that_stands(skin, recipe, by) {
        ways.push(format!("brush more coats (--coats {list})"));
    }
    let plain = skin.coats.iter().skip(usize::from(skin.coats.len() > 1)).any(|c| !c.thickened);
    if by == SkinBy::Brush && plain && recipe.system.thickener.is_some() {
        ways.push("thicken".to_owned());
    }
    ways.push("turn the mould while it gels".to_owned());
    match ways.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{}, or {last}", rest.join(", ")),
        _ => ways.concat(),
    }
}

/// The coats that add up to the skin and stand, as `--coats` takes them: a plain print coat, then
/// equal build coats; `None` where nothing tells, or where it takes too many or too thin ones.
fn list_that_stands(skin: &LayerPlan, recipe: &Recipe, by: SkinBy) -> Option<String> {
    let thinnest = Coats::THINNEST.mm();
    let build = &recipe.system.build;
    let plain_mm = build.plain_mm.as_ref().map(|b| b.value);
    let thickened_mm = build.thickened_mm.as_ref().map(|b| b.value);
    // As the plan thickens, or would: more coats of what runs are no way out where it needn't run.
    let can_thicken = by == SkinBy::Brush && recipe.system.thickener.is_some();
    let build_mm = if can_thicken { thickened_mm.or(plain_mm) } else { plain_mm }?;
    let whole_mm: f64 = skin.coats.iter().map(|c| c.thickness_mm).sum();
    let print_mm = plain_mm.unwrap_or(PRINT_MM).min(PRINT_MM).min(whole_mm);
    let rest_mm = whole_mm - print_mm;
    let count = (rest_mm / (build_mm + SLACK_MM)).ceil();
    if print_mm < thinnest || !(1.0..f64::from(Coats::MOST)).contains(&count) {
        return None;
    }
    // Hundredths of a millimetre; the last coat is thinner by what rounding leaves.
    let each_mm = (rest_mm / count * 100.0 - 1e-9).ceil() / 100.0;
    let last_mm = rest_mm - each_mm * (count - 1.0);
    if last_mm < thinnest {
        return None;
    }
    let mm = |value: f64| format!("{}mm", (value * 1e4).round() / 1e4);
    let mut list = vec![mm(print_mm)];
    list.extend(std::iter::repeat_n(mm(each_mm), count as usize - 1));
    list.push(mm(last_mm));
    Some(list.join(","))
}
