//! Volumes by counting points: slow, plain, and written without a line of the program's own.
//!
//! Two random points in every cell of a grid over the body's box: inside or not by counting signed
//! crossings of the surface along z, distance to the wall by trying every triangle. The two
//! points of a cell are independent, so half the square of their difference is an unbiased
//! estimate of the cell's variance, and the sum over cells gives the standard error (stratified
//! sampling with two draws a stratum; Cochran, "Sampling Techniques", ch. 5; from memory).

use super::chance::Chance;
use super::vector::{Point, add, between, cross, dot, norm, scale, sub};

/// A volume counted, with its standard error; mm³.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counted {
    pub volume: f64,
    pub error: f64,
}

/// What to count: a closed outward surface, its wall, and the levels.
pub struct Question<'a> {
    /// All triangles of the closed surface.
    pub surface: &'a [[Point; 3]],
    /// Those that are brushed.
    pub wall: &'a [[Point; 3]],
    /// Nothing above this height counts, and the wall ends there; mm.
    pub fill: f64,
    /// Thickness of each coat from the wall inward, mm.
    pub coats: &'a [f64],
    /// Depth of the cap under the fill level, mm.
    pub cap: f64,
    /// Cells along the longest side of the box.
    pub cells: usize,
}

/// The volumes counted.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    pub whole: Counted,
    pub skin: Counted,
    pub coats: Vec<Counted>,
    pub core: Counted,
    pub cap: Counted,
}

/// Which layer a point belongs to: a coat's number, or one of these.
const CORE: usize = 1000;
const CAP: usize = 1001;
const OUTSIDE: usize = 1002;

/// Counts the layers of a body.
pub fn count(question: &Question, seed: u64) -> Answer {
    let mut chance = Chance::new(seed);
    let wall = cut_off(question.wall, question.fill);
    let (low, size, cells) = grid(question.surface, question.cells);
    let mut tallies = vec![Tally::default(); question.coats.len()];
    let [mut whole, mut skin, mut core, mut cap] = [Tally::default(); 4];
    for i in 0..cells[0] {
        for j in 0..cells[1] {
            for k in 0..cells[2] {
                let corner = add(low, [i as f64 * size, j as f64 * size, k as f64 * size]);
                let pair = [0, 1].map(|_| {
                    let draw = [chance.unit(), chance.unit(), chance.unit()];
                    layer(question, &wall, add(corner, scale(draw, size)))
                });
                whole.add(pair.map(|l| l != OUTSIDE));
                skin.add(pair.map(|l| l < CORE));
                core.add(pair.map(|l| l == CORE));
                cap.add(pair.map(|l| l == CAP));
                for (n, tally) in tallies.iter_mut().enumerate() {
                    tally.add(pair.map(|l| l == n));
                }
            }
        }
    }
    let cell = size.powi(3);
    Answer {
        whole: whole.counted(cell),
        skin: skin.counted(cell),
        coats: tallies.iter().map(|t| t.counted(cell)).collect(),
        core: core.counted(cell),
        cap: cap.counted(cell),
    }
}

#[derive(Debug, Clone, Copy, Default)]
struct Tally {
    hits: u64,
    unequal: u64,
}

impl Tally {
    fn add(&mut self, pair: [bool; 2]) {
        self.hits += u64::from(pair[0]) + u64::from(pair[1]);
        self.unequal += u64::from(pair[0] != pair[1]);
    }

    /// The mean of two draws has a quarter of the squared difference as its variance. One cell's
    /// worth is added, so that a count that happened to see no border does not claim to be exact.
    fn counted(&self, cell: f64) -> Counted {
        let error = (self.unequal as f64 / 4.0).sqrt() + 0.25;
        Counted { volume: self.hits as f64 / 2.0 * cell, error: error * cell }
    }
}

/// Lowest corner, side and number of the cubes over the surface's box. The grid starts at an odd
/// fraction of a cell under the box, so that it has no plane in common with an upright face.
fn grid(surface: &[[Point; 3]], cells: usize) -> (Point, f64, [usize; 3]) {
    let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    for p in surface.iter().flatten() {
        for k in 0..3 {
            low[k] = low[k].min(p[k]);
            high[k] = high[k].max(p[k]);
        }
    }
    let extent = sub(high, low);
    let size = extent[0].max(extent[1]).max(extent[2]) / cells as f64;
    let low = sub(low, scale([0.377, 0.411, 0.353], size));
    (low, size, extent.map(|e| (e / size).ceil() as usize + 1))
}

fn layer(question: &Question, wall: &[[Point; 3]], p: Point) -> usize {
    if p[2] >= question.fill || winding(question.surface, p) <= 0 {
        return OUTSIDE;
    }
    let distance = wall.iter().map(|t| distance(p, *t)).fold(f64::INFINITY, f64::min);
    let mut depth = 0.0;
    for (n, coat) in question.coats.iter().enumerate() {
        depth += coat;
        if distance <= depth {
            return n;
        }
    }
    if p[2] > question.fill - question.cap { CAP } else { CORE }
}

/// How many more times the upward ray from a point leaves the surface than enters it.
fn winding(surface: &[[Point; 3]], p: Point) -> i32 {
    let mut crossings = 0;
    for [a, b, c] in surface {
        let turn =
            |u: &Point, v: &Point| (u[0] - p[0]) * (v[1] - p[1]) - (u[1] - p[1]) * (v[0] - p[0]);
        let (ab, bc, ca) = (turn(a, b), turn(b, c), turn(c, a));
        let up = ab > 0.0 && bc > 0.0 && ca > 0.0;
        let down = ab < 0.0 && bc < 0.0 && ca < 0.0;
        if !up && !down {
            continue;
        }
        let whole = ab + bc + ca;
        let height = (a[2] * bc + b[2] * ca + c[2] * ab) / whole;
        if height > p[2] {
            crossings += if up { 1 } else { -1 };
        }
    }
    crossings
}

/// Distance of a point from a triangle: to its plane where the foot lies inside, else to the
/// nearest of its sides.
pub fn distance(p: Point, [a, b, c]: [Point; 3]) -> f64 {
    let normal = cross(sub(b, a), sub(c, a));
    let within = |u: Point, v: Point| dot(cross(sub(v, u), sub(p, u)), normal) >= 0.0;
    if within(a, b) && within(b, c) && within(c, a) && norm(normal) > 0.0 {
        return (dot(normal, sub(p, a)) / norm(normal)).abs();
    }
    let to_side = |u: Point, v: Point| {
        let along = sub(v, u);
        let square = dot(along, along);
        let f = if square > 0.0 { (dot(sub(p, u), along) / square).clamp(0.0, 1.0) } else { 0.0 };
        norm(sub(p, between(u, v, f)))
    };
    to_side(a, b).min(to_side(b, c)).min(to_side(c, a))
}

/// The part of each triangle at or under a level, as triangles.
pub fn cut_off(triangles: &[[Point; 3]], level: f64) -> Vec<[Point; 3]> {
    let mut kept = Vec::new();
    for t in triangles {
        let mut polygon: Vec<Point> = Vec::new();
        for k in 0..3 {
            let (p, q) = (t[k], t[(k + 1) % 3]);
            if p[2] <= level {
                polygon.push(p);
            }
            if (p[2] < level && q[2] > level) || (p[2] > level && q[2] < level) {
                polygon.push(between(p, q, (level - p[2]) / (q[2] - p[2])));
            }
        }
        for k in 2..polygon.len() {
            kept.push([polygon[0], polygon[k - 1], polygon[k]]);
        }
    }
    kept
}
