//! A cavity as plain drawing data: sections with their layers, shaded views, the dip-stick curve.
//!
//! Everything here comes from the same wall, levels and distances as the layers' volumes; nothing
//! is known of materials, paper or files.

mod draw;
mod field;
mod marks;
mod plane;
mod region;
mod section;
mod shade;
mod view;

pub use draw::{DrawingRequest, Drawings, StickPoint, Subject, Views, draw, section_along};
pub use marks::{FilledHole, WallMarks};
pub use plane::CutPlane;
pub use region::{Point, Region};
pub use section::{Body, Coat, Levels, Lie, Section};
pub use shade::{Ink, Lines, Picture, SLOPES, THICKNESS_ENDS, THICKNESSES};
