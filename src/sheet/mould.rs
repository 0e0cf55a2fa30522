//! The mould sheet: what to weigh for the mould's own rubber and its jacket.

use super::{Health, MeshFacts};
use crate::bounds::Bounds;
use crate::finding::Finding;
use crate::materials::Caution;
use crate::mould::{BoxInside, BoxShape};
use crate::plan::{Jacket, JacketDose, Shop, Single};

/// What `mould` tells.
#[derive(Debug, Clone, PartialEq)]
pub struct MouldSheet {
    /// What was read, and what it was taken for.
    pub mesh: MeshFacts,
    /// What the mesh is like, and what was mended.
    pub health: Health,
    /// The piece that the mould is made on.
    pub pattern: PatternFacts,
    /// A block or a blanket.
    pub body: MouldBody,
    /// Height over the lowest point at which the mould is divided, mm.
    pub parting_mm: Option<f64>,
    /// Id of the rubber's system.
    pub system_id: String,
    /// The rubber in words.
    pub system_title: String,
    /// From mixing until the mould may leave the pattern, min, where the data sheet tells.
    pub demould_minutes: Option<f64>,
    /// The whole mould, or its parts: the one with the lowest point first.
    pub parts: Vec<MouldPart>,
    /// What was allowed for, and what the workshop has.
    pub shop: Shop,
    /// What to do, step by step.
    pub order: Vec<String>,
    /// What must stand on the sheet.
    pub cautions: Vec<Caution>,
    /// What was noticed, in the order of the work.
    pub findings: Vec<Finding>,
}

/// The piece that a mould is made on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PatternFacts {
    /// Its volume as it is from outside, mm³.
    pub volume_mm3: Bounds,
    /// The surface that rubber lies on, mm².
    pub surface_mm2: f64,
    /// From the lowest point as it is cast to its back or top, mm.
    pub height_mm: f64,
    /// It stands on its back on the board; else it has none, and rubber lies all round.
    pub on_back: bool,
    /// What it weighs, g, where that was told.
    pub weight_g: Option<f64>,
}

/// How the mould is made. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub enum MouldBody {
    /// Poured in a mould box.
    Block {
        /// The shape of the box.
        shape: BoxShape,
        /// Its inside in plan.
        inside: BoxInside,
        /// Its inside in height.
        height_mm: f64,
        /// Between piece and walls.
        sides_mm: f64,
        /// Over the piece.
        over_mm: f64,
    },
    /// Brushed, and held by a jacket.
    Blanket {
        /// Thickness of all coats.
        thick_mm: f64,
        /// How far it runs out.
        flange_mm: f64,
        /// What undercuts are filled with, as a share of the blanket.
        undercut_share: f64,
        /// What the jacket is laid from, and its thickness; `None` for no jacket.
        jacket: Option<(Jacket, f64)>,
        /// Every limit lies within the tolerance.
        tolerance_reached: bool,
    },
}

/// Which part of a mould.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhichPart {
    /// All of it.
    Whole,
    /// Under the parting, as the piece is cast.
    Lower,
    /// Over it.
    Upper,
}

impl WhichPart {
    /// The word used in JSON.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Whole => "whole",
            Self::Lower => "lower",
            Self::Upper => "upper",
        }
    }
}

/// A mould or one part of it.
#[derive(Debug, Clone, PartialEq)]
pub struct MouldPart {
    /// Which.
    pub which: WhichPart,
    /// How high a block is, mm; 0 of a blanket.
    pub height_mm: f64,
    /// Each mix of rubber, in the order of the work.
    pub mixes: Vec<MouldMix>,
    /// All its rubber, flange and undercut fill included, mm³.
    pub rubber_mm3: Bounds,
    /// Its jacket.
    pub jacket: Option<MouldJacket>,
    /// Rubber and jacket as they are laid, g.
    pub own_g: f64,
    /// The same with the pattern in it: all of it in either part. `None` where that isn't known.
    pub lift_g: Option<f64>,
}

/// What a mix of rubber is for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MixFor {
    /// The block.
    Block,
    /// Coat `index` of `count`, counted from 0, so thick in mm.
    Coat {
        /// Which.
        index: usize,
        /// Of how many.
        count: usize,
        /// Its thickness.
        thickness_mm: f64,
    },
    /// Undercuts filled, so that the jacket comes off.
    Undercuts,
}

/// One mix of rubber.
#[derive(Debug, Clone, PartialEq)]
pub struct MouldMix {
    /// What it is for.
    pub what: MixFor,
    /// What it fills without the flange, mm³.
    pub volume_mm3: Bounds,
    /// What it fills on the flange, mm³.
    pub flange_mm3: Bounds,
    /// What to weigh.
    pub single: Single,
}

/// The jacket of one part.
#[derive(Debug, Clone, PartialEq)]
pub struct MouldJacket {
    /// On the blanket, mm³.
    pub volume_mm3: Bounds,
    /// On the flange, mm³.
    pub flange_mm3: Bounds,
    /// What to weigh.
    pub dose: JacketDose,
}

impl MouldSheet {
    /// Rubber and jacket of all parts as they are laid, and the pattern where its weight is known, g.
    pub fn all_g(&self) -> f64 {
        let own: f64 = self.parts.iter().map(|part| part.own_g).sum();
        own + self.pattern.weight_g.unwrap_or(0.0)
    }
}
