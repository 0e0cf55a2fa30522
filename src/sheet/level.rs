//! The dip-stick table: how much a cavity holds, level by level.

use super::{CavityFacts, Health, MeshFacts};
use crate::bounds::Bounds;
use crate::finding::Finding;
use crate::materials::Parts;

/// What `level` tells.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelTable {
    /// What was read, and what it was taken for.
    pub mesh: MeshFacts,
    /// What the mesh is like, and what was mended.
    pub health: Health,
    /// What it holds.
    pub cavity: CavityFacts,
    /// What the grams are grams of.
    pub material: LevelMaterial,
    /// Height between rows, mm; the last may be less.
    pub step_mm: f64,
    /// From the lowest point up to the fill level, in rising order.
    pub rows: Vec<LevelRow>,
    /// What was noticed, in the order of the work.
    pub findings: Vec<Finding>,
}

/// What turns volumes into grams.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelMaterial {
    /// The system's id.
    pub system_id: String,
    /// The system in words.
    pub system_title: String,
    /// Parts of softener in it.
    pub softener: Parts,
    /// Grams per cm³ of filled cavity.
    pub density_g_cm3: f64,
}

/// One level. Of several cavities the volumes are added up at the same depth under each one's lip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelRow {
    /// Height above the lowest point, of several cavities the deepest one's, mm.
    pub height_mm: f64,
    /// Depth under the lip, of a closed cavity under its top, mm.
    pub below_lip_mm: f64,
    /// Volume up to there, mm³.
    pub volume_mm3: Bounds,
    /// What that weighs, g.
    pub grams: f64,
}

impl LevelTable {
    /// The volumes are known to no more than their limits.
    pub fn has_limits(&self) -> bool {
        self.rows.iter().any(|row| row.volume_mm3.low() < row.volume_mm3.high())
    }
}
