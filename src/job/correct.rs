//! Correcting a plan in mid-job: the thickness that a weighed skin really has, and a cap for the
//! gap that the core left.

use super::{JobError, JobRequest, split_all, volumes};
use crate::bounds::Bounds;
use crate::cavity::Cavity;
use crate::layers::LayerRequest;
use crate::plan::{self, LayerVolumes};
use crate::sheet::{BrushedSkin, Correction};
use crate::units::{Coats, Length, Weight};

/// The grams are met to this share.
const MET: f64 = 2e-5;
/// Thicknesses tried at most; two to four do unless the skin nearly fills the cavity.
const ROUNDS: usize = 24;
/// A skin that leaves less than this share of the cavity fills it.
const FULL: f64 = 1e-6;

/// Why what is in the mould can't be followed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CorrectError {
    /// The cavity doesn't hold as much.
    #[error("{used} of skin are more than the cavity holds: {holds_g:.1} g would fill it")]
    MoreThanFits {
        /// What was weighed.
        used: Weight,
        /// What would fill the cavity, flange included, g.
        holds_g: f64,
    },
    /// A film rather than a skin.
    #[error(
        "{used} of skin would be thinner than {}: {least_g:.1} g would be that much",
        Coats::THINNEST
    )]
    TooThin {
        /// What was weighed.
        used: Weight,
        /// What the thinnest coat would take, g.
        least_g: f64,
    },
    /// A gap in a cavity that is filled all round.
    #[error("--gap {gap}: the cavity is closed, so that there is no fill level to measure from")]
    NoFillLevel {
        /// What was measured.
        gap: Length,
    },
    /// The core would lie under the bottom.
    #[error("--gap {gap}: the cavity is only {depth_mm:.1} mm deep")]
    GapTooDeep {
        /// What was measured.
        gap: Length,
        /// From the fill level to the lowest point, mm; of several impressions the shallowest.
        depth_mm: f64,
    },
}

impl CorrectError {
    /// What to do about it.
    pub fn hint(&self) -> String {
        match self {
            Self::MoreThanFits { .. } | Self::TooThin { .. } => {
                "weigh the mould before and after brushing, in the same jacket; the difference \
                 counts, flange included"
            }
            Self::NoFillLevel { .. } => "leave --gap out",
            Self::GapTooDeep { .. } => {
                "measure from the fill level straight down to the core, in mm unless a unit is \
                 given"
            }
        }
        .to_owned()
    }
}

/// The layers as they are or will be, with what is in the mould already; the planned ones where
/// nothing was measured.
///
/// # Errors
/// [`CorrectError`] where no such skin or cap fits the cavity.
pub fn correct(
    cavities: &[Cavity],
    planned: LayerRequest,
    request: &JobRequest,
) -> Result<(LayerRequest, Option<Correction>), JobError> {
    let measured = request.layers.in_mould;
    if measured.skin_used.is_none() && measured.gap.is_none() {
        return Ok((planned, None));
    }
    let mut layers = planned.clone();
    if let Some(gap) = measured.gap {
        check_gap(cavities, gap)?;
        layers.cap_mm = gap.mm();
    }
    let skin = match measured.skin_used {
        Some(used) => {
            let brushing = Brushing::new(cavities, &planned, request, used)?;
            let (coats_mm, skin) = brushing.solve()?;
            layers.coats_mm = coats_mm;
            Some(skin)
        }
        None => None,
    };
    let gap_mm = measured.gap.map(Length::mm);
    Ok((layers, Some(Correction { skin, gap_mm, planned_cap_mm: planned.cap_mm })))
}

fn check_gap(cavities: &[Cavity], gap: Length) -> Result<(), CorrectError> {
    if !cavities.iter().all(Cavity::is_open) {
        return Err(CorrectError::NoFillLevel { gap });
    }
    let depth_mm = cavities.iter().map(Cavity::level_mm).fold(f64::INFINITY, f64::min);
    if gap.mm() >= depth_mm {
        return Err(CorrectError::GapTooDeep { gap, depth_mm });
    }
    Ok(())
}

/// The search for the thickness at which the skin weighs what it does.
struct Brushing<'a> {
    cavities: &'a [Cavity],
    planned: &'a LayerRequest,
    flange_mm: f64,
    queries_most: u64,
    used: Weight,
    /// The skin as planned, flange included, g.
    planned_g: f64,
    /// Of all coats on the mean, as they lie in the mould, g/cm³.
    density_g_cm3: f64,
    /// What the scale leaves open: each of two weighings is off by half a step, g.
    step_g: f64,
    at_plan: LayerVolumes,
}

impl<'a> Brushing<'a> {
    fn new(
        cavities: &'a [Cavity],
        planned: &'a LayerRequest,
        request: &JobRequest,
        used: Weight,
    ) -> Result<Self, JobError> {
        let flange_mm = request.layers.flange.mm();
        let queries_most = request.layers.queries_most;
        let at_plan = volumes_at(cavities, planned, flange_mm, queries_most);
        let plan = plan::plan(&at_plan, &request.materials)?;
        let skin = &plan.layers[0];
        // Of several moulds that are filled at once one is weighed.
        let moulds = f64::from(request.materials.run.at_once());
        let (volume_mm3, planned_g) = (with_flange_mm3(&at_plan), skin.dose.net_g / moulds);
        // Coats may differ in density; all together they weigh what the plan says.
        let density_g_cm3 = match planned_g / volume_mm3 * 1000.0 {
            density if density.is_finite() && density > 0.0 => density,
            _ => skin.density_g_cm3,
        };
        let step_g = plan.shop.scale_step_g;
        Ok(Self {
            cavities,
            planned,
            flange_mm,
            queries_most,
            used,
            planned_g,
            density_g_cm3,
            step_g,
            at_plan,
        })
    }

    /// The coats that weigh what was weighed, and what is to be told of them.
    ///
    /// Newton's steps from the planned thickness, the slope being the skin's inner face with the
    /// flange; they are kept between thicknesses known to weigh too little and too much.
    fn solve(&self) -> Result<(Vec<f64>, BrushedSkin), JobError> {
        let target_mm3 = 1000.0 * self.used.grams() / self.density_g_cm3;
        let whole_mm3: f64 = self.cavities.iter().map(|c| c.measures().volume_mm3.best()).sum();
        let thinnest_mm = Coats::THINNEST.mm();
        let (mut too_thin_mm, mut too_thick_mm) = (0.0, f64::INFINITY);
        let mut mm = self.planned.skin_mm();
        let mut volumes = self.at_plan.clone();
        for _ in 0..ROUNDS {
            let over_mm3 = with_flange_mm3(&volumes) - target_mm3;
            if over_mm3.abs() <= MET * target_mm3 {
                break;
            }
            if over_mm3 > 0.0 {
                if mm <= thinnest_mm {
                    let least_g = self.grams(with_flange_mm3(&volumes));
                    return Err(CorrectError::TooThin { used: self.used, least_g }.into());
                }
                too_thick_mm = mm;
            } else {
                if volumes.skin_mm3.best() >= (1.0 - FULL) * whole_mm3 {
                    let holds_g = self.grams(with_flange_mm3(&volumes));
                    return Err(CorrectError::MoreThanFits { used: self.used, holds_g }.into());
                }
                too_thin_mm = mm;
            }
            let next_mm = mm - over_mm3 / self.slope_mm2(&volumes, mm);
            mm = if next_mm > too_thin_mm && next_mm < too_thick_mm {
                next_mm
            } else if too_thick_mm.is_finite() {
                0.5 * (too_thin_mm + too_thick_mm)
            } else {
                2.0 * mm
            }
            .max(thinnest_mm);
            let layers = self.layers(mm);
            volumes = volumes_at(self.cavities, &layers, self.flange_mm, self.queries_most);
        }
        Ok((self.coats_mm(mm), self.skin(mm, &volumes)))
    }

    /// The planned coats, all thicker or thinner alike; one coat where one would be too thin.
    fn coats_mm(&self, mm: f64) -> Vec<f64> {
        let planned_mm = self.planned.skin_mm();
        if mm == planned_mm {
            return self.planned.coats_mm.clone();
        }
        let coats: Vec<f64> =
            self.planned.coats_mm.iter().map(|coat| coat * (mm / planned_mm)).collect();
        let thinnest = coats.iter().copied().fold(f64::INFINITY, f64::min);
        if thinnest >= Coats::THINNEST.mm() { coats } else { vec![mm] }
    }

    fn layers(&self, mm: f64) -> LayerRequest {
        LayerRequest { coats_mm: self.coats_mm(mm), ..self.planned.clone() }
    }

    /// How fast the skin grows with its thickness, mm²; never so little that a step gets lost.
    fn slope_mm2(&self, volumes: &LayerVolumes, mm: f64) -> f64 {
        let mean_mm2 = with_flange_mm3(volumes) / mm;
        let flange_mm2 = volumes.coats.iter().map(|coat| coat.flange_mm3).sum::<f64>() / mm;
        (volumes.inner_face_mm2 + flange_mm2).max(0.05 * mean_mm2)
    }

    fn grams(&self, mm3: f64) -> f64 {
        mm3 / 1000.0 * self.density_g_cm3
    }

    fn skin(&self, mm: f64, volumes: &LayerVolumes) -> BrushedSkin {
        let slope_mm2 = self.slope_mm2(volumes, mm);
        let step_mm3 = 1000.0 * self.step_g / self.density_g_cm3;
        let skin = volumes.skin_mm3;
        // What the layer's limits leave open, to first order.
        let low = mm - (skin.high() - skin.best() + step_mm3) / slope_mm2;
        let high = mm + (skin.best() - skin.low() + step_mm3) / slope_mm2;
        let flange_mm3: f64 = volumes.coats.iter().map(|coat| coat.flange_mm3).sum();
        BrushedSkin {
            grams: self.used.grams(),
            flange_g: self.grams(flange_mm3),
            thickness_mm: Bounds::new(low.max(0.0), mm, high),
            planned_mm: self.planned.skin_mm(),
            planned_g: self.planned_g,
        }
    }
}

fn volumes_at(
    cavities: &[Cavity],
    layers: &LayerRequest,
    flange_mm: f64,
    queries_most: u64,
) -> LayerVolumes {
    let split = split_all(cavities, layers, queries_most, &|_, _| ());
    volumes(&split, layers, flange_mm)
}

fn with_flange_mm3(volumes: &LayerVolumes) -> f64 {
    volumes.skin_mm3.best() + volumes.coats.iter().map(|coat| coat.flange_mm3).sum::<f64>()
}
