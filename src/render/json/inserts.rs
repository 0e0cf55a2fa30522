//! Inserts in `cavigram/plan/1`. The layers' volumes and `inserts_together` add up to the
//! cavity's; what of an insert lies in the skin is not taken out of it.

use serde::Serialize;

use super::shared::{Volume, cm3};
use crate::sheet::{InsertFacts, Inserts};

/// One insert by itself.
#[derive(Serialize)]
pub struct InsertWire<'a> {
    file: &'a str,
    volume_cm3: f64,
    in_core_cm3: f64,
    in_cap_cm3: f64,
    in_skin_cm3: f64,
    outside_cm3: f64,
    above_level_cm3: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    wall_distance_mm: Option<f64>,
}

/// What all inserts take out of core and cap, overlaps counted once.
#[derive(Serialize)]
pub struct TogetherWire {
    core: Volume,
    cap: Volume,
}

/// Every insert.
pub fn inserts(inserts: Option<&Inserts>) -> Vec<InsertWire<'_>> {
    inserts.into_iter().flat_map(|inserts| inserts.each.iter().map(InsertWire::new)).collect()
}

impl<'a> InsertWire<'a> {
    fn new(insert: &'a InsertFacts) -> Self {
        Self {
            file: &insert.file,
            volume_cm3: cm3(insert.volume_mm3),
            in_core_cm3: cm3(insert.core_mm3.best()),
            in_cap_cm3: cm3(insert.cap_mm3.best()),
            in_skin_cm3: cm3(insert.skin_mm3.best()),
            outside_cm3: cm3(insert.outside_mm3.best()),
            above_level_cm3: cm3(insert.above_mm3),
            wall_distance_mm: insert.wall_mm,
        }
    }
}

impl TogetherWire {
    pub fn new(inserts: &Inserts) -> Self {
        let together = &inserts.together;
        Self { core: Volume::new(together.core_mm3), cap: Volume::new(together.cap_mm3) }
    }
}
