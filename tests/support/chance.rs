//! Seeded chance: the same numbers on every machine and every run.

use super::vector::{Point, dot, scale};

/// A 64-bit generator with a counter for its state (SplitMix64: Steele, Lea & Flood 2014,
/// "Fast splittable pseudorandom number generators"; constants from memory).
pub struct Chance {
    state: u64,
}

impl Chance {
    pub fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    pub fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly in `[0, 1)`.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Evenly in `[low, high)`.
    pub fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Evenly among `0..count`.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count - 1)
    }

    /// A direction, all equally likely.
    pub fn direction(&mut self) -> Point {
        loop {
            let p = [self.within(-1.0, 1.0), self.within(-1.0, 1.0), self.within(-1.0, 1.0)];
            let square = dot(p, p);
            if (1e-4..=1.0).contains(&square) {
                return scale(p, 1.0 / square.sqrt());
            }
        }
    }

    /// Puts a list in random order.
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for i in (1..list.len()).rev() {
            list.swap(i, self.below(i + 1));
        }
    }
}
