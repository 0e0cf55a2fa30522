//! A flat round body around a piece of surface: a bound on distances that a box can't give.
//!
//! Seen from a few millimetres away a small piece of wall looks flat but lies askew to the axes,
//! so a box around it comes much nearer than the surface does. A coin lies along the surface.

use crate::mesh::{Vec3, area_vector_doubled};

/// A coin is made larger by this share of its distance from the origin and its size, so that
/// rounding can't leave a point of the surface outside.
const ROUNDING: f64 = 1e-12;

/// A flat cylinder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coin {
    centre: Vec3,
    /// Unit vector along its axis.
    axis: Vec3,
    radius: f64,
    half_thickness: f64,
}

impl Coin {
    /// A coin around triangles, its axis along their mean normal.
    pub fn around(triangles: &[[Vec3; 3]]) -> Self {
        let normal: Vec3 = triangles.iter().map(|t| area_vector_doubled(*t)).sum();
        let axis = normal.normalize_or(Vec3::Z);
        let points = || triangles.iter().flatten();
        let mean = points().copied().sum::<Vec3>() / (3 * triangles.len()) as f64;
        let (mut low, mut high, mut radius_squared) = (f64::INFINITY, f64::NEG_INFINITY, 0f64);
        for p in points() {
            let d = *p - mean;
            let height = d.dot(axis);
            (low, high) = (low.min(height), high.max(height));
            radius_squared = radius_squared.max((d - axis * height).length_squared());
        }
        Self::new(mean, axis, [low, high], radius_squared.sqrt())
    }

    /// A coin around coins, its axis along `axis`.
    pub fn around_coins(coins: &[Coin]) -> Self {
        let axis = coins
            .iter()
            .map(|c| c.axis * (c.radius * c.radius))
            .sum::<Vec3>()
            .normalize_or(Vec3::Z);
        let mean = coins.iter().map(|c| c.centre).sum::<Vec3>() / coins.len() as f64;
        let (mut low, mut high, mut radius) = (f64::INFINITY, f64::NEG_INFINITY, 0f64);
        for c in coins {
            let d = c.centre - mean;
            let height = d.dot(axis);
            let cos = c.axis.dot(axis).abs().min(1.0);
            let reach = c.half_thickness * cos + c.radius * (1.0 - cos * cos).sqrt();
            (low, high) = (low.min(height - reach), high.max(height + reach));
            let own = c.radius.hypot(c.half_thickness);
            radius = radius.max((d - axis * height).length() + own);
        }
        Self::new(mean, axis, [low, high], radius)
    }

    fn new(mean: Vec3, axis: Vec3, [low, high]: [f64; 2], radius: f64) -> Self {
        let margin = ROUNDING * (mean.abs().max_element() + radius + high - low);
        Self {
            centre: mean + axis * (0.5 * (low + high)),
            axis,
            radius: radius + margin,
            half_thickness: 0.5 * (high - low) + margin,
        }
    }

    /// No point of the coin is nearer to `p` than the square root of this.
    pub fn distance_squared(&self, p: Vec3) -> f64 {
        let d = p - self.centre;
        let height = d.dot(self.axis);
        let aside = (d.length_squared() - height * height).max(0.0).sqrt();
        let (over, beyond) =
            ((height.abs() - self.half_thickness).max(0.0), (aside - self.radius).max(0.0));
        over * over + beyond * beyond
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::closest_on_triangle;

    #[test]
    fn never_farther_than_the_surface_and_close_to_it_from_above() {
        let mut coins = Vec::new();
        let mut all = Vec::new();
        for k in 0..8 {
            let f = f64::from(k);
            let p =
                |i: f64| Vec3::new((f + i).sin(), (f * 1.3 + i).cos(), 0.02 * (f + 2.0 * i).sin());
            let triangles = [[p(0.0), p(0.4), p(0.9)], [p(0.4), p(1.1), p(0.9)]];
            coins.push(Coin::around(&triangles));
            all.extend(triangles);
        }
        let around = Coin::around_coins(&coins);
        for k in 0..300 {
            let f = f64::from(k);
            let q = Vec3::new((f * 0.3).sin(), (f * 0.7).sin(), (f * 1.1).sin()) * 3.0;
            let distance = |t: &[Vec3; 3]| closest_on_triangle(q, *t).distance_squared(q);
            for (coin, pair) in coins.iter().zip(all.chunks(2)) {
                let nearest = pair.iter().map(distance).fold(f64::INFINITY, f64::min);
                assert!(coin.distance_squared(q) <= nearest);
                assert!(around.distance_squared(q) <= nearest);
            }
        }
        let over = coins[0].centre + coins[0].axis * 5.0;
        assert!(coins[0].distance_squared(over).sqrt() > 4.9);
    }
}
