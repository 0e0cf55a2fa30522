//! A weighed filling of the real mould beside the computed volume, and what follows from it.

use super::find::Found;
use super::see::{Seen, see};
use super::{CAVITY_BEGINS, JobError, JobRequest, Progress, WeighedFilling};
use crate::bounds::Bounds;
use crate::cavity::Cavity;
use crate::finding::Finding;
use crate::formats::RawMesh;
use crate::sheet::{Change, WaterCheck};
use crate::units::{Weighing, WeighingMeans};

/// A difference from here on is a warning, %.
///
/// Source: common practice, no source: a mark hit to 1 mm and drops left behind are less.
const DIFFERENCE_PERCENT_MOST: f64 = 2.0;
/// A difference from here on is likelier a slip than a scan that is off, %.
const DIFFERENCE_PERCENT_ODD: f64 = 25.0;
/// The volume asked for is met to this share …
const MET: f64 = 1e-9;
/// … or to this, where the cavity's own rules in mm don't let it come closer.
const NEARLY_MET: f64 = 1e-6;
/// Sizes that are tried at most.
const ROUNDS: usize = 12;
/// Halvings of the range of levels at most: more than a double has digits.
const HALVINGS: usize = 64;
/// A level this far under the lip is as good as at it, mm.
const AT_THE_LIP_MM: f64 = 1e-6;

/// Why a weighed filling can't be followed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WaterError {
    /// It would run over.
    #[error(
        "{weighing} are {:.1} cm³, more than the {:.1} cm³ that the cavity holds up to its lip",
        .weighing.volume_mm3() / 1000.0, .holds_mm3 / 1000.0
    )]
    RunsOver {
        /// What was weighed.
        weighing: Weighing,
        /// What the cavity holds, mm³.
        holds_mm3: f64,
    },
    /// Another cavity is found at the size that is asked for.
    #[error("{weighing} ask for another size, but there another cavity is found")]
    Differs {
        /// What was weighed.
        weighing: Weighing,
    },
    /// No size or level holds exactly as much.
    #[error("no {} is found at which the cavity holds the {:.1} cm³ that {weighing} are", match .means {
        WeighingMeans::Size => "size",
        WeighingMeans::Level => "level",
    }, .weighing.volume_mm3() / 1000.0)]
    NotMet {
        /// What was weighed.
        weighing: Weighing,
        /// What was to be changed.
        means: WeighingMeans,
    },
}

impl WaterError {
    /// What to do about it.
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::RunsOver { .. } => {
                "check the grams: water stands some mm proud of a silicone rim; if they are right, \
                 the scan is too small: --water-means size"
            }
            Self::Differs { .. } | Self::NotMet { .. } => {
                "check the grams and --unit, or leave --water-means out to see the difference alone"
            }
        }
    }
}

/// Compares what was weighed with what the mesh holds up to its fill level, and changes size or
/// level if that was asked for. `raw` is the mesh as read, where it is to be changed.
///
/// # Errors
/// [`JobError`] where there is no cavity, or none that holds as much.
pub fn check(
    seen: Seen,
    raw: Option<&RawMesh>,
    request: &JobRequest,
    weighed: WeighedFilling,
    progress: Progress<'_>,
) -> Result<(Seen, WaterCheck), JobError> {
    let weighing = weighed.weighing;
    let computed_mm3 = volume_mm3(seen.found.as_ref().ok());
    // The share done doesn't run back when the work is done again.
    let stay = |phase, _: f64| progress(phase, CAVITY_BEGINS);
    let again = raw.map(|raw| Again { raw, request, weighing, progress: &stay });
    let (mut seen, change) = match (weighed.means, again) {
        _ if seen.found.is_err() => (seen, Change::Nothing),
        (Some(WeighingMeans::Size), Some(again)) => {
            let seen = again.to_size(seen)?;
            let factor = seen.scale.by_weight;
            (seen, Change::Size(factor))
        }
        (Some(WeighingMeans::Level), Some(again)) => {
            let (seen, below_lip_mm) = again.to_level(seen)?;
            (seen, Change::Level(below_lip_mm))
        }
        _ => (seen, Change::Nothing),
    };
    let check = WaterCheck { weighing, computed_mm3, change };
    seen.findings.push(finding(&check));
    Ok((seen, check))
}

fn volume_mm3(found: Option<&Found>) -> Bounds {
    found.map_or(Bounds::ZERO, |found| found.cavities.iter().map(|c| c.measures().volume_mm3).sum())
}

/// Looks again at the mesh, larger or filled otherwise.
struct Again<'a> {
    raw: &'a RawMesh,
    request: &'a JobRequest,
    weighing: Weighing,
    progress: Progress<'a>,
}

impl Again<'_> {
    fn asked_mm3(&self) -> f64 {
        self.weighing.volume_mm3()
    }

    fn off(&self, found: &Found) -> f64 {
        (volume_mm3(Some(found)).best() / self.asked_mm3() - 1.0).abs()
    }

    /// The mesh at the size at which it holds what was weighed.
    ///
    /// Filled to the lip its volume grows with the cube of the size. A fill level that lies so
    /// many millimetres under the lip does so at every size, so that the volume V grows with a
    /// higher power: d ln V / d ln size = 3 + (opening area × those millimetres) / V.
    fn to_size(&self, mut seen: Seen) -> Result<Seen, JobError> {
        let below_lip_mm = self.request.layers.below_lip.mm();
        let differs = WaterError::Differs { weighing: self.weighing };
        for _ in 0..ROUNDS {
            let found = seen.found?;
            let volume = volume_mm3(Some(&found)).best();
            let opening: f64 = found.cavities.iter().map(|c| c.measures().opening_area_mm2).sum();
            let power = 3.0 + opening * below_lip_mm / volume;
            let factor = (self.asked_mm3() / volume).powf(1.0 / power);
            let scale = seen.scale.times_by_weight(factor)?;
            let kind = kind(&found);
            let mesh = &self.request.mesh;
            seen = see(self.raw.clone(), &scale, mesh, below_lip_mm, self.progress)?;
            match &seen.found {
                Ok(found) if self::kind(found) != kind => return Err(differs.into()),
                Ok(found) if self.off(found) <= MET => return Ok(seen),
                _ => {}
            }
        }
        match &seen.found {
            Ok(found) if self.off(found) <= NEARLY_MET => Ok(seen),
            _ => Err(self.not_met(WeighingMeans::Size)),
        }
    }

    /// The mesh filled to the level at which it holds what was weighed, and how far that lies
    /// under the lip, mm; under every impression's own lip where several are filled.
    fn to_level(&self, seen: Seen) -> Result<(Seen, f64), JobError> {
        // A back that leans against a direction that was given is no longer the opening once a
        // level cuts it, so the level is looked for under one that just does so.
        let cut_mm = if seen.mesh.up_given { AT_THE_LIP_MM } else { 0.0 };
        let full = self.filled(&seen, cut_mm)?;
        let cavities = &full.found.as_ref().map_or(&[][..], |found| &found.cavities);
        let holds_mm3 = volume_mm3(full.found.as_ref().ok()).best();
        // What a level under the lip by so little may lack.
        let room = cut_mm * cavities.iter().map(|c| c.measures().opening_area_mm2).sum::<f64>();
        if self.asked_mm3() > holds_mm3 * (1.0 + MET) + room {
            let weighing = self.weighing;
            return Err(WaterError::RunsOver { weighing, holds_mm3 }.into());
        }
        let Some(down) = level_down(cavities, self.asked_mm3()).filter(|mm| *mm > AT_THE_LIP_MM)
        else {
            return Ok((self.filled(&seen, 0.0)?, 0.0));
        };
        let below_lip_mm = cut_mm + down;
        let filled = self.filled(&seen, below_lip_mm)?;
        match &filled.found {
            Ok(found) if self.off(found) <= NEARLY_MET => Ok((filled, below_lip_mm)),
            _ => Err(self.not_met(WeighingMeans::Level)),
        }
    }

    fn filled(&self, seen: &Seen, below_lip_mm: f64) -> Result<Seen, JobError> {
        let mesh = &self.request.mesh;
        let mut filled = see(self.raw.clone(), &seen.scale, mesh, below_lip_mm, self.progress)?;
        filled.found = Ok(filled.found?);
        Ok(filled)
    }

    fn not_met(&self, means: WeighingMeans) -> JobError {
        WaterError::NotMet { weighing: self.weighing, means }.into()
    }
}

/// What must be the same at another size.
fn kind(found: &Found) -> (usize, usize, bool) {
    let open = found.cavities.iter().all(Cavity::is_open);
    (found.impressions.len(), found.cavities.len(), open)
}

/// How far under the levels of the cavities, mm, all of them together hold so much; `None` where
/// that is no less than what they hold.
fn level_down(cavities: &[Cavity], asked_mm3: f64) -> Option<f64> {
    let held = |down: f64| -> f64 {
        let under = |c: &Cavity| match c.level_mm() - down {
            level if level > 0.0 => c.volume_under_mm3(level),
            _ => 0.0,
        };
        cavities.iter().map(under).sum()
    };
    if held(0.0) <= asked_mm3 {
        return None;
    }
    let deepest = cavities.iter().map(Cavity::level_mm).fold(0.0, f64::max);
    let (mut more, mut less) = (0.0, deepest);
    for _ in 0..HALVINGS {
        let down = 0.5 * (more + less);
        let held = held(down);
        if (held / asked_mm3 - 1.0).abs() <= MET || down <= more || down >= less {
            return Some(down);
        }
        if held > asked_mm3 {
            more = down;
        } else {
            less = down;
        }
    }
    Some(0.5 * (more + less))
}

/// How water is weighed so that it tells the truth.
///
/// Source: common practice, no source; for what stands proud of a rim a contact angle of 90° to
/// 110°.
const ABOUT_WATER: &str = "weigh it with a drop of detergent, filled to a mark below the rim (it \
    stands some mm proud of a silicone rim), the mould in its jacket; dry the mould wholly afterwards";
const ABOUT_CASTING: &str = "it must be whole, solid and filled to the same level";

fn finding(check: &WaterCheck) -> Finding {
    let difference = check.difference_percent();
    let what = match check.weighing {
        Weighing::Water(_) => "the water",
        Weighing::OldCasting(_) => "the old casting",
    };
    let within = match check.is_within_limits() {
        None => "",
        Some(true) => "; that lies within what the mended holes leave open",
        Some(false) => "; that lies outside of what the mended holes leave open",
    };
    let about = match check.weighing {
        Weighing::Water(_) => ABOUT_WATER,
        Weighing::OldCasting(_) => ABOUT_CASTING,
    };
    let more = if difference >= 0.0 { "more" } else { "less" };
    let message = format!("{what} says {:.1} % {more} than was computed{within}", difference.abs());
    if difference.abs() <= DIFFERENCE_PERCENT_MOST {
        return Finding::note("water-agrees", message).with_hint(about);
    }
    let hint = match check.change {
        Change::Nothing => format!(
            "--water-means size if the scan's size is off, --water-means level if it was filled \
             to another level; {about}"
        ),
        Change::Size(_) | Change::Level(_) => about.to_owned(),
    };
    if check.change != Change::Nothing {
        return Finding::note("water-followed", message).with_hint(hint);
    }
    let hint = if difference.abs() > DIFFERENCE_PERCENT_ODD {
        format!("check the grams, --unit and whether this is that mould's mesh; else {hint}")
    } else {
        hint
    };
    Finding::warning("water-differs", message).with_hint(hint)
}
