//! One run from request to sheet: bytes in, a [`Sheet`], [`Survey`] or level table out.

mod clock;
mod correct;
mod drawn;
mod error;
pub mod file;
mod find;
mod halves;
mod inserts;
mod known;
mod level;
mod mix;
mod mould;
mod parting;
mod piece;
mod request;
mod scale;
mod see;
mod water;
mod work;

pub use clock::ClockRequest;
pub use correct::CorrectError;
pub use error::JobError;
pub use halves::HalfScan;
pub use known::KnownError;
pub use level::{LevelRequest, Steps, level};
pub use mix::{MixAmount, MixFault, MixRequest, mix, recipe_for};
pub use mould::{Make, MouldJob, mould};
pub use parting::{GateRequest, PartedBy, PartingRequest};
pub use request::{
    Impressions, InMould, Insert, JobRequest, LayersRequest, MeshRequest, Opening, Up,
    WeighedFilling,
};
use scale::Scale;
pub use scale::{LARGEST_MM, ScaleError};
use see::Seen;
pub use water::WaterError;
pub use work::{MOST_MM3, TooMuchWork};

use crate::bounds::Bounds;
use crate::cavity::{Air, Cavity};
use crate::drawing::DrawingRequest;
use crate::finding::Finding;
use crate::formats;
use crate::health::{Health, Unsound};
use crate::layers::{self, LayerRequest, Layers};
use crate::plan::{self, CoatVolume, Layer, LayerVolumes, Plan, TwoPart, WallFacts};
use crate::sheet::{
    self, CavityFacts, Correction, LayerFacts, MeshFacts, Sheet, Survey, Timeline, WaterCheck,
};
use crate::timing;

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
    let raw = read(bytes, request, progress)?;
    let Seen { mesh, health, found, mut findings, .. } =
        known::see_scaled(raw, request, 0.0, progress)?;
    let cavity = match found {
        Ok(found) => {
            let measures: Vec<_> = found.cavities.iter().map(|c| *c.measures()).collect();
            let air = Air::together(found.cavities.iter().map(|cavity| cavity.air(0.0)));
            findings.extend(sheet::air_findings(&air, false));
            CavityFacts::new(&measures, found.impressions, request.impression_number())
                .map(|facts| CavityFacts { air, ..facts })
        }
        Err(error) => {
            findings.push(error.instead_of_a_cavity()?);
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
    run_drawn(bytes, request, DrawingRequest::default(), progress)
}

/// Works out what to weigh, and draws what is wanted of it.
///
/// # Errors
/// As [`run`].
pub fn run_drawn(
    bytes: &[u8],
    request: &JobRequest,
    drawings: DrawingRequest,
    progress: Progress<'_>,
) -> Result<Sheet, JobError> {
    let (seen, water) = see_weighed(bytes, request, progress)?;
    let asked_parting = request.layers.parting.as_ref();
    let mut filled =
        fill(seen, &request.mesh).map_err(|error| parting::blamed(error, asked_parting))?;
    let halves = halves::closed_on(&mut filled, request, progress)?;
    let Filled { scale, mesh, health, cavities, facts: mut cavity, mut findings } = filled;
    let measures: Vec<_> = cavities.iter().map(|c| *c.measures()).collect();
    work::check_layers(&scale, &measures, &request.layers.coats)?;
    let layer_request = LayerRequest {
        coats_mm: request.layers.coats.iter().map(|c| c.mm()).collect(),
        // What is closed all round has no back.
        cap_mm: if asked_parting.is_some() { 0.0 } else { request.layers.cap.mm() },
        tolerance: request.layers.tolerance.share(),
    };
    let inserts = inserts::read(&request.inserts, mesh.mm_per_number, request.mesh.triangles_most)?;
    let divided =
        asked_parting.map(|asked| parting::divided(&cavities, asked, halves)).transpose()?;
    let (layer_request, correction) = correct::correct(&cavities, layer_request, request)?;
    findings.extend(correction.iter().flat_map(|correction| correction.findings()));
    let skin_mm = layer_request.skin_mm();
    let (split, (air, air_shapes)) = rayon::join(
        || split_all(&cavities, &layer_request, request.layers.queries_most, progress),
        || drawn::air(&cavities, skin_mm),
    );
    if !cavity.of_halves {
        cavity.air = air;
    }
    let facts = LayerFacts::new(&split, &layer_request, request.layers.flange.mm());
    let facts = if asked_parting.is_some() { facts.in_two_parts() } else { facts };
    findings.extend(split.iter().flat_map(|(_, layers)| layers.findings.iter().cloned()));
    findings.extend(facts.findings());
    findings.extend(sheet::air_findings(&cavity.air, skin_mm > 0.0));

    let drawings = drawn::draw(
        &cavities,
        &layer_request,
        asked_parting,
        &air_shapes,
        &inserts,
        &health,
        drawings,
    );
    let inserts = inserts::placed(&inserts, &cavities, &layer_request)?;
    findings.extend(inserts.iter().flat_map(|inserts| inserts.findings(skin_mm)));

    let mut volumes = volumes(&split, &layer_request, request.layers.flange.mm());
    if let Some(inserts) = &inserts {
        inserts::take_out(&mut volumes, &inserts.together);
    }
    let mut materials = request.materials.clone();
    if correction.is_some() {
        // What is in the moulds is so for this round alone.
        materials.run.castings = materials.run.at_once();
    }
    if let (Some(asked), Some(divided)) = (asked_parting, &divided) {
        let cap = request.layers.cap;
        divided.in_halves(&mut volumes, &mut cavity);
        volumes.two_part = divided.two_part(&layer_request, asked, &volumes, cap);
    }
    let mut plan = plan::plan(&volumes, &materials)?;
    let parting = asked_parting.zip(divided).map(|(asked, divided)| {
        divided.parted(&layer_request, asked, &split, &volumes.two_part, &plan)
    });
    findings.extend(parting.iter().flat_map(|parting| parting.findings()));
    // Coats and pours that are in the mould already keep their place in the day.
    let day = timing::pours_of(&plan);
    if let Some(correction) = &correction {
        plan = with_in_mould(plan, correction);
    }
    findings.extend_from_slice(&plan.findings);
    findings.extend(plan::mould_not_checked(&request.materials.touching));
    let timeline = timed(&plan, day, request, &mut findings)?;
    let piece_g = piece::weight_g(&plan, &cavity);
    Ok(Sheet {
        mesh,
        health,
        cavity,
        water,
        layers: facts,
        inserts,
        parting,
        correction,
        volumes,
        plan,
        shop_told: request.shop_told.clone(),
        timeline,
        piece_g,
        drawings,
        findings,
    })
}

/// Reads the mesh and looks it over, at the size or to the level that a weighed filling says.
fn see_weighed(
    bytes: &[u8],
    request: &JobRequest,
    progress: Progress<'_>,
) -> Result<(Seen, Option<WaterCheck>), JobError> {
    let raw = read(bytes, &request.mesh, progress)?;
    let weighed = request.layers.weighed;
    let kept = weighed.and_then(|w| w.means).map(|_| raw.clone());
    let below_lip_mm = request.layers.below_lip.mm();
    let seen = known::see_scaled(raw, &request.mesh, below_lip_mm, progress)?;
    let Some(weighed) = weighed else { return Ok((seen, None)) };
    let (seen, check) = water::check(seen, kept.as_ref(), request, weighed, progress)?;
    Ok((seen, Some(check)))
}

/// The plan without what is in the mould already.
fn with_in_mould(mut plan: Plan, correction: &Correction) -> Plan {
    if let Some(skin) = &correction.skin {
        let moulds = f64::from(plan.run.at_once());
        plan = plan.with_in_mould(Layer::Skin, moulds * skin.grams);
    }
    if correction.gap_mm.is_some() {
        let core_g = plan.layers[1].dose.net_g;
        plan = plan.with_in_mould(Layer::Core, core_g);
    }
    plan
}

/// The timeline of a day's pours, and what is to be told of it; `None` where no times can be told.
fn timed(
    plan: &Plan,
    day: Vec<timing::Pour>,
    request: &JobRequest,
    findings: &mut Vec<Finding>,
) -> Result<Option<Timeline>, JobError> {
    match clock::timeline_of(plan, day, &request.clock)? {
        Ok(timeline) => {
            let told = plan.findings.iter().any(|finding| finding.code == plan::OVER_TIME);
            let news = timeline.findings.iter();
            // Why a batch takes too long is told with the batch; once is enough.
            findings.extend(news.filter(|f| !told || f.code != timing::OVER_TIME).cloned());
            Ok(Some(timeline))
        }
        Err(finding) => {
            findings.push(finding);
            Ok(None)
        }
    }
}

/// A mesh with the cavities that are to be filled in it.
struct Filled {
    scale: Scale,
    mesh: MeshFacts,
    health: Health,
    cavities: Vec<Cavity>,
    facts: CavityFacts,
    findings: Vec<Finding>,
}

/// The cavities that are to be filled, where there are any and they are no slip of the unit.
fn fill(seen: Seen, request: &MeshRequest) -> Result<Filled, JobError> {
    let Seen { scale, mesh, health, found, findings } = seen;
    let found = found?;
    let measures: Vec<_> = found.cavities.iter().map(|c| *c.measures()).collect();
    work::check_volume(&scale, &measures)?;
    let facts = CavityFacts::new(&measures, found.impressions, request.impression_number())
        .ok_or(JobError::Unsound(Unsound::Empty))?;
    Ok(Filled { scale, mesh, health, cavities: found.cavities, facts, findings })
}

/// Splits every cavity into layers, with at most so much work on all of them together: each may do
/// its share, and what those before it left of theirs.
fn split_all<'a>(
    cavities: &'a [Cavity],
    request: &LayerRequest,
    queries_most: u64,
    progress: Progress<'_>,
) -> Vec<(&'a Cavity, Layers)> {
    let each = (1.0 - LAYERS_BEGIN) / cavities.len() as f64;
    let mut left = queries_most;
    let split = cavities.iter().enumerate().map(|(k, cavity)| {
        let begin = LAYERS_BEGIN + each * k as f64;
        let tell = |share: f64| progress(Phase::Layers, begin + each * share);
        let share = left / (cavities.len() - k) as u64;
        let layers = layers::split_within(cavity, request, share, &tell);
        left = left.saturating_sub(layers.queries);
        (cavity, layers)
    });
    split.collect()
}

/// Reads the bytes.
fn read(
    bytes: &[u8],
    request: &MeshRequest,
    progress: Progress<'_>,
) -> Result<formats::RawMesh, JobError> {
    progress(Phase::Reading, 0.0);
    Ok(formats::read_within(bytes, Some(&request.file), request.triangles_most)?)
}

/// What is to be filled in all cavities together.
fn volumes(
    split: &[(&Cavity, Layers)],
    layer_request: &LayerRequest,
    flange_mm: f64,
) -> LayerVolumes {
    let flange_mm2: f64 = split.iter().map(|(cavity, _)| cavity.flange_area_mm2(flange_mm)).sum();
    let together =
        |of: &dyn Fn(&Layers) -> Bounds| split.iter().map(|(_, l)| of(l)).sum::<Bounds>();
    let sum = |of: &dyn Fn(&Cavity, &Layers) -> f64| split.iter().map(|(c, l)| of(c, l)).sum();
    let coats = layer_request.coats_mm.iter().enumerate().map(|(k, &coat_mm)| CoatVolume {
        thickness_mm: coat_mm,
        volume_mm3: together(&|layers| layers.coats_mm3.get(k).copied().unwrap_or(Bounds::ZERO)),
        flange_mm3: flange_mm2 * coat_mm,
    });
    LayerVolumes {
        skin_mm3: together(&|layers| layers.skin_mm3),
        coats: coats.collect(),
        core_mm3: together(&|layers| layers.core_mm3),
        cap_mm3: together(&|layers| layers.cap_mm3),
        inner_face_mm2: sum(&|cavity, layers| layers.inner_face_mm2(cavity, layer_request)),
        level_area_mm2: sum(&|cavity, layers| layers.level_area_mm2(cavity, layer_request)),
        opening_area_mm2: sum(&|cavity, _| cavity.measures().opening_area_mm2),
        wall: WallFacts {
            area_mm2: sum(&|cavity, _| cavity.measures().wall_area_mm2),
            floor_mm2: sum(&|cavity, _| cavity.measures().slope_area_mm2.floor),
            steep_mm2: sum(&|cavity, _| cavity.measures().slope_area_mm2.steep),
            overhanging_mm2: sum(&|cavity, _| cavity.measures().slope_area_mm2.overhanging),
            depth_mm: split.iter().map(|(c, _)| c.measures().fill_mm).fold(0.0, f64::max),
        },
        two_part: TwoPart::default(),
    }
}
