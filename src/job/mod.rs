//! One run from request to sheet: bytes in, a [`Sheet`] or [`Survey`] out.

mod error;
mod request;
mod scale;

pub use error::JobError;
pub use request::{JobRequest, LayersRequest, MeshRequest, Opening};
use scale::Basis;
pub use scale::{LARGEST_MM, ScaleError};

use crate::cavity::{Cavity, CavityRequest};
use crate::finding::Finding;
use crate::formats;
use crate::health::{self, FillRequest, Health, LookedOver, Surface, Unsound};
use crate::layers::{self, LayerRequest, Layers};
use crate::mesh::{Mesh, Vec3};
use crate::plan::{self, CoatVolume, LayerVolumes};
use crate::sheet::{CavityFacts, LayerFacts, MeshFacts, ReadAs, Sheet, Survey};

/// What a run is busy with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// Reading the bytes.
    Reading,
    /// Looking the mesh over.
    Checking,
    /// Finding the cavity.
    Cavity,
    /// Splitting it into layers.
    Layers,
}

impl Phase {
    /// A few words for the person who waits.
    pub const fn describe(self) -> &'static str {
        match self {
            Self::Reading => "reading the mesh",
            Self::Checking => "looking it over",
            Self::Cavity => "finding the cavity",
            Self::Layers => "measuring layers",
        }
    }
}

/// Is called now and then with what is being done and the share of the whole run done, 0 to 1.
pub type Progress<'a> = &'a (dyn Fn(Phase, f64) + Sync);

/// The most that is split into layers, mm³: 1000 m³. Far beyond any casting, so that a slip in the
/// unit is told at once and not after long work.
pub const MOST_MM3: f64 = 1e12;

/// About how far a run is when a phase begins, from the time each takes on dense meshes.
const CHECKING_BEGINS: f64 = 0.15;
const CAVITY_BEGINS: f64 = 0.45;
const LAYERS_BEGIN: f64 = 0.5;

/// Says what a mesh is, whether it can be trusted, and what it holds.
///
/// A mesh that can be read but not trusted has no cavity, and a finding that says why.
///
/// # Errors
/// [`JobError`] where the bytes are no mesh or it can't be brought to its size.
pub fn survey(
    bytes: &[u8],
    request: &MeshRequest,
    progress: Progress<'_>,
) -> Result<Survey, JobError> {
    let Looked { mesh, mut health, surface, mut findings } = look(bytes, request, progress)?;
    let sound = surface.and_then(|surface| surface.close(&mut health));
    progress(Phase::Cavity, CAVITY_BEGINS);
    let cavity = match &sound {
        Ok(sound) => {
            let cavity = Cavity::of_casting(sound, &cavity_request(request, 0.0))?;
            findings.extend_from_slice(cavity.findings());
            Some(CavityFacts::new(&cavity))
        }
        Err(unsound) => {
            findings.push(error::no_cavity(unsound));
            None
        }
    };
    Ok(Survey { mesh, health, cavity, findings })
}

/// Works out what to weigh.
///
/// # Errors
/// [`JobError`] where the mesh can't be read or trusted, or there is nothing to fill.
pub fn run(bytes: &[u8], request: &JobRequest, progress: Progress<'_>) -> Result<Sheet, JobError> {
    let Looked { mesh, mut health, surface, mut findings } = look(bytes, &request.mesh, progress)?;
    let sound =
        surface.and_then(|surface| surface.close(&mut health)).map_err(JobError::Unsound)?;
    progress(Phase::Cavity, CAVITY_BEGINS);
    let below_lip_mm = request.layers.below_lip.mm();
    let cavity = Cavity::of_casting(&sound, &cavity_request(&request.mesh, below_lip_mm))?;
    findings.extend_from_slice(cavity.findings());
    let volume_mm3 = cavity.measures().volume_mm3.best();
    if volume_mm3 > MOST_MM3 {
        return Err(JobError::TooMuch { volume_mm3 });
    }

    let layer_request = LayerRequest {
        coats_mm: request.layers.coats.iter().map(|c| c.mm()).collect(),
        cap_mm: request.layers.cap.mm(),
        tolerance: request.layers.tolerance.share(),
    };
    let layers = layers::split(&cavity, &layer_request, &|share| {
        progress(Phase::Layers, LAYERS_BEGIN + (1.0 - LAYERS_BEGIN) * share);
    });
    let facts = LayerFacts::new(&cavity, &layers, &layer_request, request.layers.flange.mm());
    findings.extend_from_slice(&layers.findings);
    findings.extend(facts.findings());

    let plan = plan::plan(&volumes(&cavity, &layers, &layer_request, request), &request.materials)?;
    findings.extend_from_slice(&plan.findings);
    let cavity = CavityFacts::new(&cavity);
    Ok(Sheet { mesh, health, cavity, layers: facts, plan, findings })
}

/// A mesh as far as both commands look at it.
struct Looked {
    mesh: MeshFacts,
    health: Health,
    surface: Result<Surface, Unsound>,
    findings: Vec<Finding>,
}

fn look(bytes: &[u8], request: &MeshRequest, progress: Progress<'_>) -> Result<Looked, JobError> {
    progress(Phase::Reading, 0.0);
    let mut raw = formats::read(bytes, Some(&request.file))?;
    let scale = scale::to_mm(&mut raw, request.unit, request.known)?;
    let mesh = MeshFacts {
        file: request.file.clone(),
        format: raw.format,
        unit: scale.unit,
        unit_assumed: scale.basis == Basis::Assumed,
        known: request.known,
        mm_per_number: scale.mm_per_number,
        triangles: raw.triangles.len(),
        vertices: raw.vertices.len(),
        extent_mm: scale.extent_mm,
        read_as: ReadAs::Casting,
        up: request.up_or_default(),
        up_given: request.up.is_some(),
    };
    let mut findings = raw.findings;
    findings.extend(scale.findings());
    let millimetres = Mesh::new(raw.vertices, raw.triangles)?;
    progress(Phase::Checking, CHECKING_BEGINS);
    let LookedOver { mut health, surface, findings: seen } = health::look_over(millimetres);
    findings.extend(seen);
    let surface = surface.and_then(|surface| without_holes(surface, request, &mut health));
    if let Ok(surface) = &surface {
        findings.extend(surface.findings());
    }
    Ok(Looked { mesh, health, surface, findings })
}

/// A casting's surface with its holes filled.
fn without_holes(
    surface: Surface,
    request: &MeshRequest,
    health: &mut Health,
) -> Result<Surface, Unsound> {
    surface.fill_holes(None, FillRequest { accept_large: request.accept_holes }, health)
}

fn cavity_request(request: &MeshRequest, below_lip_mm: f64) -> CavityRequest {
    CavityRequest {
        up: Vec3::from_array(request.up_or_default().components()),
        up_given: request.up.is_some(),
        opening_auto: request.opening == Opening::Auto,
        below_lip_mm,
    }
}

fn volumes(
    cavity: &Cavity,
    layers: &Layers,
    split: &LayerRequest,
    request: &JobRequest,
) -> LayerVolumes {
    let flange_mm2 = cavity.flange_area_mm2(request.layers.flange.mm());
    let coats = layers.coats_mm3.iter().zip(&request.layers.coats).map(|(&volume_mm3, coat)| {
        CoatVolume { thickness_mm: coat.mm(), volume_mm3, flange_mm3: flange_mm2 * coat.mm() }
    });
    LayerVolumes {
        skin_mm3: layers.skin_mm3,
        coats: coats.collect(),
        core_mm3: layers.core_mm3,
        cap_mm3: layers.cap_mm3,
        inner_face_mm2: layers.inner_face_mm2(cavity, split),
        level_area_mm2: layers.level_area_mm2(cavity, split),
        opening_area_mm2: cavity.measures().opening_area_mm2,
    }
}
