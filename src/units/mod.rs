//! Quantities as people type them. Inside the crate everything is mm, mm², mm³, g and minutes,
//! and names say so; what is typed is turned into that here, and only here.

mod clock;
mod coats;
mod direction;
mod inch;
mod known;
mod length;
mod length_unit;
mod percent;
mod place;
mod quantity;
mod time;
mod water;
mod weighing;
mod word;

pub use clock::{ClockError, Hours, Start};
pub use coats::{Coats, CoatsError};
pub use direction::{Direction, DirectionError};
pub use inch::InchFraction;
pub use known::{KnownExtent, KnownExtentError, Measured};
pub use length::{Length, LengthError};
pub use length_unit::{LengthUnit, UnknownUnit};
pub use percent::{Percent, PercentError};
pub use place::line_and_column;
pub use quantity::{Area, Patch, QuantityError, Temperature, Volume};
pub use time::{Minutes, MinutesError};
pub use water::{WATER_CELSIUS, Water, water_density_g_cm3};
pub use weighing::{OldCasting, Weighing, WeighingError, WeighingMeans, Weight};
pub use word::nearest_word;
