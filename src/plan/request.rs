//! What is to be planned.

use super::Shop;
use crate::bounds::Bounds;
use crate::materials::{LookupError, Parts, ShoreReading, System, Touching};

/// The volumes to fill. Units: mm, mm², mm³.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerVolumes {
    /// The skin, all its coats: its limits may be narrower than the sum of the coats' own.
    pub skin_mm3: Bounds,
    /// The skin's coats from the wall inward; empty for no skin.
    pub coats: Vec<CoatVolume>,
    /// The core.
    pub core_mm3: Bounds,
    /// The back cap.
    pub cap_mm3: Bounds,
    /// Area of the skin's inner face: what another tenth of a millimetre would cover.
    pub inner_face_mm2: f64,
    /// Level area inside the skin at the top of the core: what another millimetre would fill.
    pub level_area_mm2: f64,
    /// The level surface at the fill level, which the cap is levelled over; 0 for a closed cavity.
    pub opening_area_mm2: f64,
}

/// One coat. Units: mm, mm³.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoatVolume {
    /// How thick.
    pub thickness_mm: f64,
    /// Its volume inside the cavity.
    pub volume_mm3: Bounds,
    /// What it adds on the flange.
    pub flange_mm3: f64,
}

/// What a layer is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Recipe {
    /// The casting system.
    pub system: System,
    /// Parts of softener; 0 for none.
    pub softener: Parts,
}

/// What to make the layers of, and what to allow for.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanRequest {
    /// The skin, all its coats.
    pub skin: Recipe,
    /// The core.
    pub core: Recipe,
    /// The back cap.
    pub cap: Recipe,
    /// The hardness that the core's softener was chosen for, where one was asked for.
    pub core_hardness: Option<ShoreReading>,
    /// What touches the piece beside its own layers.
    pub touching: Touching,
    /// What the workshop has, and how it works.
    pub shop: Shop,
}

impl Recipe {
    /// Id of the system for skin and cap where none is named.
    pub const FIRM_ID: &'static str = "urethane-a5";
    /// Parts of softener in a core where none are named.
    pub const CORE_SOFTENER: Parts = Parts::whole(2);

    /// A system without softener.
    pub fn plain(system: System) -> Self {
        Self { system, softener: Parts::ZERO }
    }

    /// A system for a core, with the usual softener where it takes any and none was named.
    pub fn for_core(system: System, softener: Option<Parts>) -> Self {
        let usual = if system.softener.is_some() { Self::CORE_SOFTENER } else { Parts::ZERO };
        Self { system, softener: softener.unwrap_or(usual) }
    }
}

impl PlanRequest {
    /// Firm urethane skin and cap, the same softened 1:1:2 as core, usual allowances, 0.1 g scale.
    ///
    /// # Errors
    /// [`LookupError`] where a built-in system is broken.
    pub fn typical() -> Result<Self, LookupError> {
        let firm = crate::materials::builtin(Recipe::FIRM_ID)?;
        Ok(Self {
            skin: Recipe::plain(firm.clone()),
            core: Recipe::for_core(firm.clone(), None),
            cap: Recipe::plain(firm),
            core_hardness: None,
            touching: Touching::default(),
            shop: Shop::default(),
        })
    }
}
