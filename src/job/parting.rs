//! A piece cast in a two-part mould: skin by half, seam, gate.

use std::f64::consts::PI;

use super::JobError;
use super::halves::{HalfScan, Halves};
use crate::bounds::Bounds;
use crate::cavity::Cavity;
use crate::layers::{LayerRequest, Layers, ShellRequest, skin_by_part};
use crate::mesh::Vec3;
use crate::mould::check_parting;
use crate::plan::{LayerVolumes, Plan, SeamCoat, TwoPart};
use crate::sheet::{CavityFacts, GateFacts, Parting, SkinHalf};
use crate::units::Length;

/// The two parts of a mould that closes round the piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PartingRequest {
    /// What divides it.
    pub by: PartedBy,
    /// Width of the coat over the seam; 0 for none.
    pub seam_width: Length,
    /// Where the core is poured in.
    pub gate: Option<GateRequest>,
}

/// What divides a mould into its two parts.
#[derive(Debug, Clone, PartialEq)]
pub enum PartedBy {
    /// A level plane at this height over the piece's lowest point.
    Level(Length),
    /// Each half was scanned by itself: the mesh is one, this the other.
    OtherHalf(HalfScan),
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

/// A mould that is divided in two.
pub enum Divided<'a> {
    /// One closed cavity, by a level plane at this height, mm.
    ByLevel(&'a Cavity, f64),
    /// By its makers: two cavities that are open towards each other.
    InHalves(Box<Halves>),
}

/// The cavity that a parting divides, or the two that make it up.
///
/// # Errors
/// [`JobError`] where the mould isn't closed round one piece, or the parting passes it by.
pub fn divided<'a>(
    cavities: &'a [Cavity],
    asked: &PartingRequest,
    halves: Option<Halves>,
) -> Result<Divided<'a>, JobError> {
    let level = match (&asked.by, halves) {
        (PartedBy::Level(level), _) => level.mm(),
        (PartedBy::OtherHalf(_), Some(halves)) => return Ok(Divided::InHalves(Box::new(halves))),
        (PartedBy::OtherHalf(_), None) => return Err(JobError::PartingOfMould),
    };
    let [cavity] = cavities else { return Err(JobError::PartingOfMould) };
    if cavity.is_open() {
        return Err(JobError::PartingOfMould);
    }
    check_parting(cavity, Some(level))?;
    Ok(Divided::ByLevel(cavity, level))
}

/// A mould is no cavity without an opening, whoever asked for one.
pub fn blamed(error: JobError, asked: Option<&PartingRequest>) -> JobError {
    match (error, asked) {
        (JobError::OpeningOfMould, Some(_)) => JobError::PartingOfMould,
        (other, _) => other,
    }
}

impl Divided<'_> {
    /// The wall as it is brushed, half by half; and two halves that close on each other have no
    /// opening to level anything over.
    pub fn in_halves(&self, volumes: &mut LayerVolumes, facts: &mut CavityFacts) {
        match self {
            Self::InHalves(_) => {
                (volumes.opening_area_mm2, volumes.level_area_mm2) = (0.0, 0.0);
            }
            Self::ByLevel(cavity, level) => {
                let slopes = cavity.slopes_in_halves(*level);
                facts.measures.slope_area_mm2 = slopes;
                volumes.wall.floor_mm2 = slopes.floor;
                volumes.wall.steep_mm2 = slopes.steep;
                volumes.wall.overhanging_mm2 = slopes.overhanging;
            }
        }
    }

    /// What the seam and the gate take beside the layers; no seam where there is no skin to lay it
    /// with, or the skin leaves no room for it.
    pub fn two_part(
        &self,
        layers: &LayerRequest,
        asked: &PartingRequest,
        volumes: &LayerVolumes,
        cap: Length,
    ) -> TwoPart {
        // The coat lies where the core would be.
        let room_mm3 = volumes.core_mm3.high();
        TwoPart {
            seam: self.seam(layers, asked).filter(|seam| seam.volume_mm3() <= room_mm3),
            gate_mm3: asked.gate.map_or(0.0, |gate| gate.volume_mm3()),
            plug_mm3: asked.gate.map_or(0.0, |gate| gate.plug_mm3(cap)),
        }
    }

    fn seam(&self, layers: &LayerRequest, asked: &PartingRequest) -> Option<SeamCoat> {
        let seam = SeamCoat {
            length_mm: match self {
                Self::ByLevel(cavity, level) => cavity.outline_at_mm(*level),
                Self::InHalves(halves) => halves.seam_mm,
            },
            width_mm: asked.seam_width.mm(),
            // As thick as the last coat.
            thickness_mm: *layers.coats_mm.last()?,
        };
        (seam.volume_mm3() > 0.0).then_some(seam)
    }

    /// What the two parts take, from the plan of the whole; `split` has the layers of the halves
    /// where each is a cavity of its own.
    pub fn parted(
        self,
        layers: &LayerRequest,
        asked: &PartingRequest,
        split: &[(&Cavity, Layers)],
        two_part: &TwoPart,
        plan: &Plan,
    ) -> Parting {
        let halves = match &self {
            Self::ByLevel(cavity, level) => by_level(cavity, *level, layers),
            Self::InHalves(_) => by_cavity(split),
        };
        Parting {
            level_mm: match &self {
                Self::ByLevel(_, level) => Some(*level),
                Self::InHalves(_) => None,
            },
            halves: halves.map(|half| of_half(half, plan)),
            seam_without_room_mm3: self
                .seam(layers, asked)
                .filter(|_| two_part.seam.is_none())
                .map(|seam| seam.volume_mm3()),
            gate: asked.gate.map(|gate| GateFacts {
                diameter_mm: gate.diameter.mm(),
                length_mm: gate.length.mm(),
                wider_than_mm: narrowest_mm(split).filter(|mm| *mm < gate.diameter.mm()),
            }),
            other: match self {
                Self::ByLevel(..) => None,
                Self::InHalves(halves) => Some(halves.other),
            },
        }
    }
}

/// The narrowest way across the piece, along the axes of its pouring frames, mm.
fn narrowest_mm(split: &[(&Cavity, Layers)]) -> Option<f64> {
    let extents = split.iter().filter_map(|(cavity, _)| {
        let (low, high) = cavity.wall().bounding_box()?;
        Some(high - low)
    });
    let together = extents.reduce(|a, b| Vec3::new(a.x.max(b.x), a.y.max(b.y), a.z + b.z))?;
    Some(together.min_element())
}

/// The skin of one half, and of each of its coats the share of the whole coat.
struct HalfLaid {
    wall_mm2: f64,
    skin_mm3: Bounds,
    coats: Vec<(Bounds, f64)>,
}

/// What lies on either side of a level.
fn by_level(cavity: &Cavity, level_mm: f64, layers: &LayerRequest) -> [HalfLaid; 2] {
    let by_part = skin_by_part(
        cavity,
        &ShellRequest {
            coats_mm: layers.coats_mm.clone(),
            parting_mm: Some(level_mm),
            tolerance: layers.tolerance,
        },
        &|_| {},
    );
    let lower_mm2 = cavity.wall_area_under_mm2(level_mm);
    let upper_mm2 = (cavity.measures().wall_area_mm2 - lower_mm2).max(0.0);
    let walls_mm2 = [lower_mm2, upper_mm2];
    [0, 1].map(|part| {
        let of_part = |volumes: &Vec<Bounds>| volumes.get(part).copied().unwrap_or(Bounds::ZERO);
        let coats = by_part.coats_mm3.iter().map(|volumes| {
            let all: f64 = volumes.iter().map(Bounds::best).sum();
            with_share(of_part(volumes), all)
        });
        HalfLaid {
            wall_mm2: walls_mm2[part],
            skin_mm3: by_part.within_mm3.last().map_or(Bounds::ZERO, of_part),
            coats: coats.collect(),
        }
    })
}

/// What lies in either cavity.
fn by_cavity(split: &[(&Cavity, Layers)]) -> [HalfLaid; 2] {
    [0, 1].map(|part| {
        let Some((cavity, layers)) = split.get(part) else {
            return HalfLaid { wall_mm2: 0.0, skin_mm3: Bounds::ZERO, coats: Vec::new() };
        };
        let coats = layers.coats_mm3.iter().enumerate().map(|(k, volume)| {
            let all = split.iter().filter_map(|(_, l)| l.coats_mm3.get(k)).map(Bounds::best).sum();
            with_share(*volume, all)
        });
        HalfLaid {
            wall_mm2: cavity.measures().wall_area_mm2,
            skin_mm3: layers.skin_mm3,
            coats: coats.collect(),
        }
    })
}

fn with_share(volume: Bounds, all_mm3: f64) -> (Bounds, f64) {
    (volume, if all_mm3 > 0.0 { volume.best() / all_mm3 } else { 0.0 })
}

/// One half of one casting, with its share of the grams of every coat.
fn of_half(laid: HalfLaid, plan: &Plan) -> SkinHalf {
    let [skin, ..] = &plan.layers;
    let at_once = f64::from(plan.run.at_once());
    let coats = laid.coats.into_iter().zip(&skin.coats);
    let grams = coats.map(|((volume, share), c)| (volume, c.dose.net_g / at_once * share));
    SkinHalf { wall_mm2: laid.wall_mm2, coats: grams.collect(), skin_mm3: laid.skin_mm3 }
}
