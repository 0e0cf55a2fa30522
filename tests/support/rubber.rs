//! Systems with known additives, whatever the built-in ones hold.

#![allow(dead_code)]

use cavigram::materials::{Build, Dosage, Pigment, Sourced, System, Thickener, Times, builtin};
use cavigram::plan::{PlanRequest, Recipe};

/// The built-in firm urethane without thickener and pigment, with no word on how a coat stands.
pub fn bare() -> System {
    System {
        thickener: None,
        pigment: None,
        build: Build::default(),
        weighing_order: Vec::new(),
        viscosity_mpa_s: None,
        times: Times { temperature_c: None, ..builtin("urethane-a5").unwrap().times },
        ..builtin("urethane-a5").unwrap()
    }
}

fn dose(usual_percent: f64) -> Dosage {
    Dosage {
        usual_percent: Sourced::bare(usual_percent),
        least_percent: Some(Sourced::bare(usual_percent / 4.0)),
        most_percent: Some(Sourced::bare(usual_percent * 2.0)),
    }
}

/// 2 % of a powder of 2.2 g/cm³ that brings 3 % of air.
pub fn thickener() -> Thickener {
    Thickener {
        name: "powder".into(),
        density_g_cm3: Sourced::bare(2.2),
        dose: dose(2.0),
        air_percent: Some(Sourced::bare(3.0)),
    }
}

/// 0.2 % of a paste of 1.4 g/cm³, 0.03 g a drop.
pub fn pigment() -> Pigment {
    Pigment {
        name: "paste".into(),
        density_g_cm3: Sourced::bare(1.4),
        dose: dose(0.2),
        grams_per_drop: Some(Sourced::bare(0.03)),
    }
}

/// The bare urethane with that thickener and pigment; it stands 0.4 mm plain, 0.8 mm thickened.
pub fn full() -> System {
    System {
        thickener: Some(thickener()),
        pigment: Some(pigment()),
        build: Build { plain_mm: Some(Sourced::bare(0.4)), thickened_mm: Some(Sourced::bare(0.8)) },
        ..bare()
    }
}

/// Firm skin and cap, a core softened with two parts, all of this system.
pub fn request(system: System) -> PlanRequest {
    PlanRequest {
        skin: Recipe::plain(system.clone()),
        core: Recipe::for_core(system.clone(), None),
        cap: Recipe::plain(system),
        ..PlanRequest::typical().unwrap()
    }
}
