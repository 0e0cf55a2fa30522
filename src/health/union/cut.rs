//! The line along which two triangles meet.

use crate::health::crossings::overlap_in_plane;
use crate::mesh::{Placed, Vec3, area_vector_doubled};

/// Where two triangles meet.
#[derive(Debug, Clone, Copy)]
pub enum Meeting {
    /// They cross or touch along a line: its ends, mm.
    Line([Vec3; 2]),
    /// They overlap in one plane.
    Plane,
}

/// Where two triangles meet along a line or in a plane; a mere point is nothing. Two triangles
/// with a common edge meet only where they lie on one another. What lies within `reach` mm of a
/// plane lies in it.
pub fn meeting(a: &Placed, b: &Placed, reach: f64) -> Option<Meeting> {
    let (over_b, over_a) = (heights_mm(b, a, reach), heights_mm(a, b, reach));
    let shared = a.names.iter().filter(|v| b.names.contains(v)).count();
    if over_b == [0.0; 3] || over_a == [0.0; 3] {
        return overlap_in_plane(&a.corners, &b.corners).then_some(Meeting::Plane);
    }
    if shared >= 2 {
        return None;
    }
    let (p, q) = (in_plane(a, over_b)?, in_plane(b, over_a)?);
    let along = (p[1] - p[0]).normalize_or((q[1] - q[0]).normalize_or_zero());
    let sorted = |[u, v]: [Vec3; 2]| if along.dot(u) <= along.dot(v) { [u, v] } else { [v, u] };
    let (p, q) = (sorted(p), sorted(q));
    let from = if along.dot(p[0]) >= along.dot(q[0]) { p[0] } else { q[0] };
    let to = if along.dot(p[1]) <= along.dot(q[1]) { p[1] } else { q[1] };
    (along.dot(from) < along.dot(to)).then_some(Meeting::Line([from, to]))
}

/// How high the corners of `t` lie over the plane of another triangle, mm; what lies within
/// reach lies at zero.
fn heights_mm(plane: &Placed, t: &Placed, reach: f64) -> [f64; 3] {
    let normal = area_vector_doubled(plane.corners).normalize_or_zero();
    t.corners.map(|p| {
        // From the nearest corner, so that least is lost to rounding.
        let near = plane
            .corners
            .iter()
            .copied()
            .reduce(|a, b| if b.distance_squared(p) < a.distance_squared(p) { b } else { a });
        let height = normal.dot(p - near.unwrap_or_default());
        if height.abs() <= reach { 0.0 } else { height }
    })
}

/// The ends of the line in which a triangle passes through a plane over which its corners lie so
/// high. The same for both triangles on an edge: counted from the edge's lower name.
fn in_plane(t: &Placed, heights: [f64; 3]) -> Option<[Vec3; 2]> {
    let mut ends = Vec::with_capacity(3);
    for k in 0..3 {
        if heights[k] == 0.0 {
            ends.push(t.corners[k]);
        }
        let (i, j) = (k, (k + 1) % 3);
        if heights[i] * heights[j] < 0.0 {
            let (i, j) = if t.names[i] < t.names[j] { (i, j) } else { (j, i) };
            let share = heights[i] / (heights[i] - heights[j]);
            ends.push(t.corners[i] + (t.corners[j] - t.corners[i]) * share);
        }
    }
    match ends[..] {
        [a, b] => Some([a, b]),
        _ => None,
    }
}

/// The part of the line from `p` to `q` that lies in a triangle with the given normal; all in one
/// plane. A line along one of the triangle's sides, to within `reach` mm, is that side's own
/// business.
pub fn clipped(
    [p, q]: [Vec3; 2],
    triangle: &[Vec3; 3],
    normal: Vec3,
    reach: f64,
) -> Option<[Vec3; 2]> {
    let (mut from, mut to) = (0.0f64, 1.0f64);
    for k in 0..3 {
        let (a, b) = (triangle[k], triangle[(k + 1) % 3]);
        let inward = normal.cross(b - a).normalize_or_zero();
        let [over_p, over_q] = [p, q].map(|end| {
            let over = inward.dot(end - a);
            if over.abs() <= reach { 0.0 } else { over }
        });
        if over_p <= 0.0 && over_q <= 0.0 {
            return None;
        }
        if (over_p < 0.0) != (over_q < 0.0) {
            let at = over_p / (over_p - over_q);
            if over_p < 0.0 { from = from.max(at) } else { to = to.min(at) }
        }
    }
    (from < to).then(|| [p + (q - p) * from, p + (q - p) * to])
}
