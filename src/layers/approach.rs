//! How near an insert comes to the wall.

use rayon::prelude::*;

use crate::mesh::{Mesh, Patches, Vec3};

/// The answer is no more than this above the truth, mm, …
const CLOSE_MM: f64 = 0.02;
/// … or this share of it, whichever is more.
const CLOSE_SHARE: f64 = 0.01;
/// Nearer than this is a touch, mm.
const TOUCH_MM: f64 = 1e-6;
/// Pieces of surface looked at together at most: what is left then is taken as it is.
const PIECES_MOST: usize = 1_000_000;

/// A piece of the insert's surface, and the distance of each corner from the wall, mm.
#[derive(Clone, Copy)]
struct Piece {
    corners: [Vec3; 3],
    distances: [f64; 3],
}

/// The least distance of the surface of `insert` from the wall, mm; `None` without a surface.
///
/// Pieces that may come nearer than the nearest corner known are divided until none can.
pub fn least_distance_mm(insert: &Mesh, wall: &Patches) -> Option<f64> {
    let distance = |p: Vec3| {
        wall.nearest(p, f64::INFINITY, None).map_or(f64::INFINITY, |n| n.distance_squared.sqrt())
    };
    let at_vertex: Vec<f64> = insert.vertices().par_iter().map(|p| distance(*p)).collect();
    let piece = |(t, names): (usize, &[u32; 3])| Piece {
        corners: insert.corners(t),
        distances: names.map(|v| at_vertex[v as usize]),
    };
    let mut pieces: Vec<Piece> = insert.triangles().iter().enumerate().map(piece).collect();
    let least =
        |pieces: &[Piece]| pieces.iter().flat_map(|p| p.distances).fold(f64::INFINITY, f64::min);
    let mut best = least(&pieces);
    while best > TOUCH_MM && best.is_finite() {
        let enough = best - CLOSE_MM.max(CLOSE_SHARE * best);
        pieces.retain(|piece| piece.at_least() < enough);
        if pieces.is_empty() || pieces.len() > PIECES_MOST {
            break;
        }
        pieces = pieces.par_iter().flat_map_iter(|piece| piece.quarters(&distance)).collect();
        best = best.min(least(&pieces));
    }
    best.is_finite().then_some(if best > TOUCH_MM { best } else { 0.0 })
}

impl Piece {
    /// No point of it is nearer to the wall, mm: Jensen's inequality for d² as in `cell`, and that
    /// d changes no faster than the place.
    fn at_least(&self) -> f64 {
        let [a, b, c] = self.corners;
        let middle = (a + b + c) / 3.0;
        let around = self.corners.iter().map(|p| p.distance_squared(middle)).fold(0.0, f64::max);
        let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
        let nearest = self.distances.into_iter().fold(f64::INFINITY, f64::min);
        let farthest = self.distances.into_iter().fold(0.0, f64::max);
        (nearest * nearest - around).max(0.0).sqrt().max(farthest - longest)
    }

    fn quarters(&self, distance: &impl Fn(Vec3) -> f64) -> [Self; 4] {
        let [a, b, c] = self.corners;
        let [da, db, dc] = self.distances;
        let middles = [0.5 * (a + b), 0.5 * (b + c), 0.5 * (c + a)];
        let [ab, bc, ca] = middles;
        let [dab, dbc, dca] = middles.map(distance);
        let piece = |corners, distances| Self { corners, distances };
        [
            piece([a, ab, ca], [da, dab, dca]),
            piece([ab, b, bc], [dab, db, dbc]),
            piece([ca, bc, c], [dca, dbc, dc]),
            piece([ab, bc, ca], [dab, dbc, dca]),
        ]
    }
}
