//! Why there is no cavity, with what to do about it.

use crate::mesh::Vec3;
use crate::units::Direction;

/// Why there is no cavity.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CavityError {
    /// The fill level lies at or under the bottom.
    #[error(
        "the fill level lies {below_lip_mm:.2} mm under the lip, but the cavity is only {depth_mm:.2} mm deep"
    )]
    LevelBelowBottom {
        /// What was asked for, mm.
        below_lip_mm: f64,
        /// How deep the cavity is, mm.
        depth_mm: f64,
    },
    /// The surface holds liquid only when it is turned.
    #[error("the mould opens {}: nothing stays in it as it stands", .way)]
    OpensElsewhere {
        /// `downward` or `sideways`.
        way: &'static str,
        /// The direction that must be up for it to hold most, along the file's axes.
        up: Vec3,
    },
    /// Nothing stays in it, however it is turned.
    #[error("there is no open pit in the surface: {}", if *.hollow {
        "it is a closed hollow that can't be poured into"
    } else {
        "a mould needs a cavity that is open at its top"
    })]
    NoPit {
        /// It has a closed hollow.
        hollow: bool,
    },
    /// It is open at both ends.
    #[error(
        "the surface is open twice: beside its outer border a second one encloses {:.0} % of what the first does, so liquid would run through", 100.0 * .share
    )]
    Tube {
        /// Area of the second border over that of the first, seen from above.
        share: f64,
        /// Middle of the second border, mm, along the file's axes.
        place_mm: Vec3,
    },
    /// An impression that isn't there.
    #[error("there is no impression {asked}: {}", match .count {
        1 => "there is only one".to_owned(),
        n => format!("there are {n}, the largest first"),
    })]
    NoSuchImpression {
        /// What was asked for.
        asked: u32,
        /// How many there are.
        count: usize,
    },
    /// No plane fits the rim.
    #[error("no plane can be fitted to the rim, so it doesn't tell which way is up")]
    NoRim,
}

impl CavityError {
    /// What to do about it.
    pub fn hint(&self) -> String {
        match self {
            Self::LevelBelowBottom { .. } => {
                "give a smaller --below-lip, or check --unit and --up".to_owned()
            }
            Self::OpensElsewhere { up, .. } => match Direction::of(up.to_array()) {
                Ok(up) => format!("give --up {up}"),
                Err(_) => "give the direction with --up".to_owned(),
            },
            Self::NoPit { hollow: true } => "give each part of the mould as a mesh of its own, \
                open side up; or the closed mesh of the casting with --as casting"
                .to_owned(),
            Self::NoPit { hollow: false } => "check --up; the parts of a mould that is closed by \
                a lid or a second part are meshes of their own; a casting is read with --as casting"
                .to_owned(),
            Self::Tube { .. } => {
                "close the lower end in the program the mesh came from, or read it with --as casting"
                    .to_owned()
            }
            Self::NoSuchImpression { count: 1, .. } => "leave --impression out".to_owned(),
            Self::NoSuchImpression { count, .. } => {
                format!("give --impression 1 to {count}, or all")
            }
            Self::NoRim => "give the direction itself, such as --up +z or --up 0.1,0,1".to_owned(),
        }
    }
}
