//! A patch that bends with its neighbourhood: a smooth height over the hole's plane, fitted to
//! what surrounds it, carried to the border itself.

use crate::mesh::{HeightField, Vec3, fit_heights};

use super::limit::Opening;
use super::patch::Frame;
use super::plane::{self, Flat};
use super::surroundings::Surroundings;

/// Surroundings that lean further than this are no height over the plane, degrees.
const LEAN_DEG_MAX: f64 = 70.0;
/// The share of them that may.
const STRAY_SHARE: f64 = 0.1;
/// About how many corners a patch gets at most.
const CORNERS: f64 = 300.0;
/// A ring that fills so little of its box gets no corners.
const BOX_SHARE_MIN: f64 = 0.05;

/// A bent patch.
pub struct Bent {
    /// Its own corners, mm.
    pub inner: Vec<Vec3>,
    /// Its triangles, the ring's corners numbered first.
    pub triangles: Vec<[u32; 3]>,
}

/// The bent patch over a ring; `None` where it has no room for corners of its own or its
/// surroundings don't tell how it should bend.
pub fn bend(
    points: &[Vec3],
    frame: &Frame,
    opening: &Opening,
    surroundings: &Surroundings,
) -> Option<Bent> {
    let lean = surroundings.lean(frame.normal, opening.radius_mm(), STRAY_SHARE);
    if lean > LEAN_DEG_MAX.to_radians() {
        return None;
    }
    let ring: Vec<Flat> = points.iter().map(|p| frame.flat(*p)).collect();
    let spacing = (0.9 * opening.perimeter_mm / points.len() as f64)
        .max((opening.area_mm2 / CORNERS).sqrt())
        / frame.unit_mm;
    let inner = corners_inside(&ring, spacing)?;
    let around: Vec<[f64; 3]> = surroundings
        .points
        .iter()
        .map(|p| {
            let [x, y] = frame.flat(*p);
            [x, y, frame.height(*p)]
        })
        .collect();
    let field = fit_heights(&around)?;
    let rest: Vec<f64> =
        points.iter().zip(&ring).map(|(p, flat)| frame.height(*p) - field.at(*flat)).collect();
    let triangles = plane::delaunay(&ring, &inner)?;
    let lifted = |flat: &Flat| frame.point(*flat, height(&field, &ring, &rest, *flat));
    Some(Bent { inner: inner.iter().map(lifted).collect(), triangles })
}

/// A hexagonal net of corners inside a ring, half a step or more from its border; `None` where
/// there is no room.
fn corners_inside(ring: &[Flat], spacing: f64) -> Option<Vec<Flat>> {
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for corner in ring {
        for k in 0..2 {
            low[k] = low[k].min(corner[k]);
            high[k] = high[k].max(corner[k]);
        }
    }
    let area = (0..ring.len()).map(|k| {
        let ([a, b], [c, d]) = (ring[k], ring[(k + 1) % ring.len()]);
        0.5 * (a * d - b * c)
    });
    let whole = (high[0] - low[0]) * (high[1] - low[1]);
    if area.sum::<f64>() < BOX_SHARE_MIN * whole || spacing <= 0.0 {
        return None;
    }
    let row = spacing * 0.75f64.sqrt();
    let [columns, rows] =
        [(high[0] - low[0]) / spacing, (high[1] - low[1]) / row].map(|x| x.ceil() as u32);
    let middle = [0.5 * (low[0] + high[0]), 0.5 * (low[1] + high[1])];
    let mut corners = Vec::new();
    for j in 0..=rows {
        for i in 0..=columns {
            let shift = if j % 2 == 0 { 0.0 } else { 0.5 };
            let x = middle[0] + (f64::from(i) - f64::from(columns / 2) + shift) * spacing;
            let y = middle[1] + (f64::from(j) - f64::from(rows / 2)) * row;
            if room_at(ring, [x, y]) >= 0.5 * spacing {
                corners.push([x, y]);
            }
        }
    }
    (!corners.is_empty()).then_some(corners)
}

/// How far a point inside a ring is from its border; negative outside.
fn room_at(ring: &[Flat], [x, y]: Flat) -> f64 {
    let (mut inside, mut nearest) = (false, f64::INFINITY);
    for k in 0..ring.len() {
        let ([ax, ay], [bx, by]) = (ring[k], ring[(k + 1) % ring.len()]);
        if (ay > y) != (by > y) && x < ax + (bx - ax) * (y - ay) / (by - ay) {
            inside = !inside;
        }
        let (dx, dy) = (bx - ax, by - ay);
        let square = dx * dx + dy * dy;
        let along = if square > 0.0 {
            (((x - ax) * dx + (y - ay) * dy) / square).clamp(0.0, 1.0)
        } else {
            0.0
        };
        nearest = nearest.min((ax + along * dx - x).hypot(ay + along * dy - y));
    }
    if inside { nearest } else { -nearest }
}

/// The fitted height at a point inside, and what the border is off from it, spread by mean value
/// coordinates.
///
/// Source: Hormann & Floater, Mean value coordinates for arbitrary planar polygons, ACM Trans.
/// Graphics 25 (2006) 1424.
fn height(field: &HeightField, ring: &[Flat], rest: &[f64], [x, y]: Flat) -> f64 {
    let n = ring.len();
    let (mut sum, mut weights) = (0.0, 0.0);
    let ray = |k: usize| {
        let (dx, dy) = (ring[k][0] - x, ring[k][1] - y);
        (dx, dy, dx.hypot(dy))
    };
    // The tangent of half the angle under which a side is seen.
    let half = |k: usize| {
        let ((ax, ay, a), (bx, by, b)) = (ray(k), ray((k + 1) % n));
        let (cross, dot) = (ax * by - ay * bx, ax * bx + ay * by);
        if cross == 0.0 { 0.0 } else { (a * b - dot) / cross }
    };
    let mut before = half(n - 1);
    for (k, rest) in rest.iter().enumerate() {
        let after = half(k);
        let weight = (before + after) / ray(k).2;
        sum += weight * rest;
        weights += weight;
        before = after;
    }
    let spread = if weights > 0.0 { sum / weights } else { 0.0 };
    field.at([x, y]) + spread
}
