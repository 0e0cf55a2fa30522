//! The cavities of a mould: what liquid poured into its pits fills.

use std::sync::Arc;

use crate::finding::Finding;
use crate::health::{SoundMesh, SoundSheet};
use crate::mesh::{Frame, Mesh, Vec3, area_vector_doubled, below_level};

use super::flange::Rim;
use super::parts::{Heights, Parts};
use super::pits::Pits;
use super::rim::rim_near_level;
use super::walls::{PitWall, pit_walls};
use super::{Cavity, CavityError, CavityMeasures, LEAN_DEG_WORTH_TELLING, SlopeAreas};
use crate::bounds::Bounds;

/// How the cavities of a mould are to be found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MouldRequest {
    /// Which way is up when pouring, along the file's axes; need not be a unit vector.
    pub up: Vec3,
    /// That direction was taken from the rim.
    pub up_from_rim: bool,
    /// How far under the lip the last pour stops, mm; 0 fills to the lip.
    pub below_lip_mm: f64,
}

/// A mould with its impressions, largest volume first.
#[derive(Debug, Clone, PartialEq)]
pub struct Mould {
    impressions: Vec<Impression>,
    findings: Vec<Finding>,
}

/// One cavity of a mould, or its lip where the fill level lies under its bottom.
#[derive(Debug, Clone, PartialEq)]
enum Impression {
    Filled(Box<Cavity>),
    TooShallow(CavityMeasures),
}

/// Coordinates carry the rounding of the file's numbers, 2⁻²⁴ of the largest, often enough of
/// 32 bits, and a turned mesh has that in its heights three times over.
const ROUNDING_SHARE: f64 = 5e-7;
/// A way of standing that holds this much more than the one given is the right one …
const HOLDS_MUCH_MORE: f64 = 10.0;
/// … where the one given holds less than this share of the mesh's box. It also makes a pit
/// worth telling of in a closed mesh.
const SHARE_OF_BOX_MIN: f64 = 0.01;
/// A pit of a closed mesh worth telling of is at least this deep, mm.
const DEEP_MM: f64 = 2.0;
/// An axis is proposed where it holds at least this share of what the best direction does.
const AXIS_SHARE_MIN: f64 = 0.9;

impl Mould {
    /// The cavities of a closed block.
    ///
    /// # Errors
    /// [`CavityError`] where nothing stays in it as it stands.
    pub fn of_block(sound: &SoundMesh, request: &MouldRequest) -> Result<Self, CavityError> {
        Self::build(sound.mesh(), &[], sound.volume_margin_mm3(), request)
    }

    /// The cavities of an open sheet.
    ///
    /// # Errors
    /// [`CavityError`] where nothing stays in it as it stands.
    pub fn of_sheet(sheet: &SoundSheet, request: &MouldRequest) -> Result<Self, CavityError> {
        Self::build(sheet.mesh(), sheet.border(), sheet.volume_margin_mm3(), request)
    }

    fn build(
        mesh: &Mesh,
        border: &[u32],
        margin_mm3: f64,
        request: &MouldRequest,
    ) -> Result<Self, CavityError> {
        let up = request.up.normalize_or(Vec3::Z);
        let stood = Stood::new(mesh, border, up);
        let pits = Pits::of(&stood.mesh, border);
        let walls = pit_walls(&stood.mesh, &pits, stood.rounding);
        check_way(&stood, &walls, pits.has_hollow, mesh, border, up)?;
        let rim = rim_near_level(&stood.mesh, border);
        let (tilt_deg, findings) = if request.up_from_rim {
            (Some(degrees_between(up, Vec3::Z)), Vec::new())
        } else {
            let lean = rim.map(|rim| degrees_between(rim.normal, Vec3::Z));
            let leaning = lean.filter(|deg| *deg >= LEAN_DEG_WORTH_TELLING).zip(rim);
            let told = leaning.map(|(deg, rim)| {
                let level = stood.frame.direction_to_file(rim.normal);
                let held = Stood::new(mesh, border, level).largest_mm3();
                leaning_rim(deg, held - walls[0].volume_mm3)
            });
            (lean, told.into_iter().collect())
        };
        let Stood { mesh, frame, .. } = stood;
        let mesh = Arc::new(mesh);
        let mut all_walls: Vec<u32> =
            walls.iter().flat_map(|wall| wall.triangles.iter().copied()).collect();
        all_walls.sort_unstable();
        all_walls.dedup();
        let all_walls = Arc::new(all_walls);
        let placed =
            Placed { mesh: &mesh, all_walls: &all_walls, frame: &frame, margin_mm3, tilt_deg };
        let below = request.below_lip_mm;
        let impressions = walls.into_iter().map(|wall| placed.impression(wall, below)).collect();
        Ok(Self { impressions, findings })
    }

    /// How many impressions there are.
    pub fn count(&self) -> usize {
        self.impressions.len()
    }

    /// The impression of a number counted from 1.
    ///
    /// # Errors
    /// [`CavityError`] where there is none, or its bottom lies over the fill level.
    pub fn impression(&self, number: u32) -> Result<&Cavity, CavityError> {
        let missing = CavityError::NoSuchImpression { asked: number, count: self.count() };
        let at = (number as usize).checked_sub(1).ok_or(missing.clone())?;
        match self.impressions.get(at).ok_or(missing)? {
            Impression::Filled(cavity) => Ok(cavity),
            Impression::TooShallow(m) => Err(CavityError::LevelBelowBottom {
                below_lip_mm: m.lip_mm - m.fill_mm,
                depth_mm: m.lip_mm,
            }),
        }
    }

    /// All impressions that the fill level leaves something of.
    ///
    /// # Errors
    /// [`CavityError`] where that is none.
    pub fn all(&self) -> Result<Vec<&Cavity>, CavityError> {
        self.impression(1)?;
        let filled = self.impressions.iter().filter_map(|impression| match impression {
            Impression::Filled(cavity) => Some(&**cavity),
            Impression::TooShallow(_) => None,
        });
        Ok(filled.collect())
    }

    /// The numbers of every impression; those too shallow for the fill level hold nothing.
    pub fn measures(&self) -> Vec<CavityMeasures> {
        let measures = self.impressions.iter().map(|impression| match impression {
            Impression::Filled(cavity) => *cavity.measures(),
            Impression::TooShallow(measures) => CavityMeasures { fill_mm: 0.0, ..*measures },
        });
        measures.collect()
    }

    /// What was noticed about the mould as a whole.
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }
}

/// The largest pit of a closed mesh that is read as a casting, if it is so large that the mesh
/// may well be a mould's: its volume, mm³.
pub fn pits_of_casting(sound: &SoundMesh, up: Vec3) -> Option<f64> {
    let stood = Stood::new(sound.mesh(), &[], up.normalize_or(Vec3::Z));
    let largest = stood.walls().into_iter().find(|wall| wall.lip - wall.bottom >= DEEP_MM)?;
    (largest.volume_mm3 >= SHARE_OF_BOX_MIN * stood.box_mm3()).then_some(largest.volume_mm3)
}

/// A mould's surface turned so that up is +z and its normals point into the air.
pub struct Stood<'a> {
    mesh: Mesh,
    border: &'a [u32],
    frame: Frame,
    rounding: f64,
}

impl<'a> Stood<'a> {
    /// Stands a surface up; a sheet may face either way, a closed one faces out of the mould.
    pub fn new(mesh: &Mesh, border: &'a [u32], up: Vec3) -> Self {
        let (low, high) = mesh.bounding_box().unwrap_or_default();
        let frame = Frame::new(up, 0.5 * (low + high));
        let rounding = ROUNDING_SHARE * low.abs().max(high.abs()).max_element();
        let mut mesh = frame.mesh_to_pouring(mesh);
        if !border.is_empty() {
            let upward = mesh.sum_over_triangles(|corners| area_vector_doubled(corners).z);
            if upward < 0.0 {
                mesh = mesh.reversed();
            }
        }
        Self { mesh, border, frame, rounding }
    }

    /// Volume of its largest pit, mm³; 0 without any.
    pub fn largest_mm3(&self) -> f64 {
        self.walls().first().map_or(0.0, |wall| wall.volume_mm3)
    }

    fn walls(&self) -> Vec<PitWall> {
        pit_walls(&self.mesh, &Pits::of(&self.mesh, self.border), self.rounding)
    }

    fn box_mm3(&self) -> f64 {
        self.mesh.bounding_box().map_or(0.0, |(low, high)| (high - low).to_array().iter().product())
    }
}

/// Refuses a mould that holds nothing as it stands, or next to nothing beside what it would hold
/// the other way round.
fn check_way(
    stood: &Stood,
    walls: &[PitWall],
    has_hollow: bool,
    mesh: &Mesh,
    border: &[u32],
    up: Vec3,
) -> Result<(), CavityError> {
    let held = walls.first().map_or(0.0, |wall| wall.volume_mm3);
    let little = SHARE_OF_BOX_MIN * stood.box_mm3();
    if !walls.is_empty() && (border.is_empty() || held >= little) {
        return Ok(());
    }
    let holds = |up: Vec3| Stood::new(mesh, border, up).largest_mm3();
    if !walls.is_empty() {
        return if holds(-up) > HOLDS_MUCH_MORE * held {
            Err(CavityError::OpensElsewhere { way: "downward", up: -up })
        } else {
            Ok(())
        };
    }
    let axes = [-up, Vec3::Z, Vec3::X, -Vec3::X, Vec3::Y, -Vec3::Y, -Vec3::Z];
    let across = mesh.sums_over_triangles(|corners| area_vector_doubled(corners).to_array());
    let across = Vec3::from_array(across).normalize_or_zero();
    let mut ways: Vec<(f64, Vec3)> = axes.into_iter().map(|up| (holds(up), up)).collect();
    if !border.is_empty() && across != Vec3::ZERO {
        // Only where it holds clearly more than any axis.
        ways.extend([across, -across].map(|up| (AXIS_SHARE_MIN * holds(up), up)));
    }
    let best =
        ways.into_iter().fold((0.0, up), |best, way| if way.0 > best.0 { way } else { best });
    if best.0 < little || best.0 <= 0.0 {
        return Err(CavityError::NoPit { hollow: has_hollow });
    }
    let way = if best.1.dot(up) < -0.7 { "downward" } else { "sideways" };
    Err(CavityError::OpensElsewhere { way, up: best.1 })
}

/// Where the impressions of a mould lie.
struct Placed<'a> {
    mesh: &'a Arc<Mesh>,
    /// Triangles of any impression's wall, rising.
    all_walls: &'a Arc<Vec<u32>>,
    frame: &'a Frame,
    margin_mm3: f64,
    tilt_deg: Option<f64>,
}

impl Placed<'_> {
    fn impression(&self, pit: PitWall, below_lip_mm: f64) -> Impression {
        let lip_mm = pit.lip - pit.bottom;
        let heights = Heights::level(lip_mm, lip_mm - below_lip_mm);
        if heights.fill_mm <= 0.0 {
            return Impression::TooShallow(nothing(&heights));
        }
        let shift = Vec3::new(0.0, 0.0, pit.bottom);
        let outline = below_level(&pit.wall, pit.lip).1.outline;
        let parts = Parts::cut(pit.wall.moved(-shift), None, heights.fill_mm);
        let measures = parts.measure(&heights, self.margin_mm3, self.tilt_deg);
        let frame = self.frame.shifted(shift);
        let mut cavity = parts.into_cavity(frame, heights.level_mm, measures, Vec::new());
        cavity.rim = Some(Rim {
            mesh: Arc::clone(self.mesh),
            wall_triangles: pit.triangles,
            all_walls: Arc::clone(self.all_walls),
            lip: pit.lip,
            outline,
        });
        Impression::Filled(Box::new(cavity))
    }
}

/// The numbers of an impression whose bottom lies over the fill level.
fn nothing(heights: &Heights) -> CavityMeasures {
    CavityMeasures {
        volume_mm3: Bounds::ZERO,
        surface_area_mm2: 0.0,
        wall_area_mm2: 0.0,
        opening_area_mm2: 0.0,
        opening_perimeter_mm: 0.0,
        lip_mm: heights.lip_mm,
        fill_mm: heights.fill_mm,
        slope_area_mm2: SlopeAreas::default(),
        tilt_deg: None,
    }
}

fn degrees_between(a: Vec3, b: Vec3) -> f64 {
    // Without the loss of digits that an arc cosine has near 1.
    a.cross(b).length().atan2(a.dot(b)).to_degrees()
}

fn leaning_rim(lean_deg: f64, costs_mm3: f64) -> Finding {
    let costs_cm3 = costs_mm3 / 1000.0;
    let changes = if costs_cm3 >= 0.0 {
        format!("standing level it would hold {costs_cm3:.1} cm³ more")
    } else {
        format!("standing level it would hold {:.1} cm³ less", -costs_cm3)
    };
    Finding::warning("leaning-rim", format!("the rim leans {lean_deg:.1}° from level: {changes}"))
        .with_hint("give --up rim where the mould will stand with its rim level")
}
