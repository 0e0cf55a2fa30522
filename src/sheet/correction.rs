//! What is in the mould already, and how it differs from the plan.

use crate::bounds::Bounds;
use crate::finding::Finding;

/// A plan corrected in mid-job.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correction {
    /// The skin as it was brushed, where it was weighed.
    pub skin: Option<BrushedSkin>,
    /// From the set core's surface up to the fill level, mm, where it was measured.
    pub gap_mm: Option<f64>,
    /// Depth of the cap as it was planned, mm.
    pub planned_cap_mm: f64,
}

/// A skin as it was brushed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BrushedSkin {
    /// What is in the mould, flange included, g.
    pub grams: f64,
    /// What of it lies on the flange, g.
    pub flange_g: f64,
    /// The thickness reached on the mean, mm; the limits hold the layers' own and the scale's
    /// step.
    pub thickness_mm: Bounds,
    /// The thickness that was planned, mm.
    pub planned_mm: f64,
    /// What was planned to stay in the mould, flange included, g.
    pub planned_g: f64,
}

/// A thickness this far off the plan is worth a warning, as a share of it.
///
/// Source: common practice, no source.
const OFF_SHARE: f64 = 0.25;

impl Correction {
    /// What the person at the bench should know of it.
    pub fn findings(&self) -> Vec<Finding> {
        let mut findings: Vec<Finding> =
            self.skin.iter().filter_map(BrushedSkin::finding).collect();
        let message = "what is in the mould already stands in order and times as it was planned, \
                       with the windows that follow from it";
        findings.push(Finding::note("times-as-planned", message).with_hint(
            "where the work began at another time, give that with --start, so that the windows \
             are the real ones",
        ));
        findings
    }
}

impl BrushedSkin {
    fn finding(&self) -> Option<Finding> {
        let off = self.thickness_mm.best() / self.planned_mm - 1.0;
        if off.abs() <= OFF_SHARE {
            return None;
        }
        let (side, hint) = if off > 0.0 {
            ("thicker", "the piece will be firmer, with less core; the core below allows for it")
        } else {
            (
                "thinner",
                "brush another coat while the skin still bonds, and weigh again; the core below \
                 is for the skin as it is",
            )
        };
        let message = format!(
            "the skin is {:.0} % {side} than planned: {:.2} mm instead of {:.2} mm",
            100.0 * off.abs(),
            self.thickness_mm.best(),
            self.planned_mm
        );
        Some(Finding::warning("thickness-off", message).with_hint(hint))
    }
}
