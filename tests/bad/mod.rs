//! Meshes as they should not be, each with what must come of it. Nothing here is a file of
//! anybody's: all are made of a box of 40 × 30 × 20 mm, which holds 24 cm³, and other plain bodies.

// Every test program takes its own part of these.
#![allow(dead_code)]

pub mod crowds;
pub mod files;
pub mod numbers;
pub mod surfaces;

use super::shapes::Shape;

/// A mesh with its faults, and what must come of it.
pub struct Bad {
    /// The file's name; its stem is the case's name.
    pub file: String,
    /// What is wrong with it.
    pub what: &'static str,
    /// The file.
    pub bytes: Vec<u8>,
    /// What must come of it.
    pub comes: Outcome,
}

/// What must come of a mesh.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// No mesh: both commands end with status 1, and the message holds this.
    Unread(&'static str),
    /// A mesh that can't be trusted: `survey` says so with this and status 0, `plan` refuses with
    /// the same and status 1.
    Untrusted(&'static str),
    /// A mesh of a size that `plan` refuses with this.
    NotCast(&'static str),
    /// Both commands work it out.
    Holds(Held),
}

/// What a cavity must hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Held {
    /// The truth, cm³.
    pub cm3: f64,
    /// How far the value may be off, as a share of it.
    pub within: f64,
    /// A code that stands among warnings, notes or repairs.
    pub told: Option<&'static str>,
}

impl Outcome {
    /// A volume but for rounding.
    pub fn exactly(cm3: f64) -> Self {
        Self::Holds(Held { cm3, within: 1e-6, told: None })
    }

    /// A volume but for rounding, and a word about what was noticed or mended.
    pub fn told(cm3: f64, code: &'static str) -> Self {
        Self::Holds(Held { cm3, within: 1e-6, told: Some(code) })
    }

    /// A volume within a share of it, and a word about it.
    pub fn about(cm3: f64, within: f64, code: &'static str) -> Self {
        Self::Holds(Held { cm3, within, told: Some(code) })
    }
}

/// All of them.
pub fn all() -> Vec<Bad> {
    [numbers::all(), surfaces::closed(), surfaces::open(), crowds::all(), files::all()]
        .into_iter()
        .flatten()
        .collect()
}

/// One case.
fn bad(file: &str, what: &'static str, bytes: impl Into<Vec<u8>>, comes: Outcome) -> Bad {
    Bad { file: file.to_owned(), what, bytes: bytes.into(), comes }
}

/// One case, as OBJ.
fn obj(file: &str, what: &'static str, shape: &Shape, comes: Outcome) -> Bad {
    bad(file, what, shape.obj(), comes)
}

/// What the plain box holds, cm³.
pub const BOX_CM3: f64 = 24.0;

/// The plain box.
fn plain() -> Shape {
    Shape::cuboid([40.0, 30.0, 20.0])
}

/// Its text as OBJ.
fn plain_obj() -> String {
    text(plain().obj())
}

fn text(bytes: Vec<u8>) -> String {
    String::from_utf8(bytes).expect("OBJ is text")
}
