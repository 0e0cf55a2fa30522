//! The room that an insert (a bone, a tube, an armature) takes out of core and cap, with limits.
//!
//! Cells over the box that insert and cavity share: how much of the insert lies in a cell is
//! exact, how much of the cell lies in the cavity beyond the skin has the limits of `cell`. With
//! a and b the two volumes in a cell of volume v, the volume of both lies between a + b − v and
//! the smaller of a and b. So an insert that is clear of the skin is told exactly, and only where
//! its surface passes through the skin's inner face do cells stay open.

use rayon::prelude::*;

use crate::bounds::Bounds;
use crate::cavity::Cavity;
use crate::mesh::{Mesh, Patches, Vec3, below_level};

use super::approach::least_distance_mm;
use super::boxed::Box3;
use super::cell::volume_beyond;
use super::corners::{Corner, Corners, Wanted, Way};
use super::grid::{CellBox, Grid};
use super::planes::Surroundings;
use super::{LayerRequest, NOTHING, ROUNDING, Slabs};

/// Cells are divided until what they leave open is below this share of the cavity.
const GAP_SHARE: f64 = 0.001;
/// How much lies in the wall rather than in the skin matters that much less: it is only told.
const WALL_WEIGHT: f64 = 0.1;
/// Corners asked for at most. Beyond, the limits are given as they are.
const CORNERS_MOST: usize = 1_000_000;
/// So many cost no time worth saving: an insert clear of the skin is then told exactly.
const CORNERS_CHEAP: usize = 50_000;
/// Distances to the wall up to this are looked for even without a skin, mm.
const REACH_MM: f64 = 1.0;
/// Less than this share of a cell is the rounding of its clipped triangles.
const CLIPPED: f64 = 1e-12;

/// Where an insert lies. Units: mm², mm³.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Displaced {
    /// What it takes out of the core.
    pub core_mm3: Bounds,
    /// What it takes out of the cap.
    pub cap_mm3: Bounds,
    /// What of it lies where the skin is.
    pub skin_mm3: Bounds,
    /// What of it lies in the cavity: core, cap and skin together.
    pub cavity_mm3: Bounds,
    /// What of it stands over the fill level.
    pub above_mm3: f64,
    /// Its mean section in the cap; without a cap the one at the fill level.
    pub section_mm2: f64,
}

/// A cavity that inserts are put in.
pub struct Room<'a> {
    cavity: &'a Cavity,
    slabs: Slabs,
    skin_mm: f64,
    wall: Patches,
}

impl<'a> Room<'a> {
    /// The cavity as the layers take it.
    pub fn new(cavity: &'a Cavity, request: &LayerRequest) -> Self {
        let cap_mm = if cavity.is_open() { request.cap_mm } else { 0.0 };
        Self {
            cavity,
            slabs: Slabs::of(cavity, cap_mm),
            skin_mm: request.skin_mm(),
            wall: Patches::new(cavity.wall()),
        }
    }

    /// Where an insert, closed and outward along the file's axes, lies.
    pub fn displaced_by(&self, insert: &Mesh) -> Displaced {
        let insert = self.cavity.frame().mesh_to_pouring(insert);
        let top = self.top_mm();
        let (x, y) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
        let over = Box3 { low: Vec3::new(x, y, top), high: Vec3::INFINITY };
        let above_mm3 = insert.sum_over_triangles(|corners| over.share_of(corners)).max(0.0);
        let mut sums = vec![Sums::default(); self.slabs.count()];
        if let Some((grid, first_slab)) = self.shared_grid(&insert) {
            Search::new(self, &insert, &grid).run(&mut sums[first_slab..]);
        }
        if let (Some(sum), Some((_, high))) = (sums.last_mut(), insert.bounding_box()) {
            sum.widen_by_back(self.cavity, high.z);
        }
        let by_slab: Vec<Bounds> = sums.iter().map(|s| s.deep).collect();
        let (core_mm3, cap_mm3) = self.slabs.assign(&by_slab);
        let section_mm2 = match self.slabs.heights_mm[..] {
            [.., under, top] if self.slabs.has_cap => cap_mm3.best() / (top - under),
            _ if sums.iter().all(|s| s.deep.high() <= 0.0) => 0.0,
            _ => below_level(&insert, top).1.area_mm2.max(0.0),
        };
        Displaced {
            core_mm3,
            cap_mm3,
            skin_mm3: sums.iter().map(|s| s.skin).sum(),
            cavity_mm3: sums.iter().map(|s| s.inside).sum(),
            above_mm3,
            section_mm2,
        }
    }

    /// How near an insert comes to the wall under the fill level, mm; `None` where it lies over it.
    pub fn least_distance_mm(&self, insert: &Mesh) -> Option<f64> {
        let insert = self.cavity.frame().mesh_to_pouring(insert);
        if self.cavity.is_open() {
            least_distance_mm(&below_level(&insert, self.top_mm()).0, &self.wall)
        } else {
            least_distance_mm(&insert, &self.wall)
        }
    }

    fn top_mm(&self) -> f64 {
        self.slabs.heights_mm.last().copied().unwrap_or(0.0)
    }

    /// Cells over the box that insert and cavity share under the fill level, and the slab that
    /// the lowest of them belong to; `None` where they share nothing.
    fn shared_grid(&self, insert: &Mesh) -> Option<(Grid, usize)> {
        let (low, high) = insert.bounding_box()?;
        let (wall_low, wall_high) = self.cavity.wall().bounding_box()?;
        let (low, high) = (low.max(wall_low), high.min(wall_high));
        let bottom = low.z.max(self.slabs.heights_mm[0]);
        let top = high.z.min(self.top_mm());
        // A box thinner than rounding holds nothing.
        let thin = ROUNDING * (wall_high - wall_low).max_element();
        if high.x - low.x <= thin || high.y - low.y <= thin || top - bottom <= thin {
            return None;
        }
        let heights = &self.slabs.heights_mm;
        let first = heights[1..].iter().take_while(|h| **h <= bottom + thin).count();
        let levels = heights[1..].iter().filter(|h| **h > bottom + thin && **h < top - thin);
        let levels: Vec<f64> =
            std::iter::once(bottom).chain(levels.copied()).chain([top]).collect();
        Some((Grid::new(low, high, &levels), first.min(self.slabs.count() - 1)))
    }
}

/// What lies where, mm³.
#[derive(Clone, Copy)]
struct Sums {
    /// In the cavity beyond the skin.
    deep: Bounds,
    /// In the cavity.
    inside: Bounds,
    /// In the skin.
    skin: Bounds,
}

impl Default for Sums {
    fn default() -> Self {
        Self { deep: Bounds::ZERO, inside: Bounds::ZERO, skin: Bounds::ZERO }
    }
}

impl Sums {
    fn add(&mut self, cell: &Cell) {
        let (deep, inside) = (cell.deep, cell.inside);
        self.deep = self.deep + deep;
        self.inside = self.inside + inside;
        let low = (inside.low() - deep.high()).max(0.0);
        let skin = Bounds::new(low, inside.best() - deep.best(), inside.high() - deep.low());
        self.skin = self.skin + skin;
    }

    /// An insert that reaches up between a flat back and its plane may lie on either side of it.
    fn widen_by_back(&mut self, cavity: &Cavity, insert_top_mm: f64) {
        let gap = cavity.back_gap_mm3();
        let whole = cavity.measures().volume_mm3.best();
        if insert_top_mm > gap.from_mm && gap.absolute > NOTHING * whole {
            for sum in [&mut self.deep, &mut self.inside] {
                *sum = sum.widened(gap.absolute).clamped(0.0, whole);
            }
        }
    }
}

/// A cell that some of the insert lies in.
struct Cell {
    cell: CellBox,
    corners: [u32; 8],
    /// The insert's triangles that count in it.
    faces: Vec<u32>,
    /// What of the insert lies in it beyond the skin, mm³.
    deep: Bounds,
    /// What of the insert lies in it within the wall, mm³.
    inside: Bounds,
}

impl Cell {
    /// What it leaves open, mm³.
    fn gap(&self) -> f64 {
        let gap = |volume: &Bounds| volume.high() - volume.low();
        gap(&self.deep).max(WALL_WEIGHT * gap(&self.inside))
    }
}

struct Search<'a> {
    room: &'a Room<'a>,
    insert: &'a Mesh,
    grid: &'a Grid,
    corners: Corners<'a>,
}

impl<'a> Search<'a> {
    fn new(room: &'a Room<'a>, insert: &'a Mesh, grid: &'a Grid) -> Self {
        let reach = room.skin_mm.max(REACH_MM);
        let corners = Corners::new(&room.wall, grid, Way::Inward, &[reach]);
        Self { room, insert, grid, corners }
    }

    /// Divides cells until little is left open, and adds up by slab.
    fn run(mut self, sums: &mut [Sums]) {
        let whole = self.room.cavity.measures().volume_mm3.best();
        let allowed = GAP_SHARE * whole;
        let all: Vec<u32> = (0..self.insert.triangles().len() as u32).collect();
        let wanted: Vec<Wanted> =
            self.grid.roots().into_iter().map(|cell| Wanted { cell, parent: None }).collect();
        let over: Vec<&[u32]> = vec![&all; wanted.len()];
        let mut open = self.cells(&wanted, &over);
        loop {
            // The widest first, and by their order where they are equal.
            open.sort_by(|a, b| b.gap().total_cmp(&a.gap()));
            let mut rest: f64 = open.iter().map(Cell::gap).sum();
            let most = if rest > allowed { CORNERS_MOST } else { CORNERS_CHEAP };
            if rest == 0.0 || self.corners.count() >= most {
                break;
            }
            let aim = if rest > allowed { 0.5 * allowed } else { 0.0 };
            let mut chosen = 0;
            while rest > aim && chosen < open.len() {
                rest -= open[chosen].gap();
                chosen += 1;
            }
            let kept = open.split_off(chosen);
            let Some(mut divided) = self.divided(&open) else {
                open.extend(kept);
                break;
            };
            divided.extend(kept);
            let closed = divided.iter().filter(|c| c.gap() == 0.0);
            closed.for_each(|c| sums[c.cell.slab as usize].add(c));
            divided.retain(|c| c.gap() > 0.0);
            open = divided;
        }
        open.iter().for_each(|c| sums[c.cell.slab as usize].add(c));
        for sum in sums {
            for volume in [&mut sum.deep, &mut sum.inside, &mut sum.skin] {
                if volume.low() < volume.high() {
                    *volume = volume.widened(ROUNDING * whole).clamped(0.0, whole);
                }
            }
        }
    }

    /// The cells in halves along their longer sides; `None` where one can't be divided any more.
    fn divided(&mut self, cells: &[Cell]) -> Option<Vec<Cell>> {
        let (mut wanted, mut over) = (Vec::new(), Vec::new());
        for cell in cells {
            let [low, high] =
                [cell.corners[0], cell.corners[7]].map(|c| self.corners.get(c).position);
            let sides = cell.cell.sides_to_halve(high - low);
            if sides == 0 {
                return None;
            }
            for half in cell.cell.halved(sides) {
                wanted.push(Wanted { cell: half, parent: Some(cell.corners) });
                over.push(cell.faces.as_slice());
            }
        }
        Some(self.cells(&wanted, &over))
    }

    /// Those of the wanted cells that some of the insert lies in; `over` are the triangles that
    /// may count in each. In parallel, gathered in order.
    fn cells(&mut self, wanted: &[Wanted], over: &[&[u32]]) -> Vec<Cell> {
        let numbers = self.corners.of_cells(wanted);
        let known = &*self;
        let found: Vec<Option<Cell>> = (0..wanted.len())
            .into_par_iter()
            .map(|k| known.look_at(wanted[k].cell, numbers[k], over[k]))
            .collect();
        found.into_iter().flatten().collect()
    }

    fn look_at(&self, cell: CellBox, numbers: [u32; 8], over: &[u32]) -> Option<Cell> {
        let at: [&Corner; 8] = numbers.map(|n| self.corners.get(n));
        let space = Box3 { low: at[0].position, high: at[7].position };
        let corners_of = |face: &u32| self.insert.corners(*face as usize);
        let faces: Vec<u32> =
            over.iter().copied().filter(|f| Box3::is_under(corners_of(f), &space)).collect();
        let size = space.high - space.low;
        let volume = size.x * size.y * size.z;
        let filled: f64 = faces.iter().map(|f| space.share_of(corners_of(f))).sum();
        let filled = filled.min(volume);
        if filled <= CLIPPED * volume {
            return None;
        }
        let around =
            Surroundings { patches: &self.room.wall, way: Way::Inward, top_mm: self.room.top_mm() };
        let beyond = |t: f64| in_both(volume_beyond(&at, t, &around), filled, volume);
        let deep = beyond(self.room.skin_mm);
        let inside = if deep.low() >= filled { deep } else { beyond(0.0) };
        Some(Cell { cell, corners: numbers, faces, deep, inside })
    }
}

/// The volume that two parts of a cell share: one has limits, the other is exact.
fn in_both(part: Bounds, other: f64, cell: f64) -> Bounds {
    if part.low() >= cell {
        return Bounds::exact(other);
    }
    let low = (part.low() + other - cell).max(0.0);
    let high = part.high().min(other);
    // Nothing is known of how the two lie to one another.
    Bounds::new(low.min(high), part.best() * (other / cell), high)
}
