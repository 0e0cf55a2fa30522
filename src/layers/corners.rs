//! Distances to the wall at the corners of cells, each asked for once.

use hashbrown::HashMap;
use rayon::prelude::*;

use crate::mesh::{Patches, Vec3};

use super::grid::{CellBox, Grid, Place};
use super::planes::Surroundings;

/// Which way distances from the wall are followed: what is split into layers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// What the wall encloses: a cavity.
    Inward,
    /// What lies around it: a mould's own body.
    Outward,
}

impl Way {
    /// Whether a point that the wall is wound around so often is in what is split.
    pub fn is_inside(self, winding: i32) -> bool {
        (winding >= 1) == (self == Self::Inward)
    }
}

/// Which side of the closed surface a point lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// In what is split: for a cavity enclosed by the wall.
    Inside,
    /// Out of it.
    Outside,
}

/// What is known at one corner.
#[derive(Debug, Clone, Copy)]
pub struct Corner {
    /// Where it is, mm.
    pub position: Vec3,
    /// The wall is at least this far, mm; exact where `nearest` is known.
    pub distance: f64,
    /// The nearest point of the wall, if it lies within the reach asked for.
    pub nearest: Option<Vec3>,
    /// Which side it lies on.
    pub side: Side,
}

/// A cell whose corners are wanted.
pub struct Wanted {
    /// The cell.
    pub cell: CellBox,
    /// The corners of the cell it came from: a start for the search.
    pub parent: Option<[u32; 8]>,
}

/// All corners asked for so far.
pub struct Corners<'a> {
    patches: &'a Patches,
    grid: &'a Grid,
    way: Way,
    /// Distances beyond the largest of these plus a cell's diagonal are not looked for, mm.
    thickness_most: f64,
    numbers: HashMap<Place, u32, foldhash::fast::FixedState>,
    list: Vec<Corner>,
}

impl<'a> Corners<'a> {
    /// No corners yet; `thicknesses` (mm) are the distances that matter.
    pub fn new(patches: &'a Patches, grid: &'a Grid, way: Way, thicknesses: &[f64]) -> Self {
        Self {
            patches,
            grid,
            way,
            thickness_most: thicknesses.iter().copied().fold(0.0, f64::max),
            numbers: HashMap::default(),
            list: Vec::new(),
        }
    }

    /// How many distances were asked for.
    pub fn count(&self) -> usize {
        self.list.len()
    }

    /// The wall, and the fill level over it.
    pub fn surroundings(&self) -> Surroundings<'a> {
        Surroundings {
            patches: self.patches,
            way: self.way,
            top_mm: self.grid.position(self.grid.end()).z,
        }
    }

    /// A corner by number.
    pub fn get(&self, number: u32) -> &Corner {
        &self.list[number as usize]
    }

    /// The corners of each cell, by number; those not yet known are found, in parallel. The
    /// numbers don't depend on the number of threads.
    pub fn of_cells(&mut self, wanted: &[Wanted]) -> Vec<[u32; 8]> {
        let mut questions: Vec<(Place, usize)> = Vec::new();
        let mut next = self.list.len() as u32;
        let found = wanted
            .iter()
            .enumerate()
            .map(|(k, w)| {
                w.cell.corners().map(|place| {
                    *self.numbers.entry(place).or_insert_with(|| {
                        questions.push((place, k));
                        next += 1;
                        next - 1
                    })
                })
            })
            .collect();
        let known = &*self;
        let answers: Vec<Corner> = questions
            .par_iter()
            .with_min_len(16)
            .map(|(place, k)| known.answer(*place, &wanted[*k]))
            .collect();
        self.list.extend(answers);
        found
    }

    fn answer(&self, place: Place, wanted: &Wanted) -> Corner {
        let position = self.grid.position(place);
        let [low, .., high] = wanted.cell.corners();
        let diagonal = self.grid.position(low).distance(self.grid.position(high));
        let parents = || wanted.parent.iter().flatten().map(|c| self.get(*c));
        let start = parents()
            .filter_map(|c| c.nearest)
            .min_by(|a, b| a.distance_squared(position).total_cmp(&b.distance_squared(position)));
        let reach = self.thickness_most + diagonal;
        let found = self.patches.nearest(position, reach, start);
        let distance = found.map_or(reach, |n| n.distance_squared.sqrt());
        let side =
            inherited_side(position, distance, parents()).unwrap_or_else(|| self.side_of(position));
        Corner { position, distance, nearest: found.map(|n| n.point), side }
    }

    fn side_of(&self, position: Vec3) -> Side {
        let inside = self.way.is_inside(self.patches.winding(position));
        if inside { Side::Inside } else { Side::Outside }
    }
}

/// The side of a known corner from which the straight way here can't meet the wall, because one
/// of the two is farther from the wall than they are from each other.
fn inherited_side<'c>(
    position: Vec3,
    distance: f64,
    mut known: impl Iterator<Item = &'c Corner>,
) -> Option<Side> {
    known.find(|c| c.position.distance(position) < distance.max(c.distance)).map(|c| c.side)
}
