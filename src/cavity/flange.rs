//! The rim of a mould around an opening, which the coat may be carried out onto.

use std::sync::Arc;

use hashbrown::{HashMap, HashSet};

use crate::mesh::{Mesh, Vec3, area_vector_doubled, closest_on_segment, triangle_area};

/// Triangles are divided until they are this share of the width across, then taken or left by
/// their middles.
const FINEST_SHARE: f64 = 1.0 / 64.0;
/// Surface whose normal leans further than 60° from up is no rim: a block's outside, another
/// impression's wall. The rim ends there.
const FACING_UP_MIN: f64 = 0.5;
/// Dividings of one triangle at most.
const DIVIDINGS: u32 = 12;

type Set<T> = HashSet<T, foldhash::fast::FixedState>;

/// The surface around the lip of one impression.
#[derive(Debug, Clone, PartialEq)]
pub struct Rim {
    /// The mould's mesh, +z up.
    pub mesh: Arc<Mesh>,
    /// Triangles of which some part is wall, rising.
    pub wall_triangles: Vec<u32>,
    /// Triangles of which some part is any impression's wall, rising.
    pub all_walls: Arc<Vec<u32>>,
    /// Height of the lip in that mesh, mm.
    pub lip: f64,
    /// Outline of the opening at the lip.
    pub outline: Vec<[Vec3; 2]>,
}

impl Rim {
    /// Area of the surface beyond the lip, and connected to it, within `width_mm` of its outline,
    /// mm²: to about 0.1 % of the ring. It ends where the surface falls away steeply.
    pub fn area_mm2(&self, width_mm: f64) -> f64 {
        if width_mm <= 0.0 || self.outline.is_empty() {
            return 0.0;
        }
        let near = Near::new(&self.outline, width_mm);
        let pieces = self.pieces(&near, width_mm);
        self.connected(&pieces)
            .into_iter()
            .map(|piece| ring_part(piece, &near, width_mm, DIVIDINGS))
            .sum()
    }

    /// Triangles, or their parts over the lip, that may come within reach, with the corners they
    /// have in the mesh.
    fn pieces(&self, near: &Near, width_mm: f64) -> Vec<(u32, [Vec3; 3])> {
        let mut wall = self.wall_triangles.iter().peekable();
        let mut all_walls = self.all_walls.iter().peekable();
        let mut pieces = Vec::new();
        for t in 0..self.mesh.triangles().len() as u32 {
            let is_wall = wall.next_if_eq(&&t).is_some();
            if all_walls.next_if_eq(&&t).is_some() && !is_wall {
                continue;
            }
            let corners = self.mesh.corners(t as usize);
            let (middle, radius) = round(corners);
            if !near.is_near_box(middle, radius + width_mm) {
                continue;
            }
            let facing = area_vector_doubled(corners);
            if !is_wall && facing.z < FACING_UP_MIN * facing.length() {
                continue;
            }
            if is_wall {
                pieces.extend(over_level(corners, self.lip).map(|part| (t, part)));
            } else {
                pieces.push((t, corners));
            }
        }
        pieces.retain(|(_, corners)| {
            let (middle, radius) = round(*corners);
            near.distance(middle, radius + width_mm) - radius <= width_mm
        });
        pieces
    }

    /// The pieces that hang together with the lip over corners of the mesh.
    fn connected(&self, pieces: &[(u32, [Vec3; 3])]) -> Vec<[Vec3; 3]> {
        let mut at: HashMap<u32, Vec<usize>, foldhash::fast::FixedState> = HashMap::default();
        for (k, (t, _)) in pieces.iter().enumerate() {
            for v in self.mesh.triangles()[*t as usize] {
                at.entry(v).or_default().push(k);
            }
        }
        let mut reached: Set<u32> = Set::default();
        let mut open: Vec<u32> = Vec::new();
        for t in &self.wall_triangles {
            for v in self.mesh.triangles()[*t as usize] {
                if self.mesh.vertices()[v as usize].z >= self.lip && reached.insert(v) {
                    open.push(v);
                }
            }
        }
        let mut taken = vec![false; pieces.len()];
        while let Some(v) = open.pop() {
            for k in at.get(&v).into_iter().flatten() {
                if std::mem::replace(&mut taken[*k], true) {
                    continue;
                }
                for v in self.mesh.triangles()[pieces[*k].0 as usize] {
                    let dry = self.mesh.vertices()[v as usize].z >= self.lip
                        || self.wall_triangles.binary_search(&pieces[*k].0).is_err();
                    if dry && reached.insert(v) {
                        open.push(v);
                    }
                }
            }
        }
        pieces.iter().zip(taken).filter(|(_, taken)| *taken).map(|((_, c), _)| *c).collect()
    }
}

/// Middle of a triangle, and how far its corners are from it at most.
fn round(corners: [Vec3; 3]) -> (Vec3, f64) {
    let middle = (corners[0] + corners[1] + corners[2]) / 3.0;
    (middle, corners.iter().map(|p| p.distance(middle)).fold(0.0, f64::max))
}

/// The part of a triangle over a level, in up to two triangles.
fn over_level(corners: [Vec3; 3], level: f64) -> impl Iterator<Item = [Vec3; 3]> {
    let mut outline: Vec<Vec3> = Vec::with_capacity(4);
    for k in 0..3 {
        let (p, q) = (corners[k], corners[(k + 1) % 3]);
        if p.z >= level {
            outline.push(p);
        }
        if (p.z >= level) != (q.z >= level) {
            outline.push(p + (q - p) * ((level - p.z) / (q.z - p.z)));
        }
    }
    (2..outline.len()).map(move |k| [outline[0], outline[k - 1], outline[k]])
}

/// Area of the part of a triangle that is within `width` of the outline.
fn ring_part(corners: [Vec3; 3], near: &Near, width: f64, dividings: u32) -> f64 {
    let (middle, radius) = round(corners);
    let distance = near.distance(middle, width + radius);
    if distance >= width + radius {
        return 0.0;
    }
    if distance + radius <= width {
        return triangle_area(corners);
    }
    if radius <= FINEST_SHARE * width || dividings == 0 {
        return if distance <= width { triangle_area(corners) } else { 0.0 };
    }
    let [a, b, c] = corners;
    let [ab, bc, ca] = [0.5 * (a + b), 0.5 * (b + c), 0.5 * (c + a)];
    [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]
        .into_iter()
        .map(|part| ring_part(part, near, width, dividings - 1))
        .sum()
}

/// The outline's pieces in level squares of the width's size.
struct Near<'a> {
    outline: &'a [[Vec3; 2]],
    low: Vec3,
    high: Vec3,
    size: f64,
    squares: HashMap<[i64; 2], Vec<u32>, foldhash::fast::FixedState>,
}

impl<'a> Near<'a> {
    fn new(outline: &'a [[Vec3; 2]], width: f64) -> Self {
        let points = || outline.iter().flatten().copied();
        let low = points().fold(Vec3::INFINITY, Vec3::min);
        let high = points().fold(Vec3::NEG_INFINITY, Vec3::max);
        // A very narrow ring would make more squares than there are pieces.
        let size = width.max((high - low).max_element() / 512.0).max(f64::MIN_POSITIVE);
        let mut near = Self { outline, low, high, size, squares: HashMap::default() };
        for (k, [a, b]) in outline.iter().enumerate() {
            for square in near.squares_of(a.min(*b), a.max(*b)) {
                near.squares.entry(square).or_default().push(k as u32);
            }
        }
        near
    }

    fn squares_of(&self, low: Vec3, high: Vec3) -> impl Iterator<Item = [i64; 2]> + use<> {
        let place = |p: Vec3| [p.x, p.y].map(|c| (c / self.size).floor() as i64);
        let ([x0, y0], [x1, y1]) = (place(low), place(high));
        (x0..=x1).flat_map(move |x| (y0..=y1).map(move |y| [x, y]))
    }

    fn is_near_box(&self, p: Vec3, reach: f64) -> bool {
        p.clamp(self.low, self.high).distance(p) <= reach
    }

    /// Distance to the outline, or `reach` if it is farther.
    fn distance(&self, p: Vec3, reach: f64) -> f64 {
        // Within the outline's box only: a large triangle may reach far beyond it.
        let reach_box = Vec3::splat(reach);
        let (low, high) = ((p - reach_box).max(self.low), (p + reach_box).min(self.high));
        let mut best = reach;
        if low.x > high.x || low.y > high.y {
            return best;
        }
        for square in self.squares_of(low, high) {
            for k in self.squares.get(&square).into_iter().flatten() {
                let [a, b] = self.outline[*k as usize];
                best = best.min(closest_on_segment(p, a, b).distance(p));
            }
        }
        best
    }
}
