//! What was noticed about the layers' shapes, beside their grams.

use crate::cavity::Cavity;
use crate::finding::Finding;
use crate::layers::{LayerRequest, Layers, Pocket};
use crate::mesh::Vec3;

/// The layers' shapes: the shop's rule beside the skin, thin places, pockets, marks.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerFacts {
    /// Thickness of all coats together, mm.
    pub skin_mm: f64,
    /// Depth of the cap, mm; 0 where there is none.
    pub cap_mm: f64,
    /// A cap was asked for, whether there is room for it or not.
    pub cap_asked: bool,
    /// The cap that was asked for, mm, where it reaches down to the bottom.
    cap_to_bottom_mm: Option<f64>,
    /// How far the skin is carried out onto the rim, mm.
    pub flange_mm: f64,
    /// The tolerance asked for, as a share of the cavity.
    pub tolerance: f64,
    /// Every limit lies within it.
    pub tolerance_reached: bool,
    /// The shop's rule for the skin: wall area × thickness, mm³.
    pub area_times_thickness_mm3: f64,
    /// How far that rule is off the skin, %; `None` without a skin.
    pub area_times_thickness_off_percent: Option<f64>,
    /// Height of the core's top above the lowest point, mm; `None` for a closed cavity or without
    /// a core.
    pub core_mark_mm: Option<f64>,
    /// Height of the last pour's top, mm; `None` for a closed cavity.
    pub fill_mark_mm: Option<f64>,
    /// Share of the wall that faces other wall within twice the skin, 0 to 1.
    pub thin_share: f64,
    /// Share of the cavity that the skin takes, 0 to 1.
    pub skin_share: f64,
    /// Separate pieces of core, largest first, with their places along the file's axes.
    pub pockets: Vec<Pocket>,
    /// The core of one cavity falls into several pieces.
    is_in_pieces: bool,
    /// Several impressions are filled.
    rims_beside_one_another: bool,
    /// The rim, mm², where it is clearly narrower than the flange asked for.
    rim_ends_mm2: Option<f64>,
    /// Its mould closes round it in two parts.
    is_two_part: bool,
    /// A cap or flange was asked for that a closed cavity can't have.
    left_out: Vec<&'static str>,
}

/// A thin share below this is not worth a warning: sharp edges of any shape reach it.
const THIN_SHARE_WORTH_TELLING: f64 = 0.005;
/// A rim that has less than this share of the opening's outline times the flange is narrower.
const RIM_SHARE_WORTH_TELLING: f64 = 0.5;
/// A skin that takes this share of the cavity leaves a piece that is firm all through.
const SKIN_SHARE_WORTH_TELLING: f64 = 0.9;

impl LayerFacts {
    /// Gathers what the split of the cavities tells, heights as the first one has them;
    /// `flange_mm` is the flange asked for.
    pub fn new(split: &[(&Cavity, Layers)], request: &LayerRequest, flange_mm: f64) -> Self {
        let sum = |of: &dyn Fn(&Cavity, &Layers) -> f64| -> f64 {
            split.iter().map(|(cavity, layers)| of(cavity, layers)).sum()
        };
        let skin_mm = request.skin_mm();
        let wall_mm2 = sum(&|cavity, _| cavity.measures().wall_area_mm2);
        let rule_mm3 = wall_mm2 * skin_mm;
        let skin_mm3 = sum(&|_, layers| layers.skin_mm3.best());
        let open = split.iter().any(|(cavity, _)| cavity.is_open());
        let first = split.first();
        let cap_mm = first.map_or(0.0, |(cavity, layers)| layers.cap_depth_mm(cavity, request));
        let fill_mark_mm =
            first.filter(|(cavity, _)| cavity.is_open()).map(|(c, _)| c.measures().fill_mm);
        let has_core = first.is_some_and(|(_, layers)| layers.core_mm3.best() > 0.0);
        let mut pockets: Vec<Pocket> = Vec::new();
        for (cavity, layers) in split {
            pockets.extend(layers.pockets.iter().map(|pocket| Pocket {
                place_mm: cavity.frame().to_file(pocket.place_mm),
                ..*pocket
            }));
        }
        pockets.sort_by(|a, b| b.volume_mm3.total_cmp(&a.volume_mm3));
        let flange_mm2 = sum(&|cavity, _| cavity.flange_area_mm2(flange_mm));
        let around_mm = sum(&|cavity, _| cavity.measures().opening_perimeter_mm);
        let rim_ends =
            flange_mm > 0.0 && flange_mm2 < RIM_SHARE_WORTH_TELLING * around_mm * flange_mm;
        let mut left_out = Vec::new();
        if !open {
            let asked = [("cap", request.cap_mm), ("flange", flange_mm)];
            left_out.extend(asked.iter().filter(|(_, mm)| *mm > 0.0).map(|(word, _)| *word));
        }
        Self {
            skin_mm,
            cap_mm,
            cap_asked: request.cap_mm > 0.0,
            cap_to_bottom_mm: Some(request.cap_mm).filter(|asked_mm| {
                let deepest = split.iter().map(|(cavity, _)| cavity.level_mm());
                open && *asked_mm > 0.0 && *asked_mm >= deepest.fold(0.0, f64::max)
            }),
            flange_mm: if open { flange_mm } else { 0.0 },
            tolerance: request.tolerance,
            tolerance_reached: split.iter().all(|(_, layers)| layers.tolerance_reached),
            area_times_thickness_mm3: rule_mm3,
            area_times_thickness_off_percent: (skin_mm3 > 0.0)
                .then(|| 100.0 * (rule_mm3 / skin_mm3 - 1.0)),
            core_mark_mm: fill_mark_mm.filter(|_| has_core).map(|fill| fill - cap_mm),
            fill_mark_mm,
            thin_share: sum(&|c, layers| c.measures().wall_area_mm2 * layers.thin_share) / wall_mm2,
            skin_share: skin_mm3 / sum(&|cavity, _| cavity.measures().volume_mm3.best()),
            is_in_pieces: split.iter().any(|(_, layers)| layers.pockets.len() > 1),
            pockets,
            rims_beside_one_another: split.len() > 1,
            rim_ends_mm2: (open && rim_ends).then_some(flange_mm2),
            is_two_part: false,
            left_out,
        }
    }

    /// The same of a cavity that its mould closes round in two parts: nothing is filled to a mark.
    pub fn in_two_parts(self) -> Self {
        Self { core_mark_mm: None, fill_mark_mm: None, is_two_part: true, ..self }
    }

    /// Height of the cap's top, mm; `None` without a cap.
    pub fn cap_mark_mm(&self) -> Option<f64> {
        self.fill_mark_mm.filter(|_| self.cap_mm > 0.0)
    }

    /// What the person at the bench should know about the layers' shapes.
    pub fn findings(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        if !self.left_out.is_empty() {
            let what = self.left_out.join(" and no ");
            let message = format!("the cavity is closed, so there is no {what}");
            let hint = match self.is_two_part {
                true => "a mould that closes round the piece has no rim",
                false => "without --opening none, --below-lip opens a closed shape; --up turns it",
            };
            findings.push(Finding::note("closed-cavity", message).with_hint(hint));
        }
        if let Some(asked_mm) = self.cap_to_bottom_mm {
            let message = format!(
                "the cap of {asked_mm} mm reaches down to the bottom: it takes all that the skin \
                 leaves, and there is no core"
            );
            findings.push(
                Finding::warning("cap-to-bottom", message)
                    .with_hint("look at the unit, or give a smaller --cap"),
            );
        }
        if self.skin_share >= SKIN_SHARE_WORTH_TELLING {
            findings.push(self.mostly_skin());
        }
        if self.thin_share >= THIN_SHARE_WORTH_TELLING {
            findings.push(self.thin());
        }
        if self.flange_mm > 0.0 && self.skin_mm <= 0.0 {
            let message = "without a skin there is nothing to carry out onto the flange";
            findings.push(Finding::note("flange-without-skin", message));
        }
        if self.rims_beside_one_another && self.flange_mm > 0.0 && self.skin_mm > 0.0 {
            let message = "rim that lies within the flange of two impressions is counted for both";
            findings.push(Finding::note("shared-rim", message));
        }
        if let Some(rim_mm2) = self.rim_ends_mm2.filter(|_| self.skin_mm > 0.0) {
            findings.push(self.narrow_rim(rim_mm2));
        }
        if self.is_in_pieces || self.pockets.iter().any(|p| !p.reaches_opening) {
            findings.push(self.in_pockets());
        }
        if !self.tolerance_reached {
            let message = format!(
                "the limits of a layer lie further from its value than the {} % asked for",
                100.0 * self.tolerance
            );
            findings.push(
                Finding::warning("tolerance-not-reached", message).with_hint(
                    "the limits themselves hold; a larger --tolerance is reached sooner",
                ),
            );
        }
        findings
    }

    /// The skin leaves room for nothing, to a millionth of the cavity.
    pub fn skin_fills_all(&self) -> bool {
        self.skin_share > 1.0 - 1e-6
    }

    fn mostly_skin(&self) -> Finding {
        let message = if self.skin_fills_all() {
            format!("the {:.1} mm skin fills the whole cavity: no core, no cap", self.skin_mm)
        } else {
            format!(
                "the {:.1} mm skin takes {:.0} % of the cavity: the piece will be firm all through",
                self.skin_mm,
                100.0 * self.skin_share
            )
        };
        Finding::warning("mostly-skin", message).with_hint("a thinner --skin leaves room for core")
    }

    fn thin(&self) -> Finding {
        let message = format!(
            "{:.1} % of the wall faces other wall within {:.1} mm, twice the skin: there is \
             little or no core there, and the piece will be firm",
            100.0 * self.thin_share,
            2.0 * self.skin_mm
        );
        Finding::warning("thin-shape", message).with_hint("a thinner --skin leaves room for core")
    }

    fn narrow_rim(&self, rim_mm2: f64) -> Finding {
        let message = if rim_mm2 > 0.0 {
            format!(
                "the rim is narrower than the flange of {:.1} mm: only the {:.1} cm² that the mesh \
                 shows of it are counted",
                self.flange_mm,
                rim_mm2 / 100.0
            )
        } else {
            "the mesh shows no rim around the opening: no flange is counted".to_owned()
        };
        Finding::warning("narrow-rim", message)
            .with_hint("leave --flange out, or read a mesh that shows the whole rim")
    }

    fn in_pockets(&self) -> Finding {
        let describe = |pocket: &Pocket| {
            let Vec3 { x, y, z } = pocket.place_mm;
            let size = pocket.volume_mm3 / 1000.0;
            format!("{size:.1} cm³ at ({x:.1}, {y:.1}, {z:.1}) mm")
        };
        let count = self.pockets.len();
        let mut message = match count {
            1 => "the core is one piece".to_owned(),
            _ => format!("the core falls into {count} separate pieces"),
        };
        let cut_off: Vec<_> =
            self.pockets.iter().filter(|p| !p.reaches_opening).map(describe).collect();
        let place = self.pockets.iter().find(|p| !p.reaches_opening).or(self.pockets.last());
        if cut_off.is_empty() {
            let all: Vec<_> = self.pockets.iter().map(describe).collect();
            message += &format!(": {}", shortened(&all));
        } else {
            message += &format!(
                "; not reached from the opening: {} ({})",
                cut_off.len(),
                shortened(&cut_off)
            );
        }
        let hint = if cut_off.is_empty() {
            "pour each by itself: none fills the others"
        } else {
            "what can't be reached can't be poured: pour it apart, or thin the skin there"
        };
        let finding = Finding::warning("core-pockets", message).with_hint(hint);
        Finding { place_mm: place.map(|p| p.place_mm), ..finding }
    }
}

/// The first few of many.
fn shortened(all: &[String]) -> String {
    const NAMED: usize = 4;
    let mut text = all.iter().take(NAMED).cloned().collect::<Vec<_>>().join(", ");
    if all.len() > NAMED {
        text += &format!(" and {} more", all.len() - NAMED);
    }
    text
}
