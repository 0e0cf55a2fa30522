//! The plain result that all outputs read.
