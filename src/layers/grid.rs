//! The box around a cavity, divided into cells whose faces lie in the level planes.

use crate::mesh::Vec3;

/// A root cell can be halved this often along each axis.
pub const HALVINGS: u8 = 10;
/// Smallest steps along one side of a root cell.
const UNITS: u32 = 1 << HALVINGS;
/// Root cells along the longest side of the box, about.
const ROOTS_LONGEST: f64 = 8.0;

/// A place of the grid, in smallest steps from its lowest corner.
pub type Place = [u32; 3];

/// The root cells: even along x and y, and along z even within each slab.
#[derive(Debug, Clone)]
pub struct Grid {
    low: Vec3,
    step_x: f64,
    step_y: f64,
    /// Heights between root layers, rising.
    levels: Vec<f64>,
    counts: [u32; 3],
    /// The slab that each root layer belongs to.
    slabs: Vec<u8>,
}

impl Grid {
    /// A grid over the box from `low` to `high` in x and y and over the slabs between rising
    /// `heights` (two at least) in z, mm.
    pub fn new(low: Vec3, high: Vec3, heights: &[f64]) -> Self {
        let depth = heights[heights.len() - 1] - heights[0];
        let size = (high.x - low.x).max(high.y - low.y).max(depth) / ROOTS_LONGEST;
        let count = |length: f64| (length / size).round().max(1.0);
        let (count_x, count_y) = (count(high.x - low.x), count(high.y - low.y));
        let mut levels = vec![heights[0]];
        let mut slabs = Vec::new();
        for (slab, pair) in heights.windows(2).enumerate() {
            let layers = count(pair[1] - pair[0]);
            for k in 1..layers as u32 {
                levels.push(pair[0] + (pair[1] - pair[0]) * f64::from(k) / layers);
            }
            levels.push(pair[1]);
            slabs.resize(levels.len() - 1, slab as u8);
        }
        Self {
            low,
            step_x: (high.x - low.x) / (count_x * f64::from(UNITS)),
            step_y: (high.y - low.y) / (count_y * f64::from(UNITS)),
            counts: [count_x as u32, count_y as u32, slabs.len() as u32],
            levels,
            slabs,
        }
    }

    /// The place of the grid's highest corner.
    pub fn end(&self) -> Place {
        self.counts.map(|n| n * UNITS)
    }

    /// The place of the top of the grid along z.
    pub fn top(&self) -> u32 {
        self.end()[2]
    }

    /// A place in mm. Equal places give equal points, whichever cell asks.
    pub fn position(&self, [x, y, z]: Place) -> Vec3 {
        let layer = (z / UNITS).min(self.counts[2] - 1) as usize;
        let share = f64::from(z - layer as u32 * UNITS) / f64::from(UNITS);
        let (floor, ceiling) = (self.levels[layer], self.levels[layer + 1]);
        let height = if share == 1.0 { ceiling } else { floor + (ceiling - floor) * share };
        Vec3::new(
            self.low.x + f64::from(x) * self.step_x,
            self.low.y + f64::from(y) * self.step_y,
            height,
        )
    }

    /// The root cells, in the order of [`Grid::root_at`].
    pub fn roots(&self) -> Vec<CellBox> {
        let [nx, ny, nz] = self.counts;
        let mut roots = Vec::with_capacity((nx * ny * nz) as usize);
        for z in 0..nz {
            for y in 0..ny {
                for x in 0..nx {
                    roots.push(CellBox {
                        at: [x * UNITS, y * UNITS, z * UNITS],
                        halvings: [0; 3],
                        slab: self.slabs[z as usize],
                    });
                }
            }
        }
        roots
    }

    /// The number of the root cell that a place (the lower corner of a smallest cell) lies in.
    pub fn root_at(&self, [x, y, z]: Place) -> usize {
        let [nx, ny, _] = self.counts;
        ((z / UNITS * ny + y / UNITS) * nx + x / UNITS) as usize
    }
}

/// A cell: a box of the grid, its sides halved a number of times from the root cell's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CellBox {
    /// Its lowest corner.
    pub at: Place,
    /// How often each side was halved.
    pub halvings: [u8; 3],
    /// The slab it belongs to.
    pub slab: u8,
}

impl CellBox {
    /// Its eight corners; bit 0 of the number is x, bit 1 y, bit 2 z.
    pub fn corners(&self) -> [Place; 8] {
        std::array::from_fn(|k| {
            std::array::from_fn(|axis| {
                self.at[axis] + if k >> axis & 1 == 1 { self.side(axis) } else { 0 }
            })
        })
    }

    fn side(&self, axis: usize) -> u32 {
        UNITS >> self.halvings[axis]
    }

    /// Which sides to halve so that the cell stays about as long as wide, as bits; 0 where it
    /// can't be divided any more. `size` is its size in mm.
    pub fn sides_to_halve(&self, size: Vec3) -> u8 {
        let longest = size.max_element();
        let mut sides = 0;
        for axis in 0..3 {
            if size[axis] > 0.71 * longest {
                if self.halvings[axis] >= HALVINGS {
                    return 0;
                }
                sides |= 1 << axis;
            }
        }
        sides
    }

    /// The cells it falls into when the named sides are halved; the lower half of the lowest
    /// named side comes first.
    pub fn halved(&self, sides: u8) -> impl Iterator<Item = CellBox> {
        let parent = *self;
        (0..8u8).filter(move |k| k & !sides == 0).map(move |k| {
            let mut child = parent;
            for axis in 0..3 {
                if sides >> axis & 1 == 1 {
                    child.halvings[axis] += 1;
                }
                if k >> axis & 1 == 1 {
                    child.at[axis] += child.side(axis);
                }
            }
            child
        })
    }

    /// Which of the cells that [`CellBox::halved`] gives holds the place.
    pub fn half_at(&self, sides: u8, place: Place) -> usize {
        let (mut number, mut weight) = (0, 1);
        for (axis, at) in place.into_iter().enumerate() {
            if sides >> axis & 1 == 1 {
                let upper = at >= self.at[axis] + self.side(axis) / 2;
                number += if upper { weight } else { 0 };
                weight *= 2;
            }
        }
        number
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faces_lie_in_the_levels_and_halves_are_found_again() {
        let grid = Grid::new(Vec3::ZERO, Vec3::new(80.0, 40.0, 0.0), &[0.0, 27.0, 30.0]);
        assert_eq!(grid.counts, [8, 4, 4]);
        assert_eq!(grid.position([0, 0, 3 * UNITS]).z, 27.0);
        assert_eq!(grid.position([0, 0, grid.top()]).z, 30.0);
        let root = grid.roots()[grid.root_at([UNITS, 0, 3 * UNITS])];
        assert_eq!((root.at, root.slab), ([UNITS, 0, 3 * UNITS], 1));
        for sides in [0b111, 0b011, 0b101, 0b100] {
            for (k, half) in root.halved(sides).enumerate() {
                assert_eq!(root.half_at(sides, half.at), k);
            }
        }
    }
}
