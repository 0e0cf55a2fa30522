//! Splitting a mix into equal batches that fit the working time and the cups.

use super::allowance::{Laid, Purpose};
use super::dose::{BatchWork, Dose, Weighed};
use super::weigh::{Amount, Rounded, RoundsToNothing, fair_mix_g, round_to_scale};
use super::{Allowance, Shop};
use crate::materials::{By, Mix};

/// Batches beyond this are no plan for a workshop; the last of them is told as over its cup or
/// time.
const BATCHES_MOST: u32 = 10_000;
/// From here on mixing takes longer, g (common practice, no source).
const LARGE_BATCH_G: f64 = 1000.0;
/// How far a batch may be over its cup or time for the rounding of decimals.
const HAIR: f64 = 1e-9;

/// A mix in so many batches, tried out.
struct Trial {
    batches: u32,
    allowances: Vec<Allowance>,
    asked_g: f64,
    required_each_g: f64,
    rounded: Rounded,
    batch_g: f64,
    work: BatchWork,
}

impl Dose {
    /// One mix in as few equal batches as fit the working time and the cups; each is raised to the
    /// smallest batch and rounded to the scale, so that none is a scrap.
    pub(super) fn of(mix: &Mix, purpose: &Purpose, shop: &Shop) -> Result<Self, RoundsToNothing> {
        let chosen = fewest(mix, purpose, shop)?;
        let step_g = shop.scale_step_g;
        let weighed = |times: u32| -> Vec<Weighed> {
            let each = mix.parts.iter().zip(&chosen.rounded.amounts);
            each.map(|(part, amount)| Weighed {
                name: part.name.clone(),
                role: part.role,
                parts: part.parts,
                by: if part.role.is_additive() { By::Weight } else { mix.by },
                grams: amount.times(times).grams(step_g),
                drops: match amount.times(times) {
                    Amount::Drops(drops, _) => Some(drops),
                    Amount::Steps(_) => None,
                },
            })
            .collect()
        };
        let components = weighed(chosen.batches);
        let batch = weighed(1);
        let mix_g: f64 = components.iter().map(|c| c.grams).sum();
        let of_ratio = batch.iter().filter(|w| !w.role.is_additive());
        let smallest_g = of_ratio.map(|w| w.grams).fold(f64::INFINITY, f64::min);
        let required_g = f64::from(chosen.batches) * chosen.required_each_g;
        Ok(Self {
            net_g: purpose.net_g,
            raised_g: (required_g - chosen.asked_g).max(0.0),
            // Never −0.0 where the sum of decimals falls a hair short.
            rounding_g: (mix_g - required_g).max(0.0),
            allowances: chosen.allowances,
            mix_g,
            components,
            batches: chosen.batches,
            batch,
            work: Some(chosen.work),
            ratio_error_percent: chosen.rounded.error_percent,
            reading_error_percent: 50.0 * step_g / smallest_g,
            exact_mix_g: chosen.rounded.exact_mix_g,
        })
    }
}

/// The smallest batch that mixes well by hand and that the scale weighs well, g.
pub(super) fn least_batch_g(mix: &Mix, shop: &Shop) -> f64 {
    let a = &shop.allowances;
    let ratio = mix.parts.iter().filter(|p| !p.role.is_additive());
    let share = ratio.map(|p| p.mass_share).fold(f64::INFINITY, f64::min);
    let by_scale = fair_mix_g(shop.scale_step_g, share, a.ratio_tolerance);
    // A tolerance of all asks nothing of the scale.
    if a.ratio_tolerance < 1.0 { a.smallest_batch_g.max(by_scale) } else { a.smallest_batch_g }
}

/// The fewest batches that fit; where none do, the fewest that fit as far as they can.
fn fewest(mix: &Mix, purpose: &Purpose, shop: &Shop) -> Result<Trial, RoundsToNothing> {
    let mut batches = 1;
    let mut first_in_cup: Option<Trial> = None;
    loop {
        let trial = tried(mix, purpose, shop, batches)?;
        let (over_cup, over_time) = (trial.work.over_cup, trial.work.over_time);
        if !over_cup && !over_time {
            return Ok(trial);
        }
        // A foam is poured at once, and a batch that is raised already gets no smaller.
        let smallest = trial.asked_g <= trial.required_each_g * f64::from(batches) * (1.0 - HAIR);
        let by_area = matches!(purpose.laid, Laid::Brushed { .. } | Laid::Sprayed { .. });
        let hopeless_time = over_time && !shrinks(&trial, smallest, by_area);
        let last = purpose.laid == Laid::Foamed || batches >= BATCHES_MOST;
        if last || (over_cup && smallest) || (hopeless_time && !over_cup) {
            // Over its time in any case: then no more batches than the cups ask for.
            let fallback = if hopeless_time { first_in_cup } else { None };
            return Ok(fallback.unwrap_or(trial));
        }
        batches = more(&trial, purpose, shop);
        if !over_cup && first_in_cup.is_none() {
            first_in_cup = Some(trial);
        }
    }
}

/// Whether more batches can bring a batch that takes too long into its time.
fn shrinks(trial: &Trial, smallest: bool, by_area: bool) -> bool {
    // Mixing less than a kilogram is quicker, so a large batch may still come in.
    let mixing_alone = trial.work.available_minutes.is_some_and(|left| left <= 0.0);
    if mixing_alone { trial.batch_g > LARGE_BATCH_G } else { by_area || !smallest }
}

/// How many batches to try next: one more, or at once as many as the cup or the time asks for.
fn more(trial: &Trial, purpose: &Purpose, shop: &Shop) -> u32 {
    let mut times: f64 = 1.0;
    if trial.work.over_cup {
        let most_g = cup_g(purpose, shop).unwrap_or(f64::INFINITY);
        times = times.max(trial.batch_g / most_g);
    }
    if let (true, Some(left)) = (trial.work.over_time, trial.work.available_minutes) {
        // Smaller batches may be mixed quicker.
        let left = left + (trial.work.mixing_minutes - shop.pace.mixing_minutes).max(0.0);
        if left > 0.0 {
            times = times.max(trial.work.laying_minutes / left);
        }
    }
    // Film and rounding differ between so many and so many batches, so a jump stays short.
    let jump = (f64::from(trial.batches) * times * 0.9).floor();
    (jump.min(f64::from(BATCHES_MOST)) as u32).max(trial.batches + 1)
}

fn tried(
    mix: &Mix,
    purpose: &Purpose,
    shop: &Shop,
    batches: u32,
) -> Result<Trial, RoundsToNothing> {
    let allowances = shop
        .allowances
        .lines(purpose, batches, |batch_cm3| smallest_cup_cm3(purpose, shop, batch_cm3));
    let asked_g = purpose.net_g + allowances.iter().map(|a| a.grams).sum::<f64>();
    let required_each_g = (asked_g / f64::from(batches)).max(least_batch_g(mix, shop));
    let step_g = shop.scale_step_g;
    let rounded = round_to_scale(required_each_g, step_g, mix, shop.allowances.ratio_tolerance)?;
    let batch_g = rounded.amounts.iter().map(|a| a.grams(step_g)).sum();
    let work = work(purpose, shop, batches, batch_g);
    Ok(Trial { batches, allowances, asked_g, required_each_g, rounded, batch_g, work })
}

/// How long a batch takes, and whether it fits.
fn work(purpose: &Purpose, shop: &Shop, batches: u32, batch_g: f64) -> BatchWork {
    let pace = &shop.pace;
    let foam = purpose.laid == Laid::Foamed;
    let mixing_minutes = if foam {
        pace.mixing_foam_minutes
    } else if batch_g > LARGE_BATCH_G {
        pace.mixing_large_minutes
    } else {
        pace.mixing_minutes
    };
    let degassing_minutes = if shop.vacuum && !foam { pace.degassing_minutes } else { 0.0 };
    let laying_minutes = match purpose.laid {
        Laid::Brushed { area_mm2, cm2_per_minute } | Laid::Sprayed { area_mm2, cm2_per_minute } => {
            area_mm2 / 100.0 / cm2_per_minute / f64::from(batches)
        }
        Laid::Poured | Laid::Slushed => batch_g / pace.pour_g_per_minute,
        Laid::Foamed => 0.0,
    };
    let available_minutes = purpose
        .working_minutes
        .map(|working| working * (1.0 - pace.reserve) - mixing_minutes - degassing_minutes);
    let batch_cm3 = batch_g / purpose.liquid_g_cm3;
    let cup_cm3 = smallest_cup_cm3(purpose, shop, batch_cm3);
    BatchWork {
        mixing_minutes,
        degassing_minutes,
        laying_minutes,
        available_minutes,
        cup_cm3,
        over_cup: cup_cm3.is_none() && !shop.cups_cm3.is_empty(),
        over_time: available_minutes.is_some_and(|left| laying_minutes > left + HAIR),
    }
}

/// The smallest cup at hand that so much of a mix may be mixed in, cm³ brim-full.
fn smallest_cup_cm3(purpose: &Purpose, shop: &Shop, batch_cm3: f64) -> Option<f64> {
    let fill = fill(purpose, shop);
    let fitting =
        shop.cups_cm3.iter().copied().filter(|cup| batch_cm3 <= cup * fill * (1.0 + HAIR));
    fitting.min_by(f64::total_cmp)
}

/// How full a cup may be.
pub(super) fn fill(purpose: &Purpose, shop: &Shop) -> f64 {
    match (shop.vacuum && purpose.laid != Laid::Foamed, purpose.silicone) {
        (false, _) => shop.cup_fill,
        (true, false) => shop.cup_fill_vacuum.min(shop.cup_fill),
        (true, true) => shop.cup_fill_vacuum_silicone.min(shop.cup_fill),
    }
}

/// The most that the largest cup takes, g; `None` for cups of any size.
fn cup_g(purpose: &Purpose, shop: &Shop) -> Option<f64> {
    let largest = shop.cups_cm3.iter().copied().max_by(f64::total_cmp)?;
    Some(largest * fill(purpose, shop) * purpose.liquid_g_cm3)
}
