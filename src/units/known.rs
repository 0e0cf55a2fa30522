//! `x=82mm`, `mouth=60mm`: a known length that a scan is scaled by.

use std::str::FromStr;

use super::{Length, LengthError};

/// What of a piece was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measured {
    /// Its extent along the file's first axis.
    X,
    /// Its extent along the file's second axis.
    Y,
    /// Its extent along the file's third axis.
    Z,
    /// The widest way across the opening.
    Mouth,
    /// From the lowest point of the cavity up to the lip.
    Depth,
    /// The longest straight way between two of its points.
    Longest,
}

/// A length of the real piece that a scan is scaled by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownExtent {
    measured: Measured,
    length: Length,
}

/// Why a text is no known extent.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum KnownExtentError {
    /// Not of the form `WHAT=LENGTH`.
    #[error("\"{0}\" is not what was measured and its length")]
    Form(String),
    /// Nothing of that name can be measured.
    #[error("there is no \"{0}\" to measure")]
    Unknown(String),
    /// The length can't be read.
    #[error(transparent)]
    Length(#[from] LengthError),
    /// Shorter than [`KnownExtent::SHORTEST`].
    #[error("a known extent is at least {}", KnownExtent::SHORTEST)]
    TooShort,
}

impl KnownExtentError {
    /// What to type instead.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Form(_) | Self::Unknown(_) => Some(
                "write x, y or z of the file, mouth, depth or longest and the real size, such as \
                 x=82mm"
                    .to_owned(),
            ),
            Self::Length(error) => error.hint(),
            Self::TooShort => None,
        }
    }
}

impl Measured {
    /// All of them.
    pub const ALL: [Self; 6] = [Self::X, Self::Y, Self::Z, Self::Mouth, Self::Depth, Self::Longest];

    /// The word that is typed.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::X => "x",
            Self::Y => "y",
            Self::Z => "z",
            Self::Mouth => "mouth",
            Self::Depth => "depth",
            Self::Longest => "longest",
        }
    }

    /// 0, 1 or 2 for an extent along one of the file's axes.
    pub const fn axis(self) -> Option<usize> {
        match self {
            Self::X => Some(0),
            Self::Y => Some(1),
            Self::Z => Some(2),
            Self::Mouth | Self::Depth | Self::Longest => None,
        }
    }

    /// It belongs to the cavity, so that the cavity must be found to measure it.
    pub const fn is_of_cavity(self) -> bool {
        matches!(self, Self::Mouth | Self::Depth)
    }
}

impl std::fmt::Display for KnownExtent {
    /// `82 mm along x`, `a mouth of 60 mm`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (length, what) = (self.length, self.measured.as_str());
        match self.measured {
            Measured::X | Measured::Y | Measured::Z => write!(f, "{length} along {what}"),
            Measured::Mouth => write!(f, "a mouth {length} across"),
            Measured::Depth => write!(f, "a depth of {length}"),
            Measured::Longest => write!(f, "{length} at its longest"),
        }
    }
}

impl KnownExtent {
    /// The shortest extent: below it nothing can be cast, and numbers would run out of digits.
    pub const SHORTEST: Length = Length::from_mm(0.01);

    /// A known extent.
    ///
    /// # Errors
    /// [`KnownExtentError::TooShort`] for an extent of (nearly) 0.
    pub fn new(measured: Measured, length: Length) -> Result<Self, KnownExtentError> {
        if length < Self::SHORTEST {
            return Err(KnownExtentError::TooShort);
        }
        Ok(Self { measured, length })
    }

    /// What was measured.
    pub const fn measured(self) -> Measured {
        self.measured
    }

    /// How long it really is.
    pub const fn length(self) -> Length {
        self.length
    }
}

impl FromStr for KnownExtent {
    type Err = KnownExtentError;

    fn from_str(text: &str) -> Result<Self, KnownExtentError> {
        let (what, length) =
            text.split_once('=').ok_or_else(|| KnownExtentError::Form(text.trim().to_owned()))?;
        let word = what.trim().to_lowercase();
        let measured = Measured::ALL.into_iter().find(|m| m.as_str() == word);
        let unknown = || KnownExtentError::Unknown(what.trim().to_owned());
        Self::new(measured.ok_or_else(unknown)?, length.parse()?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_axis_and_a_length_are_read() {
        let known: Result<KnownExtent, _> = "x=82mm".parse();
        assert_eq!(known, KnownExtent::new(Measured::X, Length::from_mm(82.0)));
        let known: Result<KnownExtent, _> = "Z = 3 1/4in".parse();
        assert_eq!(known, KnownExtent::new(Measured::Z, Length::from_mm(82.55)));
    }

    #[test]
    fn what_callipers_reach_is_read() {
        for measured in Measured::ALL {
            let known: KnownExtent = format!("{}=60mm", measured.as_str()).parse().unwrap();
            assert_eq!((known.measured(), known.length().mm()), (measured, 60.0));
        }
        let known: KnownExtent = "Mouth = 6cm".parse().unwrap();
        assert_eq!(known.to_string(), format!("a mouth {} across", Length::from_mm(60.0)));
    }

    #[test]
    fn what_is_no_known_extent_is_refused() {
        assert_eq!("x=0mm".parse::<KnownExtent>(), Err(KnownExtentError::TooShort));
        assert_eq!(
            "x=-1mm".parse::<KnownExtent>(),
            Err(KnownExtentError::Length(LengthError::Negative))
        );
        assert_eq!("82mm".parse::<KnownExtent>(), Err(KnownExtentError::Form("82mm".into())));
        assert_eq!("w=82mm".parse::<KnownExtent>(), Err(KnownExtentError::Unknown("w".into())));
        assert_eq!("x=".parse::<KnownExtent>(), Err(KnownExtentError::Length(LengthError::Empty)));
    }
}
