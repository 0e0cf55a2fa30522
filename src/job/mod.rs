//! One run from request to sheet.
