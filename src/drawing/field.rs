//! The depth under the wall over a plane, and its contours: the layers' faces as they are cut.
//!
//! Depth is the distance to the wall, positive in the cavity: the same that the layers' volumes
//! are made of. Squares are divided only where a contour may pass, which the depth itself tells,
//! as it changes no faster than the place. In the smallest squares contours are straight between
//! depths that are right at the corners, so that their places are right to the second order.

use hashbrown::HashMap;
use rayon::prelude::*;

use crate::mesh::{Patches, Vec3};

use super::plane::CutPlane;
use super::region::{Point, Region, simplified_ring};

/// Squares along the longer side of a drawing.
const SQUARES: f64 = 512.0;
/// Squares are looked at first in blocks of so many along a side: a power of two.
const BLOCK: i64 = 32;
/// How far a simplified contour may lie off, in squares.
const SIMPLER: f64 = 0.04;
/// The uppermost corners lie this share of the drawing under the level, where the wall is closed.
const UNDER_LEVEL: f64 = 1e-9;

type Map<K, V> = HashMap<K, V, foldhash::fast::FixedState>;

/// A body cut by a plane.
pub struct Cut<'a> {
    /// The body's surface.
    pub patches: &'a Patches,
    /// Where it is cut.
    pub plane: &'a CutPlane,
    /// The part of the plane that holds it, mm.
    pub area: [Point; 2],
    /// In the plane, the height over which the surface may be open: nothing is drawn beyond, mm.
    pub level: Option<f64>,
}

/// Squares over the part of the plane that is drawn.
struct Squares {
    low: Point,
    step: f64,
    counts: [i64; 2],
    /// The last row of squares ends over the level, where nothing counts as inside.
    open: bool,
}

impl Squares {
    fn over([low, high]: [Point; 2], level: Option<f64>) -> Option<Self> {
        let sides = [high[0] - low[0], high[1] - low[1]];
        let longest = sides[0].max(sides[1]);
        let step = longest / SQUARES;
        if !(step > 0.0 && step.is_finite()) {
            return None;
        }
        // Two squares of nothing all round; with a level the last corners but one lie just in it.
        let left = low[0] - 2.0 * step;
        let across = (sides[0] / step).ceil() as i64 + 4;
        let (bottom, rows) = match level {
            Some(level) => {
                let under = level - UNDER_LEVEL * longest;
                let rows = ((under - low[1]) / step).ceil().max(0.0) as i64 + 2;
                (under - rows as f64 * step, rows + 1)
            }
            None => (low[1] - 2.0 * step, (sides[1] / step).ceil() as i64 + 4),
        };
        Some(Self { low: [left, bottom], step, counts: [across, rows], open: level.is_some() })
    }

    fn place(&self, x: f64, y: f64) -> Point {
        [self.low[0] + x * self.step, self.low[1] + y * self.step]
    }

    /// A corner over the level.
    fn is_over(&self, [_, y]: [i64; 2]) -> bool {
        self.open && y >= self.counts[1]
    }
}

impl Cut<'_> {
    /// The figures that lie deeper in the body than each of some depths, mm, rising from 0.
    pub fn deeper_than(&self, depths_mm: &[f64]) -> Vec<Region> {
        let nothing = || vec![Region::default(); depths_mm.len()];
        let Some(squares) = Squares::over(self.area, self.level) else { return nothing() };
        let smallest = self.undecided(&squares, depths_mm);
        let depths = self.at_corners(&squares, &smallest);
        let contour = |depth: &f64| {
            let rings = rings(&squares, &smallest, &depths, *depth);
            let simpler = |ring: Vec<Point>| simplified_ring(&ring, SIMPLER * squares.step);
            Region::of_rings(rings.into_iter().map(simpler).filter(|r| r.len() > 2).collect())
        };
        depths_mm.par_iter().map(contour).collect()
    }

    /// The smallest squares that a contour may pass, by their lower left corners, in order.
    fn undecided(&self, squares: &Squares, depths_mm: &[f64]) -> Vec<[i64; 2]> {
        let [across, rows] = squares.counts;
        let blocks = |count: i64| (0..(count + BLOCK - 1) / BLOCK).map(|k| k * BLOCK);
        let columns: Vec<i64> = blocks(across).collect();
        let mut open: Vec<([i64; 2], Option<Vec3>)> =
            blocks(rows).flat_map(|y| columns.iter().map(move |x| ([*x, y], None))).collect();
        let mut size = BLOCK;
        loop {
            let look = |(at, known): &([i64; 2], Option<Vec3>)| {
                if at[0] >= across || at[1] >= rows {
                    return None;
                }
                let nearest = self.near_contour(squares, *at, size, *known, depths_mm);
                nearest.map(|known| (*at, known))
            };
            open = open.par_iter().filter_map(look).collect();
            if size == 1 {
                return open.into_iter().map(|(at, _)| at).collect();
            }
            size /= 2;
            let quarters = |([x, y], known): ([i64; 2], Option<Vec3>)| {
                [[x, y], [x + size, y], [x, y + size], [x + size, y + size]].map(|at| (at, known))
            };
            open = open.into_iter().flat_map(quarters).collect();
        }
    }

    /// `None` where no contour passes a square; else the nearest point of the surface to its
    /// middle, where one is known.
    fn near_contour(
        &self,
        squares: &Squares,
        [x, y]: [i64; 2],
        size: i64,
        known: Option<Vec3>,
        depths_mm: &[f64],
    ) -> Option<Option<Vec3>> {
        if squares.open && y + size >= squares.counts[1] {
            return Some(known);
        }
        let half = 0.5 * size as f64;
        let middle = self.plane.to_space(squares.place(x as f64 + half, y as f64 + half));
        // A hair more than half the diagonal.
        let radius = 0.708 * size as f64 * squares.step;
        let deepest = depths_mm.iter().copied().fold(0.0, f64::max);
        let nearest = self.patches.nearest(middle, deepest + radius, known)?;
        let distance = nearest.distance_squared.sqrt();
        let passes = depths_mm.iter().any(|depth| (distance - depth).abs() <= radius);
        // Outside the body no depth but that of the surface itself can be near.
        let is_out = || distance > radius && self.patches.winding(middle) <= 0;
        (passes && !is_out()).then_some(Some(nearest.point))
    }

    /// The depths at the corners of the smallest squares.
    fn at_corners(&self, squares: &Squares, smallest: &[[i64; 2]]) -> Map<[i64; 2], f64> {
        let corners = |[x, y]: &[i64; 2]| [[*x, *y], [x + 1, *y], [*x, y + 1], [x + 1, y + 1]];
        let mut all: Vec<[i64; 2]> = smallest.iter().flat_map(corners).collect();
        all.par_sort_unstable_by_key(|[x, y]| (*y, *x));
        all.dedup();
        // Neighbours in a row start from one another's nearest point.
        let depths = all.par_chunks(64).flat_map_iter(|corners| {
            let mut known = None;
            corners.iter().map(move |at| (*at, self.depth(squares, *at, &mut known)))
        });
        depths.collect::<Vec<_>>().into_iter().collect()
    }

    fn depth(&self, squares: &Squares, at: [i64; 2], known: &mut Option<Vec3>) -> f64 {
        if squares.is_over(at) {
            return -squares.step;
        }
        let p = self.plane.to_space(squares.place(at[0] as f64, at[1] as f64));
        let nearest = self.patches.nearest(p, f64::INFINITY, *known);
        *known = nearest.map(|n| n.point);
        let distance = nearest.map_or(f64::INFINITY, |n| n.distance_squared.sqrt());
        if self.patches.winding(p) > 0 { distance } else { -distance }
    }
}

/// The side of a square that a contour crosses: its first corner, and whether it goes up.
type Side = ([i64; 2], bool);

/// The closed contours at a depth, the deeper side on their left.
fn rings(
    squares: &Squares,
    smallest: &[[i64; 2]],
    depths: &Map<[i64; 2], f64>,
    depth: f64,
) -> Vec<Vec<Point>> {
    let over = |at: [i64; 2]| depths.get(&at).map_or(-1.0, |d| d - depth);
    let mut next: Map<Side, Side> = Map::default();
    let mut starts: Vec<Side> = Vec::new();
    for [x, y] in smallest.iter().copied() {
        let corners = [[x, y], [x + 1, y], [x + 1, y + 1], [x, y + 1]];
        for (from, to) in pieces([x, y], corners.map(over)) {
            next.insert(from, to);
            starts.push(from);
        }
    }
    let crossing = |(at, goes_up): Side| {
        let end = if goes_up { [at[0], at[1] + 1] } else { [at[0] + 1, at[1]] };
        let (a, b) = (over(at), over(end));
        let along = if a == b { 0.5 } else { (a / (a - b)).clamp(0.0, 1.0) };
        let (dx, dy) = if goes_up { (0.0, along) } else { (along, 0.0) };
        squares.place(at[0] as f64 + dx, at[1] as f64 + dy)
    };
    let mut rings = Vec::new();
    for start in starts {
        let mut ring = Vec::new();
        let mut side = start;
        while let Some(to) = next.remove(&side) {
            ring.push(crossing(side));
            side = to;
        }
        if ring.len() > 2 {
            rings.push(ring);
        }
    }
    rings
}

/// How a contour runs through a square: from which side to which, the positive corners on its
/// left. `over` are the values at its corners, counter-clockwise from the lower left.
fn pieces([x, y]: [i64; 2], over: [f64; 4]) -> Vec<(Side, Side)> {
    let sides: [Side; 4] =
        [([x, y], false), ([x + 1, y], true), ([x, y + 1], false), ([x, y], true)];
    let inside = over.map(|value| value >= 0.0);
    // A side from outside to inside, counter-clockwise, is where a contour leaves the square: it
    // has the inside on its left.
    let (mut enters, mut leaves) = (Vec::new(), Vec::new());
    for k in 0..4 {
        match (inside[k], inside[(k + 1) % 4]) {
            (true, false) => enters.push(k),
            (false, true) => leaves.push(k),
            _ => {}
        }
    }
    match (enters.as_slice(), leaves.as_slice()) {
        ([a], [b]) => vec![(sides[*a], sides[*b])],
        ([a, c], [b, d]) => {
            // Two opposite corners are inside: the middle says whether they hang together.
            let joined = over.iter().sum::<f64>() >= 0.0;
            let follows = |k: usize, way: usize| if (k + way) % 4 == *b { *b } else { *d };
            let way = if joined { 1 } else { 3 };
            vec![(sides[*a], sides[follows(*a, way)]), (sides[*c], sides[follows(*c, way)])]
        }
        _ => Vec::new(),
    }
}
