//! Divides cells until the limits of the volume beyond one thickness are as close as asked for.

use rayon::prelude::*;

use crate::bounds::Bounds;

use super::cell::volume_beyond;
use super::corners::{Corners, Wanted};
use super::grid::{CellBox, Grid};

/// A cell's gap shrinks to about this share when it is divided: the bounds are of second order.
const SHARE_LEFT: f64 = 0.25;
/// Rounds aim for this share of the gap allowed, so that the last one need not be repeated.
const AIM: f64 = 0.95;
/// Corners that dividing a cell into eight adds at most: 27 less the 8 it has.
const NEW_CORNERS: u64 = 19;

/// A cell of the tree.
#[derive(Debug, Clone, Copy)]
pub struct Node {
    /// Its box.
    pub cell: CellBox,
    /// Its corners, by number.
    pub corners: [u32; 8],
    /// Volume of its part beyond the thickness, mm³.
    pub volume_mm3: Bounds,
    /// The first of the cells it was divided into; they follow one another.
    pub first_child: Option<u32>,
    /// The sides that were halved then, as bits.
    pub halved: u8,
}

/// The cells for one thickness.
pub struct Tree {
    thickness_mm: f64,
    nodes: Vec<Node>,
    /// Undivided cells whose limits differ.
    open: Vec<u32>,
    /// Sum of the cells whose limits agree, by slab.
    settled: Vec<f64>,
}

/// How far limits may lie from their value, mm³.
#[derive(Debug, Clone)]
pub struct Allowed {
    /// In each slab.
    pub by_slab: Vec<f64>,
    /// In all slabs together.
    pub together: f64,
}

impl Tree {
    /// The root cells.
    pub fn new(grid: &Grid, corners: &mut Corners, thickness_mm: f64, slabs: usize) -> Self {
        let mut tree =
            Self { thickness_mm, nodes: Vec::new(), open: Vec::new(), settled: vec![0.0; slabs] };
        let roots = grid.roots().into_iter().map(|cell| Wanted { cell, parent: None }).collect();
        tree.add(corners, roots);
        tree
    }

    /// Every cell, divided or not; the roots come first.
    pub fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    /// Volume of the cavity beyond the thickness by slab, mm³.
    pub fn volumes(&self) -> Vec<Bounds> {
        let mut sums: Vec<[f64; 3]> = self.settled.iter().map(|v| [*v; 3]).collect();
        for id in &self.open {
            let node = &self.nodes[*id as usize];
            let v = node.volume_mm3;
            let sum = &mut sums[node.cell.slab as usize];
            *sum = [sum[0] + v.low(), sum[1] + v.best(), sum[2] + v.high()];
        }
        sums.into_iter().map(|[low, best, high]| Bounds::new(low, best, high)).collect()
    }

    /// Divides cells until the limits are within what is allowed; `false` where the cells can't
    /// be divided any more or another division might put more than `corners_most` corners in use.
    pub fn refine(
        &mut self,
        corners: &mut Corners,
        allowed: &Allowed,
        corners_most: u64,
        report: &dyn Fn(f64),
    ) -> bool {
        loop {
            let room = corners_most.saturating_sub(corners.count() as u64) / NEW_CORNERS;
            let Some(chosen) = self.choose(allowed, room, report) else { return true };
            if chosen.is_empty() || !self.divide(corners, &chosen) {
                return false;
            }
        }
    }

    /// The cells to divide next: those with the widest limits, as many as it will take, but no
    /// more than there is `room` for; `None` where all is within what is allowed.
    fn choose(&self, allowed: &Allowed, room: u64, report: &dyn Fn(f64)) -> Option<Vec<u32>> {
        let volumes = self.volumes();
        let excess = |v: &Bounds, allowed: f64| {
            let over = (v.best() - v.low()).max(v.high() - v.best());
            if over > allowed {
                (v.best() - v.low() - AIM * allowed).max(0.0)
                    + (v.high() - v.best() - AIM * allowed).max(0.0)
            } else {
                0.0
            }
        };
        let mut by_slab: Vec<f64> =
            volumes.iter().zip(&allowed.by_slab).map(|(v, a)| excess(v, *a)).collect();
        let whole: Bounds = volumes.iter().copied().sum();
        let mut together = excess(&whole, allowed.together);
        report(allowed.together / whole.reach().max(allowed.together));
        if together == 0.0 && by_slab.iter().all(|e| *e == 0.0) {
            return None;
        }
        let gap = |id: u32| {
            let v = self.nodes[id as usize].volume_mm3;
            v.high() - v.low()
        };
        let mut order: Vec<(f64, u32)> = self.open.iter().map(|id| (gap(*id), *id)).collect();
        order.par_sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut chosen = Vec::new();
        for (gap, id) in order {
            if chosen.len() as u64 >= room {
                break;
            }
            let slab = self.nodes[id as usize].cell.slab as usize;
            if together > 0.0 || by_slab[slab] > 0.0 {
                let gain = (1.0 - SHARE_LEFT) * gap;
                together -= gain;
                by_slab[slab] -= gain;
                chosen.push(id);
            }
        }
        chosen.sort_unstable();
        Some(chosen)
    }

    /// Divides cells; `false` where none of them can be.
    fn divide(&mut self, corners: &mut Corners, chosen: &[u32]) -> bool {
        let mut wanted = Vec::new();
        let mut divided = Vec::with_capacity(chosen.len());
        for id in chosen {
            let node = self.nodes[*id as usize];
            let ends = [0, 7].map(|k| corners.get(node.corners[k]).position);
            let sides = node.cell.sides_to_halve(ends[1] - ends[0]);
            if sides != 0 {
                let first = (self.nodes.len() + wanted.len()) as u32;
                let node_now = &mut self.nodes[*id as usize];
                (node_now.first_child, node_now.halved) = (Some(first), sides);
                let parent = Some(node.corners);
                wanted.extend(node.cell.halved(sides).map(|cell| Wanted { cell, parent }));
                divided.push(*id);
            }
        }
        if divided.is_empty() {
            return false;
        }
        self.open.retain(|id| divided.binary_search(id).is_err());
        self.add(corners, wanted);
        true
    }

    fn add(&mut self, corners: &mut Corners, wanted: Vec<Wanted>) {
        let numbers = corners.of_cells(&wanted);
        let corners = &*corners;
        let around = corners.surroundings();
        let t = self.thickness_mm;
        let volumes: Vec<Bounds> = numbers
            .par_iter()
            .with_min_len(64)
            .map(|n| volume_beyond(&n.map(|c| corners.get(c)).each_ref().map(|c| *c), t, &around))
            .collect();
        for ((wanted, corners), volume_mm3) in wanted.into_iter().zip(numbers).zip(volumes) {
            if volume_mm3.low() == volume_mm3.high() {
                self.settled[wanted.cell.slab as usize] += volume_mm3.best();
            } else {
                self.open.push(self.nodes.len() as u32);
            }
            self.nodes.push(Node {
                cell: wanted.cell,
                corners,
                volume_mm3,
                first_child: None,
                halved: 0,
            });
        }
    }

    /// The undivided cell that holds the smallest cell with this lower corner.
    pub fn leaf_at(&self, grid: &Grid, place: super::grid::Place) -> u32 {
        let mut id = grid.root_at(place) as u32;
        loop {
            let node = &self.nodes[id as usize];
            match node.first_child {
                None => return id,
                Some(first) => id = first + node.cell.half_at(node.halved, place) as u32,
            }
        }
    }
}
