//! What a mould box must stand around: the smallest rectangle and circle over a plane figure.

/// A point seen from above, mm.
pub type Point = [f64; 2];

/// Sides of the smallest rectangle, in any direction, around the corners of a convex figure
/// (counter-clockwise), the longer one first, mm.
///
/// One side of the rectangle of least area lies along a side of the figure (Freeman and Shapira,
/// 1975).
pub fn smallest_rectangle_mm(hull: &[Point]) -> [f64; 2] {
    let sides = (0..hull.len()).filter_map(|k| {
        let (a, b) = (hull.get(k)?, hull.get((k + 1) % hull.len())?);
        let (x, y) = (b[0] - a[0], b[1] - a[1]);
        let length = x.hypot(y);
        (length > 0.0).then(|| extent(hull, [x / length, y / length]))
    });
    let area = |[a, b]: &[f64; 2]| a * b;
    let [a, b] = sides.min_by(|a, b| area(a).total_cmp(&area(b))).unwrap_or_default();
    [a.max(b), a.min(b)]
}

/// How far a figure reaches along a unit vector and across it, mm.
fn extent(hull: &[Point], [x, y]: Point) -> [f64; 2] {
    let reach = |along: Point| {
        let at = hull.iter().map(|p| p[0] * along[0] + p[1] * along[1]);
        let (low, high) =
            at.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
        (high - low).max(0.0)
    };
    [reach([x, y]), reach([-y, x])]
}

/// Diameter of the smallest circle around points, mm.
///
/// Source: Welzl 1991, in its plain incremental form; the points' own order stands for a random
/// one, which costs time on bad days and nothing else.
pub fn smallest_circle_mm(points: &[Point]) -> f64 {
    let mut circle = Circle { centre: [0.0; 2], radius: -1.0 };
    for (i, &p) in points.iter().enumerate() {
        if circle.holds(p) {
            continue;
        }
        circle = Circle { centre: p, radius: 0.0 };
        for (j, &q) in points.iter().take(i).enumerate() {
            if circle.holds(q) {
                continue;
            }
            circle = Circle::across(p, q);
            for &r in points.iter().take(j) {
                if !circle.holds(r) {
                    circle = Circle::through(p, q, r).unwrap_or(circle);
                }
            }
        }
    }
    2.0 * circle.radius.max(0.0)
}

#[derive(Clone, Copy)]
struct Circle {
    centre: Point,
    radius: f64,
}

impl Circle {
    /// A hair beyond it counts as on it: rounding.
    fn holds(&self, p: Point) -> bool {
        let d = (p[0] - self.centre[0]).hypot(p[1] - self.centre[1]);
        d <= self.radius * (1.0 + 1e-12)
    }

    fn across(p: Point, q: Point) -> Self {
        let centre = [0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1])];
        Self { centre, radius: 0.5 * (p[0] - q[0]).hypot(p[1] - q[1]) }
    }

    /// `None` where the three lie on a line.
    fn through(p: Point, q: Point, r: Point) -> Option<Self> {
        let (a, b) = ([q[0] - p[0], q[1] - p[1]], [r[0] - p[0], r[1] - p[1]]);
        let cross = 2.0 * (a[0] * b[1] - a[1] * b[0]);
        let (aa, bb) = (a[0] * a[0] + a[1] * a[1], b[0] * b[0] + b[1] * b[1]);
        let from_p = [(b[1] * aa - a[1] * bb) / cross, (a[0] * bb - b[0] * aa) / cross];
        let radius = from_p[0].hypot(from_p[1]);
        let centre = [p[0] + from_p[0], p[1] + from_p[1]];
        radius.is_finite().then_some(Self { centre, radius })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turned_rectangle_is_found_with_its_circle() {
        for k in 0..50 {
            let turn = 0.13 * f64::from(k);
            let at = |x: f64, y: f64| {
                [x * turn.cos() - y * turn.sin() + 7.0, x * turn.sin() + y * turn.cos() - 90.0]
            };
            let hull = [at(0.0, 0.0), at(40.0, 0.0), at(40.0, 30.0), at(0.0, 30.0)];
            let [long, short] = smallest_rectangle_mm(&hull);
            assert!((long - 40.0).abs() < 1e-9 && (short - 30.0).abs() < 1e-9, "{long} {short}");
            let wide = smallest_circle_mm(&hull);
            assert!((wide - 50.0).abs() < 1e-9, "{wide}");
        }
    }

    /// Three corners of an equilateral triangle of side 30 mm: the circle through them, 2 · 30/√3.
    #[test]
    fn a_triangle_lies_in_the_circle_through_its_corners() {
        let h = 15.0 * 3f64.sqrt();
        let wide = smallest_circle_mm(&[[0.0, 0.0], [30.0, 0.0], [15.0, h]]);
        assert!((wide - 60.0 / 3f64.sqrt()).abs() < 1e-9, "{wide}");
    }

    #[test]
    fn no_points_no_size() {
        assert_eq!(smallest_rectangle_mm(&[]), [0.0; 2]);
        assert_eq!(smallest_circle_mm(&[]), 0.0);
        assert_eq!(smallest_circle_mm(&[[3.0, 4.0]]), 0.0);
    }
}
