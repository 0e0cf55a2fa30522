//! The `cavigram` command.

fn main() {}
