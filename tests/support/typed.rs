//! A system file as a user may type it, shared by the tests of systems.

// Every test program takes its own part of these.
#![allow(dead_code)]

use cavigram::materials::{Parts, System};

/// A complete file with bare numbers, as a user may type it.
pub const TYPED: &str = r#"id = "mine-1"
title = "Polyurethane, Shore A 10, 100:50 by weight"
family = "urethane"
ratio = "weight"

[[components]]
name = "A"
parts = 100
density_g_cm3 = 1.02

[[components]]
name = "B"
parts = 50
density_g_cm3 = 1.12

[softener]
name = "softener"
density_g_cm3 = 0.97

[[softener.points]]
parts = 0
shore_a = 10

[[softener.points]]
parts = 50
shore_a = 4
"#;

pub fn typed() -> System {
    System::from_toml(TYPED).unwrap()
}

pub fn whole(parts: u32) -> Parts {
    Parts::whole(parts)
}

#[track_caller]
pub fn near(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected} ± {tolerance}");
}
