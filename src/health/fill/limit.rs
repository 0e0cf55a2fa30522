//! How far the missing surface may bulge from the flat patch: the one assumption that the limits
//! over a filled hole rest on.
//!
//! Nothing can be known of what is missing. It is assumed that it leans no further from the
//! hole's own plane than what surrounds the hole does (all but a twentieth of the surface within
//! half the hole's radius of its border), and [`BEYOND_DEG`] more; so it rises from the border
//! like a roof of that slope. Where that is steep, a slope bounds nothing: between 60° and 90° the
//! height goes over to half the hole's width, which is a half ball's. What the bent patch holds
//! more or less than the flat one is added, since the limits stand about the bent one.

use super::surroundings::Surroundings;
use crate::mesh::Vec3;

/// The assumption in plain words.
pub const ASSUMPTION: &str = "if the missing surface leans no more than 20° further than what \
                              surrounds each hole, and bulges by no more than half its width";

/// How much further than its surroundings the missing surface may lean, degrees. Chosen so that
/// the limits hold on bodies whose bumps are a few holes wide; no source.
const BEYOND_DEG: f64 = 20.0;
/// The lean from which on the hole's width limits the height, degrees, and where it alone does.
const STEEP_DEG: [f64; 2] = [60.0, 90.0];
/// The share of the surroundings that may lean further than is reckoned with: stray facets.
const STRAY_SHARE: f64 = 0.05;
/// How far around a hole is looked, as a share of its radius.
const REACH: f64 = 0.5;

/// A hole as far as its limits are concerned.
#[derive(Debug, Clone, Copy)]
pub struct Opening {
    /// Unit normal of its plane.
    pub normal: Vec3,
    /// Area of the flat patch, mm².
    pub area_mm2: f64,
    /// Length of its border, mm.
    pub perimeter_mm: f64,
    /// Its longest width, mm.
    pub size_mm: f64,
}

impl Opening {
    /// The radius of a disc as large, mm.
    pub fn radius_mm(&self) -> f64 {
        (self.area_mm2 / std::f64::consts::PI).sqrt()
    }

    /// How much the missing surface may hold more or less than the flat patch, mm³.
    pub fn bulge_mm3(&self, surroundings: &Surroundings) -> f64 {
        let reach = REACH * self.radius_mm();
        let lean = surroundings.lean(self.normal, reach, STRAY_SHARE).to_degrees() + BEYOND_DEG;
        let half_width = 0.5 * self.size_mm;
        // The mean height of a roof over a disc is a third of the radius times the slope, and
        // the radius is twice the area by the perimeter; over a strip it is less.
        let roof = 2.0 * self.area_mm2 / (3.0 * self.perimeter_mm).max(f64::MIN_POSITIVE)
            * lean.min(STEEP_DEG[0]).to_radians().tan();
        let [low, high] = STEEP_DEG;
        let steep = ((lean - low) / (high - low)).clamp(0.0, 1.0);
        let height = roof + steep * (half_width - roof).max(0.0);
        self.area_mm2 * height
    }
}
