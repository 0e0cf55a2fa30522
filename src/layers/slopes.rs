//! How the layers' volumes change with thickness and level, to correct as one goes.

use std::f64::consts::PI;

use super::{LayerRequest, Layers};
use crate::cavity::Cavity;

impl Layers {
    /// Depth of the cap that there is, mm: what was asked for, but no deeper than the cavity; 0
    /// without a cap.
    pub fn cap_depth_mm(&self, cavity: &Cavity, request: &LayerRequest) -> f64 {
        let has_cap = self.cap_mm3.high() > 0.0;
        if has_cap { request.cap_mm.min(cavity.level_mm()) } else { 0.0 }
    }

    /// Area of the skin's inner face, mm²: the slope of the skin's volume over its thickness t.
    ///
    /// Source: with V(0) = 0 and V′(0) = A known, V = A·t + b·t² gives V′(t) = 2V/t − A; exact
    /// for smooth walls but for the cubic term of the tube formula.
    pub fn inner_face_mm2(&self, cavity: &Cavity, request: &LayerRequest) -> f64 {
        let (wall_mm2, skin_mm) = (cavity.measures().wall_area_mm2, request.skin_mm());
        if skin_mm <= 0.0 {
            return wall_mm2;
        }
        (2.0 * self.skin_mm3.best() / skin_mm - wall_mm2).max(0.0)
    }

    /// Level area inside the skin at the top of the core, mm²: the cap's mean section; without a
    /// cap the opening less a ring of skin.
    ///
    /// Source: a parallel curve at distance t inside a smooth convex one of length L encloses
    /// A − L·t + π·t² (Steiner; Santaló, integral geometry).
    /// Assumptions: the wall is steep at the rim.
    pub fn level_area_mm2(&self, cavity: &Cavity, request: &LayerRequest) -> f64 {
        let cap_mm = self.cap_depth_mm(cavity, request);
        if cap_mm > 0.0 {
            return self.cap_mm3.best() / cap_mm;
        }
        let (measures, skin_mm) = (cavity.measures(), request.skin_mm());
        let ring = measures.opening_perimeter_mm * skin_mm - PI * skin_mm * skin_mm;
        (measures.opening_area_mm2 - ring.max(0.0)).max(0.0)
    }
}
