//! Splits a cavity into skin, core and cap, each with guaranteed limits.

use crate::bounds::Bounds;
use crate::cavity::Cavity;
use crate::finding::Finding;

/// What to split a cavity into.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerRequest {
    /// Thickness of each coat from the wall inward, mm; empty for no skin. Each at least 0.2.
    pub coats_mm: Vec<f64>,
    /// Depth of the cap under the fill level, mm; 0 for none.
    pub cap_mm: f64,
    /// How far a limit may lie from its value, as a share of the cavity (0.005 is 0.5 %).
    pub tolerance: f64,
}

/// The volumes of a split cavity, mm³; skin + core + cap is the cavity.
#[derive(Debug, Clone, PartialEq)]
pub struct Layers {
    /// All points within the coats' thickness of the wall.
    pub skin_mm3: Bounds,
    /// The same by coat, from the wall inward.
    pub coats_mm3: Vec<Bounds>,
    /// What is neither skin nor cap.
    pub core_mm3: Bounds,
    /// Outside the skin, within the cap's depth of the fill level.
    pub cap_mm3: Bounds,
    /// Every limit lies within the tolerance.
    pub tolerance_reached: bool,
    /// Share of the wall's area that faces other wall within twice the skin, 0 to 1.
    pub thin_share: f64,
    /// Separate pieces of core of at least 0.1 cm³, largest first.
    pub pockets: Vec<Pocket>,
    /// Distance queries made: the work done.
    pub queries: u64,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// A separate piece of core.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pocket {
    /// About how large, mm³.
    pub volume_mm3: f64,
    /// A pour from the opening reaches it.
    pub reaches_opening: bool,
    /// A point in it, mm, in the pouring frame.
    pub place_mm: crate::mesh::Vec3,
}

/// Splits the cavity. `progress` is called now and then with the share done, 0 to 1.
pub fn split(
    _cavity: &Cavity,
    _request: &LayerRequest,
    _progress: &(dyn Fn(f64) + Sync),
) -> Layers {
    todo!()
}
