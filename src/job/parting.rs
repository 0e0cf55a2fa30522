//! A piece cast in a two-part mould: skin by half, seam, gate.

use std::f64::consts::PI;

use super::JobError;
use crate::bounds::Bounds;
use crate::cavity::Cavity;
use crate::layers::{LayerRequest, ShellRequest, skin_by_part};
use crate::mould::check_parting;
use crate::plan::{LayerVolumes, Plan, SeamCoat, TwoPart};
use crate::sheet::{GateFacts, Parting, SkinHalf};
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
        self.bore_mm2() * self.length.mm()
    }

    /// What a plug as deep as the cap fills, mm³; never more than the gate.
    pub fn plug_mm3(&self, cap: Length) -> f64 {
        self.bore_mm2() * cap.mm().min(self.length.mm())
    }

    fn bore_mm2(&self) -> f64 {
        PI / 4.0 * self.diameter.mm().powi(2)
    }
}

/// What the seam and the gate take beside the layers; no seam where there is no skin to lay it
/// with, or the skin leaves no room for it.
pub fn two_part(
    cavity: &Cavity,
    layers: &LayerRequest,
    asked: &PartingRequest,
    volumes: &LayerVolumes,
    cap: Length,
) -> TwoPart {
    let seam = seam(cavity, layers, asked);
    // The coat lies where the core would be.
    let room_mm3 = volumes.core_mm3.high();
    TwoPart {
        seam: seam.filter(|seam| seam.volume_mm3() <= room_mm3),
        gate_mm3: asked.gate.map_or(0.0, |gate| gate.volume_mm3()),
        plug_mm3: asked.gate.map_or(0.0, |gate| gate.plug_mm3(cap)),
    }
}

fn seam(cavity: &Cavity, layers: &LayerRequest, asked: &PartingRequest) -> Option<SeamCoat> {
    let seam = SeamCoat {
        length_mm: cavity.outline_at_mm(asked.level.mm()),
        width_mm: asked.seam_width.mm(),
        // As thick as the last coat.
        thickness_mm: *layers.coats_mm.last()?,
    };
    (seam.volume_mm3() > 0.0).then_some(seam)
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
pub fn parted(
    cavity: &Cavity,
    layers: &LayerRequest,
    asked: &PartingRequest,
    two_part: &TwoPart,
    plan: &Plan,
) -> Parting {
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
    Parting {
        level_mm,
        halves: [half(0, lower_mm2), half(1, upper_mm2)],
        seam: two_part.seam,
        seam_without_room_mm3: seam(cavity, layers, asked)
            .filter(|_| two_part.seam.is_none())
            .map(|seam| seam.volume_mm3()),
        gate: asked.gate.map(|gate| GateFacts {
            diameter_mm: gate.diameter.mm(),
            length_mm: gate.length.mm(),
            volume_mm3: gate.volume_mm3(),
            plug_mm3: two_part.plug_mm3,
        }),
    }
}
