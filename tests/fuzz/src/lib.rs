//! What the targets check: the claims that the other tests hold the program to as well.

#[path = "../../bytes/archive.rs"]
pub mod archive;
#[path = "../../support/claims/mod.rs"]
pub mod claims;

pub use claims::*;
