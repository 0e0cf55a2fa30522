//! Separate pieces of core, and whether a pour from the opening reaches them.

use crate::mesh::Vec3;

use super::Pocket;
use super::corners::{Corners, Side};
use super::grid::{Grid, Place};
use super::refine::Tree;

/// Pieces smaller than this are not worth telling, mm³.
const POCKET_MM3_MIN: f64 = 100.0;

/// The separate pieces of core, largest first.
///
/// Cells hang together where they share a corner that lies deeper than the coat; two pieces
/// that come closer than a cell without meeting may be told as one.
///
/// `core_slabs` is the number of slabs under the cap; `open` tells whether the top of the grid
/// is an opening.
pub fn find(
    tree: &Tree,
    corners: &Corners,
    grid: &Grid,
    t: f64,
    core_slabs: u8,
    open: bool,
) -> Vec<Pocket> {
    let core = Pieces::of(tree, corners, grid, t, core_slabs);
    let reached = if open {
        Pieces::of(tree, corners, grid, t, u8::MAX).reaching(tree, grid.top())
    } else {
        vec![true; tree.nodes().len()]
    };
    let mut pockets = core.pockets(tree, corners, &reached);
    pockets.sort_by(|a, b| b.volume_mm3.total_cmp(&a.volume_mm3));
    pockets
}

/// Undivided cells with some depth in them, in connected pieces.
struct Pieces {
    parent: Vec<u32>,
    slabs: u8,
}

impl Pieces {
    fn of(tree: &Tree, corners: &Corners, grid: &Grid, t: f64, slabs: u8) -> Self {
        let mut pieces = Self { parent: (0..tree.nodes().len() as u32).collect(), slabs };
        let mut seen = vec![false; corners.count()];
        for id in 0..tree.nodes().len() as u32 {
            if !pieces.holds(tree, id) {
                continue;
            }
            let node = &tree.nodes()[id as usize];
            for (place, number) in node.cell.corners().into_iter().zip(node.corners) {
                let corner = corners.get(number);
                let deep = corner.side == Side::Inside && corner.distance > t;
                if deep && !std::mem::replace(&mut seen[number as usize], true) {
                    pieces.join_around(tree, grid, place);
                }
            }
        }
        pieces
    }

    fn holds(&self, tree: &Tree, id: u32) -> bool {
        let node = &tree.nodes()[id as usize];
        node.first_child.is_none() && node.cell.slab < self.slabs && node.volume_mm3.best() > 0.0
    }

    /// Joins the cells that meet at a place.
    fn join_around(&mut self, tree: &Tree, grid: &Grid, place: Place) {
        let mut first = None;
        for octant in 0..8 {
            let Some(cell) = smallest_cell_at(grid, place, octant) else { continue };
            let id = tree.leaf_at(grid, cell);
            if !self.holds(tree, id) {
                continue;
            }
            match first {
                None => first = Some(id),
                Some(other) => self.join(id, other),
            }
        }
    }

    fn root(&self, mut id: u32) -> u32 {
        while self.parent[id as usize] != id {
            id = self.parent[id as usize];
        }
        id
    }

    fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.root(a), self.root(b));
        let (low, high) = (a.min(b), a.max(b));
        self.parent[high as usize] = low;
        // Shortcuts keep the chains short.
        for id in [a, b] {
            self.parent[id as usize] = low;
        }
    }

    /// For each cell whether its piece reaches the top of the grid.
    fn reaching(&self, tree: &Tree, top: u32) -> Vec<bool> {
        let mut reached = vec![false; self.parent.len()];
        for id in (0..self.parent.len() as u32).filter(|id| self.holds(tree, *id)) {
            let [.., upper] = tree.nodes()[id as usize].cell.corners();
            if upper[2] == top {
                reached[self.root(id) as usize] = true;
            }
        }
        (0..self.parent.len() as u32).map(|id| reached[self.root(id) as usize]).collect()
    }

    fn pockets(&self, tree: &Tree, corners: &Corners, reached: &[bool]) -> Vec<Pocket> {
        let mut volume = vec![0.0; self.parent.len()];
        let mut largest: Vec<(f64, Vec3)> = vec![(0.0, Vec3::ZERO); self.parent.len()];
        let mut reaches = vec![false; self.parent.len()];
        for id in (0..self.parent.len() as u32).filter(|id| self.holds(tree, *id)) {
            let root = self.root(id) as usize;
            let node = &tree.nodes()[id as usize];
            let part = node.volume_mm3.best();
            volume[root] += part;
            reaches[root] |= reached[id as usize];
            if part > largest[root].0 {
                let ends = [0, 7].map(|k| corners.get(node.corners[k]).position);
                largest[root] = (part, 0.5 * (ends[0] + ends[1]));
            }
        }
        (0..volume.len())
            .filter(|k| volume[*k] >= POCKET_MM3_MIN)
            .map(|k| Pocket {
                volume_mm3: volume[k],
                reaches_opening: reaches[k],
                place_mm: largest[k].1,
            })
            .collect()
    }
}

/// The lower corner of the smallest cell in one of the eight directions around a place; `None`
/// outside the grid.
fn smallest_cell_at(grid: &Grid, place: Place, octant: u32) -> Option<Place> {
    let end = grid.end();
    let mut cell = place;
    for (axis, at) in cell.iter_mut().enumerate() {
        if octant >> axis & 1 == 1 {
            *at = at.checked_sub(1)?;
        }
        if *at >= end[axis] {
            return None;
        }
    }
    Some(cell)
}
