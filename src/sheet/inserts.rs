//! What stands in the mould while it is poured, and what it takes out of core and cap.

use crate::bounds::Bounds;
use crate::finding::Finding;
use crate::layers::Displaced;

/// All inserts.
#[derive(Debug, Clone, PartialEq)]
pub struct Inserts {
    /// One by one, each by itself.
    pub each: Vec<InsertFacts>,
    /// All together, what two of them share counted once: that is what core and cap are less by.
    pub together: Displaced,
}

/// One insert. Units: mm, mm³.
#[derive(Debug, Clone, PartialEq)]
pub struct InsertFacts {
    /// The file's name.
    pub file: String,
    /// Its volume.
    pub volume_mm3: f64,
    /// What of it lies in the core.
    pub core_mm3: Bounds,
    /// What of it lies in the cap.
    pub cap_mm3: Bounds,
    /// What of it lies where the skin is.
    pub skin_mm3: Bounds,
    /// What of it lies under the fill level outside the cavity.
    pub outside_mm3: Bounds,
    /// What of it stands over the fill level.
    pub above_mm3: f64,
    /// How near it comes to the wall under the fill level, where it reaches under it; the truth
    /// is at most 1 % or 0.02 mm nearer.
    pub wall_mm: Option<f64>,
}

/// Nearer to the wall than the skin by less than this is no touch: rounding, mm.
const NEARER_MM: f64 = 1e-6;

impl Inserts {
    /// What the person at the bench should know of them, behind a skin of `skin_mm`.
    pub fn findings(&self, skin_mm: f64) -> Vec<Finding> {
        self.each.iter().flat_map(|insert| insert.findings(skin_mm)).collect()
    }
}

impl InsertFacts {
    fn findings(&self, skin_mm: f64) -> Vec<Finding> {
        let mut findings = Vec::new();
        if self.above_mm3 > 0.0 {
            let message =
                format!("insert {}: {} stands over the fill level", self.file, cm3(self.above_mm3));
            findings.push(Finding::note("insert-above-level", message));
        }
        if self.outside_mm3.low() > 0.0 {
            findings.push(self.outside());
        } else if let Some(wall_mm) = self.wall_mm
            && wall_mm < skin_mm.max(2.0 * NEARER_MM) - NEARER_MM
        {
            findings.push(self.touches(wall_mm, skin_mm));
        }
        findings
    }

    fn outside(&self) -> Finding {
        let outside = cm3(self.outside_mm3.best());
        let message =
            format!("insert {}: {outside} of it lies outside the cavity, in the mould", self.file);
        Finding::warning("insert-outside", message)
            .with_hint("check that it was exported in the same coordinates and unit as the mesh")
    }

    fn touches(&self, wall_mm: f64, skin_mm: f64) -> Finding {
        let near = if wall_mm <= 0.0 {
            "touches the wall".to_owned()
        } else {
            format!("comes within {wall_mm:.1} mm of the wall")
        };
        let message = if skin_mm > 0.0 {
            format!(
                "insert {} {near}: {} of it lies where the {skin_mm:.1} mm skin is, which must \
                 be thinner there; the skin's grams are not reduced",
                self.file,
                cm3(self.skin_mm3.best())
            )
        } else {
            format!("insert {} {near}: it will show there", self.file)
        };
        Finding::warning("insert-touches-skin", message)
            .with_hint("hold it farther from the wall, or brush a thinner --skin")
    }
}

/// A volume with two digits that matter.
fn cm3(mm3: f64) -> String {
    let cm3 = mm3 / 1000.0;
    let digits = (1.0 - cm3.max(1e-9).log10().floor()).clamp(0.0, 4.0);
    format!("{cm3:.*} cm³", digits as usize)
}
