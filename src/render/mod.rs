//! A sheet as terminal text, JSON or comma-separated values, as a page or drawings. Renderers only
//! format: every number is in the sheet.

pub mod csv;
pub mod html;
pub mod json;
mod lengths;
mod plain;
pub mod png;
pub mod svg;
pub mod terminal;

pub use lengths::Lengths;
