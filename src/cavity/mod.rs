//! The space that will hold rubber: which way is up, opening, wall, fill level.

mod back;
mod crease;
mod outline;

use crate::bounds::Bounds;
use crate::finding::Finding;
use crate::health::SoundMesh;
use crate::mesh::{Frame, Mesh, Section, Vec3, area_vector_doubled, below_level, triangle_area};

use back::{Back, LEAN_DEG_MAX, ends, find_back};

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

/// Why there is no cavity.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CavityError {
    /// The fill level lies at or under the bottom.
    #[error(
        "the fill level lies {below_lip_mm:.2} mm under the lip, but the cavity is only {depth_mm:.2} mm deep"
    )]
    LevelBelowBottom {
        /// What was asked for, mm.
        below_lip_mm: f64,
        /// How deep the cavity is, mm.
        depth_mm: f64,
    },
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
        let back = found.filter(|b| keep_as_opening(b, &mut findings));
        if let Some(back) = back.as_ref().filter(|b| b.lean_deg > LEVEL_DEG) {
            tell_lean(back.lean_deg, request.up_given, &mut findings);
            frame = Frame::new(frame.direction_to_file(back.plane.normal), centre);
            mesh = frame.mesh_to_pouring(sound.mesh());
        }
        let (low, high) = mesh.bounding_box().unwrap_or_default();
        let shift = Vec3::new(0.0, 0.0, low.z);
        let mesh = mesh.moved(-shift);
        let lip_mm = match &back {
            Some(back) => back.plane.offset - low.z,
            None => high.z - low.z,
        };
        let fill_mm = lip_mm - request.below_lip_mm;
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
        Ok(parts.into_cavity(frame, Heights { lip_mm, fill_mm }, margin, tilt_deg, findings))
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

    /// What lies between the plane of a flat back and the back itself, mm³.
    pub fn back_gap_mm3(&self) -> BackGap {
        self.back_gap_mm3
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

    /// Area of the ring of `width_mm` around the opening, in its plane, mm²; 0 when closed.
    pub fn flange_area_mm2(&self, width_mm: f64) -> f64 {
        outline::ring_area_mm2(&self.outline, width_mm)
    }

    /// Volume of the cavity under a level, mm³: exact, whatever the wall's shape.
    pub fn volume_under_mm3(&self, level_mm: f64) -> f64 {
        let level_mm = level_mm.min(self.measures.fill_mm);
        volume_under(&below_level(&self.wall, level_mm).0, level_mm)
    }
}

/// The lip and the fill level over the cavity's lowest point, mm.
struct Heights {
    lip_mm: f64,
    fill_mm: f64,
}

/// Wall and opening of a cavity before they are measured.
struct Parts {
    wall: Mesh,
    opening: Section,
    volume_mm3: f64,
    gap: BackGap,
}

impl Parts {
    /// The cavity up to a level that cuts the mesh.
    fn cut(mesh: Mesh, back: Option<&Back>, level: f64) -> Self {
        let mesh = match back {
            Some(back) => mesh.with_triangles(without(&mesh, &back.triangles)),
            None => mesh,
        };
        let (wall, opening) = below_level(&mesh, level);
        let volume_mm3 = volume_under(&wall, level);
        Self { wall, opening, volume_mm3, gap: BackGap::default() }
    }

    /// The whole cavity, poured up to its flat back if it has one.
    fn whole(mesh: Mesh, back: Option<&Back>, level: f64) -> Self {
        let volume_mm3 = mesh.signed_volume_mm3();
        let Some(back) = back else {
            let opening = Section { area_mm2: 0.0, outline: Vec::new() };
            return Self { wall: mesh, opening, volume_mm3, gap: BackGap::default() };
        };
        let mut opening = Section { area_mm2: 0.0, outline: Vec::new() };
        let mut gap = BackGap::default();
        for t in &back.triangles {
            let corners = mesh.corners(*t as usize);
            let seen_from_above = 0.5 * area_vector_doubled(corners).z;
            let over = corners.map(|p| p.z - level);
            let mean = (over[0] + over[1] + over[2]) / 3.0;
            let one_sided = over.iter().all(|h| *h >= 0.0) || over.iter().all(|h| *h <= 0.0);
            let most = over.iter().fold(0.0, |m: f64, h| m.max(h.abs()));
            opening.area_mm2 += seen_from_above;
            gap.signed += seen_from_above * mean;
            gap.absolute += seen_from_above.abs() * if one_sided { mean.abs() } else { most };
        }
        opening.outline = back.border.iter().map(|h| ends(&mesh, *h)).collect();
        let wall = mesh.with_triangles(without(&mesh, &back.triangles));
        Self { wall, opening, volume_mm3, gap }
    }

    fn into_cavity(
        self,
        frame: Frame,
        heights: Heights,
        margin_mm3: f64,
        tilt_deg: Option<f64>,
        findings: Vec<Finding>,
    ) -> Cavity {
        let wall_area_mm2 = self.wall.area_mm2();
        let measures = CavityMeasures {
            volume_mm3: Bounds::exact(self.volume_mm3)
                .widened(margin_mm3)
                .clamped(0.0, f64::INFINITY),
            surface_area_mm2: wall_area_mm2 + self.opening.area_mm2,
            wall_area_mm2,
            opening_area_mm2: self.opening.area_mm2,
            opening_perimeter_mm: self.opening.perimeter_mm(),
            lip_mm: heights.lip_mm,
            fill_mm: heights.fill_mm,
            slope_area_mm2: slope_areas(&self.wall),
            tilt_deg,
        };
        Cavity {
            wall: self.wall,
            frame,
            outline: self.opening.outline,
            back_gap_mm3: self.gap,
            measures,
            findings,
        }
    }
}

/// The triangles of a mesh that are not in a rising list.
fn without(mesh: &Mesh, left_out: &[u32]) -> Vec<[u32; 3]> {
    let mut left_out = left_out.iter().peekable();
    (0u32..)
        .zip(mesh.triangles())
        .filter(|(t, _)| left_out.next_if_eq(&t).is_none())
        .map(|(_, corners)| *corners)
        .collect()
}

/// Volume between an outward wall and the level above it, mm³: each triangle bounds a column up
/// to the level, so no lid is needed.
fn volume_under(wall: &Mesh, level: f64) -> f64 {
    wall.sum_over_triangles(|corners| {
        let mean = (corners[0].z + corners[1].z + corners[2].z) / 3.0;
        -0.5 * area_vector_doubled(corners).z * (level - mean)
    })
}

/// Wall area by slope; the inward normal is the outward one turned round.
fn slope_areas(wall: &Mesh) -> SlopeAreas {
    let cos_floor = 30f64.to_radians().cos();
    let [floor, steep, overhanging] = wall.sums_over_triangles(|corners| {
        let (normal, area) = (area_vector_doubled(corners), triangle_area(corners));
        match -normal.z / normal.length() {
            cos if cos > cos_floor => [area, 0.0, 0.0],
            cos if cos >= 0.0 => [0.0, area, 0.0],
            cos if cos < 0.0 => [0.0, 0.0, area],
            _ => [0.0; 3], // A triangle without area has no slope.
        }
    });
    SlopeAreas { floor, steep, overhanging }
}

fn keep_as_opening(back: &Back, findings: &mut Vec<Finding>) -> bool {
    if back.lean_deg <= LEAN_DEG_MAX {
        return true;
    }
    findings.push(
        Finding::warning(
            "leaning-back",
            format!(
                "the flat back leans {:.1}° from level, too far to be poured: it is taken for \
                 wall, and the cavity for closed",
                back.lean_deg
            ),
        )
        .with_hint("give the real direction with --up, or cut a level with --below-lip"),
    );
    false
}

fn tell_lean(lean_deg: f64, up_given: bool, findings: &mut Vec<Finding>) {
    if lean_deg < LEAN_DEG_WORTH_TELLING {
        return;
    }
    findings.push(if up_given {
        Finding::warning(
            "tilted-back",
            format!(
                "the flat back leans {lean_deg:.1}° against the up direction given; its plane \
                 is taken as the fill level"
            ),
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
