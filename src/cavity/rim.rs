//! The plane of a mould's rim, which tells how the mould stands level.

use rayon::prelude::*;

use crate::health::{SoundMesh, SoundSheet};
use crate::mesh::{Mesh, Plane, Vec3, area_vector_doubled, fit_plane, triangle_area};

use super::CavityError;
use super::mould::Stood;

/// Points taken from the surface to find candidate planes.
const SAMPLES: usize = 4096;
/// Places where a candidate plane is begun.
const SEEDS: usize = 512;
/// Cosine of the angle within which a triangle lies along a plane: noise tilts small ones.
const ALONG: f64 = 0.7;
/// Of the surface at most this share rises over the rim's plane: keys, islands.
const OVER_RIM_SHARE_MAX: f64 = 0.1;
/// A rim holds at least this share of the samples.
const RIM_SHARE_MIN: f64 = 0.004;
/// Candidates that are looked at closely.
const CANDIDATES: usize = 6;
/// A rim may not hold much less than the best way of standing does, as a share.
const HOLDS_SHARE_MIN: f64 = 0.25;
/// A given up direction is at most this far from square to the rim, degrees.
const LEAN_DEG_MAX: f64 = 30.0;
/// Rounds of fitting at most.
const ROUNDS: usize = 30;
/// A plane that moves by less than this share of the size has settled: far under any scanner's
/// noise.
const SETTLED: f64 = 1e-10;
/// From a median distance to a standard deviation, for normal noise.
const MEDIAN_TO_DEVIATION: f64 = 1.4826;
/// Beyond so many deviations a point pulls no harder.
///
/// Source: Huber, Robust Statistics (1981): 95 % efficient for normal noise.
const HUBER: f64 = 1.345;

/// The up direction of a closed mould, along the file's axes: square to its rim, towards the side
/// on which it is open.
///
/// # Errors
/// [`CavityError`] where it has no rim or nothing stays in it.
pub fn up_of_block(sound: &SoundMesh) -> Result<Vec3, CavityError> {
    up_of(sound.mesh(), &[])
}

/// The same of a sheet; without a rim around the pits the plane of its border.
///
/// # Errors
/// [`CavityError`] where it has no rim or nothing stays in it.
pub fn up_of_sheet(sheet: &SoundSheet) -> Result<Vec3, CavityError> {
    up_of(sheet.mesh(), sheet.border())
}

fn up_of(mesh: &Mesh, border: &[u32]) -> Result<Vec3, CavityError> {
    let planes: Vec<Plane> = rim_planes(mesh, border).collect();
    if planes.is_empty() {
        return Err(CavityError::NoRim);
    }
    let held: Vec<f64> =
        planes.iter().map(|plane| Stood::new(mesh, border, plane.normal).largest_mm3()).collect();
    let most = held.iter().copied().fold(0.0, f64::max);
    let up = planes.iter().zip(&held).find(|(_, v)| **v > 0.0 && **v >= HOLDS_SHARE_MIN * most);
    up.map(|(plane, _)| plane.normal).ok_or(CavityError::NoPit { hollow: false })
}

/// The plane of the rim of a mould that stands with about +z up, if it has one.
pub fn rim_near_level(mesh: &Mesh, border: &[u32]) -> Option<Plane> {
    let steepest = LEAN_DEG_MAX.to_radians().cos();
    rim_planes(mesh, border).find(|plane| plane.normal.z >= steepest)
}

/// Planes that may be the rim's, likeliest first, their normals on the side that nearly all of
/// the surface lies away from: flat surface first, the one with most area ahead, then the border.
///
/// The direction of the triangles is not looked at, so a sheet may face either way. Each is
/// worked out when it is asked for: that is most of the work on a dense scan.
fn rim_planes<'a>(mesh: &'a Mesh, border: &'a [u32]) -> impl Iterator<Item = Plane> + 'a {
    let search = Search::new(mesh);
    let flat = search.flat;
    let of_surface = search.candidates().into_iter().filter_map(move |p| refined(mesh, p, flat));
    let of_border = std::iter::once_with(move || border_plane(mesh, border)).flatten();
    of_surface.chain(of_border.flat_map(|plane| [plane, turned(plane)]))
}

fn turned(plane: Plane) -> Plane {
    Plane { normal: -plane.normal, offset: -plane.offset }
}

struct Search {
    /// Normal and place of points spread evenly over the surface.
    samples: Vec<(Vec3, Vec3)>,
    diagonal: f64,
    /// How far from a plane a rim's surface may lie at first, mm.
    flat: f64,
}

impl Search {
    fn new(mesh: &Mesh) -> Self {
        let area = |t: usize| triangle_area(mesh.corners(t));
        let normal = |t: u32| area_vector_doubled(mesh.corners(t as usize)).normalize_or_zero();
        let points = mesh.spread_points(SAMPLES, area);
        let samples = points.into_iter().map(|(t, p)| (normal(t), p)).collect();
        let diagonal = mesh.bounding_box().map_or(0.0, |(a, b)| (b - a).length());
        // A scan's noise, or a share of the size where that is more.
        let flat = 0.25f64.max(0.002 * diagonal);
        Self { samples, diagonal, flat }
    }

    fn candidates(&self) -> Vec<Plane> {
        let seeds = SEEDS.min(self.samples.len());
        let mut planes: Vec<(usize, Plane)> = (0..seeds)
            .into_par_iter()
            .map(|k| self.around_seed(k * self.samples.len() / seeds))
            .collect::<Vec<_>>()
            .into_iter()
            .flatten()
            .collect();
        planes.sort_by_key(|(count, _)| std::cmp::Reverse(*count));
        let mut distinct: Vec<Plane> = Vec::new();
        for (_, plane) in planes {
            let same = |other: &Plane| {
                (other.normal - plane.normal).length() * self.diagonal < 8.0 * self.flat
                    && (other.offset - plane.offset).abs() < 8.0 * self.flat
            };
            if !distinct.iter().any(same) {
                distinct.push(plane);
            }
        }
        distinct.truncate(CANDIDATES);
        distinct
    }

    /// Up to two planes (a plate has both its sides) through the surface around a sample, each
    /// with the samples it holds.
    fn around_seed(&self, k: usize) -> Vec<(usize, Plane)> {
        let (own, place) = self.samples[k];
        let around = self
            .samples
            .iter()
            .filter(|(n, p)| p.distance(place) < 0.05 * self.diagonal && n.dot(own) > ALONG);
        let (mut normal, mut middle, mut count) = (Vec3::ZERO, Vec3::ZERO, 0.0);
        for (n, p) in around {
            (normal, middle, count) = (normal + *n, middle + *p, count + 1.0);
        }
        let normal = normal.normalize_or_zero();
        let mut plane = Plane { normal, offset: normal.dot(middle / f64::max(count, 1.0)) };
        if normal == Vec3::ZERO || self.sides(&plane, 8.0).is_empty() {
            return Vec::new();
        }
        for reach in [6.0, 4.0, 2.0, 1.0, 1.0] {
            let near = self.near(&plane, reach).map(|(_, p)| (*p, 1.0));
            let Some(better) = fit_plane(near, plane.normal) else { return Vec::new() };
            plane = better;
        }
        let held = self.near(&plane, 1.0).count();
        if (held as f64) < RIM_SHARE_MIN * self.samples.len() as f64 {
            return Vec::new();
        }
        self.sides(&plane, 2.0).into_iter().map(|plane| (held, plane)).collect()
    }

    fn near(&self, plane: &Plane, reach: f64) -> impl Iterator<Item = &(Vec3, Vec3)> + Clone {
        let plane = *plane;
        self.samples.iter().filter(move |(n, p)| {
            n.dot(plane.normal).abs() > ALONG && plane.height(*p).abs() <= reach * self.flat
        })
    }

    /// The plane as seen from the sides that nearly nothing lies on.
    fn sides(&self, plane: &Plane, reach: f64) -> Vec<Plane> {
        let most = OVER_RIM_SHARE_MAX * self.samples.len() as f64;
        [*plane, turned(*plane)]
            .into_iter()
            .filter(|side| {
                let over = |(_, p): &&(Vec3, Vec3)| side.height(*p) > reach * self.flat;
                self.samples.iter().filter(over).count() as f64 <= most
            })
            .collect()
    }
}

/// The plane fitted to the triangles along it: trimmed ever closer to what lies in one plane, so
/// that exactly flat surface gives exactly its plane.
fn refined(mesh: &Mesh, plane: Plane, flat: f64) -> Option<Plane> {
    let along = |t: &u32| {
        let corners = mesh.corners(*t as usize);
        let n = area_vector_doubled(corners);
        n.dot(plane.normal).abs() > ALONG * n.length()
            && corners.iter().all(|p| plane.height(*p).abs() <= 6.0 * flat)
    };
    let triangles: Vec<u32> =
        (0..mesh.triangles().len() as u32).into_par_iter().filter(along).collect();
    let mut weights = vec![0.0; mesh.vertices().len()];
    for t in triangles {
        let area = triangle_area(mesh.corners(t as usize));
        mesh.triangles()[t as usize].iter().for_each(|v| weights[*v as usize] += area);
    }
    let weighted = mesh.vertices().iter().copied().zip(weights);
    let points: Vec<(Vec3, f64)> = weighted.filter(|(_, weight)| *weight > 0.0).collect();
    robust_plane(&points, plane, 4.0 * flat)
}

/// The plane of a sheet's outer border.
fn border_plane(mesh: &Mesh, border: &[u32]) -> Option<Plane> {
    let place = |k: usize| mesh.vertices()[border[k % border.len()] as usize];
    let points: Vec<(Vec3, f64)> = (0..border.len())
        .map(|k| (place(k), place(k + border.len() - 1).distance(place(k + 1))))
        .collect();
    let plane = fit_plane(points.iter().copied(), Vec3::Z)?;
    let farthest = points.iter().map(|(p, _)| plane.height(*p).abs()).fold(0.0, f64::max);
    robust_plane(&points, plane, farthest)
}

/// Fits a plane to weighted points within `band` mm of it, again and again: points beyond three
/// deviations are left out, those beyond 1.3 pull less.
fn robust_plane(points: &[(Vec3, f64)], mut plane: Plane, mut band: f64) -> Option<Plane> {
    let size = points.iter().map(|(p, _)| p.abs().max_element()).fold(0.0, f64::max);
    for _ in 0..ROUNDS {
        let near = || {
            let heights = points.iter().map(|(p, w)| (plane.height(*p).abs(), *w, *p));
            heights.filter(|(h, ..)| *h <= band)
        };
        let median = weighted_median(near().map(|(h, w, _)| (h, w)).collect())?;
        let deviation = (MEDIAN_TO_DEVIATION * median).max(1e-12 * size);
        let pull = |h: f64| (HUBER * deviation / h.max(f64::MIN_POSITIVE)).min(1.0);
        let pulled: Vec<(Vec3, f64)> = near().map(|(h, w, p)| (p, w * pull(h))).collect();
        let better = fit_plane(pulled.iter().copied(), plane.normal)?;
        let moved =
            (better.normal - plane.normal).length() * size + (better.offset - plane.offset).abs();
        plane = better;
        band = band.min(3.0 * deviation.max(1e-11 * size));
        if moved <= SETTLED * size {
            break;
        }
    }
    Some(plane)
}

/// The value at which half the weight of all is reached, in about linear time.
fn weighted_median(mut values: Vec<(f64, f64)>) -> Option<f64> {
    let mut left = 0.5 * values.iter().map(|(_, w)| w).sum::<f64>();
    let mut rest = &mut values[..];
    while rest.len() > 1 {
        let middle = rest.len() / 2;
        let (lower, _, _) = rest.select_nth_unstable_by(middle, |a, b| a.0.total_cmp(&b.0));
        let weight: f64 = lower.iter().map(|(_, w)| w).sum();
        rest = if weight >= left {
            &mut rest[..middle]
        } else {
            left -= weight;
            &mut rest[middle..]
        };
    }
    rest.first().map(|(value, _)| *value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_the_weight_lies_under_the_median() {
        assert_eq!(weighted_median(Vec::new()), None);
        assert_eq!(weighted_median(vec![(5.0, 1.0)]), Some(5.0));
        assert_eq!(weighted_median(vec![(3.0, 1.0), (1.0, 1.0), (2.0, 1.0)]), Some(2.0));
        assert_eq!(weighted_median(vec![(3.0, 1.0), (1.0, 5.0), (2.0, 1.0)]), Some(1.0));
        assert_eq!(weighted_median(vec![(3.0, 9.0), (1.0, 1.0), (2.0, 1.0)]), Some(3.0));
    }
}
