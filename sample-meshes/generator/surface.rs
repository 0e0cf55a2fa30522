//! From an implicit shape to triangles: marching tetrahedra on a lattice of cubes, each cut into
//! six tetrahedra around its diagonal (Kuhn's subdivision).
//!
//! Every triangle lies in a tetrahedron of its own, so the surface can't cross itself. Lattice
//! points close to the surface are first drawn onto it (the idea of isosurface stuffing, Labelle &
//! Shewchuk 2007), which leaves no slivers. A flat back is the lattice's topmost plane: the
//! tetrahedra end there, and the same cut corners serve wall and back.

use std::collections::HashMap;

use super::implicit::Shape;
use super::vector::{Point, dot, length, middle, scale, sub};

/// A lattice point closer to the surface than this share of the spacing is drawn onto it.
///
/// A tetrahedron's least width is 1/√3 of the spacing (between opposite edges such as 0–xy and
/// x–xyz). Points that move by less than half of that can't flatten or turn it over.
const SNAP: f64 = 0.25;

/// Where to look for the surface.
pub struct Region {
    /// Lowest corner, mm; outside the shape.
    pub low: Point,
    /// Highest corner, mm; outside the shape, but its z is the flat back where there is one.
    pub high: Point,
    /// Edge of a lattice cube, mm.
    pub spacing: f64,
    /// The shape is cut off level at `high[2]`.
    pub flat_back: bool,
}

/// Corners and triangles, counter-clockwise seen from outside.
#[derive(Default)]
pub struct Surface {
    pub corners: Vec<Point>,
    pub triangles: Vec<[u32; 3]>,
}

/// Which side of the surface a lattice point is on.
#[derive(Clone, Copy, PartialEq)]
enum Side {
    In,
    On,
    Out,
}

/// The surface of the shape within the region.
///
/// # Errors
/// Says where the shape sticks out of the region.
pub fn surface(shape: &Shape, region: &Region) -> Result<Surface, String> {
    let lattice = Lattice::new(shape, region)?;
    let mut cutter =
        Cutter { shape, lattice: &lattice, made: HashMap::new(), out: Surface::default() };
    let [nx, ny, nz] = lattice.points.map(|n| n - 1);
    for (k, j, i) in triples(nz, ny, nx) {
        cutter.cut_cube([i, j, k]);
        if region.flat_back && k + 1 == nz {
            cutter.cut_back([i, j, k + 1]);
        }
    }
    Ok(cutter.out)
}

/// Every combination of three indices, the last running fastest.
fn triples(n: usize, m: usize, l: usize) -> impl Iterator<Item = (usize, usize, usize)> {
    (0..n).flat_map(move |a| (0..m).flat_map(move |b| (0..l).map(move |c| (a, b, c))))
}

struct Lattice {
    points: [usize; 3],
    places: Vec<Point>,
    sides: Vec<Side>,
}

impl Lattice {
    fn new(shape: &Shape, region: &Region) -> Result<Self, String> {
        let h = region.spacing;
        let points = [0, 1, 2].map(|a| ((region.high[a] - region.low[a]) / h).ceil() as usize + 1);
        let mut lattice = Self { points, places: Vec::new(), sides: Vec::new() };
        for (k, j, i) in triples(points[2], points[1], points[0]) {
            let top = k + 1 == points[2];
            // Counted down from the back, so that the back lies exactly where it should.
            let z = region.high[2] - (points[2] - 1 - k) as f64 * h;
            let rest = [region.low[0] + i as f64 * h, region.low[1] + j as f64 * h, z];
            let (place, side) = settle(shape, rest, h * SNAP, region.flat_back && top);
            let border = i == 0 || j == 0 || k == 0 || i + 1 == points[0] || j + 1 == points[1];
            if side != Side::Out && (border || (top && !region.flat_back)) {
                return Err(format!("the shape leaves its region near {rest:?}"));
            }
            lattice.places.push(place);
            lattice.sides.push(side);
        }
        Ok(lattice)
    }

    fn index(&self, at: [usize; 3]) -> usize {
        (at[2] * self.points[1] + at[1]) * self.points[0] + at[0]
    }
}

/// Draws a lattice point onto the surface if it is closer to it than `near`; a point of the flat
/// back stays in its plane.
fn settle(shape: &Shape, rest: Point, near: f64, in_back: bool) -> (Point, Side) {
    let value = shape(rest);
    let side = if value < 0.0 { Side::In } else { Side::Out };
    if value.abs() > 4.0 * near {
        return (rest, side);
    }
    let mut place = rest;
    for _ in 0..8 {
        let mut slope = gradient(shape, place, near);
        if in_back {
            slope[2] = 0.0;
        }
        let steep = dot(slope, slope);
        if steep < 0.04 {
            return (rest, side);
        }
        place = sub(place, scale(slope, shape(place) / steep));
    }
    if length(sub(place, rest)) < near && shape(place).abs() < 1e-6 {
        (place, Side::On)
    } else {
        (rest, side)
    }
}

fn gradient(shape: &Shape, p: Point, near: f64) -> Point {
    let step = near * 1e-3;
    [0, 1, 2].map(|a| {
        let mut ahead = p;
        let mut behind = p;
        ahead[a] += step;
        behind[a] -= step;
        (shape(ahead) - shape(behind)) / (2.0 * step)
    })
}

struct Cutter<'a> {
    shape: &'a Shape,
    lattice: &'a Lattice,
    /// Corner number by the lattice points of the edge it lies on, inside one first.
    made: HashMap<(usize, usize), u32>,
    out: Surface,
}

impl Cutter<'_> {
    fn cut_cube(&mut self, at: [usize; 3]) {
        const ORDERS: [[usize; 3]; 6] =
            [[0, 1, 2], [1, 2, 0], [2, 0, 1], [0, 2, 1], [2, 1, 0], [1, 0, 2]];
        for (n, order) in ORDERS.iter().enumerate() {
            let mut corner = at;
            let mut tetrahedron = [self.lattice.index(at); 4];
            for (step, &axis) in order.iter().enumerate() {
                corner[axis] += 1;
                tetrahedron[step + 1] = self.lattice.index(corner);
            }
            // The last three orders are odd, which mirrors the tetrahedron.
            if n >= 3 {
                tetrahedron.swap(2, 3);
            }
            self.cut_tetrahedron(tetrahedron);
        }
    }

    /// Cuts a tetrahedron of positive volume.
    fn cut_tetrahedron(&mut self, t: [usize; 4]) {
        // Even permutations, so that the volume stays positive.
        const FIRST: [[usize; 4]; 4] = [[0, 1, 2, 3], [1, 0, 3, 2], [2, 0, 1, 3], [3, 0, 2, 1]];
        const PAIRS: [[usize; 4]; 6] =
            [[0, 1, 2, 3], [0, 2, 3, 1], [0, 3, 1, 2], [1, 2, 0, 3], [1, 3, 2, 0], [2, 3, 0, 1]];
        let inside = t.map(|v| self.lattice.sides[v] == Side::In);
        match inside.iter().filter(|&&i| i).count() {
            1 => {
                if let Some(p) = FIRST.iter().find(|p| inside[p[0]]) {
                    let [a, b, c, d] = p.map(|n| t[n]);
                    let corners = [self.cut(a, b), self.cut(a, c), self.cut(a, d)];
                    self.emit(&corners);
                }
            }
            2 => {
                if let Some(p) = PAIRS.iter().find(|p| inside[p[0]] && inside[p[1]]) {
                    let [a, b, c, d] = p.map(|n| t[n]);
                    let corners = [self.cut(a, c), self.cut(a, d), self.cut(b, d), self.cut(b, c)];
                    self.emit(&corners);
                }
            }
            3 => {
                if let Some(p) = FIRST.iter().find(|p| !inside[p[0]]) {
                    let [a, b, c, d] = p.map(|n| t[n]);
                    let corners = [self.cut(d, a), self.cut(c, a), self.cut(b, a)];
                    self.emit(&corners);
                }
            }
            _ => {}
        }
    }

    /// Closes the part of a lattice square in the back that lies inside.
    fn cut_back(&mut self, at: [usize; 3]) {
        let [i, j, k] = at;
        let near = self.lattice.index(at);
        let far = self.lattice.index([i + 1, j + 1, k]);
        let right = self.lattice.index([i + 1, j, k]);
        let left = self.lattice.index([i, j + 1, k]);
        for triangle in [[near, right, far], [near, far, left]] {
            let mut corners = Vec::with_capacity(4);
            for n in 0..3 {
                let (a, b) = (triangle[n], triangle[(n + 1) % 3]);
                match (self.lattice.sides[a] == Side::In, self.lattice.sides[b] == Side::In) {
                    (true, true) => corners.push(self.corner((a, a))),
                    (true, false) => {
                        corners.push(self.corner((a, a)));
                        corners.push(self.cut(a, b));
                    }
                    (false, true) => corners.push(self.cut(b, a)),
                    (false, false) => {}
                }
            }
            self.emit(&corners);
        }
    }

    /// The corner where the surface crosses the edge between a point inside and one that is not.
    fn cut(&mut self, inside: usize, other: usize) -> u32 {
        if self.lattice.sides[other] == Side::On {
            self.corner((other, other))
        } else {
            self.corner((inside, other))
        }
    }

    fn corner(&mut self, key: (usize, usize)) -> u32 {
        if let Some(&n) = self.made.get(&key) {
            return n;
        }
        let (mut inside, mut outside) = (self.lattice.places[key.0], self.lattice.places[key.1]);
        // Forty halvings of a few millimetres reach 1e-12 mm.
        for _ in 0..40 {
            let between = middle(inside, outside);
            if (self.shape)(between) < 0.0 { inside = between } else { outside = between }
        }
        let n = self.out.corners.len() as u32;
        self.out.corners.push(middle(inside, outside));
        self.made.insert(key, n);
        n
    }

    /// Adds a triangle or, along its shorter diagonal, a four-sided piece as two.
    fn emit(&mut self, loop_of: &[u32]) {
        let mut corners: Vec<u32> = Vec::with_capacity(4);
        for &c in loop_of {
            if !corners.contains(&c) {
                corners.push(c);
            }
        }
        match corners[..] {
            [a, b, c] => self.out.triangles.push([a, b, c]),
            [a, b, c, d] if self.gap(a, c) <= self.gap(b, d) => {
                self.out.triangles.extend([[a, b, c], [a, c, d]]);
            }
            [a, b, c, d] => self.out.triangles.extend([[a, b, d], [b, c, d]]),
            _ => {}
        }
    }

    fn gap(&self, a: u32, b: u32) -> f64 {
        length(sub(self.out.corners[a as usize], self.out.corners[b as usize]))
    }
}
