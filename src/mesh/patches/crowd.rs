//! Pairs among triangles that stand in one another's boxes by the thousand.
//!
//! The boxes of n long needles, or of a fan of n around one corner, all touch: going by boxes,
//! n² pairs come up. Here space is halved until few triangles share a cell, each with the box of
//! its part there only, along axes in which most of them run. Triangles of a fan share cells at its
//! corner however small those are; but two that have a corner in common meet beside it only where
//! both lie in the same direction from it. So a fan's own pairs are looked for among directions, by the same halving.
//!
//! Halving may not make the work more than a few times that of looking at all pairs, so what
//! really lies on one heap costs no more than it would without.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::mesh::Vec3;

use super::{Placed, Work, aligned, box_of, boxes_touch};

/// A corner of more triangles than this is the hub of a fan.
const FAN: usize = 32;
/// A cell with no more pairs than this is looked through.
const FEW: f64 = 64.0;
/// All cells together may hold so many times the pairs of the first.
const TIMES_ALL_PAIRS: f64 = 4.0;
/// Cells are halved so often at most.
const HALVINGS: usize = 60;
/// Boxes are widened by this share of the whole: far over rounding, and over what the tests of
/// pairs take for one plane.
const WIDENED: f64 = 1e-9;
/// Cells of more parts than this are halved on two threads.
const ALONE: usize = 2048;

/// A triangle's part in a cell.
#[derive(Debug, Clone, Copy)]
struct Part {
    /// Which triangle.
    of: u32,
    /// The fan that it belongs to.
    hub: Option<u32>,
    low: Vec3,
    high: Vec3,
}

/// Two triangles and what was found of them.
type Found<T> = ([u32; 2], T);

/// The pairs among `placed` that may meet, lower number first, each once, by their numbers.
pub fn pairs<T: Send>(
    placed: &[Placed],
    reach_mm: f64,
    work: &Work,
    visit: &(impl Fn(&Placed, &Placed, &mut Vec<T>) + Sync),
) -> Vec<T> {
    let hubs = hubs(placed);
    let corners = aligned::corners(placed);
    let size = placed.iter().fold(0.0, |size: f64, t| size.max((t.high - t.low).max_element()));
    let wider = WIDENED * size + 2.0 * reach_mm;
    let mut parts: Vec<Part> = (0u32..)
        .zip(placed)
        .map(|(of, t)| {
            let (low, high) = box_of(&corners[of as usize]);
            Part { of, hub: hub_of(t, &hubs), low: low - wider, high: high + wider }
        })
        .collect();
    parts.sort_by_key(|part| (part.hub, part.of));
    let search = Search { placed, corners: &corners, work, visit, in_space: true, wider };
    let mut found = search.all(&parts);
    let fans: Vec<&[Part]> =
        parts.chunk_by(|a, b| a.hub == b.hub).filter(|fan| fan[0].hub.is_some()).collect();
    let within: Vec<Vec<Found<T>>> = fans
        .par_iter()
        .map(|fan| {
            let directions: Vec<Part> = fan
                .iter()
                .map(|part| seen_from_hub(&placed[part.of as usize], part, reach_mm))
                .collect();
            Search { in_space: false, wider: 0.0, ..search }.all(&directions)
        })
        .collect();
    found.extend(within.into_iter().flatten());
    found.par_sort_by_key(|(pair, _)| *pair);
    found.dedup_by_key(|(pair, _)| *pair);
    found.into_iter().map(|(_, found)| found).collect()
}

/// The corners of very many triangles, and of how many.
fn hubs(placed: &[Placed]) -> BTreeMap<u32, usize> {
    let mut names: Vec<u32> = placed.iter().flat_map(|t| t.names).collect();
    names.par_sort_unstable();
    names.chunk_by(|a, b| a == b).filter(|c| c.len() > FAN).map(|c| (c[0], c.len())).collect()
}

/// The largest fan that a triangle belongs to.
fn hub_of(t: &Placed, hubs: &BTreeMap<u32, usize>) -> Option<u32> {
    let fans = t.names.iter().filter_map(|name| hubs.get(name).map(|count| (*count, *name)));
    fans.max().map(|(_, name)| name)
}

/// The directions in which a triangle lies from its hub: the box of an arc on the unit sphere.
fn seen_from_hub(t: &Placed, part: &Part, reach_mm: f64) -> Part {
    let all_round = Part { hub: None, low: Vec3::NEG_ONE, high: Vec3::ONE, ..*part };
    let Some(k) = t.names.iter().position(|name| Some(*name) == part.hub) else {
        return all_round;
    };
    let ways = [1, 2].map(|next| t.corners[(k + next) % 3] - t.corners[k]);
    let lengths = ways.map(Vec3::length);
    let ends = ways.map(Vec3::normalize_or_zero);
    let cosine = ends[0].dot(ends[1]);
    if cosine.is_nan() || cosine <= 0.0 {
        return all_round; // A wide angle, or none at all.
    }
    // The arc rises over its chord by no more than this.
    let rise = 1.0 - (0.5 * (1.0 + cosine)).min(1.0).sqrt();
    let wider = rise + WIDENED + 2.0 * reach_mm / lengths[0].min(lengths[1]);
    let (low, high) = (ends[0].min(ends[1]) - wider, ends[0].max(ends[1]) + wider);
    Part { hub: None, low, high, ..*part }
}

/// Pairs that a cell holds, those within a fan left out. The parts stand by their fans.
fn pairs_in(parts: &[Part]) -> f64 {
    let all = |n: usize| 0.5 * n as f64 * (n as f64 - 1.0);
    let fans = parts.chunk_by(|a, b| a.hub == b.hub).filter(|fan| fan[0].hub.is_some());
    all(parts.len()) - fans.map(|fan| all(fan.len())).sum::<f64>()
}

struct Search<'a, V> {
    placed: &'a [Placed],
    /// Their corners along the axes in which space is halved.
    corners: &'a [[Vec3; 3]],
    work: &'a Work,
    visit: &'a V,
    /// Parts are of triangles, so that the box of a part in a smaller cell follows from its
    /// corners.
    in_space: bool,
    /// Neighbouring cells share a strip of twice this.
    wider: f64,
}

impl<V> Search<'_, V> {
    fn all<T: Send>(&self, parts: &[Part]) -> Vec<Found<T>>
    where
        V: Fn(&Placed, &Placed, &mut Vec<T>) + Sync,
    {
        let pairs = pairs_in(parts);
        self.cell(parts, pairs, TIMES_ALL_PAIRS * pairs, HALVINGS)
    }

    /// What is found in a cell with so many pairs, halved while there are no more than `most` in
    /// all its parts.
    fn cell<T: Send>(&self, parts: &[Part], pairs: f64, most: f64, halvings: usize) -> Vec<Found<T>>
    where
        V: Fn(&Placed, &Placed, &mut Vec<T>) + Sync,
    {
        if self.work.is_over() {
            return Vec::new();
        }
        if pairs <= FEW || halvings == 0 {
            return self.look_through(parts);
        }
        let (axis, low, high) = widest(parts);
        let middle = 0.5 * (low + high);
        let halves = [
            self.half(parts, axis, f64::NEG_INFINITY, middle + self.wider),
            self.half(parts, axis, middle - self.wider, f64::INFINITY),
        ];
        let counts = halves.each_ref().map(|half| pairs_in(half));
        let together = counts[0] + counts[1];
        if together > most {
            return self.look_through(parts);
        }
        let shares = counts.map(|count| most * count / together.max(1.0));
        let run = |k: usize| self.cell(&halves[k], counts[k], shares[k], halvings - 1);
        let (mut found, upper) =
            if parts.len() > ALONE { rayon::join(|| run(0), || run(1)) } else { (run(0), run(1)) };
        found.extend(upper);
        found
    }

    /// The parts that reach between two levels along an axis.
    fn half(&self, parts: &[Part], axis: usize, from: f64, to: f64) -> Vec<Part> {
        let reaching = parts.iter().filter(|part| part.low[axis] <= to && part.high[axis] >= from);
        reaching
            .filter_map(|part| {
                let inside = part.low[axis] >= from && part.high[axis] <= to;
                if inside { Some(*part) } else { self.cut(part, axis, from, to) }
            })
            .collect()
    }

    fn cut(&self, part: &Part, axis: usize, from: f64, to: f64) -> Option<Part> {
        let mut cut = *part;
        cut.low[axis] = cut.low[axis].max(from);
        cut.high[axis] = cut.high[axis].min(to);
        if self.in_space {
            let corners = &self.corners[part.of as usize];
            let (low, high) = box_between(corners, axis, cut.low[axis], cut.high[axis]);
            cut.low = cut.low.max(low - self.wider);
            cut.high = cut.high.min(high + self.wider);
        }
        cut.low.cmple(cut.high).all().then_some(cut)
    }

    fn look_through<T>(&self, parts: &[Part]) -> Vec<Found<T>>
    where
        V: Fn(&Placed, &Placed, &mut Vec<T>),
    {
        let (mut found, mut one) = (Vec::new(), Vec::new());
        let mut end_of_fan = 0;
        for (k, a) in parts.iter().enumerate() {
            if self.work.is_over() {
                break;
            }
            if k >= end_of_fan {
                let fan = parts[k..].iter().take_while(|b| b.hub.is_some() && b.hub == a.hub);
                end_of_fan = (k + fan.count()).max(k + 1);
            }
            let mut pairs = 0;
            for b in &parts[end_of_fan..] {
                if !boxes_touch(a.low, a.high, b.low, b.high) {
                    continue;
                }
                let (a, b) = (&self.placed[a.of as usize], &self.placed[b.of as usize]);
                let (a, b) = if a.number < b.number { (a, b) } else { (b, a) };
                if boxes_touch(a.low, a.high, b.low, b.high) {
                    (self.visit)(a, b, &mut one);
                    found.extend(one.drain(..).map(|found| ([a.number, b.number], found)));
                    pairs += 1;
                }
            }
            self.work.add(pairs);
        }
        found
    }
}

/// The axis along which a cell is widest beside its parts, and from where to where: halved across
/// parts that run all through it, each would only be there twice.
fn widest(parts: &[Part]) -> (usize, f64, f64) {
    let (mut low, mut high, mut sum) = (Vec3::INFINITY, Vec3::NEG_INFINITY, Vec3::ZERO);
    for part in parts {
        (low, high, sum) = (low.min(part.low), high.max(part.high), sum + (part.high - part.low));
    }
    let mean = sum / parts.len() as f64;
    let axis = ((high - low) / mean.max(Vec3::splat(f64::MIN_POSITIVE))).max_position();
    (axis, low[axis], high[axis])
}

/// The box of a triangle's part between two levels along an axis.
fn box_between(corners: &[Vec3; 3], axis: usize, from: f64, to: f64) -> (Vec3, Vec3) {
    let (mut low, mut high) = (Vec3::INFINITY, Vec3::NEG_INFINITY);
    let mut take = |p: Vec3| (low, high) = (low.min(p), high.max(p));
    for k in 0..3 {
        let (p, q) = (corners[k], corners[(k + 1) % 3]);
        if p[axis] >= from && p[axis] <= to {
            take(p);
        }
        for level in [from, to] {
            if (p[axis] < level) != (q[axis] < level) {
                take(p + (q - p) * ((level - p[axis]) / (q[axis] - p[axis])));
            }
        }
    }
    (low, high)
}
