//! `cavigram/level/1`: the dip-stick table.

use serde::Serialize;

use super::shared::{Cavity, Health, Impression, Mesh, Volume, Warning, impressions, warnings};
use crate::sheet::{LevelRow, LevelTable};
use crate::units::InchFraction;

/// `cavigram/level/1`.
#[derive(Serialize)]
pub struct Level<'a> {
    schema: &'static str,
    mesh: Mesh<'a>,
    health: Health,
    cavity: Cavity,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    impressions: Vec<Impression>,
    system: &'a str,
    system_title: &'a str,
    softener_parts: f64,
    density_g_cm3: f64,
    step_mm: f64,
    rows: Vec<Row>,
    warnings: Vec<Warning<'a>>,
}

#[derive(Serialize)]
struct Row {
    height_mm: f64,
    below_lip_mm: f64,
    below_lip_in: String,
    #[serde(flatten)]
    volume: Volume,
    grams: f64,
}

impl<'a> Level<'a> {
    pub fn new(table: &'a LevelTable) -> Self {
        let material = &table.material;
        Self {
            schema: "cavigram/level/1",
            mesh: Mesh::new(&table.mesh),
            health: Health::new(&table.health),
            cavity: Cavity::new(&table.cavity),
            impressions: impressions(&table.cavity),
            system: &material.system_id,
            system_title: &material.system_title,
            softener_parts: material.softener.as_f64(),
            density_g_cm3: material.density_g_cm3,
            step_mm: table.step_mm,
            rows: table.rows.iter().map(Row::new).collect(),
            warnings: warnings(&table.findings),
        }
    }
}

impl Row {
    fn new(row: &LevelRow) -> Self {
        Self {
            height_mm: row.height_mm,
            below_lip_mm: row.below_lip_mm,
            below_lip_in: InchFraction::nearest(row.below_lip_mm).to_string(),
            volume: Volume::new(row.volume_mm3),
            grams: row.grams,
        }
    }
}
