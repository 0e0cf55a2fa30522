//! Fills holes: each border ring gets a patch that follows the border and, where there is enough
//! around it to tell how, bends with its neighbourhood. What the missing surface may have held
//! beyond the patch is bounded in [`limit`].

mod bend;
mod flat;
mod limit;
mod patch;
mod plane;
mod scraps;
mod surroundings;

use rayon::prelude::*;

use crate::finding::Finding;
use crate::mesh::{EdgeTable, Mesh, Patches, triangle_area};

use super::bodies::Bodies;
use super::borders::Ring;
use super::surface::Looked;
use super::{Health, Hole, Repair, Surface, Unsound, crossings};

use patch::Patch;
use surroundings::Around;

/// A hole is too large when its patch is more than this share of the piece of surface around it …
const AREA_SHARE_MAX: f64 = 0.05;
/// … and holes are too much when all together may be off by more than this share of the volume.
const VOLUME_SHARE_MAX: f64 = 0.10;

/// How holes are to be filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct FillRequest {
    /// Go on, with wide limits, where a hole is too large for a bounded answer.
    pub accept_large: bool,
}

/// A hole that was filled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fill {
    /// Where it was.
    pub hole: Hole,
    /// Area of its patch, mm².
    pub area_mm2: f64,
    /// How far the volume may be off for it, mm³.
    pub volume_bound_mm3: f64,
    /// It is too large, but was accepted.
    pub too_large: bool,
}

impl Surface {
    /// Fills every border ring but `keep` (an index into [`Surface::holes`]) and drops scraps:
    /// open pieces of surface of no account. [`Surface::volume_margin_mm3`] grows by what the
    /// missing surface may have held.
    ///
    /// # Errors
    /// [`Unsound::HoleTooLarge`] where that can't be bounded well, unless it is accepted.
    pub fn fill_holes(
        self,
        keep: Option<usize>,
        how: FillRequest,
        health: &mut Health,
    ) -> Result<Self, Unsound> {
        if self.holes().is_empty() || (keep == Some(0) && self.holes().len() == 1) {
            return Ok(self);
        }
        let kept: Option<Vec<u32>> = keep.and_then(|k| Some(self.rings().get(k)?.corners.clone()));
        let surface = match scraps::drop(&self, kept.as_deref()) {
            Some((surface, repair)) => {
                health.repairs.push(repair);
                surface
            }
            None => self,
        };
        // Scraps are gone, so the ring may begin elsewhere; its corners have the same numbers.
        let in_order = |ring: &[u32]| {
            let mut corners = ring.to_vec();
            corners.sort_unstable();
            corners
        };
        let kept_in_order = kept.as_deref().map(in_order);
        let is_kept = |ring: &&Ring| {
            kept_in_order.as_ref().is_some_and(|kept| {
                ring.corners.len() == kept.len() && in_order(&ring.corners) == *kept
            })
        };
        let rings: Vec<&Ring> = surface.rings().iter().filter(|r| !is_kept(r)).collect();
        if rings.is_empty() {
            return Ok(surface);
        }
        let around = Around::new(surface.mesh());
        let edges = surface.edges();
        let mut patches: Vec<Patch> = rings
            .par_iter()
            .map(|ring| Patch::over(ring, surface.mesh(), edges, &around))
            .collect();
        let (filled, looked) = with_few_crossings(surface.mesh(), &mut patches);
        let mut fills = measure(&surface, &filled, &patches, kept.as_deref(), how)?;
        fills.sort_by(|a, b| b.volume_bound_mm3.total_cmp(&a.volume_bound_mm3));
        let volume_bound_mm3: f64 = fills.iter().map(|f| f.volume_bound_mm3).sum();
        let area_mm2 = fills.iter().map(|f| f.area_mm2).sum();
        let repair =
            Repair { code: "filled-holes", count: fills.len(), area_mm2, volume_bound_mm3 };
        health.repairs.push(repair);
        let mesh = filled.in_neighbour_order();
        let edges = EdgeTable::new(&mesh);
        let margin_mm3 = surface.volume_margin_mm3() + volume_bound_mm3;
        Ok(Self::of(mesh, edges, margin_mm3, fills).looked_for_crossings(looked))
    }

    /// What the one who casts has to know of the holes that were filled.
    pub fn findings(&self) -> Vec<Finding> {
        let fills = self.fills();
        let Some(first) = fills.first() else { return Vec::new() };
        let bound: f64 = fills.iter().map(|f| f.volume_bound_mm3).sum();
        let area: f64 = fills.iter().map(|f| f.area_mm2).sum();
        let (holes, together, they) = if fills.len() == 1 {
            ("1 hole".to_owned(), "", "it")
        } else {
            (format!("{} holes", fills.len()), " together", "they")
        };
        let are = if fills.len() == 1 { "is" } else { "are" };
        let named: Vec<String> = fills.iter().take(HOLES_NAMED).map(describe).collect();
        let lead = if fills.len() > HOLES_NAMED { "the ones that matter most: " } else { "" };
        let message = format!(
            "{holes} ({:.2} cm²{together}) {are} filled and counted as wall: {lead}{}. What {they} \
             may hide is taken as ±{} cm³, {}",
            area / 100.0,
            named.join("; "),
            rounded_up(bound / 1000.0),
            limit::ASSUMPTION
        );
        let place_mm = Some(first.hole.centre_mm);
        let finding = Finding::warning("filled-holes", message)
            .with_hint("scan those places again where that is too wide");
        let mut findings = vec![Finding { place_mm, ..finding }];
        if let Some(large) = fills.iter().find(|f| f.too_large) {
            let message = format!(
                "what is missing is too much for narrow limits, and was accepted: see the \
                 cavity's limits; most is missing at a hole {}",
                describe(large)
            );
            let place_mm = Some(large.hole.centre_mm);
            findings.push(Finding {
                place_mm,
                ..Finding::warning("accepted-large-holes", message)
                    .with_hint("the grams follow the value between the limits: mix in steps")
            });
        }
        findings
    }
}

/// Two digits that matter, rounded up.
fn rounded_up(value: f64) -> String {
    let digits = (1.0 - value.max(1e-9).log10().floor()).clamp(0.0, 9.0);
    let step = 10f64.powf(digits);
    format!("{:.*}", digits as usize, (value * step).ceil() / step)
}

/// How many holes are named one by one.
const HOLES_NAMED: usize = 3;

fn describe(fill: &Fill) -> String {
    let (hole, c) = (&fill.hole, fill.hole.centre_mm);
    format!(
        "{:.1} mm across ({:.2} cm²) at ({:.1}, {:.1}, {:.1}) mm",
        hole.size_mm,
        fill.area_mm2 / 100.0,
        c.x,
        c.y,
        c.z
    )
}

/// The mesh with its patches; a patch that passes through something is made flat. One may do so
/// even then, as over a hole that reaches round a thin limb: that is told.
fn with_few_crossings(mesh: &Mesh, patches: &mut [Patch]) -> (Mesh, Looked) {
    let before = mesh.triangles().len() as u32;
    loop {
        let (filled, firsts) = joined(mesh, patches);
        let Ok(crossing) = crossings(&Patches::new(&filled)) else {
            // Closing it finds that out as well, and tells.
            return (filled, Looked::NotYet);
        };
        // Those of the surface itself are told when it is closed.
        let at_fault: Vec<usize> = crossing
            .iter()
            .flat_map(|crossing| crossing.triangles)
            .filter(|t| *t >= before)
            .map(|t| firsts.partition_point(|first| *first <= t) - 1)
            .collect();
        let flattened = at_fault.iter().filter(|p| patches[**p].flatten()).count();
        if flattened == 0 {
            let looked = match (crossing.is_empty(), at_fault.is_empty()) {
                (true, _) => Looked::Free,
                (false, true) => Looked::NotYet,
                (false, false) => Looked::ThroughPatch,
            };
            return (filled, looked);
        }
    }
}

/// The mesh with its patches, and the number of each patch's first triangle.
fn joined(mesh: &Mesh, patches: &[Patch]) -> (Mesh, Vec<u32>) {
    let (mut vertices, mut triangles) = mesh.clone().into_parts();
    let mut firsts = Vec::with_capacity(patches.len());
    for patch in patches {
        firsts.push(triangles.len() as u32);
        let next = vertices.len() as u32;
        let ring = patch.ring.len() as u32;
        let name = |v: u32| if v < ring { patch.ring[v as usize] } else { next + v - ring };
        triangles.extend(patch.triangles.iter().map(|t| t.map(name)));
        vertices.extend_from_slice(&patch.inner);
    }
    (Mesh { vertices, triangles }, firsts)
}

/// What was filled, or which hole is too large.
fn measure(
    surface: &Surface,
    filled: &Mesh,
    patches: &[Patch],
    kept: Option<&[u32]>,
    how: FillRequest,
) -> Result<Vec<Fill>, Unsound> {
    let volume = enclosed_mm3(filled, kept)?;
    let pieces = Bodies::connected(surface.mesh(), surface.edges());
    let mut areas = vec![0.0; pieces.count()];
    for (t, piece) in pieces.of_triangle().iter().enumerate() {
        areas[*piece as usize] += triangle_area(surface.mesh().corners(t));
    }
    let area_share = |patch: &Patch| {
        let edge = surface.edges().between(patch.ring[0], patch.ring[1]);
        let beside = edge.and_then(|edge| edge.half_edges().next());
        let area = beside.map_or(0.0, |h| areas[pieces.of_triangle()[h as usize / 3] as usize]);
        patch.area_mm2() / (area + patch.area_mm2()).max(f64::MIN_POSITIVE)
    };
    let bound: f64 = patches.iter().map(Patch::volume_bound_mm3).sum();
    let volume_share = if bound < volume { bound / volume } else { 1.0 };
    let too_much = volume_share > VOLUME_SHARE_MAX;
    let worst = patches.iter().map(Patch::volume_bound_mm3).fold(0.0, f64::max);
    let mut fills = Vec::with_capacity(patches.len());
    for patch in patches {
        let area_share = area_share(patch);
        let volume_bound_mm3 = patch.volume_bound_mm3();
        let too_large = area_share > AREA_SHARE_MAX || (too_much && volume_bound_mm3 >= worst);
        if too_large && !how.accept_large {
            return Err(Unsound::HoleTooLarge { hole: patch.hole, area_share, volume_share });
        }
        let area_mm2 = patch.area_mm2();
        fills.push(Fill { hole: patch.hole, area_mm2, volume_bound_mm3, too_large });
    }
    Ok(fills)
}

/// What the filled surface encloses, mm³; a border that is kept is closed by a fan for this.
fn enclosed_mm3(filled: &Mesh, kept: Option<&[u32]>) -> Result<f64, Unsound> {
    let mut closed = filled.clone();
    if let Some(ring) = kept {
        let hole = Hole::around(filled, ring);
        let middle = closed.vertices.len() as u32;
        closed.vertices.push(hole.centre_mm);
        let next = ring.iter().cycle().skip(1);
        closed.triangles.extend(ring.iter().zip(next).map(|(a, b)| [*a, *b, middle]));
    }
    let edges = EdgeTable::new(&closed);
    Ok(Bodies::closed(&closed, &edges)?.enclosed_mm3(&closed))
}
