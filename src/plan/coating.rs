//! How a skin is laid: by brush or otherwise, thickened, tinted.

use crate::materials::{Additives, Dosage, Family, System};
use crate::units::Patch;

/// How a skin is laid.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Coating {
    /// By what means.
    pub by: SkinBy,
    /// Thickener in the build coats: all coats but the first of several.
    pub thicken: Stir,
    /// Pigment in every second coat, so that missed places show; in a single coat only where an
    /// amount is given.
    pub tint: Stir,
    /// A test patch brushed by this hand.
    pub patch: Option<Patch>,
}

/// By what means a skin is laid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum SkinBy {
    /// Brushed.
    #[default]
    Brush,
    /// Poured in, turned round and drained.
    Slush,
    /// Sprayed.
    Spray,
    /// Poured round a core former, which leaves an exact gap.
    Former,
}

/// How much of an additive.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Stir {
    /// The system's usual amount where it has any and the way of working asks for it.
    #[default]
    Auto,
    /// So many per cent of the mass of the mix without additives.
    Percent(f64),
    /// None.
    None,
}

impl SkinBy {
    /// The word that is typed.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Brush => "brush",
            Self::Slush => "slush",
            Self::Spray => "spray",
            Self::Former => "former",
        }
    }
}

impl Coating {
    /// What is stirred into coat `index` of `count`.
    pub(super) fn additives(&self, system: &System, index: usize, count: usize) -> Additives {
        let builds = count == 1 || index > 0;
        let usual = |dose: Option<&Dosage>| dose.map_or(0.0, |d| d.usual_percent.value);
        let is_foam = system.family == Family::Foam;
        let thickener_percent = match self.thicken {
            Stir::Percent(percent) if builds => percent,
            // Only a brush needs a coat that stands by itself.
            Stir::Auto if builds && self.by == SkinBy::Brush && !is_foam => {
                usual(system.thickener.as_ref().map(|t| &t.dose))
            }
            _ => 0.0,
        };
        let pigment_percent = match self.tint {
            Stir::Percent(percent) if count == 1 || index % 2 == 1 => percent,
            Stir::Auto if index % 2 == 1 => usual(system.pigment.as_ref().map(|p| &p.dose)),
            _ => 0.0,
        };
        Additives { thickener_percent, pigment_percent }
    }
}
