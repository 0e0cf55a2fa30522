//! One mix without a mesh: what was asked, what to weigh, and what follows from it.

use crate::finding::Finding;
use crate::plan::{Dose, LayerPlan, Plan, ShopTold};

/// One mix without a mesh.
#[derive(Debug, Clone, PartialEq)]
pub struct MixSheet {
    /// What it is for: the layer of [`MixSheet::plan`] that is mixed.
    pub purpose: MixPurpose,
    /// What was asked for.
    pub asked: MixAsked,
    /// Nothing is allowed for: what is weighed is what stays.
    pub exact: bool,
    /// The plan, in which only this one layer is filled.
    pub plan: Plan,
    /// What so many grams come to on an area, where that was asked.
    pub reach: Option<Reach>,
    /// What the shelf gives, where it was told.
    pub shelf: Option<Shelf>,
    /// Where the workshop's values come from.
    pub shop_told: ShopTold,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

impl MixSheet {
    /// The layer that is mixed.
    pub fn layer(&self) -> &LayerPlan {
        let [skin, core, cap] = &self.plan.layers;
        match self.purpose {
            MixPurpose::Coat => skin,
            MixPurpose::Core => core,
            MixPurpose::Cap => cap,
        }
    }

    /// What to weigh.
    pub fn dose(&self) -> &Dose {
        let layer = self.layer();
        layer.coats.first().map_or(&layer.dose, |coat| &coat.dose)
    }
}

/// What a mix is for, which tells what is lost of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MixPurpose {
    /// A coat of skin.
    Coat,
    /// A core.
    Core,
    /// A back cap.
    Cap,
}

impl MixPurpose {
    /// The word that is typed.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Coat => "coat",
            Self::Core => "core",
            Self::Cap => "cap",
        }
    }
}

/// What was asked for, and what of it stays in place. Units: mm, mm², mm³, g.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MixAsked {
    /// What stays in place, of one casting.
    pub volume_mm3: f64,
    /// The area that it goes on, where there is one.
    pub area_mm2: Option<f64>,
    /// How thick on it.
    pub thickness_mm: Option<f64>,
    /// The grams that were asked for, where it was grams.
    pub grams: Option<f64>,
}

/// What so many grams come to on an area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// The grams.
    pub grams: f64,
    /// How thick they lie if all of them get there, mm.
    pub thickness_mm: f64,
    /// How thick they lie if they are what is mixed and the usual losses stay behind, mm; `None`
    /// where the losses take it all.
    pub mixed_thickness_mm: Option<f64>,
}

/// What the shelf gives.
#[derive(Debug, Clone, PartialEq)]
pub struct Shelf {
    /// Castings that it is enough for.
    pub castings: u32,
    /// The component that runs out first; `None` where it is enough for more than is ever counted.
    pub first_out: Option<String>,
    /// What there is of each component, and what is left, in weighing order.
    pub components: Vec<Shelved>,
}

/// One component on the shelf, g.
#[derive(Debug, Clone, PartialEq)]
pub struct Shelved {
    /// Its name.
    pub name: String,
    /// What there is.
    pub has_g: f64,
    /// What so many castings take.
    pub takes_g: f64,
}
