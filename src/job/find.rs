//! From a surface to the cavities that are to be filled: a casting's, or a mould's.

use crate::cavity::{
    self, Cavity, CavityError, CavityMeasures, CavityRequest, Mould, MouldRequest, pits_of_casting,
    read_open,
};
use crate::finding::Finding;
use crate::health::{FillRequest, Health, SoundMesh, SoundSheet, Surface};
use crate::job::{Impressions, JobError, MeshRequest, Opening, Up};
use crate::mesh::Vec3;
use crate::sheet::{Because, MeshFacts, ReadAs};
use crate::units::Direction;

/// The cavities that are to be filled.
pub struct Found {
    /// One, or all impressions of a mould.
    pub cavities: Vec<Cavity>,
    /// The numbers of every impression of a mould that has several.
    pub impressions: Vec<CavityMeasures>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// Finds what the surface holds, and writes down in `facts` what it was taken for.
///
/// # Errors
/// [`JobError`] where the mesh can't be trusted or there is nothing to fill.
pub fn cavities(
    surface: Surface,
    request: &MeshRequest,
    below_lip_mm: f64,
    health: &mut Health,
    facts: &mut MeshFacts,
) -> Result<Found, JobError> {
    let said = request.read_as;
    facts.because = if said.is_some() { Because::Said } else { Because::Closed };
    let up = match request.up {
        Up::Rim => None,
        Up::Unsaid => Some(Vec3::Z),
        Up::Along(up) => Some(Vec3::from_array(up.components())),
    };
    let is_open = !surface.holes().is_empty();
    let mut outer = None;
    if said == Some(ReadAs::Mould) {
        facts.read_as = ReadAs::Mould;
    }
    if is_open && said != Some(ReadAs::Casting) {
        let found = read_open(&surface, up, said == Some(ReadAs::Mould));
        if let Err(CavityError::Tube { .. }) = found {
            facts.read_as = ReadAs::Mould;
        }
        let found = found?;
        if let (None, Some(reading)) = (said, found) {
            facts.because = Because::Border { share: reading.share };
            facts.read_as = if reading.is_mould { ReadAs::Mould } else { ReadAs::Casting };
        }
        outer = found.map(|reading| reading.outer);
    }
    if facts.read_as == ReadAs::Casting {
        if request.up == Up::Rim {
            return Err(JobError::RimOfCasting);
        }
        let surface = without_holes(surface, None, request, health)?;
        let mut findings = surface.findings();
        let sound = surface.close(health).map_err(JobError::Unsound)?;
        let found = casting(&sound, request, below_lip_mm, said.is_none() && !is_open)?;
        findings.extend(found.findings);
        return Ok(Found { findings, ..found });
    }
    if request.opening == Opening::None {
        return Err(JobError::OpeningOfMould);
    }
    let surface = without_holes(surface, outer, request, health)?;
    let mut findings = surface.findings();
    let shape = match outer {
        // Only the outer border is left.
        Some(_) => surface.into_sheet(0, health).map(Shape::Sheet),
        None => surface.close(health).map(Shape::Block),
    };
    let shape = shape.map_err(JobError::Unsound)?;
    let found = mould(shape, request, below_lip_mm, health, facts)?;
    findings.extend(found.findings);
    Ok(Found { findings, ..found })
}

/// A surface with its holes filled, but for the outer border of a sheet.
fn without_holes(
    surface: Surface,
    outer: Option<usize>,
    request: &MeshRequest,
    health: &mut Health,
) -> Result<Surface, JobError> {
    let how = FillRequest { accept_large: request.accept_holes };
    surface.fill_holes(outer, how, health).map_err(JobError::Unsound)
}

fn casting(
    sound: &SoundMesh,
    request: &MeshRequest,
    below_lip_mm: f64,
    look_for_pits: bool,
) -> Result<Found, JobError> {
    if let Some(Impressions::Number(asked @ 2..)) = request.impression {
        return Err(CavityError::NoSuchImpression { asked, count: 1 }.into());
    }
    let asked = CavityRequest {
        up: Vec3::from_array(request.up_or_default().components()),
        up_given: request.up != Up::Unsaid,
        opening_auto: request.opening == Opening::Auto,
        below_lip_mm,
    };
    let cavity = Cavity::of_casting(sound, &asked)?;
    let mut findings = cavity.findings().to_vec();
    if look_for_pits && let Some(volume_mm3) = pits_of_casting(sound, asked.up) {
        let message = format!(
            "the mesh was read as the shape of the casting itself, but it has a pit that would \
             hold {:.1} cm³: it may be a mould",
            volume_mm3 / 1000.0
        );
        let command = format!("cavigram plan {} --as mould", in_quotes(&request.file));
        findings.push(
            Finding::warning("has-pits", message).with_hint(format!("read as a mould: {command}")),
        );
    }
    Ok(Found { cavities: vec![cavity], impressions: Vec::new(), findings })
}

/// A name as it is typed.
fn in_quotes(file: &str) -> String {
    if file.contains(' ') { format!("\"{file}\"") } else { file.to_owned() }
}

/// The surface of a mould that can be worked with.
enum Shape {
    Block(SoundMesh),
    Sheet(SoundSheet),
}

fn mould(
    shape: Shape,
    request: &MeshRequest,
    below_lip_mm: f64,
    health: &mut Health,
    facts: &mut MeshFacts,
) -> Result<Found, JobError> {
    let from_rim = request.up == Up::Rim;
    let up = match (&shape, from_rim) {
        (Shape::Block(block), true) => cavity::up_of_block(block)?,
        (Shape::Sheet(sheet), true) => cavity::up_of_sheet(sheet)?,
        _ => Vec3::from_array(request.up_or_default().components()),
    };
    if let Ok(up) = Direction::of(up.to_array()) {
        facts.up = up;
    }
    let asked = MouldRequest { up, up_from_rim: from_rim, below_lip_mm };
    let mould = match shape {
        Shape::Block(block) => Mould::of_block(&block, &asked)?,
        Shape::Sheet(sheet) => Mould::of_sheet(&sheet.faced(up, health), &asked)?,
    };
    let cavities: Vec<Cavity> = match request.impression {
        None => vec![mould.impression(1)?.clone()],
        Some(Impressions::Number(number)) => vec![mould.impression(number)?.clone()],
        Some(Impressions::All) => mould.all()?.into_iter().cloned().collect(),
    };
    let mut findings = mould.findings().to_vec();
    findings.extend(cavities.iter().flat_map(|cavity| cavity.findings().iter().cloned()));
    let several = mould.count() > 1;
    if several && request.impression.is_none() {
        let message = format!("the mould has {} impressions: the largest was taken", mould.count());
        findings.push(
            Finding::warning("several-impressions", message)
                .with_hint("give --impression 2 for the next, or --impression all"),
        );
    }
    if request.impression == Some(Impressions::All) && cavities.len() < mould.count() {
        let message = format!(
            "{} of {} impressions are no deeper than --below-lip: nothing is poured in them",
            mould.count() - cavities.len(),
            mould.count()
        );
        findings.push(Finding::warning("impressions-left-out", message));
    }
    let impressions = if several { mould.measures() } else { Vec::new() };
    Ok(Found { cavities, impressions, findings })
}
