//! From a wished hardness back to parts of softener.

use super::{HardnessPoint, Parts, Shore, ShoreReading, System};

/// How much softener gives a wished hardness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoftenerFor {
    /// Parts of softener, rounded so that they weigh well.
    pub parts: Parts,
    /// The wished reading lies outside what was measured: these are the parts of the nearest
    /// point, which reads this.
    pub nearest: Option<ShoreReading>,
}

/// Why no softener gives a wished hardness.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SoftenerForError {
    /// The system takes no softener and is not of that hardness by itself.
    #[error("system `{system}` takes no softener{}", has(.own))]
    NoSoftener {
        /// Its id.
        system: String,
        /// How hard it is, where that is known.
        own: Option<ShoreReading>,
    },
    /// Nothing was measured in the wished scale; readings are never turned into another one.
    #[error(
        "system `{system}` was not measured in Shore {}, only in {}", .asked.as_str(),
        scales(.measured)
    )]
    OtherScale {
        /// Its id.
        system: String,
        /// The wished scale.
        asked: Shore,
        /// The scales it was measured in.
        measured: Vec<Shore>,
    },
    /// Nothing was measured at all.
    #[error("nothing tells how hard system `{system}` is with softener")]
    NotMeasured {
        /// Its id.
        system: String,
    },
}

impl SoftenerForError {
    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::NoSoftener { .. } => {
                "take a system that is so hard, or one with a softener: `cavigram systems` lists \
                 them"
            }
            Self::OtherScale { .. } => {
                "give the hardness in a scale that was measured: charts between scales are only \
                 rough"
            }
            Self::NotMeasured { .. } => {
                "put the data sheet's softener points into the system's file"
            }
        }
    }
}

/// Straight pieces between points further apart than this are read to 0.05 parts, closer ones to
/// a hundredth.
const COARSE_PIECE_PARTS: f64 = 0.5;

impl System {
    /// Parts of softener that give a wished hardness, straight between measured points in that
    /// scale: the inverse of [`System::hardness_with`].
    ///
    /// Outside the measured points the nearest one is taken, and told.
    ///
    /// # Errors
    /// [`SoftenerForError`].
    ///
    /// # Example
    /// ```
    /// use cavigram::materials::builtin;
    ///
    /// let found = builtin("urethane-a5")?.softener_for("00-25".parse()?)?;
    /// assert_eq!(found.parts, "1.5".parse()?);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn softener_for(&self, wished: ShoreReading) -> Result<SoftenerFor, SoftenerForError> {
        let points = self.measured_in(wished.scale);
        if points.is_empty() {
            return Err(self.none_for(wished.scale));
        }
        if self.softener.is_none() && points.iter().all(|(_, reading)| *reading != wished.reading) {
            return Err(self.none_for(wished.scale));
        }
        if let Some((parts, _)) = points.iter().find(|(_, reading)| *reading == wished.reading) {
            return Ok(SoftenerFor { parts: *parts, nearest: None });
        }
        for (harder, softer) in points.iter().zip(points.iter().skip(1)) {
            if harder.1 > wished.reading && wished.reading > softer.1 {
                let parts = between(*harder, *softer, wished.reading);
                return Ok(SoftenerFor { parts, nearest: None });
            }
        }
        let off = |(_, reading): &&(Parts, f64)| (reading - wished.reading).abs();
        let nearest = points.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
        let Some(&(parts, reading)) = nearest else { return Err(self.none_for(wished.scale)) };
        let nearest = Some(ShoreReading { scale: wished.scale, reading });
        Ok(SoftenerFor { parts, nearest })
    }

    /// Amounts of softener and their readings in a scale, the hardest first; the system's own
    /// hardness counts as 0 parts.
    fn measured_in(&self, scale: Shore) -> Vec<(Parts, f64)> {
        let points = self.softener.iter().flat_map(|softener| &softener.points);
        let in_scale = points.filter(|p| p.scale == scale);
        let mut found: Vec<(Parts, f64)> =
            in_scale.map(|p: &HardnessPoint| (p.parts.value, p.reading.value)).collect();
        if let Some((own, reading)) = &self.hardness
            && *own == scale
            && !found.iter().any(|(parts, _)| parts.is_zero())
        {
            found.push((Parts::ZERO, reading.value));
        }
        found.sort_by(|a, b| a.0.as_f64().total_cmp(&b.0.as_f64()));
        found
    }

    fn none_for(&self, asked: Shore) -> SoftenerForError {
        let system = self.id.clone();
        let own = self.hardness.as_ref();
        let own = own.map(|(scale, r)| ShoreReading { scale: *scale, reading: r.value });
        let Some(softener) = &self.softener else {
            return SoftenerForError::NoSoftener { system, own };
        };
        let of_points = softener.points.iter().map(|p| p.scale);
        let mut measured: Vec<Shore> = of_points.chain(own.map(|own| own.scale)).collect();
        measured.sort_by_key(|scale| scale.as_str());
        measured.dedup();
        if measured.is_empty() {
            return SoftenerForError::NotMeasured { system };
        }
        SoftenerForError::OtherScale { system, asked, measured }
    }
}

/// Where a straight piece has a reading, rounded to parts that weigh well; never beyond the piece.
fn between(harder: (Parts, f64), softer: (Parts, f64), reading: f64) -> Parts {
    let (least, most) = (harder.0.as_f64(), softer.0.as_f64());
    let share = (harder.1 - reading) / (harder.1 - softer.1);
    let parts = least + share * (most - least);
    let per_part = if most - least > COARSE_PIECE_PARTS { 20.0 } else { 100.0 };
    let rounded = ((parts * per_part).round() / per_part).clamp(least, most);
    // A clamped limit is a number of parts already, and the rest has two decimals.
    if rounded == least {
        harder.0
    } else if rounded == most {
        softer.0
    } else {
        Parts::try_from(rounded).unwrap_or(harder.0)
    }
}

fn has(own: &Option<ShoreReading>) -> String {
    own.map(|own| format!(" and is Shore {own}")).unwrap_or_default()
}

fn scales(measured: &[Shore]) -> String {
    let names: Vec<&str> = measured.iter().map(|scale| scale.as_str()).collect();
    names.join(" and ")
}
