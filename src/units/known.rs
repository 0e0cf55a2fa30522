//! `x=82mm`: a known extent that a scan is scaled by.

use std::str::FromStr;

use super::{Length, LengthError};

/// One of the file's own axes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Axis {
    /// The first coordinate.
    X,
    /// The second coordinate.
    Y,
    /// The third coordinate.
    Z,
}

/// The extent that a mesh really has along one of the file's axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownExtent {
    axis: Axis,
    length: Length,
}

/// Why a text is no known extent.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum KnownExtentError {
    /// Not of the form `AXIS=LENGTH`.
    #[error("\"{0}\" is not an axis and a length")]
    Form(String),
    /// The axis is none of x, y and z.
    #[error("there is no axis \"{0}\"")]
    Axis(String),
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
            Self::Form(_) | Self::Axis(_) => Some(
                "write the axis of the file and the real size along it, such as x=82mm".to_owned(),
            ),
            Self::Length(error) => error.hint(),
            Self::TooShort => None,
        }
    }
}

impl Axis {
    /// The lower-case letter.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::X => "x",
            Self::Y => "y",
            Self::Z => "z",
        }
    }

    /// 0, 1 or 2.
    pub const fn index(self) -> usize {
        self as usize
    }
}

impl KnownExtent {
    /// The shortest extent: below it nothing can be cast, and numbers would run out of digits.
    pub const SHORTEST: Length = Length::from_mm(0.01);

    /// A known extent.
    ///
    /// # Errors
    /// [`KnownExtentError::TooShort`] for an extent of (nearly) 0.
    pub fn new(axis: Axis, length: Length) -> Result<Self, KnownExtentError> {
        if length < Self::SHORTEST {
            return Err(KnownExtentError::TooShort);
        }
        Ok(Self { axis, length })
    }

    /// Along which of the file's axes.
    pub const fn axis(self) -> Axis {
        self.axis
    }

    /// How long it really is.
    pub const fn length(self) -> Length {
        self.length
    }
}

impl FromStr for KnownExtent {
    type Err = KnownExtentError;

    fn from_str(text: &str) -> Result<Self, KnownExtentError> {
        let (axis, length) =
            text.split_once('=').ok_or_else(|| KnownExtentError::Form(text.trim().to_owned()))?;
        let axis = match axis.trim().to_lowercase().as_str() {
            "x" => Axis::X,
            "y" => Axis::Y,
            "z" => Axis::Z,
            _ => return Err(KnownExtentError::Axis(axis.trim().to_owned())),
        };
        Self::new(axis, length.parse()?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_axis_and_a_length_are_read() {
        let known: Result<KnownExtent, _> = "x=82mm".parse();
        assert_eq!(known, KnownExtent::new(Axis::X, Length::from_mm(82.0)));
        let known: Result<KnownExtent, _> = "Z = 3 1/4in".parse();
        assert_eq!(known, KnownExtent::new(Axis::Z, Length::from_mm(82.55)));
    }

    #[test]
    fn what_is_no_known_extent_is_refused() {
        assert_eq!("x=0mm".parse::<KnownExtent>(), Err(KnownExtentError::TooShort));
        assert_eq!(
            "x=-1mm".parse::<KnownExtent>(),
            Err(KnownExtentError::Length(LengthError::Negative))
        );
        assert_eq!("82mm".parse::<KnownExtent>(), Err(KnownExtentError::Form("82mm".into())));
        assert_eq!("w=82mm".parse::<KnownExtent>(), Err(KnownExtentError::Axis("w".into())));
        assert_eq!("x=".parse::<KnownExtent>(), Err(KnownExtentError::Length(LengthError::Empty)));
    }
}
