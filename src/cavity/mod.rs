//! The space that will hold rubber: which way is up, opening, wall, fill level.

use crate::bounds::Bounds;
use crate::finding::Finding;
use crate::health::SoundMesh;
use crate::mesh::{Mesh, Vec3};

/// How the cavity is to be found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CavityRequest {
    /// Which way is up when pouring, along the file's axes; need not be a unit vector.
    pub up: Vec3,
    /// The direction was given by the user, so the piece is not turned to level its back.
    pub up_given: bool,
    /// A flat top may be the opening; `false` makes it wall.
    pub opening_auto: bool,
    /// How far under the lip the last pour stops, mm; 0 fills to the lip.
    pub below_lip_mm: f64,
}

/// The space that holds rubber, turned so that up is +z and its lowest point lies at z = 0.
///
/// Units: mm, mm², mm³.
#[derive(Debug, Clone, PartialEq)]
pub struct Cavity {
    /// The brushed surface below the fill level, in the pouring frame (+z up).
    wall: Mesh,
    measures: CavityMeasures,
    findings: Vec<Finding>,
}

/// The cavity's numbers. Heights are along up, from the cavity's lowest point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CavityMeasures {
    /// Volume up to the fill level, mm³.
    pub volume_mm3: Bounds,
    /// Wall and opening together, mm².
    pub surface_area_mm2: f64,
    /// The surface that gets brushed, mm².
    pub wall_area_mm2: f64,
    /// The level surface at the fill level, mm²; 0 for a closed cavity.
    pub opening_area_mm2: f64,
    /// Outline of the opening, mm.
    pub opening_perimeter_mm: f64,
    /// Height of the lip, mm.
    pub lip_mm: f64,
    /// Height of the fill level, mm; also the depth.
    pub fill_mm: f64,
    /// Wall area by slope, mm².
    pub slope_area_mm2: SlopeAreas,
    /// How far the opening leans from level before any turning, degrees, where there is one.
    pub tilt_deg: Option<f64>,
}

/// Wall area by the angle of its inward normal to up.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SlopeAreas {
    /// Under 30°: liquid lies on it. mm².
    pub floor: f64,
    /// 30° to 90°: liquid runs down it. mm².
    pub steep: f64,
    /// Over 90°: liquid hangs from it. mm².
    pub overhanging: f64,
}

/// Why there is no cavity.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CavityError {
    /// The fill level lies at or under the bottom.
    #[error(
        "the fill level lies {below_lip_mm:.2} mm under the lip, but the cavity is only {depth_mm:.2} mm deep"
    )]
    LevelBelowBottom {
        /// What was asked for, mm.
        below_lip_mm: f64,
        /// How deep the cavity is, mm.
        depth_mm: f64,
    },
}

impl Cavity {
    /// Finds the cavity that a closed casting mesh fills.
    ///
    /// # Errors
    /// [`CavityError`] where the fill level leaves nothing to fill.
    pub fn of_casting(_sound: &SoundMesh, _request: &CavityRequest) -> Result<Self, CavityError> {
        todo!()
    }

    /// The brushed surface, in the pouring frame: +z up, lowest point of the cavity at z = 0.
    pub fn wall(&self) -> &Mesh {
        &self.wall
    }

    /// The cavity's numbers.
    pub fn measures(&self) -> &CavityMeasures {
        &self.measures
    }

    /// What was noticed.
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// Area of the ring of `width_mm` around the opening, in its plane, mm²; 0 when closed.
    pub fn flange_area_mm2(&self, _width_mm: f64) -> f64 {
        todo!()
    }
}
