//! What the checks share: solids of known size, ways to remesh them, and a slow oracle.

// Every test program takes its own part of these.
#![allow(dead_code)]

pub mod chance;
#[cfg(feature = "cli")]
pub mod command;
pub mod moulds;
pub mod oracle;
pub mod piece;
pub mod pipeline;
pub mod remesh;
pub mod shapes;
pub mod solids;
pub mod truth;
pub mod vector;
