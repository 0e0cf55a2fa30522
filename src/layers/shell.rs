//! Layers by distance alone, part by part: on the outside of a piece the rubber and the jacket of
//! a mould made on it, on its inside the skin in each half of a mould.
//!
//! The same cells, corners and bounds as for a skin, followed either way. Of the space around the
//! piece, up to the plane of its back where it has one, or of the piece itself a shell is what
//! lies between two distances from the wall. How much of that space lies in a box around
//! everything is exact; what lies in it beyond a distance has the limits of `cell`.

use super::corners::{Corners, Way};
use super::grid::Grid;
use super::refine::{Allowed, Tree};
use super::{NOTHING, ROUNDS, SHARE_OF_COAT, USUAL_QUERIES_MOST, beyond, faces_mm, reach_allowed};
use crate::bounds::Bounds;
use crate::cavity::Cavity;
use crate::mesh::{Patches, Vec3};

/// What to lay on a wall.
#[derive(Debug, Clone, PartialEq)]
pub struct ShellRequest {
    /// Thickness of each layer from the wall on, mm; each over 0.
    pub coats_mm: Vec<f64>,
    /// Height over the lowest point at which the shells are divided, mm; `None` for whole ones.
    pub parting_mm: Option<f64>,
    /// How far a limit may lie from its value, as a share of the piece and all that is laid around it
    /// (0.005 is 0.5 %); never more than 10 % of a layer, or 0.1 cm³, if that is more.
    pub tolerance: f64,
}

/// The volumes of shells, mm³, under and over the parting; of whole ones the first alone.
#[derive(Debug, Clone, PartialEq)]
pub struct Shells {
    /// Each layer from the wall on, by part.
    pub coats_mm3: Vec<Vec<Bounds>>,
    /// All layers up to and with each one, by part: narrower than the sum of their limits.
    pub within_mm3: Vec<Vec<Bounds>>,
    /// Every limit lies within the tolerance.
    pub tolerance_reached: bool,
    /// Distance queries made: the work done.
    pub queries: u64,
}

/// Measures the shells around the piece that fills a cavity. `progress` is called now and then
/// with the share done, 0 to 1.
///
/// A shell is the set of points outside the piece, and under the plane of its back where it has
/// one, whose distance to the wall lies between the sums of thicknesses before and with its own.
pub fn shells(piece: &Cavity, request: &ShellRequest, progress: &(dyn Fn(f64) + Sync)) -> Shells {
    measured(piece, Way::Outward, request, progress)
}

/// Measures a skin on both sides of a parting: the set of points of the cavity whose distance to
/// the wall lies between the sums of thicknesses, under and over it.
pub fn skin_by_part(
    cavity: &Cavity,
    request: &ShellRequest,
    progress: &(dyn Fn(f64) + Sync),
) -> Shells {
    measured(cavity, Way::Inward, request, progress)
}

fn measured(
    piece: &Cavity,
    way: Way,
    request: &ShellRequest,
    progress: &(dyn Fn(f64) + Sync),
) -> Shells {
    let faces_mm = faces_mm(&request.coats_mm);
    let reach_mm = match way {
        Way::Inward => 0.0,
        Way::Outward => faces_mm.last().copied().unwrap_or(0.0),
    };
    let space = Space::new(piece, way, reach_mm, request.parting_mm);
    if faces_mm.is_empty() {
        return space.gather(&[]);
    }
    let patches = Patches::new(piece.wall());
    let grid = Grid::new(space.low, space.high, &space.heights_mm);
    let mut corners = Corners::new(&patches, &grid, way, &faces_mm);
    let parts = space.free_mm3.len();
    let mut trees: Vec<Tree> =
        faces_mm.iter().map(|t| Tree::new(&grid, &mut corners, *t, parts)).collect();
    let piece_mm3 = piece.measures().volume_mm3.best();
    let tolerance_mm3 = |shells: &Shells| {
        let laid_mm3 = if way == Way::Outward { shells.all_mm3() } else { 0.0 };
        request.tolerance * (piece_mm3 + laid_mm3)
    };
    space.refine(&mut trees, &mut corners, &tolerance_mm3, progress);
    let mut shells = space.gather(&trees);
    shells.tolerance_reached = shells.are_within(tolerance_mm3(&shells));
    shells.queries = corners.count() as u64;
    progress(1.0);
    shells
}

/// The box around a piece with all its shells, and how much of what is measured lies in it.
struct Space {
    low: Vec3,
    high: Vec3,
    heights_mm: Vec<f64>,
    /// By part.
    free_mm3: Vec<Bounds>,
}

impl Space {
    fn new(piece: &Cavity, way: Way, reach_mm: f64, parting_mm: Option<f64>) -> Self {
        let (low, high) = piece.wall().bounding_box().unwrap_or_default();
        let top = if piece.is_open() { piece.level_mm() } else { high.z + reach_mm };
        let (low, high) = (low - reach_mm, (high + reach_mm).with_z(top));
        let mut heights_mm = vec![low.z];
        heights_mm.extend(parting_mm.filter(|h| *h > low.z && *h < top));
        heights_mm.push(top);
        let plan_mm2 = (high.x - low.x) * (high.y - low.y);
        let under: Vec<f64> = heights_mm.iter().map(|h| piece.volume_under_mm3(*h)).collect();
        let mut free_mm3: Vec<Bounds> = heights_mm
            .windows(2)
            .zip(under.windows(2))
            .map(|(z, filled)| match way {
                Way::Inward => filled[1] - filled[0],
                Way::Outward => plan_mm2 * (z[1] - z[0]) - (filled[1] - filled[0]),
            })
            .map(|free| Bounds::exact(free.max(0.0)))
            .collect();
        let gap_mm3 = piece.back_gap_mm3().absolute;
        if let Some(last) = free_mm3.last_mut()
            && gap_mm3 > NOTHING * last.best()
        {
            *last = last.widened(gap_mm3).clamped(0.0, f64::INFINITY);
        }
        Self { low, high, heights_mm, free_mm3 }
    }

    /// All parts together, mm³.
    fn all_mm3(&self) -> f64 {
        self.free_mm3.iter().map(Bounds::best).sum()
    }

    fn gather(&self, trees: &[Tree]) -> Shells {
        let all = self.all_mm3();
        let beyond = beyond(trees, all, Bounds::ZERO);
        let less = |outer: &[Bounds], inner: &[Bounds]| {
            let each = outer.iter().zip(inner).map(|(a, b)| (*a - *b).clamped(0.0, all));
            each.collect::<Vec<_>>()
        };
        let mut outer = self.free_mm3.as_slice();
        let mut coats_mm3 = Vec::with_capacity(trees.len());
        for inner in &beyond {
            coats_mm3.push(less(outer, inner));
            outer = inner;
        }
        let within_mm3 = beyond.iter().map(|inner| less(&self.free_mm3, inner)).collect();
        Shells { coats_mm3, within_mm3, tolerance_reached: false, queries: 0 }
    }

    /// Refines every tree until all shells are within the tolerance or the work allowed is done.
    fn refine(
        &self,
        trees: &mut [Tree],
        corners: &mut Corners,
        tolerance_mm3: &dyn Fn(&Shells) -> f64,
        progress: &dyn Fn(f64),
    ) {
        let count = trees.len() as f64;
        for round in 0..ROUNDS {
            let shells = self.gather(trees);
            let tolerance_mm3 = tolerance_mm3(&shells);
            if round > 0 && shells.are_within(tolerance_mm3) {
                return;
            }
            for (k, tree) in trees.iter_mut().enumerate() {
                let allowed = shells.allowed(k, tolerance_mm3, round > 0);
                let report = |share: f64| progress((k as f64 + share) / count);
                if !tree.refine(corners, &allowed, USUAL_QUERIES_MOST, &report) {
                    return;
                }
            }
        }
    }
}

impl Shells {
    /// All layers in all parts together, mm³.
    fn all_mm3(&self) -> f64 {
        self.within_mm3.last().into_iter().flatten().map(Bounds::best).sum()
    }

    /// What face `k`'s tree may be off by: the layers on both sides of it share what they may.
    fn allowed(&self, k: usize, tolerance_mm3: f64, share_matters: bool) -> Allowed {
        let reach = |volume: Bounds, faces: f64| {
            let share = if share_matters { SHARE_OF_COAT } else { f64::INFINITY };
            reach_allowed(volume, share, tolerance_mm3) / faces
        };
        let of = |parts: &dyn Fn(&[Bounds]) -> Bounds| {
            let own = self.coats_mm3.get(k).map(|coat| parts(coat));
            let next = self.coats_mm3.get(k + 1).map(|coat| parts(coat));
            let own = own.map_or(f64::INFINITY, |v| reach(v, if k == 0 { 1.0 } else { 2.0 }));
            own.min(next.map_or(f64::INFINITY, |v| reach(v, 2.0)))
        };
        let count = self.coats_mm3.first().map_or(0, Vec::len);
        let part = |p: usize| of(&|coat| coat.get(p).copied().unwrap_or(Bounds::ZERO));
        Allowed {
            by_slab: (0..count).map(part).collect(),
            together: of(&|coat| coat.iter().copied().sum()),
        }
    }

    fn are_within(&self, tolerance_mm3: f64) -> bool {
        let whole = |parts: &Vec<Bounds>| parts.iter().copied().sum::<Bounds>();
        let sums = self.coats_mm3.iter().map(whole);
        let mut all = self.coats_mm3.iter().flatten().copied().chain(sums);
        all.all(|v| {
            v.reach() <= reach_allowed(Bounds::exact(v.best()), SHARE_OF_COAT, tolerance_mm3)
        })
    }
}
