//! A piece cast in a two-part mould: skin by half, seam, gate.

use std::f64::consts::PI;

use super::{JobError, JobRequest};
use crate::bounds::Bounds;
use crate::cavity::Cavity;
use crate::layers::{LayerRequest, ShellRequest, skin_by_part};
use crate::mould::check_parting;
use crate::plan::{Lay, LayerVolumes, Plan, Single};
use crate::sheet::{GateFacts, Parting, Seam, SkinHalf};
use crate::units::Length;

/// The two parts of a mould that closes round the piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartingRequest {
    /// Height over the lowest point at which it is parted.
    pub level: Length,
    /// Width of the coat over the seam; 0 for none.
    pub seam_width: Length,
    /// Where the core is poured in.
    pub gate: Option<GateRequest>,
}

/// Gate and tube that the core is poured through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GateRequest {
    /// How wide it is.
    pub diameter: Length,
    /// How long, the tube included.
    pub length: Length,
}

impl PartingRequest {
    /// Width of the seam coat where none is named: half on either side (common practice, no
    /// source).
    pub const SEAM_WIDTH: Length = Length::from_mm(10.0);
}

impl GateRequest {
    /// What stays in it, mm³.
    pub fn volume_mm3(&self) -> f64 {
        PI / 4.0 * self.diameter.mm().powi(2) * self.length.mm()
    }
}

/// Adds to the core what stays in the gate.
pub fn add_gate(volumes: &mut LayerVolumes, asked: &PartingRequest) {
    if let Some(gate) = &asked.gate {
        volumes.core_mm3 = volumes.core_mm3 + Bounds::exact(gate.volume_mm3());
    }
}

/// The one closed cavity that a parting divides.
///
/// # Errors
/// [`JobError`] where the mould isn't closed round one piece, or the parting passes it by.
pub fn divided<'a>(cavities: &'a [Cavity], asked: &PartingRequest) -> Result<&'a Cavity, JobError> {
    let [cavity] = cavities else { return Err(JobError::PartingOfMould) };
    if cavity.is_open() {
        return Err(JobError::PartingOfMould);
    }
    check_parting(cavity, Some(asked.level.mm()))?;
    Ok(cavity)
}

/// A mould is no cavity without an opening, whoever asked for one.
pub fn blamed(error: JobError, asked: Option<&PartingRequest>) -> JobError {
    match (error, asked) {
        (JobError::OpeningOfMould, Some(_)) => JobError::PartingOfMould,
        (other, _) => other,
    }
}

/// What the two parts of the cavity take, from the plan of the whole.
///
/// # Errors
/// [`JobError`] where the seam's coat can't be weighed.
pub fn parted(
    cavity: &Cavity,
    layers: &LayerRequest,
    asked: &PartingRequest,
    plan: &Plan,
    request: &JobRequest,
) -> Result<Parting, JobError> {
    let level_mm = asked.level.mm();
    let by_part = skin_by_part(
        cavity,
        &ShellRequest {
            coats_mm: layers.coats_mm.clone(),
            parting_mm: Some(level_mm),
            tolerance: layers.tolerance,
        },
        &|_| {},
    );
    let [skin, ..] = &plan.layers;
    let at_once = f64::from(plan.run.at_once());
    let lower_mm2 = cavity.wall_area_under_mm2(level_mm);
    let upper_mm2 = (cavity.measures().wall_area_mm2 - lower_mm2).max(0.0);
    let of_part =
        |volumes: &Vec<Bounds>, part: usize| volumes.get(part).copied().unwrap_or(Bounds::ZERO);
    let half = |part: usize, wall_mm2: f64| {
        let coats = by_part.coats_mm3.iter().zip(&skin.coats).map(|(volumes, coat)| {
            let volume = of_part(volumes, part);
            let all: f64 = volumes.iter().map(Bounds::best).sum();
            let share = if all > 0.0 { volume.best() / all } else { 0.0 };
            (volume, coat.dose.net_g / at_once * share)
        });
        let skin_mm3 = by_part.within_mm3.last().map_or(Bounds::ZERO, |all| of_part(all, part));
        SkinHalf { wall_mm2, coats: coats.collect(), skin_mm3 }
    };
    let laid = SeamLaid::new(cavity, layers, asked);
    // The coat lies where the core would be.
    let room = laid.volume_mm3() <= plan.layers[1].volume_mm3.high();
    Ok(Parting {
        level_mm,
        halves: [half(0, lower_mm2), half(1, upper_mm2)],
        seam: if room { seam(&laid, at_once, request)? } else { None },
        seam_without_room_mm3: Some(laid.volume_mm3()).filter(|_| !room),
        gate: asked.gate.map(|gate| GateFacts {
            diameter_mm: gate.diameter.mm(),
            length_mm: gate.length.mm(),
            volume_mm3: gate.volume_mm3(),
            plug_g: plug_g(&gate, request, plan),
        }),
    })
}

/// A plug as deep as the cap that was asked for, or as the gate is long.
fn plug_g(gate: &GateRequest, request: &JobRequest, plan: &Plan) -> f64 {
    let deep_mm = request.layers.cap.mm().min(gate.length.mm());
    let [skin, ..] = &plan.layers;
    PI / 4.0 * gate.diameter.mm().powi(2) * deep_mm / 1000.0 * skin.density_g_cm3
}

/// The coat over the seam as it lies in one mould, mm.
struct SeamLaid {
    length_mm: f64,
    width_mm: f64,
    /// That of the last coat; 0 without a skin.
    thickness_mm: f64,
}

impl SeamLaid {
    fn new(cavity: &Cavity, layers: &LayerRequest, asked: &PartingRequest) -> Self {
        Self {
            length_mm: cavity.outline_at_mm(asked.level.mm()),
            width_mm: asked.seam_width.mm(),
            thickness_mm: layers.coats_mm.last().copied().unwrap_or_default(),
        }
    }

    fn area_mm2(&self) -> f64 {
        self.length_mm * self.width_mm
    }

    fn volume_mm3(&self) -> f64 {
        self.area_mm2() * self.thickness_mm
    }
}

fn seam(laid: &SeamLaid, at_once: f64, request: &JobRequest) -> Result<Option<Seam>, JobError> {
    let (area_mm2, volume_mm3) = (laid.area_mm2(), laid.volume_mm3());
    if volume_mm3 <= 0.0 {
        return Ok(None);
    }
    // A coat by itself is thickened, as the build coats are.
    let lay = Lay::Brushed { area_mm2: at_once * area_mm2, index: 0, count: 1 };
    let (system, shop) = (&request.materials.skin.system, &request.materials.shop);
    let single = Single::of("seam", system, at_once * volume_mm3, lay, shop)?;
    let &SeamLaid { length_mm, width_mm, thickness_mm } = laid;
    Ok(Some(Seam { length_mm, width_mm, thickness_mm, volume_mm3, single }))
}
