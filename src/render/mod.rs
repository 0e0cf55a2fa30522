//! A sheet as terminal text or JSON. Renderers only format: every number is in the sheet.

pub mod json;
pub mod terminal;
