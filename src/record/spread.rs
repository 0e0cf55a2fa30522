//! Median and range: a slip at the scale moves them least.

/// How numbers spread.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    /// The numbers, smallest first; at least one.
    sorted: Vec<f64>,
}

impl Spread {
    /// The spread of finite numbers; `None` without any.
    pub fn new(numbers: impl IntoIterator<Item = f64>) -> Option<Self> {
        let mut sorted: Vec<f64> = numbers.into_iter().filter(|n| n.is_finite()).collect();
        sorted.sort_by(f64::total_cmp);
        (!sorted.is_empty()).then_some(Self { sorted })
    }

    /// The numbers, smallest first.
    pub fn sorted(&self) -> &[f64] {
        &self.sorted
    }

    /// How many.
    pub fn count(&self) -> usize {
        self.sorted.len()
    }

    /// The middle one, or the mean of the middle two.
    pub fn median(&self) -> f64 {
        let middle = |at: usize| self.sorted.get(at).copied().unwrap_or_default();
        let count = self.count();
        0.5 * (middle((count - 1) / 2) + middle(count / 2))
    }

    /// The smallest.
    pub fn low(&self) -> f64 {
        self.sorted.first().copied().unwrap_or_default()
    }

    /// The largest.
    pub fn high(&self) -> f64 {
        self.sorted.last().copied().unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_moves_the_median_little() {
        let median = |numbers: &[f64]| Spread::new(numbers.iter().copied()).unwrap().median();
        assert_eq!(median(&[3.0]), 3.0);
        assert_eq!(median(&[4.0, 1.0]), 2.5);
        assert_eq!(median(&[15.8, 12.8, 14.0]), 14.0);
        assert_eq!(median(&[15.8, 12.8, 14.0, 1400.0]), 14.9);
        assert_eq!(Spread::new([f64::NAN]), None);
    }
}
