//! A sheet as terminal text, JSON or comma-separated values. Renderers only format: every number is in the sheet.

pub mod csv;
pub mod json;
pub mod terminal;
