//! `+x`, `-z`, `0.1,0,1`: a direction along the file's axes.

use std::fmt;
use std::str::FromStr;

/// A direction along the file's axes, of length 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Direction {
    unit: [f64; 3],
}

/// Why a text is no direction.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DirectionError {
    /// Neither an axis nor three numbers.
    #[error("\"{0}\" is not a direction")]
    Unreadable(String),
    /// A component is NaN or infinite.
    #[error("\"{0}\" has a component that is not a finite number")]
    NotFinite(String),
    /// All three components are 0.
    #[error("the vector 0,0,0 points nowhere")]
    Zero,
}

impl DirectionError {
    /// What to type instead.
    pub fn hint(&self) -> String {
        "write an axis (+x, -x, +y, -y, +z, -z) or a vector such as 0.1,0,1".to_owned()
    }
}

impl Direction {
    /// The file's +z.
    pub const PLUS_Z: Self = Self { unit: [0.0, 0.0, 1.0] };

    /// The direction of a vector of any length.
    ///
    /// # Errors
    /// [`DirectionError::Zero`] when it has none.
    pub fn of(vector: [f64; 3]) -> Result<Self, DirectionError> {
        // Scaled by the largest component first, so that no square over- or underflows.
        let largest = vector.iter().fold(0.0, |m: f64, c| m.max(c.abs()));
        if largest == 0.0 {
            return Err(DirectionError::Zero);
        }
        let scaled = vector.map(|c| c / largest);
        let length = scaled.iter().map(|c| c * c).sum::<f64>().sqrt();
        // Adding 0.0 turns −0.0 into 0.0.
        Ok(Self { unit: scaled.map(|c| c / length + 0.0) })
    }

    /// The components, along the file's axes.
    pub const fn components(self) -> [f64; 3] {
        self.unit
    }
}

/// As it is typed: an axis by its name, else three components.
impl fmt::Display for Direction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [x, y, z] = self.unit;
        for (name, along) in [("x", [x, y, z]), ("y", [y, z, x]), ("z", [z, x, y])] {
            if along[1] == 0.0 && along[2] == 0.0 {
                return write!(f, "{}{name}", if along[0] > 0.0 { '+' } else { '-' });
            }
        }
        // Adding 0.0 turns −0.0 into 0.0.
        let [x, y, z] = self.unit.map(|c| (c * 1e4).round() / 1e4 + 0.0);
        write!(f, "{x},{y},{z}")
    }
}

impl FromStr for Direction {
    type Err = DirectionError;

    fn from_str(text: &str) -> Result<Self, DirectionError> {
        let word = text.trim();
        let (sign, axis) = match word.strip_prefix(['-', '−']) {
            Some(axis) => (-1.0, axis),
            None => (1.0, word.strip_prefix('+').unwrap_or(word)),
        };
        match axis.to_lowercase().as_str() {
            "x" => return Self::of([sign, 0.0, 0.0]),
            "y" => return Self::of([0.0, sign, 0.0]),
            "z" => return Self::of([0.0, 0.0, sign]),
            _ => {}
        }
        let unreadable = || DirectionError::Unreadable(word.to_owned());
        let parts: Vec<f64> = word
            .split(',')
            .map(|part| part.trim().parse().map_err(|_| unreadable()))
            .collect::<Result<_, _>>()?;
        let vector: [f64; 3] = parts.try_into().map_err(|_| unreadable())?;
        if !vector.iter().all(|c| c.is_finite()) {
            return Err(DirectionError::NotFinite(word.to_owned()));
        }
        Self::of(vector)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn components(text: &str) -> [f64; 3] {
        text.parse::<Direction>().unwrap_or_else(|e| panic!("{text}: {e}")).components()
    }

    #[test]
    fn axes_and_vectors_are_read() {
        assert_eq!(components("+x"), [1.0, 0.0, 0.0]);
        assert_eq!(components("x"), [1.0, 0.0, 0.0]);
        assert_eq!(components("-Z"), [0.0, 0.0, -1.0]);
        assert_eq!(components("0,0,2"), [0.0, 0.0, 1.0]);
        assert_eq!(components("3, 0, -4"), [0.6, 0.0, -0.8]);
        assert_eq!(components("0,1e-300,0"), [0.0, 1.0, 0.0]);
        assert_eq!(components("0,1e300,0"), [0.0, 1.0, 0.0]);
    }

    #[test]
    fn what_is_written_can_be_typed() {
        for text in ["+x", "-y", "+z", "0.6,0,-0.8"] {
            assert_eq!(text.parse::<Direction>().map(|d| d.to_string()), Ok(text.to_owned()));
        }
    }

    #[test]
    fn what_points_nowhere_is_refused() {
        assert_eq!("0,0,0".parse::<Direction>(), Err(DirectionError::Zero));
        assert_eq!("0,0,-0".parse::<Direction>(), Err(DirectionError::Zero));
        for text in ["nan,0,1", "inf,0,1"] {
            assert_eq!(text.parse::<Direction>(), Err(DirectionError::NotFinite(text.into())));
        }
        for text in ["", "up", "1,2", "1,2,3,4", "--z", "a,b,c", "w"] {
            assert_eq!(text.parse::<Direction>(), Err(DirectionError::Unreadable(text.into())));
        }
    }
}
