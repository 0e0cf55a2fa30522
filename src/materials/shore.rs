//! A hardness as people write it: `00-25`, `A5`, `shore A 5`.

use super::Shore;
use std::fmt;
use std::str::FromStr;

/// A reading on a durometer's scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShoreReading {
    /// The scale.
    pub scale: Shore,
    /// The reading, 0 to 100.
    pub reading: f64,
}

/// Why a text is no hardness.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ShoreError {
    /// The scale is missing, so that 25 may be anything.
    #[error("`{0}` names no scale")]
    NoScale(String),
    /// A scale that no system is measured in.
    #[error("`{0}` is not in one of the scales A, 00 and D")]
    UnknownScale(String),
    /// There is no number behind the scale, or something else is.
    #[error("`{0}` has no reading on its scale")]
    NoReading(String),
    /// A durometer shows 0 to 100.
    #[error("`{0}`: a durometer reads 0 to 100")]
    OutOfRange(String),
}

impl ShoreError {
    /// What to type instead.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::NoScale(number) => Some(format!("write 00-{number} or A{number}")),
            Self::UnknownScale(_) | Self::NoReading(_) => {
                Some("write the scale, then the reading: 00-25, A5".to_owned())
            }
            Self::OutOfRange(_) => None,
        }
    }
}

impl FromStr for ShoreReading {
    type Err = ShoreError;

    /// Reads `00-25`, `oo25`, `00:25`, `A5`, `5A`, `shore A 5`.
    fn from_str(text: &str) -> Result<Self, ShoreError> {
        let whole = text.trim();
        let lower = whole.to_lowercase();
        let words = lower.strip_prefix("shore").unwrap_or(&lower).trim();
        let Some((scale, number)) = split(words) else {
            let bare = words.parse::<f64>().is_ok();
            return Err(if bare {
                ShoreError::NoScale(words.to_owned())
            } else {
                ShoreError::UnknownScale(whole.to_owned())
            });
        };
        let digits = number.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        // A third nought is another scale, not part of a number.
        let padded = number.len() > 1 && number.starts_with('0') && !number.starts_with("0.");
        if padded && scale == Shore::OO {
            return Err(ShoreError::UnknownScale(whole.to_owned()));
        }
        let reading = number.parse::<f64>().ok().filter(|_| digits);
        let reading = reading.ok_or_else(|| ShoreError::NoReading(whole.to_owned()))?;
        if !(0.0..=100.0).contains(&reading) {
            return Err(ShoreError::OutOfRange(whole.to_owned()));
        }
        Ok(Self { scale, reading })
    }
}

/// Scale and number, whichever comes first, with at most one mark and blanks between.
fn split(words: &str) -> Option<(Shore, &str)> {
    const SCALES: [(&str, Shore); 4] =
        [("00", Shore::OO), ("oo", Shore::OO), ("a", Shore::A), ("d", Shore::D)];
    let between = |text| -> &str {
        let text = str::trim(text);
        text.strip_prefix(['-', ':', '_', '/']).unwrap_or(text).trim()
    };
    for (name, scale) in SCALES {
        if let Some(rest) = words.strip_prefix(name) {
            return Some((scale, between(rest)));
        }
    }
    // A number first: 25A; never 2500, which is no hardness.
    SCALES.iter().skip(1).find_map(|(name, scale)| {
        let number = words.strip_suffix(name)?.trim();
        number.bytes().next()?.is_ascii_digit().then_some((*scale, number))
    })
}

impl fmt::Display for ShoreReading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Tenths at most: no durometer shows more.
        let reading = (self.reading * 10.0).round() / 10.0;
        match self.scale {
            Shore::OO => write!(f, "00-{reading}"),
            Shore::A | Shore::D => write!(f, "{}{reading}", self.scale.as_str()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hardness_is_written_in_several_ways() {
        for text in
            ["00-25", "oo25", "OO-25", "00:25", "shore 00 25", "0025", " Shore OO-25 ", "25oo"]
        {
            let read = text.parse::<ShoreReading>();
            assert_eq!(read, Ok(ShoreReading { scale: Shore::OO, reading: 25.0 }), "{text}");
        }
        for text in ["A5", "a 5", "shore A 5", "5A", "A-5", "A:5.0", "ShoreA5"] {
            let read = text.parse::<ShoreReading>();
            assert_eq!(read, Ok(ShoreReading { scale: Shore::A, reading: 5.0 }), "{text}");
        }
        for text in ["00-25", "A5", "D70", "A12.5", "00-0"] {
            assert_eq!(text.parse::<ShoreReading>().map(|r| r.to_string()), Ok(text.to_owned()));
        }
    }

    #[test]
    fn what_is_no_hardness_is_refused() {
        type Kind = fn(String) -> ShoreError;
        for (text, kind) in [
            ("25", ShoreError::NoScale as Kind),
            ("", ShoreError::UnknownScale),
            ("soft", ShoreError::UnknownScale),
            ("000-35", ShoreError::UnknownScale),
            ("00035", ShoreError::UnknownScale),
            ("E25", ShoreError::UnknownScale),
            ("00", ShoreError::NoReading),
            ("A", ShoreError::NoReading),
            ("A nan", ShoreError::NoReading),
            ("A inf", ShoreError::NoReading),
            ("A1e1", ShoreError::NoReading),
            ("A--5", ShoreError::NoReading),
            ("AO-20", ShoreError::NoReading),
            ("00-101", ShoreError::OutOfRange),
        ] {
            assert_eq!(text.parse::<ShoreReading>(), Err(kind(text.to_owned())), "{text}");
        }
    }
}
