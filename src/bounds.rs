//! A value with guaranteed limits: `low ≤ best ≤ high`, ordered by construction.

use std::iter::Sum;
use std::ops::{Add, Sub};

/// A quantity known to lie between two limits, with the best estimate between them.
///
/// Units: whatever the owner of the value says (mm³ for volumes in this crate).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    low: f64,
    best: f64,
    high: f64,
}

impl Bounds {
    /// Nothing, exactly.
    pub const ZERO: Self = Self { low: 0.0, best: 0.0, high: 0.0 };

    /// A value known exactly.
    pub const fn exact(value: f64) -> Self {
        Self { low: value, best: value, high: value }
    }

    /// Limits in either order, with an estimate that is drawn between them.
    pub fn new(low: f64, best: f64, high: f64) -> Self {
        let (low, high) = if low <= high { (low, high) } else { (high, low) };
        Self { low, best: best.clamp(low, high), high }
    }

    /// The guaranteed lower limit.
    pub const fn low(&self) -> f64 {
        self.low
    }

    /// The best estimate.
    pub const fn best(&self) -> f64 {
        self.best
    }

    /// The guaranteed upper limit.
    pub const fn high(&self) -> f64 {
        self.high
    }

    /// The larger of the two distances from the estimate to a limit.
    pub fn reach(&self) -> f64 {
        (self.high - self.best).max(self.best - self.low)
    }

    /// The same estimate with each limit moved outward by `margin` (at least 0).
    pub fn widened(&self, margin: f64) -> Self {
        Self { low: self.low - margin, best: self.best, high: self.high + margin }
    }

    /// The same limits drawn into `[floor, ceiling]`, for a quantity that can't leave that range.
    pub fn clamped(&self, floor: f64, ceiling: f64) -> Self {
        Self {
            low: self.low.clamp(floor, ceiling),
            best: self.best.clamp(floor, ceiling),
            high: self.high.clamp(floor, ceiling),
        }
    }
}

impl Add for Bounds {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            low: self.low + other.low,
            best: self.best + other.best,
            high: self.high + other.high,
        }
    }
}

/// Interval difference: the limits of the two sides are taken as independent.
impl Sub for Bounds {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self {
            low: self.low - other.high,
            best: self.best - other.best,
            high: self.high - other.low,
        }
    }
}

impl Sum for Bounds {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_put_in_order_and_hold_the_estimate() {
        let b = Bounds::new(3.0, 9.0, 1.0);
        assert_eq!((b.low(), b.best(), b.high()), (1.0, 3.0, 3.0));
    }

    #[test]
    fn a_difference_takes_the_far_limits() {
        let d = Bounds::new(9.0, 10.0, 11.0) - Bounds::new(3.0, 4.0, 6.0);
        assert_eq!((d.low(), d.best(), d.high()), (3.0, 6.0, 8.0));
    }
}
