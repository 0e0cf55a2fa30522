//! The scan of the other half of a mould that closes round the piece: read, looked over, closed on
//! the first.

use super::scale::Scale;
use super::{Filled, JobError, JobRequest, MeshRequest, PartedBy, Progress, fill, see::see};
use crate::cavity::{Cavity, CavityMeasures};
use crate::finding::Finding;
use crate::formats;
use crate::sheet::{CavityFacts, OtherHalf, ReadAs};

/// A scan of one half of a mould.
#[derive(Debug, Clone, PartialEq)]
pub struct HalfScan {
    /// The file's name, for the sheet and as a hint to its format.
    pub file: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// Openings that differ by no more than this share meet: what two scans of one rim differ by
/// (common practice, no source).
const MEETS: f64 = 0.02;
/// Beyond this share they are no two halves of one mould (common practice, no source).
const DIFFERS: f64 = 0.10;

/// Two half scans that were closed on each other.
pub struct Halves {
    /// The other half, as it was read.
    pub other: OtherHalf,
    /// Length of the seam: of both openings' outlines the mean, mm.
    pub seam_mm: f64,
}

/// Reads the other half, where there is one, and puts its cavity beside the first one's: together
/// they hold the piece, without an opening.
///
/// # Errors
/// [`JobError`] where it is no half of the same mould, or something was asked for that two halves
/// don't have.
pub fn closed_on(
    first: &mut Filled,
    request: &JobRequest,
    progress: Progress<'_>,
) -> Result<Option<Halves>, JobError> {
    let asked = request.layers.parting.as_ref();
    let Some(PartedBy::OtherHalf(scan)) = asked.map(|asked| &asked.by) else { return Ok(None) };
    check(request)?;
    let (other, cavity, findings) = read(scan, first, request, progress)
        .map_err(|error| JobError::OtherHalf { file: scan.file.clone(), error: Box::new(error) })?;
    let [below, above] = match first.cavities.as_slice() {
        [below] if first.mesh.read_as == ReadAs::Mould => [below, &cavity],
        _ => return Err(JobError::HalfOfCasting { file: first.mesh.file.clone() }),
    };
    let apart = apart(below, above);
    // NaN is of openings without any area.
    if apart.is_nan() || apart > DIFFERS {
        let areas_mm2 = [below, above].map(|half| half.measures().opening_area_mm2);
        return Err(JobError::HalvesDiffer { apart, areas_mm2 });
    }
    if apart > MEETS {
        first.findings.push(rims_differ(apart));
    }
    first.findings.extend(findings);
    first.findings.push(Finding::note(
        "air-unknown",
        "where air gathers in the closed mould hangs on how it stands; it was not looked for",
    ));
    let measures = [below, above].map(|half| *half.measures());
    let seam_mm = 0.5 * measures.iter().map(|m| m.opening_perimeter_mm).sum::<f64>();
    first.facts = closed(&measures, &first.facts);
    first.cavities.push(cavity);
    Ok(Some(Halves { other, seam_mm }))
}

/// What belongs to a mould with an opening, or to one mesh alone.
fn check(request: &JobRequest) -> Result<(), JobError> {
    let layers = &request.layers;
    let asked = [
        ("--insert", !request.inserts.is_empty()),
        ("--water or --old-casting", layers.weighed.is_some()),
        ("--below-lip", layers.below_lip.mm() > 0.0),
        ("--flange", layers.flange.mm() > 0.0),
        ("--gap", layers.in_mould.gap.is_some()),
        ("--impression", request.mesh.impression.is_some()),
    ];
    match asked.iter().find(|(_, is_asked)| *is_asked) {
        Some(&(option, _)) => Err(JobError::NotOfHalves { option }),
        None => Ok(()),
    }
}

/// The other half, stood up as the first one is and at its scale.
fn read(
    scan: &HalfScan,
    first: &Filled,
    request: &JobRequest,
    progress: Progress<'_>,
) -> Result<(OtherHalf, Cavity, Vec<Finding>), JobError> {
    let asked = MeshRequest { file: scan.file.clone(), known: None, ..request.mesh.clone() };
    let raw = formats::read_within(&scan.bytes, Some(&scan.file), asked.triangles_most)?;
    let own = Scale::of(&raw, asked.unit, None)?;
    let scale = match raw.unit {
        Some(_) => own,
        None => own.times(first.mesh.mm_per_number / own.mm_per_number)?,
    };
    // The share done doesn't run back.
    let stay = |phase, _: f64| progress(phase, super::CAVITY_BEGINS);
    let Filled { mesh, health, cavities, findings, .. } =
        fill(see(raw, &scale, &asked, 0.0, &stay)?, &asked)?;
    let cavity = match <[Cavity; 1]>::try_from(cavities) {
        Ok([cavity]) if mesh.read_as == ReadAs::Mould => cavity,
        _ => return Err(JobError::HalfOfCasting { file: scan.file.clone() }),
    };
    // What is assumed of the first is assumed of both.
    let news = findings.into_iter().filter(|f| f.code != "unit-assumed");
    let named = news.map(|f| Finding { message: format!("{}: {}", scan.file, f.message), ..f });
    Ok((OtherHalf { mesh, health }, cavity, named.collect()))
}

/// How far the openings are from one another as figures, as a share: by their areas, and by their
/// principal moments of area, which no turning and no turning over changes.
fn apart(below: &Cavity, above: &Cavity) -> f64 {
    let figures = [below, above].map(|half| {
        let [least, most] = half.opening_moments_mm4();
        // Each as a length, so that all weigh alike.
        [half.measures().opening_area_mm2.sqrt(), least.powf(0.25), most.powf(0.25)]
    });
    let [below, above] = figures;
    // Of an area a share is twice that of a length.
    let off = below.iter().zip(above).map(|(b, a)| 2.0 * (b - a).abs() / b.max(a));
    off.fold(0.0, |most, off| if off <= most { most } else { off })
}

fn rims_differ(apart: f64) -> Finding {
    let message = format!(
        "the openings of the two halves differ by {:.1} % in size or shape, so that their rims \
         don't quite meet",
        100.0 * apart
    );
    Finding::warning("rims-differ", message)
        .with_hint("look at the scans' rims; a worn or rounded edge, or another scale, does that")
}

/// Both halves together, closed all round; heights are both depths added.
fn closed(halves: &[CavityMeasures; 2], first: &CavityFacts) -> CavityFacts {
    let [below, above] = halves;
    let deep_mm = below.fill_mm + above.fill_mm;
    let together = CavityMeasures::together(halves).unwrap_or(*below);
    let measures = CavityMeasures {
        surface_area_mm2: together.wall_area_mm2,
        opening_area_mm2: 0.0,
        opening_perimeter_mm: 0.0,
        lip_mm: deep_mm,
        fill_mm: deep_mm,
        tilt_deg: None,
        ..together
    };
    CavityFacts { measures, open: false, of_halves: true, impressions: Vec::new(), ..first.clone() }
}
