//! Two-part moulds in `cavigram/plan/1`.

use serde::Serialize;

use super::dose::DoseWire;
use super::shared::{Health, Mesh, Volume, cm2, cm3};
use crate::sheet::{
    CoatPlan, GateFacts, LayerPlan, OtherHalf, Parting, SeamCoat, SkinHalf, TwoPart,
};

/// What `--parting` adds.
#[derive(Serialize)]
pub struct PartingWire<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    parting_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    other_half: Option<OtherHalfWire<'a>>,
    /// Lower, then upper; of two meshes first, then other.
    halves: Vec<HalfWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    seam: Option<SeamWire<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    gate: Option<GateWire>,
}

#[derive(Serialize)]
struct OtherHalfWire<'a> {
    mesh: Mesh<'a>,
    health: Health,
}

#[derive(Serialize)]
struct HalfWire {
    name: &'static str,
    wall_area_cm2: f64,
    #[serde(flatten)]
    skin: Volume,
    net_g: f64,
    coats: Vec<CoatWire>,
}

#[derive(Serialize)]
struct CoatWire {
    #[serde(flatten)]
    volume: Volume,
    net_g: f64,
}

#[derive(Serialize)]
struct SeamWire<'a> {
    length_cm: f64,
    width_mm: f64,
    thickness_mm: f64,
    volume_cm3: f64,
    #[serde(flatten)]
    dose: DoseWire<'a>,
}

#[derive(Serialize)]
struct GateWire {
    diameter_mm: f64,
    length_mm: f64,
    volume_cm3: f64,
    plug_g: f64,
}

impl<'a> PartingWire<'a> {
    pub fn new(parting: &'a Parting, two_part: &TwoPart, [skin, cap]: [&'a LayerPlan; 2]) -> Self {
        let names = if parting.other.is_some() { ["first", "other"] } else { ["lower", "upper"] };
        let halves = names.into_iter().zip(&parting.halves);
        Self {
            parting_mm: parting.level_mm,
            other_half: parting.other.as_ref().map(OtherHalfWire::new),
            halves: halves.map(|(name, half)| HalfWire::new(name, half)).collect(),
            seam: two_part
                .seam
                .as_ref()
                .zip(skin.seam.as_ref())
                .map(|(s, coat)| SeamWire::new(s, coat)),
            gate: parting.gate.as_ref().map(|gate| GateWire::new(gate, two_part, cap)),
        }
    }
}

impl<'a> OtherHalfWire<'a> {
    fn new(other: &'a OtherHalf) -> Self {
        Self { mesh: Mesh::new(&other.mesh), health: Health::new(&other.health) }
    }
}

impl HalfWire {
    fn new(name: &'static str, half: &SkinHalf) -> Self {
        let coat =
            |(volume, net_g): &(_, f64)| CoatWire { volume: Volume::new(*volume), net_g: *net_g };
        Self {
            name,
            wall_area_cm2: cm2(half.wall_mm2),
            skin: Volume::new(half.skin_mm3),
            net_g: half.net_g(),
            coats: half.coats.iter().map(coat).collect(),
        }
    }
}

impl<'a> SeamWire<'a> {
    fn new(seam: &SeamCoat, coat: &'a CoatPlan) -> Self {
        Self {
            length_cm: seam.length_mm / 10.0,
            width_mm: seam.width_mm,
            thickness_mm: seam.thickness_mm,
            volume_cm3: cm3(seam.volume_mm3()),
            dose: DoseWire::new(&coat.dose),
        }
    }
}

impl GateWire {
    fn new(gate: &GateFacts, two_part: &TwoPart, cap: &LayerPlan) -> Self {
        Self {
            diameter_mm: gate.diameter_mm,
            length_mm: gate.length_mm,
            volume_cm3: cm3(two_part.gate_mm3),
            plug_g: two_part.plug_mm3 / 1000.0 * cap.density_g_cm3,
        }
    }
}
