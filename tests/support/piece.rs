//! A piece in a directory of its own, for the command, and numbers out of its JSON.

use serde_json::Value;
use tempfile::TempDir;

use super::solids::Body;

/// A directory with a body as `piece.obj`, coordinates with all their digits.
pub fn bench(body: &Body) -> TempDir {
    let directory = tempfile::tempdir().unwrap();
    let mut text = String::new();
    for [x, y, z] in &body.points {
        text += &format!("v {x} {y} {z}\n");
    }
    for [a, b, c] in &body.faces {
        text += &format!("f {} {} {}\n", a + 1, b + 1, c + 1);
    }
    std::fs::write(directory.path().join("piece.obj"), text).unwrap();
    directory
}

/// The number at this JSON pointer.
#[track_caller]
pub fn number(value: &Value, pointer: &str) -> f64 {
    let found = value.pointer(pointer).and_then(Value::as_f64);
    found.unwrap_or_else(|| panic!("no number {pointer} in {value:#}"))
}
