//! What is marked along the wall of a section: places too thin for a core, and filled holes.

use hashbrown::HashMap;
use rayon::prelude::*;

use crate::mesh::{Mesh, Patches, Vec3, area_vector_doubled};

use super::plane::CutPlane;
use super::region::{Point, simplified};

/// Facing wall is turned by at least this much, degrees, as for the share of thin wall.
const FACING_DEG_MIN: f64 = 120.0;

/// A hole that was filled: its middle in the pouring frame and its greatest width, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilledHole {
    /// Middle of its border.
    pub centre_mm: Vec3,
    /// Greatest width.
    pub size_mm: f64,
}

/// Lines along the wall, mm.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WallMarks {
    /// Wall that meets facing wall within twice the skin: little or no core there.
    pub thin: Vec<Vec<Point>>,
    /// Wall that stands in for a hole of the mesh, about.
    pub filled: Vec<Vec<Point>>,
}

type EdgeName = (u32, u32);

/// Where a triangle is cut: over which two of its edges.
struct Piece {
    triangle: u32,
    ends: [(EdgeName, Point); 2],
}

/// Finds what is to be marked where the plane cuts the wall.
pub fn along_wall(
    wall: &Mesh,
    patches: &Patches,
    plane: &CutPlane,
    skin_mm: f64,
    holes: &[FilledHole],
) -> WallMarks {
    let pieces = cut(wall, plane);
    let longest = pieces
        .iter()
        .flat_map(|p| p.ends)
        .fold(0.0, |m: f64, (_, [u, v])| m.max(u.abs()).max(v.abs()));
    let chosen = |marked: &(dyn Fn(&Piece) -> bool + Sync)| {
        let marked: Vec<bool> = pieces.par_iter().map(marked).collect();
        let marked = pieces.iter().zip(marked).filter(|(_, marked)| *marked).map(|(p, _)| p);
        lines(marked, 1e-4 * longest)
    };
    let thin = |piece: &Piece| skin_mm > 0.0 && is_thin(wall, patches, plane, piece, 2.0 * skin_mm);
    let filled = |piece: &Piece| {
        let middle = plane.to_space(middle(piece));
        holes.iter().any(|hole| middle.distance(hole.centre_mm) <= 0.5 * hole.size_mm)
    };
    WallMarks {
        thin: chosen(&thin),
        filled: if holes.is_empty() { Vec::new() } else { chosen(&filled) },
    }
}

fn middle(piece: &Piece) -> Point {
    let [(_, a), (_, b)] = piece.ends;
    [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])]
}

/// The wall faces other wall there within `reach` mm.
fn is_thin(wall: &Mesh, patches: &Patches, plane: &CutPlane, piece: &Piece, reach: f64) -> bool {
    let inward = |t: u32| -area_vector_doubled(wall.corners(t as usize)).normalize_or_zero();
    let own = inward(piece.triangle);
    let from = plane.to_space(middle(piece));
    let hit = patches.first_hit(from, own, reach, |other| other == piece.triangle);
    let facing = FACING_DEG_MIN.to_radians().cos();
    hit.is_some_and(|hit| own.dot(inward(hit.triangle)) <= facing)
}

/// The triangles that the plane cuts; a corner in the plane counts as before it.
fn cut(wall: &Mesh, plane: &CutPlane) -> Vec<Piece> {
    let before: Vec<f64> = wall.vertices().par_iter().map(|p| plane.distance(*p)).collect();
    let piece = |t: usize| {
        let names = wall.triangles()[t];
        let crosses = |k: usize| {
            let (a, b) = (names[k], names[(k + 1) % 3]);
            let (da, db) = (before[a as usize], before[b as usize]);
            ((da >= 0.0) != (db >= 0.0)).then(|| {
                let (a, b) = (a.min(b), a.max(b));
                let (p, q) = (wall.vertices()[a as usize], wall.vertices()[b as usize]);
                let (dp, dq) = (before[a as usize], before[b as usize]);
                ((a, b), plane.to_plane(p + (q - p) * (dp / (dp - dq))))
            })
        };
        let mut crossed = (0..3).filter_map(crosses);
        match (crossed.next(), crossed.next()) {
            (Some(a), Some(b)) => Some(Piece { triangle: t as u32, ends: [a, b] }),
            _ => None,
        }
    };
    (0..wall.triangles().len()).into_par_iter().filter_map(piece).collect()
}

/// Pieces that follow one another as one line.
fn lines<'a>(pieces: impl Iterator<Item = &'a Piece>, tolerance: f64) -> Vec<Vec<Point>> {
    let pieces: Vec<&Piece> = pieces.collect();
    let mut at: HashMap<EdgeName, Vec<usize>, foldhash::fast::FixedState> = HashMap::default();
    for (k, piece) in pieces.iter().enumerate() {
        piece.ends.iter().for_each(|(edge, _)| at.entry(*edge).or_default().push(k));
    }
    let mut used = vec![false; pieces.len()];
    let mut lines = Vec::new();
    for first in 0..pieces.len() {
        if std::mem::replace(&mut used[first], true) {
            continue;
        }
        let [back, on] = pieces[first].ends;
        let mut line: Vec<Point> = follow(back, &pieces, &at, &mut used);
        line.reverse();
        line.extend([back.1, on.1]);
        line.extend(follow(on, &pieces, &at, &mut used));
        lines.push(simplified(&line, tolerance));
    }
    lines
}

/// The ends of the pieces that follow behind an end.
fn follow(
    end: (EdgeName, Point),
    pieces: &[&Piece],
    at: &HashMap<EdgeName, Vec<usize>, foldhash::fast::FixedState>,
    used: &mut [bool],
) -> Vec<Point> {
    let mut line = Vec::new();
    let mut edge = end.0;
    while let Some(k) = at.get(&edge).and_then(|ks| ks.iter().copied().find(|k| !used[*k])) {
        used[k] = true;
        let [a, b] = pieces[k].ends;
        let next = if a.0 == edge { b } else { a };
        line.push(next.1);
        edge = next.0;
    }
    line
}
