//! The space that will hold rubber: which way is up, opening, wall, fill level.

mod air;
mod back;
mod crease;
mod error;
mod flange;
mod mould;
mod outline;
mod parts;
mod pits;
mod reading;
mod rim;
mod rising;
mod voids;
mod walls;

use crate::bounds::Bounds;
use crate::finding::Finding;
use crate::health::SoundMesh;
use crate::mesh::{Frame, Mesh, Vec3, below_level};

pub use air::{Air, AirPocket, AirShape};
use back::{Back, LEAN_DEG_MAX, find_back};
pub use error::CavityError;
use flange::Rim;
pub use mould::{Mould, MouldRequest, pits_of_casting};
use parts::{Heights, Parts, slope_areas, volume_under};
pub use reading::{Reading, read_open};
pub use rim::{up_of_block, up_of_sheet};

/// How the cavity is to be found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CavityRequest {
    /// Which way is up when pouring, along the file's axes; need not be a unit vector.
    pub up: Vec3,
    /// The direction was given by the user, so the piece is not turned to level its back.
    pub up_given: bool,
    /// A flat top may be the opening; `false` makes it wall.
    pub opening_auto: bool,
    /// How far under the lip the last pour stops, mm; 0 fills to the lip.
    pub below_lip_mm: f64,
}

/// The space that holds rubber, turned so that up is +z and its lowest point lies at z = 0.
///
/// Units: mm, mm², mm³.
#[derive(Debug, Clone, PartialEq)]
pub struct Cavity {
    wall: Mesh,
    frame: Frame,
    outline: Vec<[Vec3; 2]>,
    back_gap_mm3: BackGap,
    level_mm: f64,
    rim: Option<Rim>,
    measures: CavityMeasures,
    findings: Vec<Finding>,
}

/// What lies between the plane of a flat back and the back itself, mm³.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BackGap {
    /// Back over plane, less back under plane.
    pub signed: f64,
    /// Both together: how far the plane may mislead.
    pub absolute: f64,
    /// Height of the back's lowest point, mm: further down it misleads nobody.
    pub from_mm: f64,
}

/// The cavity's numbers. Heights are along up, from the cavity's lowest point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CavityMeasures {
    /// Volume up to the fill level, mm³.
    pub volume_mm3: Bounds,
    /// Wall and opening together, mm².
    pub surface_area_mm2: f64,
    /// The surface that gets brushed, mm².
    pub wall_area_mm2: f64,
    /// The level surface at the fill level, mm²; 0 for a closed cavity.
    pub opening_area_mm2: f64,
    /// Outline of the opening, mm.
    pub opening_perimeter_mm: f64,
    /// Height of the lip, mm.
    pub lip_mm: f64,
    /// Height of the fill level, mm; also the depth.
    pub fill_mm: f64,
    /// Wall area by slope, mm².
    pub slope_area_mm2: SlopeAreas,
    /// How far the opening leans from level before any turning, degrees, where there is one.
    pub tilt_deg: Option<f64>,
}

/// Wall area by the angle of its inward normal to up.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SlopeAreas {
    /// Under 30°: liquid lies on it. mm².
    pub floor: f64,
    /// 30° to 90°: liquid runs down it. mm².
    pub steep: f64,
    /// Over 90°: liquid hangs from it. mm².
    pub overhanging: f64,
}

/// A level leaning less than this is level: the rounding of the coordinates, degrees.
const LEVEL_DEG: f64 = 1e-6;
/// A lean from here on is worth telling, degrees: 0.1° over 100 mm is 0.2 mm.
const LEAN_DEG_WORTH_TELLING: f64 = 0.1;

impl Cavity {
    /// Finds the cavity that a closed casting mesh fills.
    ///
    /// # Errors
    /// [`CavityError`] where the fill level leaves nothing to fill.
    pub fn of_casting(sound: &SoundMesh, request: &CavityRequest) -> Result<Self, CavityError> {
        let up = request.up.normalize_or(Vec3::Z);
        let centre = sound.mesh().bounding_box().map_or(Vec3::ZERO, |(a, b)| 0.5 * (a + b));
        let mut findings = Vec::new();
        let mut frame = Frame::new(up, centre);
        let mut mesh = frame.mesh_to_pouring(sound.mesh());
        let found = request.opening_auto.then(|| find_back(&mesh, sound.edges())).flatten();
        let tilt_deg = found.as_ref().map(|b| b.lean_deg);
        let mut back = found.filter(|b| keep_as_opening(b, request, &mut findings));
        let mut height_along_up = None;
        if let Some(leaning) = back.as_ref().filter(|b| b.lean_deg > LEVEL_DEG) {
            tell_lean(leaning.lean_deg, request, &mut findings);
            if request.up_given {
                let (low, high) = mesh.bounding_box().unwrap_or_default();
                height_along_up = Some(high.z - low.z);
            }
            if request.up_given && request.below_lip_mm > 0.0 {
                // The level cuts along the direction given, and what is left of the leaning
                // back under it is wall.
                back = None;
            } else {
                frame = Frame::new(frame.direction_to_file(leaning.plane.normal), centre);
                mesh = frame.mesh_to_pouring(sound.mesh());
            }
        }
        let (low, high) = mesh.bounding_box().unwrap_or_default();
        let shift = Vec3::new(0.0, 0.0, low.z);
        let mesh = mesh.moved(-shift);
        let lip_mm = match &back {
            Some(back) => back.plane.offset - low.z,
            None => high.z - low.z,
        };
        let fill_mm = lip_mm - request.below_lip_mm;
        let reported = height_along_up.unwrap_or(lip_mm);
        let heights = Heights {
            lip_mm: reported,
            fill_mm: reported - request.below_lip_mm,
            level_mm: fill_mm,
            up: if request.up_given { frame.direction_to_pouring(up) } else { Vec3::Z },
        };
        if fill_mm <= 0.0 {
            let below_lip_mm = request.below_lip_mm;
            return Err(CavityError::LevelBelowBottom { below_lip_mm, depth_mm: lip_mm });
        }
        let frame = frame.shifted(shift);
        let parts = if request.below_lip_mm > 0.0 {
            Parts::cut(mesh, back.as_ref(), fill_mm)
        } else {
            Parts::whole(mesh, back.as_ref(), fill_mm)
        };
        let margin = sound.volume_margin_mm3();
        let measures = parts.measure(&heights, margin, tilt_deg);
        Ok(parts.into_cavity(frame, heights.level_mm, measures, findings))
    }

    /// The brushed surface below the fill level, in the pouring frame: +z up, lowest point of
    /// the cavity at z = 0. Closed below the fill level.
    pub fn wall(&self) -> &Mesh {
        &self.wall
    }

    /// From the file's axes to the pouring frame and back.
    pub fn frame(&self) -> &Frame {
        &self.frame
    }

    /// Directed pieces of the opening's outline, the inside on their left seen from above, in the
    /// pouring frame, mm.
    pub fn opening_outline(&self) -> &[[Vec3; 2]] {
        &self.outline
    }

    /// What lies between the plane of a flat back and the back itself, mm³.
    pub fn back_gap_mm3(&self) -> BackGap {
        self.back_gap_mm3
    }

    /// Height of the fill level in the pouring frame, mm. Differs from the reported one only
    /// where a back leans against a direction that was given: the frame follows the back.
    pub fn level_mm(&self) -> f64 {
        self.level_mm
    }

    /// The cavity has a level surface through which it is poured.
    pub fn is_open(&self) -> bool {
        self.measures.opening_area_mm2 > 0.0
    }

    /// The cavity's numbers.
    pub fn measures(&self) -> &CavityMeasures {
        &self.measures
    }

    /// What was noticed.
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// Area of the ring of `width_mm` around the opening, mm²: in its plane, or for a mould on its
    /// real rim; 0 when closed.
    pub fn flange_area_mm2(&self, width_mm: f64) -> f64 {
        match &self.rim {
            Some(rim) => rim.area_mm2(width_mm),
            None => outline::ring_area_mm2(&self.outline, width_mm),
        }
    }

    /// Area of the ring of `width_mm` around the opening in its plane, or around the section at a
    /// level, mm²: all points outside the figure within that distance of it; 0 without one.
    pub fn ring_around_mm2(&self, level_mm: Option<f64>, width_mm: f64) -> f64 {
        match level_mm {
            None => outline::ring_area_mm2(&self.outline, width_mm),
            Some(level) => {
                outline::ring_area_mm2(&below_level(&self.wall, level).1.outline, width_mm)
            }
        }
    }

    /// Length of the outline of the section at a level, mm.
    pub fn outline_at_mm(&self, level_mm: f64) -> f64 {
        below_level(&self.wall, level_mm).1.perimeter_mm()
    }

    /// Area of the wall under a level, mm².
    pub fn wall_area_under_mm2(&self, level_mm: f64) -> f64 {
        below_level(&self.wall, level_mm).0.area_mm2()
    }

    /// Wall by slope as the two halves of a mould that parts at a level are brushed: each with its
    /// open side up, so that the upper one is turned over.
    pub fn slopes_in_halves(&self, level_mm: f64) -> SlopeAreas {
        let lower = below_level(&self.wall, level_mm).0;
        let whole = slope_areas(&self.wall, -Vec3::Z);
        let (own, turned) = (slope_areas(&lower, Vec3::Z), slope_areas(&lower, -Vec3::Z));
        let both = |of: fn(&SlopeAreas) -> f64| of(&own) + (of(&whole) - of(&turned)).max(0.0);
        SlopeAreas {
            floor: both(|s| s.floor),
            steep: both(|s| s.steep),
            overhanging: both(|s| s.overhanging),
        }
    }

    /// Corners of the wall's convex hull seen from above, counter-clockwise, mm.
    pub fn hull_from_above(&self) -> Vec<[f64; 2]> {
        outline::hull(&self.wall)
    }

    /// Principal second moments of area of the opening about its centroid, the smaller first, mm⁴;
    /// 0 of a closed cavity.
    pub fn opening_moments_mm4(&self) -> [f64; 2] {
        outline::principal_moments_mm4(&self.outline)
    }

    /// The widest way across the opening at the fill level, mm; `None` of a closed cavity.
    pub fn mouth_mm(&self) -> Option<f64> {
        Some(outline::widest_mm(&self.outline)).filter(|mm| *mm > 0.0)
    }

    /// The widest way across the cavity `under_mm` below its fill level, mm.
    pub fn width_under_level_mm(&self, under_mm: f64) -> f64 {
        outline::widest_mm(&below_level(&self.wall, self.level_mm - under_mm).1.outline)
    }

    /// Volume of the cavity under a level, mm³: exact, whatever the wall's shape.
    pub fn volume_under_mm3(&self, level_mm: f64) -> f64 {
        let level_mm = level_mm.min(self.level_mm);
        volume_under(&below_level(&self.wall, level_mm).0, level_mm)
    }
}

fn keep_as_opening(back: &Back, request: &CavityRequest, findings: &mut Vec<Finding>) -> bool {
    if back.lean_deg <= LEAN_DEG_MAX {
        return true;
    }
    let lean =
        format!("the flat back leans {:.1}° from level, too far to be poured", back.lean_deg);
    findings.push(if request.below_lip_mm > 0.0 {
        let message = format!("{lean}: it is taken for wall, and the level cuts it");
        Finding::warning("leaning-back", message).with_hint("give the real direction with --up")
    } else {
        let message = format!("{lean}: it is taken for wall, and the cavity for closed");
        Finding::warning("leaning-back", message)
            .with_hint("give the real direction with --up, or cut a level with --below-lip")
    });
    false
}

impl CavityMeasures {
    /// Several cavities together: volumes and areas added up, heights of the first.
    pub fn together(all: &[Self]) -> Option<Self> {
        let sum = |of: fn(&Self) -> f64| all.iter().map(of).sum::<f64>();
        Some(Self {
            volume_mm3: all.iter().map(|m| m.volume_mm3).sum(),
            surface_area_mm2: sum(|m| m.surface_area_mm2),
            wall_area_mm2: sum(|m| m.wall_area_mm2),
            opening_area_mm2: sum(|m| m.opening_area_mm2),
            opening_perimeter_mm: sum(|m| m.opening_perimeter_mm),
            slope_area_mm2: SlopeAreas {
                floor: sum(|m| m.slope_area_mm2.floor),
                steep: sum(|m| m.slope_area_mm2.steep),
                overhanging: sum(|m| m.slope_area_mm2.overhanging),
            },
            ..*all.first()?
        })
    }
}

fn tell_lean(lean_deg: f64, request: &CavityRequest, findings: &mut Vec<Finding>) {
    if lean_deg < LEAN_DEG_WORTH_TELLING {
        return;
    }
    findings.push(if request.up_given {
        let taken = if request.below_lip_mm > 0.0 {
            "what of it lies under the fill level is taken for wall"
        } else {
            "its plane is taken as the fill level"
        };
        Finding::warning(
            "tilted-back",
            format!("the flat back leans {lean_deg:.1}° against the up direction given; {taken}"),
        )
        .with_hint("leave --up out to have the piece turned level")
    } else {
        Finding::warning(
            "levelled",
            format!("the flat back leans {lean_deg:.1}°; the piece was turned to level it"),
        )
        .with_hint("a poured back is level; give --up to keep the file's own direction")
    });
}
