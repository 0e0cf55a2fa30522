//! Scaling by a length that belongs to the cavity, which must be found to be measured.
//!
//! The rules by which it is found have lengths in mm of their own, so it is found at a provisional
//! size, the mesh is scaled, and it is found again. Only a cavity that has the known length at the
//! size at which it is found is taken.

use super::scale::Scale;
use super::see::{Seen, see};
use super::{CHECKING_BEGINS, JobError, MeshRequest, Progress};
use crate::finding::Finding;
use crate::formats::RawMesh;
use crate::units::{KnownExtent, Measured};

/// Two cavities are the same where their lengths agree to this share.
const SAME: f64 = 1e-6;
/// A cavity that differs by no more than this share is measured once more: a level back is fitted
/// within 0.05 mm, which is another share of it at another size. Beyond, it is another cavity.
const NEARLY_THE_SAME: f64 = 0.002;
/// Sizes that are tried at most.
const ROUNDS: usize = 5;

/// A mouth that is this much narrower so little under the lip runs out onto the rim, mm: noise of
/// a scan, or a rounded edge. On a wall steeper than 27° it doesn't.
const SPREADS_MM: f64 = 2.0;
/// So little, mm.
const UNDER_LIP_MM: f64 = 0.5;
/// It matters from this share of the mouth on.
const SPREADS_SHARE: f64 = 0.02;

/// Why a length of the cavity can't be used.
#[derive(Debug, thiserror::Error)]
pub enum KnownError {
    /// It has no opening.
    #[error("the mesh can't be scaled to {0}: the cavity is closed all round, it has no mouth")]
    Closed(KnownExtent),
    /// There is no cavity.
    #[error("the mesh can't be scaled to {known}, as no cavity is found to measure: {error}")]
    NoCavity {
        /// What was asked for.
        known: KnownExtent,
        /// Why.
        error: Box<JobError>,
    },
    /// What is found depends on the size.
    #[error("the mesh can't be scaled to {known}: {how}")]
    Differs {
        /// What was asked for.
        known: KnownExtent,
        /// How what is found differs.
        how: String,
    },
}

impl KnownError {
    /// What to do about it.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Closed(_) => {
                Some("give a length of the piece itself, such as x=82mm or longest=82mm".to_owned())
            }
            Self::NoCavity { error, .. } => error.hint(),
            Self::Differs { .. } => Some(
                "give a length of the piece itself, such as x=82mm, or the unit with --unit"
                    .to_owned(),
            ),
        }
    }
}

/// Brings a mesh to its size and looks at it there.
///
/// # Errors
/// [`JobError`] where it can't be brought to its size, or the lists are no mesh.
pub fn see_scaled(
    raw: RawMesh,
    request: &MeshRequest,
    below_lip_mm: f64,
    progress: Progress<'_>,
) -> Result<Seen, JobError> {
    let provisional = Scale::of(&raw, request.unit, request.known)?;
    let Some(known) = request.known.filter(|known| known.measured().is_of_cavity()) else {
        return see(raw, &provisional, request, below_lip_mm, progress);
    };
    let (scale, sight) = scale_by_cavity(&raw, provisional, known, request, progress)?;
    let mut seen = see(raw, &scale, request, below_lip_mm, progress)?;
    seen.findings.extend(sight.unsure(known));
    Ok(seen)
}

fn scale_by_cavity(
    raw: &RawMesh,
    mut scale: Scale,
    known: KnownExtent,
    request: &MeshRequest,
    progress: Progress<'_>,
) -> Result<(Scale, Sight), JobError> {
    let asked_mm = known.length().mm();
    let mut before = Sight::of(raw, &scale, known, request, progress)?;
    for _ in 0..ROUNDS {
        let larger = scale.times(asked_mm / before.length_mm)?;
        let now = Sight::of(raw, &larger, known, request, progress)?;
        let off = (now.length_mm / asked_mm - 1.0).abs();
        let same_kind = now.open == before.open && now.impressions == before.impressions;
        if same_kind && off <= SAME {
            return Ok((larger, now));
        }
        if !same_kind || off > NEARLY_THE_SAME {
            return Err(differs(known, &now, &scale, &before).into());
        }
        (scale, before) = (larger, now);
    }
    let again =
        Sight::of(raw, &scale.times(asked_mm / before.length_mm)?, known, request, progress)?;
    Err(differs(known, &again, &scale, &before).into())
}

fn differs(known: KnownExtent, now: &Sight, before: &Scale, then: &Sight) -> KnownError {
    let (size, what) = (before.longest(), known.measured().as_str());
    let how = if (now.open, now.impressions) == (then.open, then.impressions) {
        format!(
            "what is found changes with the size; measured at {size} and scaled, its {what} would \
             be {:.3} mm",
            now.length_mm
        )
    } else {
        format!(
            "measured at {size} it holds {}, but {} at the size asked for",
            then.in_words(),
            now.in_words()
        )
    };
    KnownError::Differs { known, how }
}

/// What matters of the cavity that is found at one size.
struct Sight {
    open: bool,
    impressions: usize,
    length_mm: f64,
    /// How wide it is a little under the lip, mm.
    under_lip_mm: f64,
}

impl Sight {
    fn of(
        raw: &RawMesh,
        scale: &Scale,
        known: KnownExtent,
        request: &MeshRequest,
        progress: Progress<'_>,
    ) -> Result<Self, JobError> {
        // The share done doesn't run back when the work is done again.
        let stay = |phase, _: f64| progress(phase, CHECKING_BEGINS);
        let seen = see(raw.clone(), scale, request, 0.0, &stay)?;
        let no_cavity = |error| KnownError::NoCavity { known, error: Box::new(error) };
        let found = seen.found.map_err(no_cavity)?;
        let cavity = found.cavities.first().ok_or(KnownError::Closed(known))?;
        let length_mm = match known.measured() {
            Measured::Mouth => cavity.mouth_mm().ok_or(KnownError::Closed(known))?,
            _ => cavity.measures().lip_mm,
        };
        let impressions = found.impressions.len().max(1);
        let under_lip_mm = cavity.width_under_level_mm(UNDER_LIP_MM);
        Ok(Self { open: cavity.is_open(), impressions, length_mm, under_lip_mm })
    }

    /// Warns of a mouth whose width callipers may not find.
    fn unsure(&self, known: KnownExtent) -> Option<Finding> {
        let spreads_mm = self.length_mm - self.under_lip_mm;
        let matters = spreads_mm > SPREADS_MM.max(SPREADS_SHARE * self.length_mm);
        if known.measured() != Measured::Mouth || !matters {
            return None;
        }
        let message = format!(
            "the mouth that the mesh was scaled by is unsure: {UNDER_LIP_MM} mm under the lip it is \
             {spreads_mm:.1} mm narrower, so it runs out onto the rim"
        );
        let hint = "give a length of the piece itself, such as x=82mm, or depth=";
        Some(Finding::warning("mouth-unsure", message).with_hint(hint))
    }

    fn in_words(&self) -> String {
        match (self.impressions, self.open) {
            (1, true) => "one cavity".to_owned(),
            (1, false) => "one cavity, closed all round".to_owned(),
            (n, _) => format!("{n} cavities"),
        }
    }
}
