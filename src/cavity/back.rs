//! Finds the flat back of a casting: the level surface through which it was poured.

use hashbrown::HashMap;
use rayon::prelude::*;

use crate::mesh::{EdgeTable, HalfEdge, Mesh, Plane, Vec3, area_vector_doubled, fit_plane};
use crate::mesh::{runs_to, starts_at, triangle_area};

use super::crease::Patch;
use super::outline::hull_area_mm2;

/// Corners of the back lie within this of its plane, mm …
const FLAT_MM: f64 = 0.05;
/// … or within this share of the piece's height, if that is more.
const FLAT_SHARE_OF_HEIGHT: f64 = 0.001;
/// A back that leans more than this is no opening, degrees.
pub const LEAN_DEG_MAX: f64 = 5.0;
/// A back that leans up to this is told of, degrees.
pub const LEAN_DEG_TOLD: f64 = 10.0;
/// A patch smaller than this share of the outline seen from above is no back.
const SHARE_OF_OUTLINE_MIN: f64 = 0.02;
/// Over this share of its border a back must end in a crease.
const CREASED_SHARE_MIN: f64 = 0.9;
/// Specks enclosed by the back have at most this share of its area together with their walls.
const SPECK_SHARE_MAX: f64 = 0.02;
/// Points taken from the upward surface to find candidate planes.
const SAMPLES: usize = 4096;
/// Places around which candidate planes are fitted.
const SEEDS: usize = 48;

/// Candidate planes that are looked at closely, best first.
const CANDIDATES: usize = 6;

/// How far the samples that a plane is refitted to may lie from it, step by step, in shares of
/// the flatness allowed: far for a rough back, whose first fit is poor …
const FROM_AFAR: &[f64] = &[8.0, 4.0, 2.0, 1.0, 1.0];
/// … and near for one with another flat surface close under it, which would draw it down.
const FROM_NEAR: &[f64] = &[1.0, 1.0];

/// A flat back.
#[derive(Debug, Clone)]
pub struct Back {
    /// The fitted plane, facing up.
    pub plane: Plane,
    /// Triangles of all its patches, enclosed specks included, in rising order.
    pub triangles: Vec<u32>,
    /// Half-edges of triangles of the back along its border.
    pub border: Vec<HalfEdge>,
    /// How far it leans from level, degrees.
    pub lean_deg: f64,
}

/// The flat back of a closed mesh whose up is +z, if it has one that leans at most
/// [`LEAN_DEG_TOLD`].
pub fn find_back(mesh: &Mesh, edges: &EdgeTable) -> Option<Back> {
    let (low, high) = mesh.bounding_box()?;
    let search = Search {
        mesh,
        edges,
        top: high.z,
        flat: FLAT_MM.max(FLAT_SHARE_OF_HEIGHT * (high.z - low.z)),
        diagonal: (high - low).length(),
        outline_mm2: hull_area_mm2(mesh),
    };
    search.candidates().into_iter().find_map(|plane| search.back_on(plane))
}

struct Search<'a> {
    mesh: &'a Mesh,
    edges: &'a EdgeTable,
    top: f64,
    flat: f64,
    diagonal: f64,
    outline_mm2: f64,
}

impl Search<'_> {
    /// Planes that hold many points of the upward surface, best first; those at the highest level
    /// are always among them, however many others a wavy surface offers.
    fn candidates(&self) -> Vec<Plane> {
        let (samples, area_each) = self.upward_samples();
        let level = Plane { normal: Vec3::Z, offset: self.top };
        let highest =
            [FROM_AFAR, FROM_NEAR].map(|reaches| self.settle_on_samples(level, reaches, &samples));
        let mut planes: Vec<(usize, Plane)> = std::iter::once(level)
            .chain((0..SEEDS).filter_map(|k| {
                let seed = *samples.get(k * samples.len() / SEEDS)?;
                let near = |p: &&Vec3| p.distance(seed) < 0.1 * self.diagonal;
                fit_plane(samples.iter().filter(near).map(|p| (*p, 1.0)), Vec3::Z)
            }))
            .flat_map(|plane| [FROM_AFAR, FROM_NEAR].map(|reaches| (plane, reaches)))
            .filter_map(|(plane, reaches)| self.settle_on_samples(plane, reaches, &samples))
            .map(|plane| (self.count_near(&plane, &samples), plane))
            .collect();
        // Half of what the least back allowed would hold leaves room for the samples' chance.
        let least = 0.5 * SHARE_OF_OUTLINE_MIN * self.outline_mm2 / area_each;
        planes.retain(|(count, _)| *count as f64 >= least);
        planes.sort_by_key(|(count, _)| std::cmp::Reverse(*count));
        let mut distinct: Vec<Plane> = Vec::new();
        let add = |distinct: &mut Vec<Plane>, plane: Plane| {
            let same = |other: &Plane| {
                (other.normal - plane.normal).length() * self.diagonal < self.flat
                    && (other.offset - plane.offset).abs() < self.flat
            };
            if !distinct.iter().any(same) {
                distinct.push(plane);
            }
        };
        planes.into_iter().for_each(|(_, plane)| add(&mut distinct, plane));
        distinct.truncate(CANDIDATES);
        highest.into_iter().flatten().for_each(|plane| add(&mut distinct, plane));
        distinct
    }

    /// Refits a plane to the samples near it until they stay the same.
    fn settle_on_samples(
        &self,
        mut plane: Plane,
        reaches: &[f64],
        samples: &[Vec3],
    ) -> Option<Plane> {
        for reach in reaches {
            let near = |p: &&Vec3| plane.height(**p).abs() <= reach * self.flat;
            plane = fit_plane(samples.iter().filter(near).map(|p| (*p, 1.0)), Vec3::Z)?;
        }
        (lean_deg(&plane) <= LEAN_DEG_TOLD + 0.5).then_some(plane)
    }

    fn count_near(&self, plane: &Plane, samples: &[Vec3]) -> usize {
        samples.iter().filter(|p| plane.height(**p).abs() <= self.flat).count()
    }

    /// Points spread evenly by area over the triangles that face up within 45° (noise tilts
    /// small triangles of a flat back), and the area that each stands for, mm².
    fn upward_samples(&self) -> (Vec<Vec3>, f64) {
        let upward_area = |corners| {
            let n = area_vector_doubled(corners);
            if n.z > 0.7 * n.length() { 0.5 * n.length() } else { 0.0 }
        };
        let whole = self.mesh.sum_over_triangles(upward_area);
        let points = self.mesh.spread_points(SAMPLES, |t| upward_area(self.mesh.corners(t)));
        (points.into_iter().map(|(_, p)| p).collect(), whole / SAMPLES as f64)
    }

    /// The back in a plane near `plane`, if its patches meet every part of the rule.
    fn back_on(&self, plane: Plane) -> Option<Back> {
        let first = self.flat_triangles(&plane);
        // Each triangle counts with its area seen from above: slivers of a wall just under the
        // lip, which are as near to the plane as the back, then count for nothing.
        let seen = |t: &u32| {
            let corners = self.mesh.corners(*t as usize);
            (corners, area_vector_doubled(corners).z)
        };
        let corners = first.iter().map(seen).filter(|(_, seen)| *seen > 0.0);
        let corners = corners.flat_map(|(corners, seen)| corners.map(|p| (p, seen)));
        let plane = fit_plane(corners, Vec3::Z)?;
        let lean_deg = lean_deg(&plane);
        if lean_deg > LEAN_DEG_TOLD {
            return None;
        }
        let flat = self.flat_triangles(&plane);
        let mut triangles = Vec::new();
        let mut border = Vec::new();
        for patch in self.connected(&flat) {
            if let Some((patch, edge)) = self.accepted(patch, &plane) {
                triangles.extend(patch);
                border.extend(edge);
            }
        }
        triangles.sort_unstable();
        (!triangles.is_empty()).then_some(Back { plane, triangles, border, lean_deg })
    }

    fn flat_triangles(&self, plane: &Plane) -> Vec<u32> {
        let flat = |t: &u32| {
            self.mesh.corners(*t as usize).iter().all(|p| plane.height(*p).abs() <= self.flat)
        };
        (0..self.mesh.triangles().len() as u32).into_par_iter().filter(flat).collect()
    }

    /// Connected patches of the listed triangles (in rising order).
    fn connected(&self, triangles: &[u32]) -> Vec<Vec<u32>> {
        let mut seen = vec![false; triangles.len()];
        let mut patches = Vec::new();
        for first in 0..triangles.len() {
            if std::mem::replace(&mut seen[first], true) {
                continue;
            }
            let mut patch = vec![triangles[first]];
            let mut next = 0;
            while let Some(&t) = patch.get(next) {
                next += 1;
                for neighbour in self.neighbours(t) {
                    if let Ok(k) = triangles.binary_search(&neighbour)
                        && !std::mem::replace(&mut seen[k], true)
                    {
                        patch.push(neighbour);
                    }
                }
            }
            patch.sort_unstable();
            patches.push(patch);
        }
        patches
    }

    fn neighbours(&self, t: u32) -> impl Iterator<Item = u32> {
        (0..3).filter_map(move |k| self.edges.across(self.mesh, 3 * t + k)).map(|h| h / 3)
    }

    /// The patch with its specks and its border, if it is large enough, reaches the highest
    /// level and ends in a crease.
    fn accepted(&self, mut patch: Vec<u32>, plane: &Plane) -> Option<(Vec<u32>, Vec<HalfEdge>)> {
        let corners = |patch: &[u32]| {
            patch.iter().flat_map(|t| self.mesh.corners(*t as usize)).collect::<Vec<_>>()
        };
        let points = corners(&patch);
        let area: f64 = patch.iter().map(|t| triangle_area(self.mesh.corners(*t as usize))).sum();
        if area < SHARE_OF_OUTLINE_MIN * self.outline_mm2 {
            return None;
        }
        self.add_specks(&mut patch, area);
        let highest = corners(&patch).iter().map(|p| p.z).fold(f64::NEG_INFINITY, f64::max);
        if highest < self.top - 2.0 * self.flat {
            return None;
        }
        let border = self.border(&patch);
        let (mut low, mut high) = (Vec3::INFINITY, Vec3::NEG_INFINITY);
        points.iter().for_each(|p| (low, high) = (low.min(*p), high.max(*p)));
        let step = 1f64.max(0.02 * (high - low).length());
        let rim = Patch {
            mesh: self.mesh,
            edges: self.edges,
            plane: *plane,
            triangles: &patch,
            border: &border,
        };
        let creased = rim.creased_share(step) >= CREASED_SHARE_MIN;
        creased.then_some((patch, border))
    }

    fn border(&self, patch: &[u32]) -> Vec<HalfEdge> {
        let outside = |h: &HalfEdge| {
            self.edges.across(self.mesh, *h).is_none_or(|o| patch.binary_search(&(o / 3)).is_err())
        };
        patch.iter().flat_map(|t| (0..3).map(move |k| 3 * t + k)).filter(outside).collect()
    }

    /// Adds pieces of other surface that the patch encloses and that have no more than a small
    /// share of its area: lumps and dents of the back.
    fn add_specks(&self, patch: &mut Vec<u32>, patch_area: f64) {
        let mut group_of: HashMap<u32, usize, foldhash::fast::FixedState> = HashMap::default();
        let mut specks = Vec::new();
        for (id, h) in self.border(patch).into_iter().enumerate() {
            let Some(start) = self.edges.across(self.mesh, h).map(|o| o / 3) else { continue };
            if group_of.contains_key(&start) {
                continue;
            }
            group_of.insert(start, id);
            let (mut group, mut area, mut next) = (vec![start], 0.0, 0);
            let mut small = true;
            while let Some(&t) = group.get(next).filter(|_| small) {
                next += 1;
                area += triangle_area(self.mesh.corners(t as usize));
                small = area <= SPECK_SHARE_MAX * patch_area;
                for n in self.neighbours(t).filter(|n| patch.binary_search(n).is_err()) {
                    match group_of.get(&n) {
                        None => {
                            group_of.insert(n, id);
                            group.push(n);
                        }
                        // It hangs together with a piece that was found too large before.
                        Some(other) => small &= *other == id,
                    }
                }
            }
            if small {
                specks.extend(group);
            }
        }
        patch.extend(specks);
        patch.sort_unstable();
    }
}

/// How far a plane leans from level, degrees.
fn lean_deg(plane: &Plane) -> f64 {
    // Without the loss of digits that an arc cosine has near 1.
    plane.normal.x.hypot(plane.normal.y).atan2(plane.normal.z).to_degrees()
}

/// Ends of a half-edge, mm.
pub fn ends(mesh: &Mesh, h: HalfEdge) -> [Vec3; 2] {
    [starts_at(mesh, h), runs_to(mesh, h)].map(|v| mesh.vertices()[v as usize])
}
