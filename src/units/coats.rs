//! `3` or `0.4mm,0.8mm,0.8mm`: how a skin is made up of coats.

use std::str::FromStr;

use super::{Length, LengthError};

/// How a skin is brushed on.
#[derive(Debug, Clone, PartialEq)]
pub enum Coats {
    /// In so many equal coats.
    Equal(u32),
    /// In coats of these thicknesses, from the wall inward.
    Each(Vec<Length>),
}

/// Why coats can't be brushed as they were given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CoatsError {
    /// A thickness in the list can't be read.
    #[error(transparent)]
    Length(#[from] LengthError),
    /// Fewer than one coat, or more than [`Coats::MOST`].
    #[error("a skin has 1 to {} coats", Coats::MOST)]
    Count,
    /// A coat is under [`Coats::THINNEST`].
    #[error("a coat of {0} is too thin: the thinnest is {thinnest}", thinnest = Coats::THINNEST)]
    TooThin(Length),
    /// The coats add up to another thickness than the skin's.
    #[error("the coats add up to {coats}, but the skin is {skin}")]
    Sum {
        /// What the coats add up to.
        coats: Length,
        /// What the skin was said to be.
        skin: Length,
    },
}

impl CoatsError {
    /// What to type instead.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Length(error) => error.hint(),
            Self::Count => Some(
                "write the number of coats, or their thicknesses as 0.4mm,0.8mm,0.8mm".to_owned(),
            ),
            Self::TooThin(_) => {
                Some("fewer coats are thicker; decimals take a point, as in 0.4mm,0.8mm".to_owned())
            }
            Self::Sum { .. } => {
                Some("leave out one of the two: the coats alone set the skin".to_owned())
            }
        }
    }
}

impl Coats {
    /// The thinnest coat: what a brush leaves, and a limit to the work of finding its volume.
    pub const THINNEST: Length = Length::from_mm(0.2);
    /// The most coats that are told apart.
    pub const MOST: u32 = 50;
    /// How far coats may miss the skin's thickness, mm: the rounding of typed decimals.
    const SLACK_MM: f64 = 1e-6;

    /// The thickness of each coat from the wall inward; none for a skin of 0.
    ///
    /// `skin` is the thickness of all coats together where it was given; a list of coats sets it
    /// otherwise, and `usual` does for a number of coats.
    ///
    /// # Errors
    /// [`CoatsError`] for coats that are too thin, too many, or that miss the skin's thickness.
    pub fn thicknesses(
        &self,
        skin: Option<Length>,
        usual: Length,
    ) -> Result<Vec<Length>, CoatsError> {
        let coats = match self {
            Self::Equal(1) if skin.unwrap_or(usual).mm() == 0.0 => return Ok(Vec::new()),
            Self::Equal(count) => {
                if !(1..=Self::MOST).contains(count) {
                    return Err(CoatsError::Count);
                }
                let each = Length::from_mm(skin.unwrap_or(usual).mm() / f64::from(*count));
                vec![each; *count as usize]
            }
            Self::Each(coats) => coats.clone(),
        };
        if coats.is_empty() || coats.len() > Self::MOST as usize {
            return Err(CoatsError::Count);
        }
        let slack = |mm: f64| mm + Self::SLACK_MM;
        if let Some(thin) = coats.iter().find(|c| slack(c.mm()) < Self::THINNEST.mm()) {
            return Err(CoatsError::TooThin(*thin));
        }
        let sum = Length::from_mm(coats.iter().map(|c| c.mm()).sum());
        match skin {
            Some(skin) if (skin.mm() - sum.mm()).abs() > Self::SLACK_MM => {
                Err(CoatsError::Sum { coats: sum, skin })
            }
            _ => Ok(coats),
        }
    }
}

impl FromStr for Coats {
    type Err = CoatsError;

    fn from_str(text: &str) -> Result<Self, CoatsError> {
        let text = text.trim();
        if let Ok(count) = text.parse::<i64>() {
            let count = u32::try_from(count).map_err(|_| CoatsError::Count)?;
            return Ok(Self::Equal(count));
        }
        let coats = text.split(',').map(str::parse).collect::<Result<_, _>>()?;
        Ok(Self::Each(coats))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const USUAL: Length = Length::from_mm(2.0);

    fn thicknesses(text: &str, skin: Option<f64>) -> Result<Vec<f64>, CoatsError> {
        let coats = text.parse::<Coats>()?.thicknesses(skin.map(Length::from_mm), USUAL)?;
        Ok(coats.into_iter().map(Length::mm).collect())
    }

    #[test]
    fn a_number_divides_the_skin_and_a_list_sets_it() {
        assert_eq!(thicknesses("1", None), Ok(vec![2.0]));
        assert_eq!(thicknesses("4", Some(3.0)), Ok(vec![0.75; 4]));
        assert_eq!(thicknesses("0.4mm,0.8mm,0.8mm", None), Ok(vec![0.4, 0.8, 0.8]));
        assert_eq!(thicknesses("0.4, 0.8, 0.8", Some(2.0)), Ok(vec![0.4, 0.8, 0.8]));
        assert_eq!(thicknesses("1/8in", None), Ok(vec![3.175]));
        assert_eq!(thicknesses("1", Some(0.0)), Ok(vec![]));
        assert_eq!(thicknesses("10", Some(2.0)), Ok(vec![0.2; 10]));
    }

    #[test]
    fn coats_that_cannot_be_brushed_are_refused() {
        let mm = Length::from_mm;
        assert_eq!(thicknesses("0", None), Err(CoatsError::Count));
        assert_eq!(thicknesses("-1", None), Err(CoatsError::Count));
        assert_eq!(thicknesses("51", Some(1000.0)), Err(CoatsError::Count));
        assert_eq!(
            thicknesses("11", Some(2.2 - 0.1)),
            Err(CoatsError::TooThin(mm((2.2 - 0.1) / 11.0)))
        );
        assert_eq!(thicknesses("1", Some(0.1)), Err(CoatsError::TooThin(mm(0.1))));
        assert_eq!(thicknesses("2", Some(0.0)), Err(CoatsError::TooThin(mm(0.0))));
        assert_eq!(thicknesses("0,4mm", None), Err(CoatsError::TooThin(mm(0.0))));
        assert_eq!(
            thicknesses("0.4mm,0.8mm", Some(2.0)),
            Err(CoatsError::Sum { coats: mm(0.4 + 0.8), skin: mm(2.0) })
        );
        assert_eq!(thicknesses("0.4mm,,0.8mm", None), Err(CoatsError::Length(LengthError::Empty)));
    }
}
