//! Grams that the scale can show, in the ratio or as near to it as they come.

use crate::materials::{Mix, MixPart};

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
/// Under so many steps of the scale something that is known by the drop is counted in drops:
/// above, weighing is at least as good.
const STEPS_BETTER_IN_DROPS: f64 = 10.0;
/// What half a step may be of an additive: it is one step at least.
const ADDITIVE_TOLERANCE: f64 = 0.5;
/// Scales that there are, g, from coarse to fine.
const SCALES_G: [f64; 6] = [1.0, 0.5, 0.1, 0.05, 0.01, 0.001];

/// A mix as it is weighed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rounded {
    /// Each part of the mix, in its order.
    pub amounts: Vec<Amount>,
    /// How far the worst component of the ratio is off its share, %.
    pub error_percent: f64,
    /// The next mix in the exact ratio, g, where this one is not in it.
    pub exact_mix_g: Option<f64>,
}

/// How much of one thing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Amount {
    /// Steps of the scale.
    Steps(u64),
    /// Drops of so many grams.
    Drops(u32, f64),
}

/// Something would round to nothing on this scale.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RoundsToNothing {
    /// What.
    pub component: String,
    /// The least mix that holds a fair step of it, g.
    pub least_mix_g: f64,
    /// The coarsest scale that shows it fairly, g.
    pub finer_step_g: Option<f64>,
}

impl Amount {
    /// In grams; steps as [`steps_to_g`] has them.
    pub(super) fn grams(self, step_g: f64) -> f64 {
        match self {
            Self::Steps(steps) => steps_to_g(steps, step_g),
            Self::Drops(drops, grams) => f64::from(drops) * grams,
        }
    }

    /// So many times as much.
    pub(super) fn times(self, times: u32) -> Self {
        match self {
            Self::Steps(steps) => Self::Steps(steps.saturating_mul(u64::from(times))),
            Self::Drops(drops, grams) => Self::Drops(drops.saturating_mul(times), grams),
        }
    }
}

/// Rounds a mix of at least `required_g` to a scale of `step_g`.
///
/// Additives are rounded by themselves, so that they don't spoil the ratio of the others. The total
/// of the others is the least in the exact ratio, if that is not much more than required; else the
/// one with the smallest error among the next few.
///
/// # Errors
/// [`RoundsToNothing`] for a component or additive that the scale can't show; `tolerance` is the
/// share of it that half a step may be.
pub(super) fn round_to_scale(
    required_g: f64,
    step_g: f64,
    mix: &Mix,
    tolerance: f64,
) -> Result<Rounded, RoundsToNothing> {
    let (additives, ratio): (Vec<_>, Vec<_>) = mix.parts.iter().partition(|p| p.role.is_additive());
    let of_ratio: f64 = ratio.iter().map(|p| p.mass_share).sum();
    let nothing = |part: &MixPart, grams: f64| {
        let tolerance = if part.role.is_additive() { ADDITIVE_TOLERANCE } else { tolerance };
        RoundsToNothing {
            component: part.name.clone(),
            least_mix_g: fair_mix_g(step_g, part.mass_share, tolerance),
            finer_step_g: finer_scale(step_g, grams, tolerance),
        }
    };
    let stirred_in = |of_ratio_g: f64| -> Result<Vec<Amount>, RoundsToNothing> {
        let one = |part: &&MixPart| {
            let grams = of_ratio_g * part.mass_share / of_ratio;
            additive(grams, step_g, part.grams_per_drop).ok_or_else(|| nothing(part, grams))
        };
        additives.iter().map(one).collect()
    };
    let sum = |amounts: &[Amount]| amounts.iter().map(|a| a.grams(step_g)).sum::<f64>();
    let shares: Vec<f64> = ratio.iter().map(|p| p.mass_share / of_ratio).collect();
    let whole = |added_g: f64| {
        in_ratio((required_g - added_g).max(0.0), step_g, &shares, mix.mass_ratio.as_deref())
    };
    // Once from what is required, once more from what that comes to.
    let first = stirred_in(required_g * of_ratio)?;
    let mut found = whole(sum(&first));
    let added = stirred_in(steps_to_g(found.steps.iter().sum(), step_g))?;
    if sum(&added) < sum(&first) {
        found = whole(sum(&added));
    }
    if let Some((part, _)) = ratio.iter().zip(&found.steps).find(|(_, steps)| **steps == 0) {
        return Err(nothing(part, required_g * part.mass_share));
    }
    let added_g = sum(&added);
    let (mut added, mut steps) = (added.into_iter(), found.steps.into_iter());
    let amounts = mix.parts.iter().filter_map(|part| match part.role.is_additive() {
        true => added.next(),
        false => steps.next().map(Amount::Steps),
    });
    Ok(Rounded {
        amounts: amounts.collect(),
        error_percent: found.error_percent,
        exact_mix_g: found.exact_total.map(|total| steps_to_g(total, step_g) + added_g),
    })
}

/// The least mix in which half a step of the scale is no more than `tolerance` of what has this
/// share of it, g.
pub(super) fn fair_mix_g(step_g: f64, share: f64, tolerance: f64) -> f64 {
    step_g / (2.0 * tolerance * share)
}

/// The coarsest usual scale finer than this one that shows so many grams fairly.
pub(super) fn finer_scale(step_g: f64, grams: f64, tolerance: f64) -> Option<f64> {
    SCALES_G.into_iter().find(|s| *s < step_g && 0.5 * s <= tolerance * grams)
}

/// Grams of an additive: by the drop where that is known and the scale is coarse, else steps of
/// the scale; `None` where neither comes to anything.
fn additive(grams: f64, step_g: f64, grams_per_drop: Option<f64>) -> Option<Amount> {
    let steps = grams / step_g;
    match grams_per_drop {
        Some(drop) if steps < STEPS_BETTER_IN_DROPS => {
            let drops = (grams / drop).round();
            // Less than half a drop is still one drop: none would not tint at all.
            Some(Amount::Drops(drops.clamp(1.0, 1e6) as u32, drop))
        }
        _ => {
            // The hair keeps half a step that fell short by rounding.
            let whole = (steps * (1.0 + 1e-12)).round();
            (whole >= 1.0).then_some(Amount::Steps(whole as u64))
        }
    }
}

/// Components in steps of the scale.
struct InRatio {
    steps: Vec<u64>,
    error_percent: f64,
    /// The next total in the exact ratio, in steps, where this one is not.
    exact_total: Option<u64>,
}

fn in_ratio(required_g: f64, step_g: f64, shares: &[f64], ratio: Option<&[u64]>) -> InRatio {
    // A hair is taken off first, so that 30.000000000000004 g are no 300 steps and one more.
    let least = ((required_g / step_g) * (1.0 - 1e-12)).ceil().max(1.0) as u64;
    let worth = (EXACT_WORTH_STEPS * shares.len() as u64)
        .max((EXACT_WORTH_G / step_g) as u64)
        .max((least as f64 * EXACT_WORTH_SHARE) as u64);
    let exact = ratio.map(|ratio| {
        let unit: u64 = ratio.iter().sum();
        let times = least.div_ceil(unit.max(1));
        (ratio.iter().map(|n| n * times).collect::<Vec<_>>(), unit * times)
    });
    if let Some((steps, total)) = &exact
        && total - least <= worth
    {
        return InRatio { steps: steps.clone(), error_percent: 0.0, exact_total: None };
    }
    let (steps, error_percent) = nearest(shares, least, worth.min(TOTALS_TRIED_MAX));
    InRatio { steps, error_percent, exact_total: exact.map(|(_, total)| total) }
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

/// Splits a total by the largest remainders (Hamilton's method), and tells the error; something
/// that gets no step is 100 % off.
fn apportioned(shares: &[f64], total: u64) -> (Vec<u64>, f64) {
    let ideal: Vec<f64> = shares.iter().map(|share| share * total as f64).collect();
    let mut steps: Vec<u64> = ideal.iter().map(|i| i.floor() as u64).collect();
    let mut by_remainder: Vec<usize> = (0..shares.len()).collect();
    by_remainder.sort_by(|&a, &b| ideal[b].fract().total_cmp(&ideal[a].fract()));
    let left = total.saturating_sub(steps.iter().sum()) as usize;
    for &i in by_remainder.iter().take(left) {
        steps[i] += 1;
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
    fn what_gets_no_step_is_wholly_off() {
        assert_eq!(apportioned(&[0.999, 0.001], 10), (vec![10, 0], 100.0));
    }

    #[test]
    fn small_amounts_go_by_drops_where_known() {
        assert_eq!(additive(0.1, 0.1, Some(0.03)), Some(Amount::Drops(3, 0.03)));
        assert_eq!(additive(0.001, 0.1, Some(0.03)), Some(Amount::Drops(1, 0.03)));
        assert_eq!(additive(2.0, 0.1, Some(0.03)), Some(Amount::Steps(20)));
        assert_eq!(additive(0.05, 0.1, None), Some(Amount::Steps(1)));
        assert_eq!(additive(0.049, 0.1, None), None);
    }

    #[test]
    fn a_finer_scale_is_the_coarsest_that_does() {
        // Half a step of 0.01 g is 1.7 % of 0.3 g; of 0.05 g 8.3 %.
        assert_eq!(finer_scale(0.1, 0.3, 0.02), Some(0.01));
        assert_eq!(finer_scale(0.001, 0.3, 0.02), None);
    }

    #[test]
    fn steps_print_as_the_scale_shows_them() {
        assert_eq!(steps_to_g(3, 0.1).to_string(), "0.3");
        assert_eq!(steps_to_g(151, 0.2).to_string(), "30.2");
        assert_eq!(steps_to_g(7, 5.0).to_string(), "35");
    }
}
