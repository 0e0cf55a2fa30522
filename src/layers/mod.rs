//! Splits a cavity into skin, core and cap, each with guaranteed limits.

mod approach;
mod boxed;
mod cell;
mod corners;
mod grid;
mod insert;
mod planes;
mod pockets;
mod refine;
mod shell;
mod slopes;
mod tetra;
mod thin;

use crate::bounds::Bounds;
use crate::cavity::Cavity;
use crate::finding::Finding;
use crate::mesh::Patches;

use corners::{Corners, Way};
use grid::Grid;
pub use insert::{Displaced, Room};
use refine::{Allowed, Tree};
pub use shell::{ShellRequest, Shells, shells, skin_by_part};

/// What to split a cavity into.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerRequest {
    /// Thickness of each coat from the wall inward, mm; empty for no skin. Each at least 0.2.
    pub coats_mm: Vec<f64>,
    /// Depth of the cap under the fill level, mm; 0 for none.
    pub cap_mm: f64,
    /// How far a limit may lie from its value, as a share of the cavity (0.005 is 0.5 %).
    pub tolerance: f64,
}

impl LayerRequest {
    /// Thickness of all coats together, mm.
    pub fn skin_mm(&self) -> f64 {
        self.coats_mm.iter().sum()
    }
}

/// The volumes of a split cavity, mm³; skin + core + cap is the cavity.
#[derive(Debug, Clone, PartialEq)]
pub struct Layers {
    /// All points within the coats' thickness of the wall.
    pub skin_mm3: Bounds,
    /// The same by coat, from the wall inward.
    pub coats_mm3: Vec<Bounds>,
    /// What is neither skin nor cap.
    pub core_mm3: Bounds,
    /// Outside the skin, within the cap's depth of the fill level.
    pub cap_mm3: Bounds,
    /// Every limit lies within the tolerance.
    pub tolerance_reached: bool,
    /// Share of the wall's area that faces other wall within twice the skin, 0 to 1.
    pub thin_share: f64,
    /// Separate pieces of core of at least 0.1 cm³, largest first.
    pub pockets: Vec<Pocket>,
    /// Distance queries made: the work done.
    pub queries: u64,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// A separate piece of core.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pocket {
    /// About how large, mm³.
    pub volume_mm3: f64,
    /// A pour from the opening reaches it.
    pub reaches_opening: bool,
    /// A point in it, mm, in the pouring frame.
    pub place_mm: crate::mesh::Vec3,
}

/// A layer's limits are never farther from its value than this share of the layer …
const SHARE_OF_LAYER: f64 = 0.05;
/// … a coat's than this share of the coat …
const SHARE_OF_COAT: f64 = 0.10;
/// … or than this, mm³, if that is more.
const SMALLEST_REACH_MM3: f64 = 100.0;
/// Distances asked for at most where nobody says otherwise; beyond, the limits are given as they
/// are. Up to about 2 GiB: 1.9 GiB were measured on ten thousand small boxes.
pub const USUAL_QUERIES_MOST: u64 = 10_000_000;
/// Limits are widened by this share of the cavity for rounding.
const ROUNDING: f64 = 1e-9;

/// Less than this share of the cavity is nothing: sums of exact zeros, rounded.
const NOTHING: f64 = 1e-13;
/// Rounds of settling what is allowed: it hangs on the volumes themselves.
const ROUNDS: usize = 12;

/// Splits the cavity. `progress` is called now and then with the share done, 0 to 1.
///
/// The definitions: skin is what lies within the coats' thickness of the wall, cap what lies
/// outside the skin within the cap's depth of the fill level, core the rest.
pub fn split(cavity: &Cavity, request: &LayerRequest, progress: &(dyn Fn(f64) + Sync)) -> Layers {
    split_within(cavity, request, USUAL_QUERIES_MOST, progress)
}

/// Splits the cavity as [`split`] does, with at most so much work: `queries_most` distances to the
/// wall, beside those at the corners of the first cells, which any answer needs.
///
/// Work is counted, not timed, so that the same request gives the same answer on any machine.
/// Where it does not suffice, the limits reached are given: they hold, but are wider than asked
/// for, and [`Layers::tolerance_reached`] is `false`.
pub fn split_within(
    cavity: &Cavity,
    request: &LayerRequest,
    queries_most: u64,
    progress: &(dyn Fn(f64) + Sync),
) -> Layers {
    let cap_mm = if cavity.is_open() { request.cap_mm } else { 0.0 };
    let slabs = Slabs::of(cavity, cap_mm);
    let faces_mm = faces_mm(&request.coats_mm);
    let Some(&skin_mm) = faces_mm.last().filter(|t| **t > 0.0) else {
        return without_skin(cavity, &slabs);
    };
    let patches = Patches::new(cavity.wall());
    let (low, high) = cavity.wall().bounding_box().unwrap_or_default();
    let grid = Grid::new(low, high, &slabs.heights_mm);
    let mut corners = Corners::new(&patches, &grid, Way::Inward, &faces_mm);
    let mut trees: Vec<Tree> =
        faces_mm.iter().map(|t| Tree::new(&grid, &mut corners, *t, slabs.count())).collect();
    let tolerance_mm3 = request.tolerance * cavity.measures().volume_mm3.best();
    let tolerance_reached =
        refine(&mut trees, &mut corners, cavity, &slabs, (tolerance_mm3, queries_most), progress);
    let mut layers = gather(&trees, cavity, &slabs);
    layers.tolerance_reached = tolerance_reached;
    layers.queries = corners.count() as u64;
    if let Some(tree) = trees.last() {
        let core_slabs = u8::from(slabs.has_core);
        layers.pockets =
            pockets::find(tree, &corners, &grid, skin_mm, core_slabs, cavity.is_open());
    }
    layers.thin_share = thin::facing_share(cavity.wall(), &patches, 2.0 * skin_mm);
    progress(1.0);
    layers
}

/// How far each coat's far face lies from the wall, mm.
fn faces_mm(coats_mm: &[f64]) -> Vec<f64> {
    let depths = coats_mm.iter().scan(0.0, |depth, coat| {
        *depth += coat;
        Some(*depth)
    });
    depths.collect()
}

/// The level slabs of a cavity: core under cap, or one of them alone.
struct Slabs {
    heights_mm: Vec<f64>,
    has_core: bool,
    has_cap: bool,
}

impl Slabs {
    fn of(cavity: &Cavity, cap_mm: f64) -> Self {
        let top = if cavity.is_open() {
            cavity.level_mm()
        } else {
            cavity.wall().bounding_box().map_or(0.0, |(_, high)| high.z)
        };
        if cap_mm <= 0.0 {
            Self { heights_mm: vec![0.0, top], has_core: true, has_cap: false }
        } else if cap_mm >= top {
            Self { heights_mm: vec![0.0, top], has_core: false, has_cap: true }
        } else {
            Self { heights_mm: vec![0.0, top - cap_mm, top], has_core: true, has_cap: true }
        }
    }

    fn count(&self) -> usize {
        self.heights_mm.len() - 1
    }

    /// Core and cap from one figure per slab.
    fn assign(&self, volumes: &[Bounds]) -> (Bounds, Bounds) {
        let core = if self.has_core { volumes[0] } else { Bounds::ZERO };
        let cap = if self.has_cap { volumes[volumes.len() - 1] } else { Bounds::ZERO };
        (core, cap)
    }
}

/// Core and cap of a cavity without skin: both exact.
fn without_skin(cavity: &Cavity, slabs: &Slabs) -> Layers {
    let whole = cavity.measures().volume_mm3.best();
    let mut volumes = vec![Bounds::exact(whole)];
    if let [_, level, _] = slabs.heights_mm[..] {
        let under = cavity.volume_under_mm3(level).clamp(0.0, whole);
        volumes = vec![Bounds::exact(under), Bounds::exact(whole - under)];
    }
    let (core_mm3, cap_mm3) = slabs.assign(&volumes);
    Layers {
        skin_mm3: Bounds::ZERO,
        coats_mm3: Vec::new(),
        core_mm3,
        cap_mm3,
        tolerance_reached: true,
        thin_share: 0.0,
        pockets: Vec::new(),
        queries: 0,
        findings: Vec::new(),
    }
}

/// Refines every tree until all layers and coats are within the tolerance; `false` where the
/// work allowed does not suffice.
fn refine(
    trees: &mut [Tree],
    corners: &mut Corners,
    cavity: &Cavity,
    slabs: &Slabs,
    (tolerance_mm3, queries_most): (f64, u64),
    progress: &dyn Fn(f64),
) -> bool {
    let count = trees.len() as f64;
    for round in 0..ROUNDS {
        let layers = gather(trees, cavity, slabs);
        if round > 0 && is_within(&layers, tolerance_mm3) {
            return true;
        }
        let share_matters = round > 0;
        for k in 0..trees.len() {
            let allowed = allowed(&layers, k, slabs, cavity, tolerance_mm3, share_matters);
            let report = |share: f64| progress((k as f64 + share) / count);
            if !trees[k].refine(corners, &allowed, queries_most, &report) {
                return is_within(&gather(trees, cavity, slabs), tolerance_mm3);
            }
        }
    }
    is_within(&gather(trees, cavity, slabs), tolerance_mm3)
}

/// How far the limits of one layer or coat may lie from its value, mm³.
fn reach_allowed(volume: Bounds, share: f64, tolerance_mm3: f64) -> f64 {
    // A first estimate may be far too small; half the upper limit keeps the demand sensible.
    let size = volume.best().max(0.5 * volume.high());
    tolerance_mm3.min((share * size).max(SMALLEST_REACH_MM3))
}

/// What face `k`'s tree may be off by. The coats on both sides of an inner face share theirs
/// between their two faces.
fn allowed(
    layers: &Layers,
    k: usize,
    slabs: &Slabs,
    cavity: &Cavity,
    tolerance_mm3: f64,
    share_matters: bool,
) -> Allowed {
    let reach = |volume: Bounds, share: f64| {
        if share_matters { reach_allowed(volume, share, tolerance_mm3) } else { tolerance_mm3 }
    };
    let coats = layers.coats_mm3.len();
    let coat = |i: usize| {
        let faces = if i == 0 { 1.0 } else { 2.0 };
        reach(layers.coats_mm3[i], if coats > 1 { SHARE_OF_COAT } else { SHARE_OF_LAYER }) / faces
    };
    if k + 1 < coats {
        let together = coat(k).min(coat(k + 1));
        return Allowed { by_slab: vec![f64::INFINITY; slabs.count()], together };
    }
    // The gap of an uneven back is part of the limits whatever the cells do.
    let gap = cavity.back_gap_mm3().absolute;
    let less_gap = |reach: f64| (reach - gap).max(0.3 * reach);
    let mut by_slab = Vec::new();
    if slabs.has_core {
        by_slab.push(reach(layers.core_mm3, SHARE_OF_LAYER));
    }
    if slabs.has_cap {
        by_slab.push(reach(layers.cap_mm3, SHARE_OF_LAYER));
    }
    if let Some(top) = by_slab.last_mut() {
        *top = less_gap(*top);
    }
    let together = less_gap(reach(layers.skin_mm3, SHARE_OF_LAYER)).min(coat(k));
    Allowed { by_slab, together }
}

fn is_within(layers: &Layers, tolerance_mm3: f64) -> bool {
    let within = |volume: &Bounds, share: f64| {
        let allowed = tolerance_mm3.min((share * volume.best()).max(SMALLEST_REACH_MM3));
        volume.reach() <= allowed
    };
    [layers.skin_mm3, layers.core_mm3, layers.cap_mm3].iter().all(|v| within(v, SHARE_OF_LAYER))
        && layers.coats_mm3.iter().all(|v| within(v, SHARE_OF_COAT))
}

/// What lies beyond each face, by slab, as the trees have it now; `gap` belongs to the top slab.
fn beyond(trees: &[Tree], whole: f64, gap: Bounds) -> Vec<Vec<Bounds>> {
    let of_tree = |tree: &Tree| {
        let mut volumes = tree.volumes();
        for volume in &mut volumes {
            // A slab without any depth holds exactly nothing, or what rounding makes of it.
            *volume = if volume.high() > NOTHING * whole {
                volume.widened(ROUNDING * whole)
            } else {
                Bounds::ZERO
            };
        }
        if let Some(top) = volumes.last_mut() {
            *top = *top + gap;
        }
        volumes.into_iter().map(|v| v.clamped(0.0, whole)).collect()
    };
    trees.iter().map(of_tree).collect()
}

/// The layers as the trees have them now.
fn gather(trees: &[Tree], cavity: &Cavity, slabs: &Slabs) -> Layers {
    let whole = cavity.measures().volume_mm3.best();
    let gap = cavity.back_gap_mm3();
    let gap = if gap.absolute > NOTHING * whole {
        Bounds::new(-gap.absolute, gap.signed, gap.absolute)
    } else {
        Bounds::ZERO
    };
    let beyond = beyond(trees, whole, gap);
    let mut outer = Bounds::exact(whole);
    let mut coats_mm3 = Vec::with_capacity(trees.len());
    for volumes in &beyond {
        let inner = volumes.iter().copied().sum::<Bounds>().clamped(0.0, whole);
        coats_mm3.push((outer - inner).clamped(0.0, whole));
        outer = inner;
    }
    let (core_mm3, cap_mm3) =
        beyond.last().map_or((Bounds::ZERO, Bounds::ZERO), |volumes| slabs.assign(volumes));
    Layers {
        skin_mm3: (Bounds::exact(whole) - (core_mm3 + cap_mm3)).clamped(0.0, whole),
        coats_mm3,
        core_mm3,
        cap_mm3,
        tolerance_reached: false,
        thin_share: 0.0,
        pockets: Vec::new(),
        queries: 0,
        findings: Vec::new(),
    }
}
