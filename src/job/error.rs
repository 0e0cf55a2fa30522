//! Why a run can't be done, with what to do about it.

use crate::cavity::CavityError;
use crate::finding::Finding;
use crate::formats::ReadError;
use crate::health::{Hole, Unsound};
use crate::job::{CorrectError, KnownError, ScaleError, Steps, TooMuchWork, WaterError};
use crate::materials::MixError;
use crate::mesh::MeshError;
use crate::mould::MouldError;
use crate::plan::PlanError;
use crate::timing::TimingError;
use crate::units::Length;

/// Why a run can't be done.
#[derive(Debug, thiserror::Error)]
pub enum JobError {
    /// The bytes are no mesh.
    #[error(transparent)]
    Read(#[from] ReadError),
    /// The mesh can't be brought to its size.
    #[error(transparent)]
    Scale(#[from] ScaleError),
    /// The lists are no mesh.
    #[error(transparent)]
    Mesh(#[from] MeshError),
    /// No volume can be stood behind.
    #[error("{}", explain(.0))]
    Unsound(Unsound),
    /// There is nothing to fill.
    #[error(transparent)]
    Cavity(#[from] CavityError),
    /// The rim's direction is asked for of a casting.
    #[error("--up rim takes up from a mould's rim, but the mesh was read as a casting")]
    RimOfCasting,
    /// A mould is asked to be filled without an opening.
    #[error("--opening none: a mould is poured through its opening")]
    OpeningOfMould,
    /// The mesh can't be scaled by a length of its cavity.
    #[error(transparent)]
    Known(#[from] KnownError),
    /// A weighed filling can't be followed.
    #[error(transparent)]
    Water(#[from] WaterError),
    /// It is far too large.
    #[error(transparent)]
    TooMuch(#[from] TooMuchWork),
    /// An insert can't be worked with.
    #[error("insert {file}: {error}")]
    Insert {
        /// Its file; several where they can't be united.
        file: String,
        /// Why.
        error: Box<JobError>,
    },
    /// An insert doesn't lie in the cavity.
    #[error("insert {file} doesn't lie in the cavity: {}", tell_outside(*.outside_share))]
    InsertOutside {
        /// Its file.
        file: String,
        /// What of it lies outside, as a share of what lies under the fill level, 0 to 1.
        outside_share: f64,
    },
    /// What is in the mould already can't be followed.
    #[error(transparent)]
    Correct(#[from] CorrectError),
    /// The grams can't be worked out.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The times can't be told.
    #[error(transparent)]
    Timing(#[from] TimingError),
    /// The material can't be mixed.
    #[error(transparent)]
    Mix(#[from] MixError),
    /// The mould's own body can't be worked out.
    #[error(transparent)]
    Mould(#[from] MouldError),
    /// A parting of a piece that isn't cast in a closed mould.
    #[error(
        "--parting divides a mould that closes round the whole piece, but this is an open mould"
    )]
    PartingOfMould,
    /// The other half of the mould can't be worked with.
    #[error("other half {file}: {error}")]
    OtherHalf {
        /// Its file.
        file: String,
        /// Why.
        error: Box<JobError>,
    },
    /// A half that is no open mould with one cavity.
    #[error("{file} is a casting's shape, not a half of a mould with its rim")]
    HalfOfCasting {
        /// Its file.
        file: String,
    },
    /// Two halves that don't meet.
    #[error(
        "the two halves don't meet: their openings, {:.1} and {:.1} cm², differ by {:.0} % in size \
         or shape",
        .areas_mm2[0] / 100.0, .areas_mm2[1] / 100.0, 100.0 * .apart
    )]
    HalvesDiffer {
        /// How far they differ, as a share.
        apart: f64,
        /// Their openings, mm².
        areas_mm2: [f64; 2],
    },
    /// Something that a mould of two half scans doesn't have.
    #[error(
        "{option} can't be had with --other-half: the two halves are taken closed, as they are"
    )]
    NotOfHalves {
        /// What was asked for.
        option: &'static str,
    },
    /// A mould is made on one piece.
    #[error("a mould is made on one piece, but all impressions were asked for")]
    SeveralPieces,
    /// A level table would have more than [`Steps::MOST`] steps.
    #[error("--step is too small: more than {} steps in {:.1} mm of depth", Steps::MOST, .depth_mm)]
    TooManySteps {
        /// How deep the cavity is, mm.
        depth_mm: f64,
    },
}

impl JobError {
    /// What to do about it, where that can be told.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Read(error) => Some(error.hint().to_owned()),
            Self::Scale(error) => Some(error.hint()),
            Self::Mesh(_) => Some("export the mesh again".to_owned()),
            Self::Unsound(unsound) => Some(advice(unsound).to_owned()),
            Self::Cavity(error) => Some(error.hint()),
            Self::RimOfCasting => {
                Some("give the direction itself, or --as mould if it shows a mould".to_owned())
            }
            Self::OpeningOfMould => {
                Some("leave it out, or give --as casting if it shows the casting".to_owned())
            }
            Self::Known(error) => error.hint(),
            Self::Water(error) => Some(error.hint().to_owned()),
            Self::TooMuch(error) => Some(error.hint().to_owned()),
            Self::Insert { error, .. } => error.hint(),
            Self::InsertOutside { .. } => {
                Some("export it in the same coordinates and unit as the mesh".to_owned())
            }
            Self::Correct(error) => Some(error.hint()),
            // Volumes come from the mesh and the lengths, so one of them is a slip.
            Self::Plan(PlanError::OutOfRange { .. }) => {
                Some("check --unit and the lengths given".to_owned())
            }
            Self::Plan(error) => error.hint(),
            Self::Timing(error) => error.hint().map(str::to_owned),
            Self::Mix(error) => Some(error.hint().to_owned()),
            Self::Mould(error) => Some(error.hint().to_owned()),
            Self::PartingOfMould => Some(
                "give the closed mesh of the casting; a half scanned by itself is planned as a mould \
                 of its own, without --parting"
                    .to_owned(),
            ),
            Self::OtherHalf { error, .. } => error.hint(),
            Self::HalfOfCasting { .. } => {
                Some("give --as mould if it shows a mould all the same".to_owned())
            }
            Self::HalvesDiffer { .. } => Some(
                "give the scans of the two halves of one mould, in the same unit and whole up to \
                 the rim"
                    .to_owned(),
            ),
            Self::NotOfHalves { .. } => Some("leave out one of the two".to_owned()),
            Self::SeveralPieces => Some("give --impression 1 for the largest".to_owned()),
            Self::TooManySteps { depth_mm } => {
                let least = Length::from_mm(depth_mm / f64::from(Steps::MOST));
                Some(format!("give a larger step than {least}, or --steps"))
            }
        }
    }
}

impl JobError {
    /// Wrong usage rather than a mesh that can't be worked with.
    pub fn is_wrong_usage(&self) -> bool {
        matches!(
            self,
            Self::OpeningOfMould
                | Self::SeveralPieces
                | Self::TooManySteps { .. }
                | Self::NotOfHalves { .. }
        )
    }

    /// The warning that stands in a survey instead of a cavity, where the mesh can be read but
    /// not trusted, or holds nothing.
    pub(super) fn instead_of_a_cavity(self) -> Result<Finding, Self> {
        match &self {
            Self::Unsound(unsound) => Ok(no_cavity(unsound)),
            Self::Cavity(error) => {
                let (code, place_mm) = match error {
                    CavityError::OpensElsewhere { .. } => ("opens-elsewhere", None),
                    CavityError::NoPit { .. } => ("no-pit", None),
                    CavityError::Tube { place_mm, .. } => ("open-twice", Some(*place_mm)),
                    CavityError::NoRim => ("no-rim", None),
                    CavityError::LevelBelowBottom { .. } | CavityError::NoSuchImpression { .. } => {
                        return Err(self);
                    }
                };
                let message = format!("no volume can be given: {error}");
                let finding = Finding::warning(code, message).with_hint(error.hint());
                Ok(Finding { place_mm, ..finding })
            }
            _ => Err(self),
        }
    }
}

/// How much of an insert lies outside.
fn tell_outside(share: f64) -> String {
    if share >= 1.0 {
        "nothing of it does".to_owned()
    } else {
        format!("{:.0} % of it lies outside", 100.0 * share)
    }
}

/// The warning for a mesh that can't be trusted.
fn no_cavity(unsound: &Unsound) -> Finding {
    let (code, place_mm) = match unsound {
        Unsound::Open { holes, .. } => ("not-closed", holes.first().map(|h| h.centre_mm)),
        Unsound::NotOrientable { place_mm } => ("not-orientable", Some(*place_mm)),
        Unsound::Crossing { place_mm, .. } => ("crosses-itself", Some(*place_mm)),
        Unsound::TooManyCrossings => ("crosses-itself", None),
        Unsound::HoleTooLarge { hole, .. } => ("hole-too-large", Some(hole.centre_mm)),
        Unsound::Empty => ("encloses-nothing", None),
    };
    let message = format!("no volume can be given: {}", explain(unsound));
    Finding { place_mm, ..Finding::warning(code, message).with_hint(advice(unsound)) }
}

/// How many holes are named one by one.
const HOLES_NAMED: usize = 3;

/// The reason in words; an open mesh names its largest holes with size and place.
fn explain(unsound: &Unsound) -> String {
    let Unsound::Open { open_edges, holes } = unsound else { return unsound.to_string() };
    let edges =
        if *open_edges == 1 { "1 open edge".into() } else { format!("{open_edges} open edges") };
    match holes.len() {
        0 => format!("the mesh is not closed: {edges}"),
        1 => format!("the mesh is not closed: a hole {} ({edges})", describe(&holes[0])),
        n => {
            let named: Vec<_> = holes.iter().take(HOLES_NAMED).map(describe).collect();
            let all = if n > HOLES_NAMED { ", the largest" } else { ":" };
            format!("the mesh is not closed: {n} holes ({edges}){all} {}", named.join(", "))
        }
    }
}

fn describe(hole: &Hole) -> String {
    let c = hole.centre_mm;
    format!("{:.1} mm across at ({:.1}, {:.1}, {:.1}) mm", hole.size_mm, c.x, c.y, c.z)
}

fn advice(unsound: &Unsound) -> &'static str {
    match unsound {
        Unsound::Open { .. } => {
            "close the holes in the program the mesh came from; places are along the file's own axes"
        }
        Unsound::NotOrientable { .. } => {
            "rebuild the surface there so that it has an inside and an outside"
        }
        Unsound::Crossing { .. } | Unsound::TooManyCrossings => {
            "unite the crossing parts into one surface in the program the mesh came from"
        }
        Unsound::HoleTooLarge { .. } => {
            "scan the place again or close it in the program the mesh came from, or go on with \
             wide limits: --accept-holes; places are along the file's own axes"
        }
        Unsound::Empty => "check that the file holds a solid body and not a flat or doubled sheet",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::Vec3;

    fn hole(size_mm: f64) -> Hole {
        Hole { centre_mm: Vec3::new(1.0, 2.0, 3.0), size_mm, edges: 4 }
    }

    #[test]
    fn the_largest_holes_are_named_with_size_and_place() {
        let open = |sizes: &[f64]| {
            let holes = sizes.iter().copied().map(hole).collect();
            JobError::Unsound(Unsound::Open { open_edges: 4 * sizes.len(), holes }).to_string()
        };
        assert_eq!(
            open(&[12.0]),
            "the mesh is not closed: a hole 12.0 mm across at (1.0, 2.0, 3.0) mm (4 open edges)"
        );
        assert_eq!(open(&[9.0, 8.0]).matches("mm across at").count(), 2);
        let many = open(&[9.0, 8.0, 7.0, 6.0]);
        assert_eq!(many.matches("mm across at").count(), 3);
        assert!(many.contains("4 holes (16 open edges), the largest 9.0 mm"), "{many}");
    }

    #[test]
    fn a_survey_warns_with_the_place() {
        let finding =
            no_cavity(&Unsound::Crossing { pairs: 2, place_mm: Vec3::new(5.0, 0.0, 0.0) });
        assert_eq!(finding.code, "crosses-itself");
        assert_eq!(finding.place_mm, Some(Vec3::new(5.0, 0.0, 0.0)));
        assert!(finding.hint.is_some());
    }
}
