//! One look at a mesh of a given size: what it is like, and what it holds.

use super::find::{self, Found};
use super::scale::{Basis, Scale};
use super::{CAVITY_BEGINS, CHECKING_BEGINS, JobError, MeshRequest, Phase, Progress, Up};
use crate::finding::Finding;
use crate::formats::RawMesh;
use crate::health::{self, Health, LookedOver};
use crate::mesh::Mesh;
use crate::sheet::{Because, MeshFacts, ReadAs};

/// A mesh at one size.
pub struct Seen {
    /// How it was brought to that size.
    pub scale: Scale,
    /// What was read, and what it was taken for.
    pub mesh: MeshFacts,
    /// What it is like, and what was mended.
    pub health: Health,
    /// What it holds, or why nothing can be told.
    pub found: Result<Found, JobError>,
    /// What was noticed, in the order of the work.
    pub findings: Vec<Finding>,
}

/// Looks a mesh over at a size and finds its cavities.
///
/// # Errors
/// [`JobError`] where the lists are no mesh. That it can't be trusted, or holds nothing, stands in
/// [`Seen::found`].
pub fn see(
    mut raw: RawMesh,
    scale: &Scale,
    request: &MeshRequest,
    below_lip_mm: f64,
    progress: Progress<'_>,
) -> Result<Seen, JobError> {
    scale.apply(&mut raw);
    let mut mesh = MeshFacts {
        file: request.file.clone(),
        format: raw.format,
        unit: scale.unit,
        unit_assumed: scale.basis == Basis::Assumed,
        known: request.known,
        mm_per_number: scale.mm_per_number,
        by_weight: scale.by_weight,
        triangles: raw.triangles.len(),
        vertices: raw.vertices.len(),
        extent_mm: scale.extent_mm,
        read_as: request.read_as.unwrap_or(ReadAs::Casting),
        because: Because::Closed,
        up: request.up_or_default(),
        up_given: request.up != Up::Unsaid,
        up_from_rim: request.up == Up::Rim,
    };
    let mut findings = raw.findings;
    findings.extend(scale.findings());
    let millimetres = Mesh::new(raw.vertices, raw.triangles)?;
    progress(Phase::Checking, CHECKING_BEGINS);
    let LookedOver { mut health, surface, findings: seen } = health::look_over(millimetres);
    findings.extend(seen);
    progress(Phase::Cavity, CAVITY_BEGINS);
    let found = surface
        .map_err(JobError::Unsound)
        .and_then(|surface| find::cavities(surface, request, below_lip_mm, &mut health, &mut mesh));
    if let Ok(found) = &found {
        findings.extend_from_slice(&found.findings);
    }
    Ok(Seen { scale: scale.clone(), mesh, health, found, findings })
}
