//! What both schemas share: mesh, health, cavity, warnings.

use serde::Serialize;

use crate::bounds::Bounds;
use crate::finding::{Finding, Severity};
use crate::sheet::{self, Because, CavityFacts, CavityMeasures, Hole, MeshFacts};

/// `cavigram/survey/1`.
#[derive(Serialize)]
pub struct Survey<'a> {
    schema: &'static str,
    mesh: Mesh<'a>,
    health: Health,
    cavity: Option<Cavity>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    impressions: Vec<Impression>,
    warnings: Vec<Warning<'a>>,
}

/// What was read, and what it was taken for.
#[derive(Serialize)]
pub struct Mesh<'a> {
    file: &'a str,
    format: &'static str,
    unit: &'static str,
    unit_assumed: bool,
    scale: f64,
    triangles: usize,
    vertices: usize,
    extent_mm: [f64; 3],
    read_as: &'static str,
    read_because: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    border_share_percent: Option<f64>,
    up: [f64; 3],
    up_from_rim: bool,
}

/// The mesh as read, and what was then done.
#[derive(Serialize)]
pub struct Health {
    watertight: bool,
    open_edges: usize,
    holes: usize,
    non_manifold_edges: usize,
    inconsistent_edges: usize,
    inverted: bool,
    degenerate_triangles: usize,
    duplicate_triangles: usize,
    bodies: usize,
    repairs: Vec<Repair>,
    hole_places: Vec<HolePlace>,
}

#[derive(Serialize)]
struct Repair {
    code: &'static str,
    count: usize,
    area_cm2: f64,
    volume_bound_cm3: f64,
}

#[derive(Serialize)]
struct HolePlace {
    centre_mm: [f64; 3],
    size_mm: f64,
    edges: usize,
}

/// A volume with its limits.
#[derive(Serialize)]
pub struct Volume {
    volume_cm3: f64,
    volume_low_cm3: f64,
    volume_high_cm3: f64,
}

/// The space that holds rubber.
#[derive(Serialize)]
pub struct Cavity {
    #[serde(flatten)]
    volume: Volume,
    surface_area_cm2: f64,
    wall_area_cm2: f64,
    opening_area_cm2: f64,
    opening_perimeter_cm: f64,
    lip_mm: f64,
    fill_mm: f64,
    depth_mm: f64,
    slope_area_cm2: SlopeAreas,
    #[serde(skip_serializing_if = "Option::is_none")]
    tilt_deg: Option<f64>,
    air_pockets: Vec<AirPocket>,
    small_air_pockets: usize,
}

#[derive(Serialize)]
struct AirPocket {
    volume_cm3: f64,
    place_mm: [f64; 3],
    #[serde(skip_serializing_if = "Option::is_none")]
    raise: Option<[f64; 3]>,
}

/// One impression of a mould that has several.
#[derive(Serialize)]
pub struct Impression {
    volume_cm3: f64,
    wall_area_cm2: f64,
    opening_area_cm2: f64,
    lip_mm: f64,
    depth_mm: f64,
}

#[derive(Serialize)]
struct SlopeAreas {
    floor: f64,
    steep: f64,
    overhanging: f64,
}

/// What was noticed.
#[derive(Serialize)]
pub struct Warning<'a> {
    code: &'static str,
    severity: &'static str,
    message: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    hint: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    place_mm: Option<[f64; 3]>,
}

/// The most holes that are listed one by one.
const HOLES_LISTED: usize = 100;

impl<'a> Survey<'a> {
    pub fn new(survey: &'a sheet::Survey) -> Self {
        Self {
            schema: "cavigram/survey/1",
            mesh: Mesh::new(&survey.mesh),
            health: Health::new(&survey.health),
            cavity: survey.cavity.as_ref().map(Cavity::new),
            impressions: survey.cavity.as_ref().map(impressions).unwrap_or_default(),
            warnings: warnings(&survey.findings),
        }
    }
}

impl<'a> Mesh<'a> {
    pub fn new(mesh: &'a MeshFacts) -> Self {
        Self {
            file: &mesh.file,
            format: mesh.format.as_str(),
            unit: mesh.unit.as_str(),
            unit_assumed: mesh.unit_assumed,
            scale: mesh.mm_per_number,
            triangles: mesh.triangles,
            vertices: mesh.vertices,
            extent_mm: mesh.extent_mm,
            read_as: mesh.read_as.as_str(),
            read_because: mesh.because.as_str(),
            border_share_percent: match mesh.because {
                Because::Border { share } => Some(100.0 * share),
                Because::Said | Because::Closed => None,
            },
            up: mesh.up.components(),
            up_from_rim: mesh.up_from_rim,
        }
    }
}

impl Health {
    pub fn new(health: &sheet::Health) -> Self {
        let repair = |r: &sheet::Repair| Repair {
            code: r.code,
            count: r.count,
            area_cm2: cm2(r.area_mm2),
            volume_bound_cm3: cm3(r.volume_bound_mm3),
        };
        let place = |hole: &Hole| HolePlace {
            centre_mm: hole.centre_mm.to_array(),
            size_mm: hole.size_mm,
            edges: hole.edges,
        };
        Self {
            watertight: health.watertight,
            open_edges: health.open_edges,
            holes: health.holes.len(),
            non_manifold_edges: health.non_manifold_edges,
            inconsistent_edges: health.inconsistent_edges,
            inverted: health.inverted,
            degenerate_triangles: health.degenerate_triangles,
            duplicate_triangles: health.duplicate_triangles,
            bodies: health.bodies,
            repairs: health.repairs.iter().map(repair).collect(),
            hole_places: health.holes.iter().take(HOLES_LISTED).map(place).collect(),
        }
    }
}

impl Volume {
    pub fn new(volume_mm3: Bounds) -> Self {
        Self {
            volume_cm3: cm3(volume_mm3.best()),
            volume_low_cm3: cm3(volume_mm3.low()),
            volume_high_cm3: cm3(volume_mm3.high()),
        }
    }
}

impl Cavity {
    pub fn new(cavity: &CavityFacts) -> Self {
        let m = &cavity.measures;
        Self {
            volume: Volume::new(m.volume_mm3),
            surface_area_cm2: cm2(m.surface_area_mm2),
            wall_area_cm2: cm2(m.wall_area_mm2),
            opening_area_cm2: cm2(m.opening_area_mm2),
            opening_perimeter_cm: m.opening_perimeter_mm / 10.0,
            lip_mm: m.lip_mm,
            fill_mm: m.fill_mm,
            depth_mm: m.fill_mm,
            slope_area_cm2: SlopeAreas {
                floor: cm2(m.slope_area_mm2.floor),
                steep: cm2(m.slope_area_mm2.steep),
                overhanging: cm2(m.slope_area_mm2.overhanging),
            },
            tilt_deg: m.tilt_deg,
            air_pockets: cavity.air.pockets.iter().map(AirPocket::new).collect(),
            small_air_pockets: cavity.air.small,
        }
    }
}

impl AirPocket {
    fn new(pocket: &sheet::AirPocket) -> Self {
        Self {
            volume_cm3: cm3(pocket.volume_mm3),
            place_mm: pocket.top_mm.to_array(),
            raise: pocket.raise.map(|way| way.to_array()),
        }
    }
}

/// Every impression of a mould that has several.
pub fn impressions(cavity: &CavityFacts) -> Vec<Impression> {
    let wire = |m: &CavityMeasures| Impression {
        volume_cm3: cm3(m.volume_mm3.best()),
        wall_area_cm2: cm2(m.wall_area_mm2),
        opening_area_cm2: cm2(m.opening_area_mm2),
        lip_mm: m.lip_mm,
        depth_mm: m.fill_mm,
    };
    cavity.impressions.iter().map(wire).collect()
}

/// All findings, notes included: their severity tells them apart.
pub fn warnings(findings: &[Finding]) -> Vec<Warning<'_>> {
    findings.iter().map(Warning::new).collect()
}

impl<'a> Warning<'a> {
    fn new(finding: &'a Finding) -> Self {
        Self {
            code: finding.code,
            severity: match finding.severity {
                Severity::Note => "note",
                Severity::Warning => "warning",
                Severity::Conflict => "conflict",
            },
            message: &finding.message,
            hint: finding.hint.as_deref(),
            place_mm: finding.place_mm.map(|place| place.to_array()),
        }
    }
}

pub fn cm3(mm3: f64) -> f64 {
    mm3 / 1000.0
}

pub fn cm2(mm2: f64) -> f64 {
    mm2 / 100.0
}
