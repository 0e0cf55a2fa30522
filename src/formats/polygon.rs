//! Cuts a flat face with any number of corners into triangles by clipping ears.
//!
//! A notch is kept a notch, so that the area is right. Corners in the middle of a straight side
//! become corners of triangles that have area, because neighbouring faces share them; a convex
//! face becomes the fan from its first corner.
//!
//! Source: the two ears theorem, G. H. Meisters, Amer. Math. Monthly 82 (1975) 648 (from memory).
//! Directions are decided by exact predicates, so rounding can't make a wrong ear.

use robust::{Coord, orient2d};

use crate::mesh::Vec3;

/// More corners than any exported face has; the time grows with their square.
pub(super) const MOST_CORNERS: usize = 20_000;

/// Cuts faces one after the other, keeping its memory.
#[derive(Default)]
pub(super) struct Cutter {
    /// Corners that are left, in a ring.
    ring: Vec<Link>,
    /// Corners that may lie inside an ear: those that are not sharp.
    blunt: Vec<usize>,
}

/// A corner in the ring, seen in the face's plane, where the face runs counter-clockwise.
struct Link {
    flat: Coord<f64>,
    vertex: u32,
    before: usize,
    after: usize,
    sharp: bool,
    /// A corner that was found inside this one's ear: asked first when its turn comes again.
    obstacle: usize,
}

const NONE: usize = usize::MAX;

impl Cutter {
    /// Appends the face's triangles. `false` when the face crosses itself, so that the triangles
    /// can only cover it as well as possible.
    ///
    /// Assumptions: at least three corners, all in range.
    pub(super) fn cut(
        &mut self,
        face: &[u32],
        positions: &[Vec3],
        triangles: &mut Vec<[u32; 3]>,
    ) -> bool {
        let normal = area_vector(face, positions);
        if let &[a, b, c] = face {
            triangles.push([a, b, c]);
            return true;
        }
        if normal == Vec3::ZERO {
            // No area, so any triangles do.
            triangles.extend(face[1..].windows(2).map(|w| [face[0], w[0], w[1]]));
            return true;
        }
        self.lay_out(face, positions, normal);
        self.clip(triangles)
    }

    /// Fills the ring with the face seen along the axis its normal is closest to.
    fn lay_out(&mut self, face: &[u32], positions: &[Vec3], normal: Vec3) {
        let count = face.len();
        self.ring.clear();
        self.ring.extend(face.iter().enumerate().map(|(i, &vertex)| Link {
            flat: flattened(positions[vertex as usize], normal),
            vertex,
            before: (i + count - 1) % count,
            after: (i + 1) % count,
            sharp: false,
            obstacle: NONE,
        }));
        self.blunt.clear();
        for i in 0..count {
            self.ring[i].sharp = self.turn(i) > 0.0;
            if !self.ring[i].sharp {
                self.blunt.push(i);
            }
        }
    }

    fn clip(&mut self, triangles: &mut Vec<[u32; 3]>) -> bool {
        let mut clean = true;
        let mut left = self.ring.len();
        let mut at = self.ring[0].after;
        let mut misses = 0;
        while left > 3 {
            let is_ear = self.is_ear(at);
            if !is_ear && misses < left {
                misses += 1;
                at = self.ring[at].after;
                continue;
            }
            clean &= is_ear;
            triangles.push(self.ear(at));
            at = self.remove(at);
            left -= 1;
            misses = 0;
        }
        triangles.push(self.ear(at));
        clean && self.turn(at) > 0.0
    }

    fn ear(&self, i: usize) -> [u32; 3] {
        let link = &self.ring[i];
        // From the corner before, so that a convex face becomes a fan from its first corner.
        [link.before, i, link.after].map(|j| self.ring[j].vertex)
    }

    /// Positive when the ring turns left at this corner.
    fn turn(&self, i: usize) -> f64 {
        let link = &self.ring[i];
        orient2d(self.ring[link.before].flat, link.flat, self.ring[link.after].flat)
    }

    fn is_ear(&mut self, i: usize) -> bool {
        if !self.ring[i].sharp {
            return false;
        }
        let obstacle = self.ring[i].obstacle;
        if obstacle != NONE && self.ring[obstacle].after != NONE && self.is_inside(obstacle, i) {
            return false;
        }
        let found = self.blunt.iter().copied().find(|&j| self.is_inside(j, i));
        self.ring[i].obstacle = found.unwrap_or(NONE);
        found.is_none()
    }

    /// Whether corner `j` lies in the ear at `i` or on its border. A face that runs round a hole
    /// visits some vertices twice; those are no obstacles to themselves.
    fn is_inside(&self, j: usize, i: usize) -> bool {
        let link = &self.ring[i];
        let [a, b, c] = [link.before, i, link.after].map(|k| &self.ring[k]);
        let p = &self.ring[j];
        if [a.vertex, b.vertex, c.vertex].contains(&p.vertex) {
            return false;
        }
        orient2d(a.flat, b.flat, p.flat) >= 0.0
            && orient2d(b.flat, c.flat, p.flat) >= 0.0
            && orient2d(c.flat, a.flat, p.flat) >= 0.0
    }

    /// Takes a corner out of the ring and returns the one after it.
    fn remove(&mut self, i: usize) -> usize {
        let Link { before, after, .. } = self.ring[i];
        self.ring[before].after = after;
        self.ring[after].before = before;
        self.ring[i].after = NONE;
        for neighbour in [before, after] {
            self.ring[neighbour].sharp = self.turn(neighbour) > 0.0;
        }
        let ring = &self.ring;
        self.blunt.retain(|&j| ring[j].after != NONE && !ring[j].sharp);
        after
    }
}

/// Twice the face's area as a vector along its normal (Newell's sum), about its first corner.
fn area_vector(face: &[u32], positions: &[Vec3]) -> Vec3 {
    let corner = |i: usize| positions[face[i] as usize];
    let origin = corner(0);
    (1..face.len() - 1)
        .map(|i| (corner(i) - origin).cross(corner(i + 1) - origin))
        .fold(Vec3::ZERO, |sum, part| sum + part)
}

/// The two coordinates across the normal's main axis, in the order in which a face with that
/// normal runs counter-clockwise.
fn flattened(p: Vec3, normal: Vec3) -> Coord<f64> {
    let size = normal.abs();
    let (x, y, along) = if size.x >= size.y && size.x >= size.z {
        (p.y, p.z, normal.x)
    } else if size.y >= size.z {
        (p.z, p.x, normal.y)
    } else {
        (p.x, p.y, normal.z)
    };
    if along > 0.0 { Coord { x, y } } else { Coord { x: y, y: x } }
}
