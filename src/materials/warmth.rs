//! How long things take in a room that is warmer or colder than the data sheet's.

use super::{HardnessPoint, Parts, System};

/// The temperature that a data sheet's times hold at where it names none, °C.
///
/// Source: common practice, no source.
pub const USUAL_SHEET_C: f64 = 23.0;
/// Further from the data sheet's temperature the rule of thumb is not followed, °C.
///
/// Source: common practice, no source.
pub const FURTHEST_C: f64 = 10.0;

/// How long things take in a given room, in minutes from mixing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoomTimes {
    /// Until it no longer pours or brushes well.
    pub working_minutes: Option<f64>,
    /// Until it no longer flows.
    pub gel_minutes: Option<f64>,
    /// Until the next layer may go on it.
    pub bond_from_minutes: Option<f64>,
    /// Until the next layer no longer bonds to it by itself.
    pub bond_until_minutes: Option<f64>,
    /// Until the piece may leave the mould.
    pub demould_minutes: Option<f64>,
    /// Until it has its final hardness.
    pub full_cure_minutes: Option<f64>,
    /// What the room's warmth multiplied all of them by; 1 in a room of the sheet's temperature.
    pub warmth_factor: f64,
    /// What the softener multiplied all but the working time by.
    pub softener_factor: f64,
    /// The temperature that the sheet's times hold at, °C.
    pub sheet_c: f64,
}

/// The room is too far from the data sheet's temperature to tell times.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error(
    "system `{system}`: its times hold at {sheet_c:.1} °C; a room of {room_c:.1} °C is more than \
     {FURTHEST_C} °C away, too far for the ten-degree rule"
)]
pub struct TooFarFromSheet {
    /// The system's id.
    pub system: String,
    /// The temperature of its times, °C.
    pub sheet_c: f64,
    /// The room's, °C.
    pub room_c: f64,
}

impl TooFarFromSheet {
    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        "give times measured near that temperature in a system file of your own, or work in a \
         room nearer to the sheet's"
    }
}

impl System {
    /// How long things take with so much softener in a room of `room_c`, or at the data sheet's
    /// own temperature.
    ///
    /// Source: the ten-degree rule, a rule of thumb: ten degrees warmer, half the time. It equals
    /// an activation energy of about 51 kJ/mol near room temperature; softeners change times as
    /// the system's own table says, never the working time, which stays as short as without.
    ///
    /// # Errors
    /// [`TooFarFromSheet`] beyond [`FURTHEST_C`] or for a temperature that is no number.
    pub fn times_in(
        &self,
        softener: Parts,
        room_c: Option<f64>,
    ) -> Result<RoomTimes, TooFarFromSheet> {
        let times = &self.times;
        let sheet_c = times.temperature_c.as_ref().map_or(USUAL_SHEET_C, |t| t.value);
        let room_c = room_c.unwrap_or(sheet_c);
        // No range holds NaN.
        if !(sheet_c - FURTHEST_C..=sheet_c + FURTHEST_C).contains(&room_c) {
            return Err(TooFarFromSheet { system: self.id.clone(), sheet_c, room_c });
        }
        let warmth_factor = ten_degree_factor(sheet_c, room_c);
        let points = self.softener.as_ref().map_or(&[][..], |s| &s.points);
        let softener_factor = softener_factor(points, softener);
        let minutes = |time: &Option<super::Sourced<f64>>, factor: f64| {
            time.as_ref().map(|t| t.value * warmth_factor * factor)
        };
        Ok(RoomTimes {
            working_minutes: minutes(&times.working_minutes, 1.0),
            gel_minutes: minutes(&times.gel_minutes, softener_factor),
            bond_from_minutes: minutes(&times.bond_from_minutes, softener_factor)
                .or_else(|| minutes(&times.gel_minutes, softener_factor)),
            bond_until_minutes: minutes(&times.bond_until_minutes, softener_factor),
            demould_minutes: minutes(&times.demould_minutes, softener_factor),
            full_cure_minutes: minutes(&times.full_cure_minutes, softener_factor),
            warmth_factor,
            softener_factor,
            sheet_c,
        })
    }
}

/// What times are multiplied by where a sheet gives them for `sheet_c` and the room has `room_c`.
///
/// Source: the ten-degree rule of thumb, 2^((sheet − room)/10).
pub fn ten_degree_factor(sheet_c: f64, room_c: f64) -> f64 {
    ((sheet_c - room_c) / 10.0).exp2()
}

/// The measured factor, straight between two points, that of the nearest beyond them; 1 where
/// nothing was measured and without softener.
fn softener_factor(points: &[HardnessPoint], softener: Parts) -> f64 {
    let parts = softener.as_f64();
    let mut known = vec![(0.0, 1.0)];
    let measured = points
        .iter()
        .filter_map(|p| Some((p.parts.value.as_f64(), p.times_factor.as_ref()?.value)));
    known.extend(measured.filter(|(parts, _)| *parts > 0.0));
    known.sort_by(|a, b| a.0.total_cmp(&b.0));
    let after = known.iter().position(|(at, _)| *at >= parts);
    match after {
        Some(0) => known[0].1,
        Some(k) => {
            let ((a, low), (b, high)) = (known[k - 1], known[k]);
            low + (high - low) * (parts - a) / (b - a)
        }
        None => known.last().map_or(1.0, |(_, factor)| *factor),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::materials::builtin;

    #[test]
    fn ten_degrees_warmer_take_half_the_time() {
        assert_eq!(ten_degree_factor(23.0, 33.0), 0.5);
        assert_eq!(ten_degree_factor(23.0, 23.0), 1.0);
        // References P9, "double per 10 °C" relative to 23 °C at 15, 18, 28, 33 °C.
        for (room, factor) in [(15.0, 1.74), (18.0, 1.41), (28.0, 0.71), (33.0, 0.50)] {
            assert!((ten_degree_factor(23.0, room) - factor).abs() < 0.005, "{room}");
        }
    }

    #[test]
    fn a_room_too_far_off_is_refused() {
        let system = builtin("urethane-a5").unwrap();
        let warm = |room| system.times_in(Parts::ZERO, Some(room));
        assert!(warm(33.0).is_ok() && warm(13.0).is_ok());
        assert!(warm(33.1).is_err() && warm(12.9).is_err() && warm(f64::NAN).is_err());
        let usual = system.times_in(Parts::ZERO, None).unwrap();
        assert_eq!(usual.working_minutes, Some(15.0));
        assert_eq!(warm(33.0).unwrap().working_minutes, Some(7.5));
        assert_eq!(usual.bond_from_minutes, usual.gel_minutes);
    }
}
