//! The point of a triangle that lies nearest to a given point.

use super::Vec3;

/// Below this ratio of (twice the area)² to (sum of two squared sides)² the barycentric formula
/// has lost so many digits that the sides are tried one by one as well: sides of 10,000 : 1.
const NEEDLE: f64 = 1e-8;

/// The nearest point of the triangle to `p`. It lies on the triangle whatever the rounding, so
/// its distance is never an underestimate.
///
/// Source: Ericson, Real-Time Collision Detection (2004), section 5.1.5.
pub fn closest_on_triangle(p: Vec3, [a, b, c]: [Vec3; 3]) -> Vec3 {
    let (ab, ac, ap) = (b - a, c - a, p - a);
    let (d1, d2) = (ab.dot(ap), ac.dot(ap));
    if d1 <= 0.0 && d2 <= 0.0 {
        return a;
    }
    let bp = p - b;
    let (d3, d4) = (ab.dot(bp), ac.dot(bp));
    if d3 >= 0.0 && d4 <= d3 {
        return b;
    }
    let cp = p - c;
    let (d5, d6) = (ab.dot(cp), ac.dot(cp));
    if d6 >= 0.0 && d5 <= d6 {
        return c;
    }
    let (va, vb, vc) = (d3 * d6 - d5 * d4, d5 * d2 - d1 * d6, d1 * d4 - d3 * d2);
    let sides = ab.length_squared() + ac.length_squared();
    if va + vb + vc <= NEEDLE * sides * sides {
        return closest_on_needle(p, [a, b, c]);
    }
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
        return a + ab * (d1 / (d1 - d3));
    }
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
        return a + ac * (d2 / (d2 - d6));
    }
    if va <= 0.0 && d4 - d3 >= 0.0 && d5 - d6 >= 0.0 {
        return b + (c - b) * ((d4 - d3) / ((d4 - d3) + (d5 - d6)));
    }
    let scale = 1.0 / (va + vb + vc);
    a + ab * (vb * scale) + ac * (vc * scale)
}

/// The nearest point of the segment from `a` to `b`.
pub fn closest_on_segment(p: Vec3, a: Vec3, b: Vec3) -> Vec3 {
    let ab = b - a;
    let length_squared = ab.length_squared();
    if length_squared == 0.0 {
        return a;
    }
    a + ab * ((p - a).dot(ab) / length_squared).clamp(0.0, 1.0)
}

/// A needle or a triangle without area: its sides, and its plane where that can be told.
fn closest_on_needle(p: Vec3, [a, b, c]: [Vec3; 3]) -> Vec3 {
    let mut best = closest_on_segment(p, a, b);
    for q in [closest_on_segment(p, b, c), closest_on_segment(p, c, a)] {
        if q.distance_squared(p) < best.distance_squared(p) {
            best = q;
        }
    }
    let normal = (b - a).cross(c - a).normalize_or_zero();
    let foot = p - normal * (p - a).dot(normal);
    let within = |u: Vec3, v: Vec3| (v - u).cross(foot - u).dot(normal) > 0.0;
    if within(a, b) && within(b, c) && within(c, a) { foot } else { best }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The distance to a triangle is convex, so a fine grid over it can only do worse.
    #[test]
    fn no_point_of_the_triangle_is_nearer() {
        let corners =
            [Vec3::new(0.0, 0.0, 0.0), Vec3::new(3.0, 0.5, 0.2), Vec3::new(0.7, 2.0, -1.0)];
        let thin = [Vec3::new(0.0, 0.0, 0.0), Vec3::new(9.0, 0.0, 0.0), Vec3::new(4.0, 1e-6, 0.0)];
        for triangle in [corners, thin] {
            for k in 0..400 {
                let f = f64::from(k);
                let p = Vec3::new((f * 0.37).sin(), (f * 0.71).cos(), (f * 0.13).sin()) * 5.0;
                let d = closest_on_triangle(p, triangle).distance(p);
                for i in 0..=20 {
                    for j in 0..=(20 - i) {
                        let (u, v) = (f64::from(i) / 20.0, f64::from(j) / 20.0);
                        let q = triangle[0] * (1.0 - u - v) + triangle[1] * u + triangle[2] * v;
                        assert!(d <= q.distance(p) + 1e-12);
                    }
                }
            }
        }
    }

    #[test]
    fn triangles_without_area_are_segments_and_points() {
        let o = Vec3::ZERO;
        let x = Vec3::X;
        let p = Vec3::new(0.5, 2.0, 0.0);
        assert_eq!(closest_on_triangle(p, [o, x, x * 0.25]), Vec3::new(0.5, 0.0, 0.0));
        assert_eq!(closest_on_triangle(p, [x, x, x]), x);
        assert_eq!(closest_on_triangle(p, [o, o, x]), Vec3::new(0.5, 0.0, 0.0));
    }
}
