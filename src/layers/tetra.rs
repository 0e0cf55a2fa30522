//! The share of a tetrahedron on one side of a plane.

/// The share of a tetrahedron's volume, 0 to 1, where a linear function with these values at its
/// corners is above zero.
///
/// Exact up to rounding: every term is a product of positive ratios, so nothing cancels.
pub fn share_above_zero(values: [f64; 4]) -> f64 {
    let mut sorted = values;
    sort_descending(&mut sorted);
    let [a, b, c, d] = sorted;
    if d > 0.0 {
        1.0
    } else if a <= 0.0 {
        0.0
    } else if c > 0.0 {
        1.0 - corner(-d, -c, -b, -a)
    } else if b > 0.0 {
        // A wedge between two corners above and two below, split into three tetrahedra.
        let (ac, ad, bc, bd) = (a / (a - c), a / (a - d), b / (b - c), b / (b - d));
        ac * ad + ac * (1.0 - ad) * bd + (1.0 - ac) * bc * bd
    } else {
        corner(a, b, c, d)
    }
}

/// The share cut off at a corner with value `a` above zero, the others at or below it.
fn corner(a: f64, b: f64, c: f64, d: f64) -> f64 {
    if a <= 0.0 {
        return 0.0;
    }
    (a / (a - b)) * (a / (a - c)) * (a / (a - d))
}

fn sort_descending(v: &mut [f64; 4]) {
    for (i, j) in [(0, 1), (2, 3), (0, 2), (1, 3), (1, 2)] {
        if v[i] < v[j] {
            v.swap(i, j);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halves_corners_and_wedges() {
        assert_eq!(share_above_zero([1.0, -1.0, -1.0, -1.0]), 0.125);
        assert_eq!(share_above_zero([1.0, 1.0, 1.0, -1.0]), 0.875);
        assert_eq!(share_above_zero([1.0, 1.0, -1.0, -1.0]), 0.5);
        assert_eq!(share_above_zero([0.0, 0.0, 0.0, 0.0]), 0.0);
        assert_eq!(share_above_zero([1.0, 2.0, 3.0, 4.0]), 1.0);
        assert_eq!(share_above_zero([1.0, 0.0, 0.0, 0.0]), 1.0);
    }

    /// Both sides of a plane make up the whole, whatever the plane.
    #[test]
    fn the_two_sides_add_up() {
        for k in 0..500 {
            let f = f64::from(k);
            let v = [(f * 0.7).sin(), (f * 1.3).sin(), (f * 2.1).cos(), (f * 0.4).cos()];
            let both = share_above_zero(v) + share_above_zero(v.map(|x| -x));
            assert!((both - 1.0).abs() < 1e-12);
        }
    }
}
