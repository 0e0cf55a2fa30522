//! Grams that the scale can show, in the ratio or as near to it as they come.

use crate::materials::Mix;

/// An exact ratio is worth this much extra mix, g, and this share of the mix; common practice.
const EXACT_WORTH_G: f64 = 1.0;
const EXACT_WORTH_SHARE: f64 = 0.01;
/// The scale's steps that an exact ratio is always worth, for each component: so equal parts come
/// out equal, and 1:1:2 exact, on any scale.
const EXACT_WORTH_STEPS: u64 = 2;
/// A ratio this near is as good as exact, %.
const AS_GOOD_AS_EXACT_PERCENT: f64 = 0.05;
/// More totals than this are not tried: by then the error is far below any scale's.
const TOTALS_TRIED_MAX: u64 = 2000;

/// A mix in steps of the scale.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rounded {
    /// Steps of each component.
    pub steps: Vec<u64>,
    /// How far the worst component is off its share, %.
    pub error_percent: f64,
    /// The next total in the exact ratio, in steps, where this one is not.
    pub exact_total: Option<u64>,
}

/// Rounds a mix of at least `required_g` to a scale of `step_g`.
///
/// The total is the least in the exact ratio, if that is not much more than required; else the one
/// with the smallest error among the next few. No component rounds to nothing.
pub(super) fn round_to_scale(required_g: f64, step_g: f64, mix: &Mix) -> Rounded {
    // A hair is taken off first, so that 30.000000000000004 g are no 300 steps and one more.
    let least = ((required_g / step_g) * (1.0 - 1e-12)).ceil().max(1.0) as u64;
    let worth = (EXACT_WORTH_STEPS * mix.parts.len() as u64)
        .max((EXACT_WORTH_G / step_g) as u64)
        .max((least as f64 * EXACT_WORTH_SHARE) as u64);
    let exact = mix.mass_ratio.as_ref().map(|ratio| {
        let unit: u64 = ratio.iter().sum();
        let times = least.div_ceil(unit);
        (ratio.iter().map(|n| n * times).collect::<Vec<_>>(), unit * times)
    });
    if let Some((steps, total)) = &exact
        && total - least <= worth
    {
        return Rounded { steps: steps.clone(), error_percent: 0.0, exact_total: None };
    }
    let shares: Vec<f64> = mix.parts.iter().map(|p| p.mass_share).collect();
    let (steps, error_percent) = nearest(&shares, least, worth.min(TOTALS_TRIED_MAX));
    Rounded { steps, error_percent, exact_total: exact.map(|(_, total)| total) }
}

/// The best of the totals from `least` to `least + worth`: the first that is as good as exact,
/// else the one with the smallest error.
fn nearest(shares: &[f64], least: u64, worth: u64) -> (Vec<u64>, f64) {
    let mut best = apportioned(shares, least);
    for total in least + 1..=least + worth {
        if best.1 <= AS_GOOD_AS_EXACT_PERCENT {
            break;
        }
        let next = apportioned(shares, total);
        if next.1 < best.1 {
            best = next;
        }
    }
    best
}

/// Splits a total by the largest remainders (Hamilton's method), at least one step each, and tells
/// the error.
fn apportioned(shares: &[f64], total: u64) -> (Vec<u64>, f64) {
    let ideal: Vec<f64> = shares.iter().map(|share| share * total as f64).collect();
    let mut steps: Vec<u64> = ideal.iter().map(|i| i.floor() as u64).collect();
    let mut by_remainder: Vec<usize> = (0..shares.len()).collect();
    by_remainder.sort_by(|&a, &b| ideal[b].fract().total_cmp(&ideal[a].fract()));
    let left = total.saturating_sub(steps.iter().sum()) as usize;
    for &i in by_remainder.iter().take(left) {
        steps[i] += 1;
    }
    for n in &mut steps {
        *n = (*n).max(1);
    }
    let sum = steps.iter().sum::<u64>() as f64;
    let off = steps.iter().zip(shares).map(|(&n, share)| (n as f64 / (sum * share) - 1.0).abs());
    let worst = off.fold(0.0, f64::max);
    (steps, 100.0 * worst)
}

/// So many steps in grams, as the nearest number to the decimal that the scale shows: 3 steps of
/// 0.1 g are 0.3 g, not 0.30000000000000004.
pub(super) fn steps_to_g(steps: u64, step_g: f64) -> f64 {
    let per_gram = (1.0 / step_g).round();
    if per_gram >= 1.0 && (per_gram * step_g - 1.0).abs() < 1e-9 {
        steps as f64 / per_gram
    } else {
        steps as f64 * step_g
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_remainders_get_the_steps_left() {
        // 10 steps over shares of 0.45, 0.35, 0.2: 4.5, 3.5, 2.0; the first of equals gets it.
        assert_eq!(apportioned(&[0.45, 0.35, 0.2], 10).0, [5, 3, 2]);
    }

    #[test]
    fn no_component_rounds_to_nothing() {
        let (steps, error) = apportioned(&[0.999, 0.001], 10);
        assert_eq!(steps, [10, 1]);
        // One step in 11 where one in a thousand is wanted: 91 times as much.
        assert!((error - 100.0 * (1000.0 / 11.0 - 1.0)).abs() < 1e-9);
    }

    #[test]
    fn steps_print_as_the_scale_shows_them() {
        assert_eq!(steps_to_g(3, 0.1).to_string(), "0.3");
        assert_eq!(steps_to_g(151, 0.2).to_string(), "30.2");
        assert_eq!(steps_to_g(7, 5.0).to_string(), "35");
    }
}
