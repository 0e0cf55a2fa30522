//! What must hold of any input whatever. The fuzz targets (`tests/fuzz`) and the tests that run
//! with the others ask the same here, so that neither can fall behind.

// Every test program takes its own part of these.
#![allow(dead_code)]

pub mod files;
pub mod pieces;
pub mod texts;

/// The longest message about a whole file; longer ones hide what they say.
const LONGEST_MESSAGE: usize = 400;

/// A message that fits a terminal, and a hint that says more than the message.
#[track_caller]
pub fn fit_to_show(message: &str, hint: Option<&str>) {
    let length = message.chars().count();
    assert!(length > 0 && length <= LONGEST_MESSAGE, "{length} letters: {message}");
    assert!(!message.contains(char::is_control), "{message:?}");
    if let Some(hint) = hint {
        assert!(!hint.is_empty() && !message.contains(hint), "{message}: {hint}");
    }
}

/// A message that may quote what was typed, as long and as odd as that was; the command alone
/// knows how it is shown.
#[track_caller]
pub fn echoes(message: &str, hint: Option<&str>) {
    assert!(!message.trim().is_empty());
    assert!(hint.is_none_or(|hint| !hint.trim().is_empty()), "{message}");
}
