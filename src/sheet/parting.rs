//! A two-part mould that closes round the piece: what goes into each half, the seam and the gate.

use super::MeshFacts;
use crate::bounds::Bounds;
use crate::finding::Finding;
use crate::health::Health;

/// What `plan --parting` and `--other-half` add to a sheet, of one casting; what seam, gate and plug
/// take stands in the sheet's volumes.
#[derive(Debug, Clone, PartialEq)]
pub struct Parting {
    /// Height over the lowest point, mm; `None` where each half has a mesh of its own.
    pub level_mm: Option<f64>,
    /// The half with the lowest point, then the other; of two meshes in their order.
    pub halves: [SkinHalf; 2],
    /// A seam was asked for that the skin leaves no room for, mm³ of it.
    pub seam_without_room_mm3: Option<f64>,
    /// Where the core is poured in; `None` where nobody said.
    pub gate: Option<GateFacts>,
    /// The mesh of the other half, where each has its own.
    pub other: Option<OtherHalf>,
}

/// The mesh of the other half, as it was read.
#[derive(Debug, Clone, PartialEq)]
pub struct OtherHalf {
    /// What was read, and what it was taken for.
    pub mesh: MeshFacts,
    /// What it is like, and what was mended.
    pub health: Health,
}

/// One half's skin.
#[derive(Debug, Clone, PartialEq)]
pub struct SkinHalf {
    /// Its wall, mm².
    pub wall_mm2: f64,
    /// Each coat from the wall inward: its volume in mm³, and what of its grams goes on this half
    /// of each mould.
    pub coats: Vec<(Bounds, f64)>,
    /// All coats together, mm³: narrower than the sum of their limits.
    pub skin_mm3: Bounds,
}

impl SkinHalf {
    /// All coats together, g.
    pub fn net_g(&self) -> f64 {
        self.coats.iter().map(|(_, grams)| grams).sum()
    }
}

/// Gate and tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GateFacts {
    /// How wide, mm.
    pub diameter_mm: f64,
    /// How long, mm.
    pub length_mm: f64,
    /// The narrowest way across the piece, mm, where the gate is wider.
    pub wider_than_mm: Option<f64>,
}

impl Parting {
    /// What to know of seam and gate.
    pub fn findings(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        if let Some(mm3) = self.seam_without_room_mm3 {
            let message = format!(
                "the seam's coat would take {:.1} cm³, for which the skin leaves no room: none is \
                 weighed",
                mm3 / 1000.0
            );
            findings.push(
                Finding::warning("seam-without-room", message)
                    .with_hint("give a thinner --skin, or a smaller --seam-width"),
            );
        }
        if let Some((gate, piece_mm)) = self.gate.and_then(|g| Some((g, g.wider_than_mm?))) {
            let message = format!(
                "the gate, {} mm across, is wider than the piece, which is {piece_mm:.1} mm across \
                 where it is narrowest",
                gate.diameter_mm
            );
            findings.push(
                Finding::warning("gate-wider-than-piece", message)
                    .with_hint("look at the unit: --gate takes diameter, then length"),
            );
        }
        if self.gate.is_none() {
            let message = "the gate was not said, so that what stays in it and in the tube is not \
                weighed";
            findings.push(
                Finding::warning("gate-unknown", message)
                    .with_hint("say it with --gate, such as --gate 8mmx40mm"),
            );
        }
        findings
    }
}
