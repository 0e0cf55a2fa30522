//! In what order and when: a casting's timeline, shop hours, and a run plan for one person.
//!
//! It works from its own plain input, [`TimelineRequest`]; times are minutes from the start, and
//! clock times are civil ones. What a data sheet doesn't tell is left open, never invented.

mod bench;
mod error;
mod events;
mod lay;
mod make;
mod moment;
mod notice;
mod of_plan;
mod request;
mod run;
mod timeline;

pub use error::TimingError;
pub use make::timeline;
pub use moment::{Clock, Moment};
pub use notice::OVER_TIME;
pub use of_plan::pours_of;
pub use request::{Pour, PourKind, TimelineRequest};
pub use timeline::{Event, EventCode, Round, Task, TaskCode, Timeline};

/// Two times nearer than this are the same: sums of minutes carry rounding. 60 µs.
const SLACK_MINUTES: f64 = 1e-6;
/// Minutes of a day.
const DAY: f64 = 1440.0;
