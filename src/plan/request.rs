//! What is to be planned.

use super::{Coating, Shop};
use crate::bounds::Bounds;
use crate::materials::{
    Additives, LookupError, Mix, MixError, Parts, ShoreReading, System, Touching,
};

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
    /// What the wall is like to brush.
    pub wall: WallFacts,
    /// What a mould in two parts takes beside.
    pub two_part: TwoPart,
}

/// What a mould that closes round the piece in two parts takes beside the layers; nothing by
/// default.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TwoPart {
    /// The coat over the closed seam: of the skin's mix, and where the core would be.
    pub seam: Option<SeamCoat>,
    /// Gate and tube, filled with core that is no part of the piece, mm³.
    pub gate_mm3: f64,
    /// A plug of the cap's mix that closes the gate, mm³.
    pub plug_mm3: f64,
}

/// The coat over a seam, as it lies in one mould.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeamCoat {
    /// How long the seam is, mm.
    pub length_mm: f64,
    /// How wide, half on either side, mm.
    pub width_mm: f64,
    /// How thick, mm.
    pub thickness_mm: f64,
}

impl SeamCoat {
    /// What is brushed, mm².
    pub fn area_mm2(&self) -> f64 {
        self.length_mm * self.width_mm
    }

    /// What it fills, mm³.
    pub fn volume_mm3(&self) -> f64 {
        self.area_mm2() * self.thickness_mm
    }
}

/// The wall of one casting, as far as coats ask: how large, how steep, how deep. All 0 where
/// nothing is known of it; then no brushing time and no running down is told.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WallFacts {
    /// All of it, mm².
    pub area_mm2: f64,
    /// Where liquid lies, mm².
    pub floor_mm2: f64,
    /// Where it runs down, mm².
    pub steep_mm2: f64,
    /// Where it hangs, mm².
    pub overhanging_mm2: f64,
    /// From the lowest point to the fill level, mm.
    pub depth_mm: f64,
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
    /// Thickener, % of the mass of the mix without additives; 0 for none. A skin's coats have
    /// theirs from [`Coating`].
    pub thickener_percent: f64,
    /// Pigment, % of the mass of the mix without additives; 0 for none. A skin's coats have theirs
    /// from [`Coating`].
    pub pigment_percent: f64,
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
    /// How the skin is laid.
    pub coating: Coating,
    /// How many castings, in how many moulds.
    pub run: Run,
    /// The hardness that the core's softener was chosen for, where one was asked for.
    pub core_hardness: Option<ShoreReading>,
    /// What touches the piece beside its own layers.
    pub touching: Touching,
    /// What the workshop has, and how it works.
    pub shop: Shop,
}

/// How many castings are made, in how many moulds: as many at once as there are moulds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Run {
    /// Castings in all; at least 1.
    pub castings: u32,
    /// Moulds of the same shape; at least 1.
    pub moulds: u32,
    /// The first casting in a new mould: films, brush, remainder and what a spray or slush loses
    /// are doubled; levelling, pucks and the smallest batch are not.
    pub first_casting: bool,
}

impl Run {
    /// More are no run for a workshop.
    pub const MOST: u32 = 10_000;

    /// Castings made at once: one in each mould.
    pub fn at_once(self) -> u32 {
        self.moulds.min(self.castings)
    }

    /// How often all moulds are filled, the last time perhaps not all of them.
    pub fn rounds(self) -> u32 {
        self.castings.div_ceil(self.at_once().max(1))
    }

    /// Castings in the last round.
    pub fn in_last_round(self) -> u32 {
        self.castings - (self.rounds().saturating_sub(1)) * self.at_once()
    }
}

impl Default for Run {
    fn default() -> Self {
        Self { castings: 1, moulds: 1, first_casting: false }
    }
}

impl Recipe {
    /// Id of the system for skin and cap where none is named.
    pub const FIRM_ID: &'static str = "urethane-a5";
    /// Parts of softener in a core where none are named.
    pub const CORE_SOFTENER: Parts = Parts::whole(2);

    /// A system without softener or additives.
    pub fn plain(system: System) -> Self {
        Self::softened(system, Parts::ZERO)
    }

    /// A system with so much softener, without additives.
    pub fn softened(system: System, softener: Parts) -> Self {
        Self { system, softener, thickener_percent: 0.0, pigment_percent: 0.0 }
    }

    /// The same with these additives.
    pub fn with(self, additives: Additives) -> Self {
        let Additives { thickener_percent, pigment_percent } = additives;
        Self { thickener_percent, pigment_percent, ..self }
    }

    /// What is stirred in beside the ratio.
    pub fn additives(&self) -> Additives {
        Additives {
            thickener_percent: self.thickener_percent,
            pigment_percent: self.pigment_percent,
        }
    }

    /// What goes into the cup.
    ///
    /// # Errors
    /// [`MixError`].
    pub fn mix(&self) -> Result<Mix, MixError> {
        Mix::with_additives(&self.system, self.softener, self.additives())
    }

    /// A system for a core, with the usual softener where it takes any and none was named.
    pub fn for_core(system: System, softener: Option<Parts>) -> Self {
        let usual = if system.softener.is_some() { Self::CORE_SOFTENER } else { Parts::ZERO };
        Self::softened(system, softener.unwrap_or(usual))
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
            coating: Coating::default(),
            run: Run::default(),
            core_hardness: None,
            touching: Touching::default(),
            shop: Shop::default(),
        })
    }
}
