//! Plane figures of a drawing: rings, what they enclose, and where two figures meet.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;

/// A point of a drawing, mm: to the right, and up.
pub type Point = [f64; 2];

/// A plane figure: the points that lie inside an odd number of its rings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Region {
    /// Closed rings, without their first corner a second time, mm.
    pub rings: Vec<Vec<Point>>,
    /// What it covers, mm².
    pub area_mm2: f64,
}

/// The part of the plane between two heights, mm; either may be infinite.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// From here …
    pub from: f64,
    /// … up to here.
    pub to: f64,
}

impl Region {
    /// The figure that directed rings enclose, their inside on the left.
    pub fn of_rings(rings: Vec<Vec<Point>>) -> Self {
        let area_mm2 = rings.iter().map(|ring| enclosed(ring)).sum::<f64>().max(0.0);
        Self { rings, area_mm2 }
    }

    /// Nothing is covered.
    pub fn is_empty(&self) -> bool {
        self.rings.is_empty()
    }

    /// The corners farthest left and down, right and up; `None` of nothing.
    pub fn bounding_box(&self) -> Option<[Point; 2]> {
        let mut points = self.rings.iter().flatten();
        let first = *points.next()?;
        Some(points.fold([first, first], |[low, high], p| {
            [[low[0].min(p[0]), low[1].min(p[1])], [high[0].max(p[0]), high[1].max(p[1])]]
        }))
    }

    /// The part between two heights, in its separate pieces.
    pub fn pieces_between(&self, band: Band) -> Vec<Self> {
        let Some([low, high]) = self.bounding_box() else { return Vec::new() };
        let aside = 1.0 + (high[0] - low[0]).max(high[1] - low[1]);
        let (from, to) = (band.from.max(low[1] - aside), band.to.min(high[1] + aside));
        if from >= to {
            return Vec::new();
        }
        let (left, right) = (low[0] - aside, high[0] + aside);
        let strip = vec![vec![[left, from], [right, from], [right, to], [left, to]]];
        self.shapes(&strip, OverlayRule::Intersect)
    }

    /// The part between two heights.
    pub fn between(&self, band: Band) -> Self {
        Self::together(self.pieces_between(band))
    }

    /// What both figures cover.
    pub fn and(&self, other: &Self) -> Self {
        Self::together(self.shapes(&other.rings, OverlayRule::Intersect))
    }

    /// What either figure covers.
    pub fn or(&self, other: &Self) -> Self {
        if self.is_empty() {
            return other.clone();
        }
        Self::together(self.shapes(&other.rings, OverlayRule::Union))
    }

    /// What this figure covers and the other one doesn't.
    pub fn without(&self, other: &Self) -> Self {
        Self::together(self.shapes(&other.rings, OverlayRule::Difference))
    }

    /// The same figure so much lower, mm.
    pub fn lowered(&self, by: f64) -> Self {
        let lower = |ring: &Vec<Point>| ring.iter().map(|[u, v]| [*u, v - by]).collect();
        Self { rings: self.rings.iter().map(lower).collect(), area_mm2: self.area_mm2 }
    }

    /// Figures that don't meet, as one.
    pub fn together(pieces: Vec<Self>) -> Self {
        let area_mm2 = pieces.iter().map(|piece| piece.area_mm2).sum();
        Self { rings: pieces.into_iter().flat_map(|piece| piece.rings).collect(), area_mm2 }
    }

    /// A point well inside, by the middle of the widest way across at the height that has it, of
    /// a few heights tried.
    pub fn point_inside(&self) -> Option<Point> {
        const HEIGHTS: u32 = 16;
        let [low, high] = self.bounding_box()?;
        let height =
            |k: u32| low[1] + (high[1] - low[1]) * (f64::from(k) + 0.5) / f64::from(HEIGHTS);
        let ways = (0..HEIGHTS).map(height).flat_map(|at| self.ways_across(at));
        let widest = ways.max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))?;
        Some([0.5 * (widest.0 + widest.1), widest.2])
    }

    /// Where a level line runs inside: from, to, and its height.
    fn ways_across(&self, at: f64) -> Vec<(f64, f64, f64)> {
        let mut crossings: Vec<f64> = Vec::new();
        for ring in &self.rings {
            for (a, b) in sides(ring) {
                if (a[1] > at) != (b[1] > at) {
                    crossings.push(a[0] + (b[0] - a[0]) * (at - a[1]) / (b[1] - a[1]));
                }
            }
        }
        crossings.sort_by(f64::total_cmp);
        crossings.chunks_exact(2).map(|pair| (pair[0], pair[1], at)).collect()
    }

    fn shapes(&self, other: &Vec<Vec<Point>>, rule: OverlayRule) -> Vec<Self> {
        if self.rings.is_empty() {
            return Vec::new();
        }
        let shapes = self.rings.overlay_as::<i64>(other, rule, FillRule::EvenOdd);
        shapes.into_iter().map(Self::of_rings).collect()
    }
}

/// The sides of a ring.
pub fn sides(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| (*a, *b))
}

/// Signed area of a ring, mm²: positive where the inside lies on its left.
fn enclosed(ring: &[Point]) -> f64 {
    let Some(o) = ring.first() else { return 0.0 };
    let doubled =
        |(a, b): (Point, Point)| (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);
    0.5 * sides(ring).map(doubled).sum::<f64>()
}

/// The line with as few of its corners as keep it within `tolerance` mm of where it ran; the ends
/// stay (Douglas and Peucker 1973).
pub fn simplified(line: &[Point], tolerance: f64) -> Vec<Point> {
    let mut keep = vec![false; line.len()];
    let mut open = Vec::new();
    if let Some(last) = line.len().checked_sub(1) {
        (keep[0], keep[last]) = (true, true);
        open.push((0, last));
    }
    while let Some((from, to)) = open.pop() {
        let off = |k: usize| distance_to_segment(line[k], line[from], line[to]);
        let farthest = (from + 1..to).map(|k| (k, off(k))).max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((k, _)) = farthest.filter(|(_, off)| *off > tolerance) {
            keep[k] = true;
            open.extend([(from, k), (k, to)]);
        }
    }
    line.iter().zip(keep).filter(|(_, keep)| *keep).map(|(p, _)| *p).collect()
}

/// A ring likewise.
pub fn simplified_ring(ring: &[Point], tolerance: f64) -> Vec<Point> {
    let Some(first) = ring.first() else { return Vec::new() };
    let off = |p: &Point| (p[0] - first[0]).hypot(p[1] - first[1]);
    let across = (0..ring.len()).max_by(|a, b| off(&ring[*a]).total_cmp(&off(&ring[*b])));
    let across = across.unwrap_or(0);
    let back: Vec<Point> = ring[across..].iter().chain([first]).copied().collect();
    let mut round = simplified(&ring[..=across], tolerance);
    round.pop();
    round.extend(simplified(&back, tolerance));
    round.pop();
    round
}

fn distance_to_segment(p: Point, a: Point, b: Point) -> f64 {
    let (ab, ap) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
    let length = ab[0] * ab[0] + ab[1] * ab[1];
    let along = if length > 0.0 { (ap[0] * ab[0] + ap[1] * ab[1]) / length } else { 0.0 };
    let along = along.clamp(0.0, 1.0);
    (ap[0] - along * ab[0]).hypot(ap[1] - along * ab[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(from: f64, to: f64) -> Vec<Point> {
        vec![[from, from], [to, from], [to, to], [from, to]]
    }

    fn frame() -> Region {
        let mut hole = square(2.0, 8.0);
        hole.reverse();
        Region::of_rings(vec![square(0.0, 10.0), hole])
    }

    #[test]
    fn a_frame_is_cut_into_pieces() {
        assert_eq!(frame().area_mm2, 64.0);
        let pieces = frame().pieces_between(Band { from: 3.0, to: 6.0 });
        assert_eq!(pieces.len(), 2);
        assert!(pieces.iter().all(|piece| (piece.area_mm2 - 6.0).abs() < 1e-6));
        assert!(frame().pieces_between(Band { from: 11.0, to: f64::INFINITY }).is_empty());
        let whole = frame().between(Band { from: f64::NEG_INFINITY, to: f64::INFINITY });
        assert!((whole.area_mm2 - 64.0).abs() < 1e-6);
    }

    #[test]
    fn figures_meet_and_are_taken_away() {
        let other = Region::of_rings(vec![square(1.0, 5.0)]);
        // Of the square of 4 x 4 the frame's opening holds 3 x 3.
        assert!((frame().and(&other).area_mm2 - 7.0).abs() < 1e-6);
        assert!((frame().without(&other).area_mm2 - 57.0).abs() < 1e-6);
        assert!((other.without(&frame()).area_mm2 - 9.0).abs() < 1e-6);
        assert!(Region::default().without(&other).is_empty());
    }

    #[test]
    fn the_point_inside_lies_in_the_frame() {
        let [x, y] = frame().point_inside().unwrap();
        let in_hole = x > 2.0 && x < 8.0 && y > 2.0 && y < 8.0;
        assert!(x > 0.0 && x < 10.0 && y > 0.0 && y < 10.0 && !in_hole, "({x}, {y})");
        assert_eq!(Region::default().point_inside(), None);
    }

    #[test]
    fn lines_keep_their_corners_only() {
        let line: Vec<Point> =
            (0..=20_i32).map(|k| [f64::from(k), f64::from((k - 10).abs())]).collect();
        assert_eq!(simplified(&line, 1e-6), [[0.0, 10.0], [10.0, 0.0], [20.0, 10.0]]);
        let ring: Vec<Point> = vec![[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]];
        assert_eq!(simplified_ring(&ring, 1e-6), square(0.0, 2.0));
    }
}
