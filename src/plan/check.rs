//! What a plan refuses at once: numbers that are no lengths, volumes, grams or rates.

use super::{LayerVolumes, PlanError, PlanRequest, Run, Shop, SkinBy};

/// Less than this is nothing: a tenth of a milligram, below any scale, but above the rounding of
/// volumes that are differences.
pub(super) const NOTHING_MM3: f64 = 0.1;
/// A litre has 1e6 mm³; a thousand cubic metres are no casting but a slip.
pub(super) const VOLUME_MM3_MAX: f64 = 1e12;
const AREA_MM2_MAX: f64 = 1e9;

pub(super) fn volumes(volumes: &LayerVolumes) -> Result<(), PlanError> {
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
    area("the opening's area in mm²", volumes.opening_area_mm2)?;
    let wall = &volumes.wall;
    area("the wall's area in mm²", wall.area_mm2)?;
    area("the floor's area in mm²", wall.floor_mm2)?;
    area("the steep wall's area in mm²", wall.steep_mm2)?;
    area("the overhanging wall's area in mm²", wall.overhanging_mm2)?;
    in_range("the cavity's depth in mm", wall.depth_mm, 0.0, 1e6, "0 to 1000 m")?;
    let two_part = &volumes.two_part;
    volume("the gate's volume in mm³", two_part.gate_mm3)?;
    volume("the plug's volume in mm³", two_part.plug_mm3)?;
    if let Some(seam) = &two_part.seam {
        volume("the seam's volume in mm³", seam.volume_mm3())?;
        area("the seam's area in mm²", seam.area_mm2())?;
    }
    Ok(())
}

pub(super) fn request(request: &PlanRequest, volumes: &LayerVolumes) -> Result<(), PlanError> {
    shop(&request.shop)?;
    let most = f64::from(Run::MOST);
    let number = |what, value: u32| in_range(what, f64::from(value), 1.0, most, "1 to 10000");
    number("the number of castings", request.run.castings)?;
    number("the number of moulds", request.run.moulds)?;
    let by = request.coating.by;
    if by == SkinBy::Former && volumes.coats.len() > 1 {
        return Err(PlanError::CoatsRoundAFormer { coats: volumes.coats.len() });
    }
    if by != SkinBy::Brush && request.coating.patch.is_some() {
        return Err(PlanError::PatchWithoutBrush);
    }
    Ok(())
}

/// Whether a shop's numbers can be meant.
pub(super) fn shop(shop: &Shop) -> Result<(), PlanError> {
    let (a, pace) = (&shop.allowances, &shop.pace);
    in_range("the scale's step in g", shop.scale_step_g, 0.001, 1000.0, "0.001 g to 1 kg")?;
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
        ("the smallest component in g", a.smallest_component_g),
    ] {
        in_range(what, value, 0.0, 1e6, "0 g to 1000 kg")?;
    }
    for (what, value) in [
        ("the skin's remainder", a.skin_remainder),
        ("the core's remainder", a.core_remainder),
        ("the cap's remainder", a.cap_remainder),
        ("the overspray", a.overspray),
        ("what drains back", a.slush_surplus),
    ] {
        in_range(what, value, 0.0, 10.0, "a share from 0 to 10")?;
    }
    in_range("the ratio's tolerance", a.ratio_tolerance, 1e-4, 1.0, "a share from 0.0001 to 1")?;
    in_range("a witness puck in cm³", a.puck_cm3, 0.0, 1e4, "0 to 10000 cm³")?;
    for cup in &shop.cups_cm3 {
        in_range("a cup in cm³", *cup, 1.0, 1e6, "1 cm³ to 1 m³")?;
    }
    for (what, value) in [
        ("how full a cup may be", shop.cup_fill),
        ("how full a cup may be in vacuum", shop.cup_fill_vacuum),
        ("how full a cup of silicone may be in vacuum", shop.cup_fill_vacuum_silicone),
    ] {
        in_range(what, value, 0.01, 1.0, "a share from 0.01 to 1")?;
    }
    for (what, value) in [
        ("brushing a print coat in cm²/min", pace.print_cm2_per_minute),
        ("brushing a build coat in cm²/min", pace.build_cm2_per_minute),
        ("spraying in cm²/min", pace.spray_cm2_per_minute),
        ("pouring in g/min", pace.pour_g_per_minute),
    ] {
        in_range(what, value, 0.1, 1e6, "0.1 to 1000000 a minute")?;
    }
    for (what, value) in [
        ("mixing in min", pace.mixing_minutes),
        ("mixing more than 1 kg in min", pace.mixing_large_minutes),
        ("mixing a foam in min", pace.mixing_foam_minutes),
        ("degassing in min", pace.degassing_minutes),
        ("drying of the release agent in min", pace.release_minutes),
    ] {
        in_range(what, value, 0.0, 1e5, "0 to 100000 minutes")?;
    }
    in_range("the reserve", pace.reserve, 0.0, 0.95, "a share from 0 to 0.95")
}

pub(super) fn in_range(
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
