//! The cheapest packs that cover several needs at once, exactly.
//!
//! The packs are taken one after the other; for each and for what is still needed the best count is
//! searched, and remembered. What a count can lead to at best is bounded from below by prices of
//! components: prices per gram such that no pack that is left holds more than its own price. Any
//! such prices make what is still needed no dearer than the packs that cover it (the weak duality
//! of linear programs). A count whose bound is worse than what was found already is passed over,
//! so that nothing is lost.

use hashbrown::HashMap;

/// Price, then grams in it, then one for the pack: what is compared, in that order. Whole units,
/// so that nothing is rounded.
pub(super) type Weight = [i128; 3];

const NOTHING: Weight = [0; 3];

/// One sort of pack as the search sees it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Sort {
    /// What it holds of each need, mg.
    pub holds_mg: Vec<u64>,
    /// What one costs by way of comparison.
    pub weight: Weight,
}

/// There are so many ways to buy that the cheapest can't be told in reasonable time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("there are too many ways to cover these grams with its packs to tell the cheapest")]
pub struct TooManyWays;

impl TooManyWays {
    /// What to do about it.
    pub const fn hint(self) -> &'static str {
        "ask for fewer castings at once, or leave out the packs that are not meant"
    }
}

/// Counts that are looked at before the search gives up: a few seconds.
const MOST_STEPS: u64 = 4_000_000;
/// Results that are remembered before it gives up: about a hundred megabytes.
const MOST_KEPT: usize = 500_000;
/// Sorts of pack of one system.
const MOST_SORTS: usize = 200;

/// How many of each sort: the set of least weight that covers the needs; of equal ones that with
/// more of the sort that holds more of the needed components, then of the sort listed earlier.
///
/// `None` where some need can't be covered at all.
pub(super) fn cheapest(needs_mg: &[u64], sorts: &[Sort]) -> Result<Option<Vec<u64>>, TooManyWays> {
    if sorts.len() > MOST_SORTS {
        return Err(TooManyWays);
    }
    let mut order: Vec<usize> = (0..sorts.len()).collect();
    let useful = |sort: &Sort| {
        sort.holds_mg.iter().zip(needs_mg).filter(|(holds, need)| **holds > 0 && **need > 0).count()
    };
    order.retain(|at| sorts.get(*at).is_some_and(|sort| useful(sort) > 0));
    order.sort_by_key(|at| sorts.get(*at).map(|sort| std::cmp::Reverse(useful(sort))));
    let ordered: Vec<&Sort> = order.iter().filter_map(|at| sorts.get(*at)).collect();

    let mut search = Search::new(needs_mg, &ordered);
    let start = search.start.clone();
    if search.best(0, &start)?.is_none() {
        return Ok(None);
    }
    let mut counts = vec![0; sorts.len()];
    let mut left = start;
    for (level, at) in order.iter().enumerate() {
        search.best(level, &left)?;
        let count = search.kept.get(&(level, left.clone())).map_or(0, |kept| kept.1);
        if let Some(slot) = counts.get_mut(*at) {
            *slot = count;
        }
        left = search.less(level, &left, count);
    }
    Ok(Some(counts))
}

/// A search under way.
struct Search {
    /// What is needed, in the unit of each component.
    start: Vec<u64>,
    /// The sorts in the order that they are taken.
    packs: Vec<Pack>,
    /// What the sorts from each level on can do.
    rest: Vec<Rest>,
    /// The best weight and the count of a level's own sort, by level and what is still needed.
    kept: HashMap<(usize, Vec<u64>), (Option<Weight>, u64)>,
    steps: u64,
}

struct Pack {
    holds: Vec<u64>,
    weight: Weight,
}

/// What the sorts from some level on can do.
struct Rest {
    /// Some sort holds the component.
    held: Vec<bool>,
    /// Prices of components that no sort undercuts.
    prices: Vec<Prices>,
}

/// Prices of components, as numerators over one denominator.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Prices {
    above: Vec<Weight>,
    below: i128,
}

impl Search {
    /// Everything in units that divide what the sorts hold: of 900 g and 3600 g, 900 g are one.
    fn new(needs_mg: &[u64], sorts: &[&Sort]) -> Self {
        let units = (0..needs_mg.len()).map(|c| {
            let held = sorts.iter().filter_map(|sort| sort.holds_mg.get(c));
            held.fold(0, |all, held| gcd(all, *held)).max(1)
        });
        let units: Vec<u64> = units.collect();
        let start = needs_mg.iter().zip(&units).map(|(need, unit)| need.div_ceil(*unit)).collect();
        let packs = sorts.iter().map(|sort| Pack {
            holds: sort.holds_mg.iter().zip(&units).map(|(held, unit)| held / unit).collect(),
            weight: sort.weight,
        });
        let packs: Vec<Pack> = packs.collect();
        let rest = (0..=packs.len())
            .map(|level| Rest::of(packs.get(level..).unwrap_or_default(), needs_mg.len()))
            .collect();
        Self { start, packs, rest, kept: HashMap::new(), steps: 0 }
    }

    /// The least weight that covers `left` with the sorts from `level` on.
    fn best(&mut self, level: usize, left: &[u64]) -> Result<Option<Weight>, TooManyWays> {
        if left.iter().all(|need| *need == 0) {
            return Ok(Some(NOTHING));
        }
        if let Some(kept) = self.kept.get(&(level, left.to_vec())) {
            return Ok(kept.0);
        }
        let found = self.search(level, left)?;
        if self.kept.len() >= MOST_KEPT {
            return Err(TooManyWays);
        }
        self.kept.insert((level, left.to_vec()), found);
        Ok(found.0)
    }

    fn search(&mut self, level: usize, left: &[u64]) -> Result<(Option<Weight>, u64), TooManyWays> {
        let Some(pack) = self.packs.get(level) else { return Ok((None, 0)) };
        let weight = pack.weight;
        let enough = pack.holds.iter().zip(left).filter(|(holds, _)| **holds > 0);
        let most = enough.map(|(holds, need)| need.div_ceil(*holds)).max().unwrap_or(0);
        // As many as may be of use first: a good start makes the bounds bite.
        let mut best = self.with(level, left, most, weight)?.map(|found| (found, most));
        let mut before: Option<Weight> = None;
        for count in 0..most {
            self.steps += 1;
            if self.steps > MOST_STEPS {
                return Err(TooManyWays);
            }
            let then = self.less(level, left, count);
            let bound = self.rest.get(level + 1).and_then(|rest| rest.at_least(&then));
            // Without enough of this sort the others can't cover it.
            let Some(bound) = bound else { continue };
            let bound = plus(times(weight, count), bound);
            if let Some((found, with)) = best
                && (bound > found || (bound == found && count < with))
            {
                // The bound without rounding is convex in the count: once it rises it rises on.
                if before.is_some_and(|before| bound > before) && bound > found {
                    break;
                }
                before = Some(bound);
                continue;
            }
            before = Some(bound);
            if let Some(found) = self.with(level, left, count, weight)?
                && best.is_none_or(|(best, with)| found < best || (found == best && count > with))
            {
                best = Some((found, count));
            }
        }
        Ok(match best {
            Some((found, count)) => (Some(found), count),
            None => (None, 0),
        })
    }

    /// The least weight with so many of a level's sort.
    fn with(
        &mut self,
        level: usize,
        left: &[u64],
        count: u64,
        weight: Weight,
    ) -> Result<Option<Weight>, TooManyWays> {
        let then = self.less(level, left, count);
        let rest = self.best(level + 1, &then)?;
        Ok(rest.map(|rest| plus(times(weight, count), rest)))
    }

    /// What is still needed behind so many of a level's sort.
    fn less(&self, level: usize, left: &[u64], count: u64) -> Vec<u64> {
        let Some(pack) = self.packs.get(level) else { return left.to_vec() };
        let each = left.iter().zip(&pack.holds);
        each.map(|(need, holds)| need.saturating_sub(holds.saturating_mul(count))).collect()
    }
}

impl Rest {
    fn of(packs: &[Pack], components: usize) -> Self {
        let holds = |pack: &Pack, c: usize| pack.holds.get(c).is_some_and(|holds| *holds > 0);
        let held = (0..components).map(|c| packs.iter().any(|pack| holds(pack, c))).collect();
        let mut prices: Vec<Prices> = Vec::new();
        for order in orders(components) {
            let found = Prices::highest(packs, components, &order);
            prices.extend(found.filter(|found| !prices.contains(found)));
        }
        Self { held, prices }
    }

    /// No set of these sorts that covers `left` weighs less; `None` where none covers it.
    fn at_least(&self, left: &[u64]) -> Option<Weight> {
        if left.iter().zip(&self.held).any(|(need, held)| *need > 0 && !held) {
            return None;
        }
        let bounds = self.prices.iter().filter_map(|prices| prices.of(left));
        Some(bounds.fold(NOTHING, Weight::max))
    }
}

impl Prices {
    /// The highest price of one component after the other that no pack undercuts: a pack's weight
    /// less what it holds of those before. `None` where the numbers grow too large.
    fn highest(packs: &[Pack], components: usize, order: &[usize]) -> Option<Self> {
        let mut all = Self { above: vec![NOTHING; components], below: 1 };
        for &c in order {
            let mut least: Option<(Weight, i128)> = None;
            for pack in packs {
                let holds = i128::from(*pack.holds.get(c)?);
                if holds == 0 {
                    continue;
                }
                let own = checked_times(pack.weight, all.below)?;
                let left = checked_minus(own, all.sum(&pack.holds)?)?;
                let lower = match least {
                    None => true,
                    Some((weight, units)) => {
                        checked_times(left, units)? < checked_times(weight, holds)?
                    }
                };
                if lower {
                    least = Some((left, holds));
                }
            }
            let Some((weight, units)) = least else { continue };
            for above in &mut all.above {
                *above = checked_times(*above, units)?;
            }
            all.below = all.below.checked_mul(units)?;
            *all.above.get_mut(c)? = weight;
        }
        Some(all)
    }

    /// What so much of each component comes to, over the denominator.
    fn sum(&self, amounts: &[u64]) -> Option<Weight> {
        let mut sum = NOTHING;
        for (above, amount) in self.above.iter().zip(amounts) {
            let one = checked_times(*above, i128::from(*amount))?;
            for (place, more) in sum.iter_mut().zip(one) {
                *place = place.checked_add(more)?;
            }
        }
        Some(sum)
    }

    /// The least whole weight that is not under these prices of what is needed.
    fn of(&self, left: &[u64]) -> Option<Weight> {
        let mut rounded = NOTHING;
        for (place, value) in rounded.iter_mut().zip(self.sum(left)?) {
            // No pack has less than nothing of anything.
            if value < 0 {
                break;
            }
            *place = value / self.below;
            if value % self.below > 0 {
                // Rounded up here, so that what comes behind may be anything.
                *place += 1;
                break;
            }
        }
        Some(rounded)
    }
}

/// Orders in which prices are raised: all of a few components; of more every one first.
fn orders(components: usize) -> Vec<Vec<usize>> {
    let mut orders: Vec<Vec<usize>> = vec![Vec::new()];
    if components <= 4 {
        for c in 0..components {
            let put = |order: &Vec<usize>| {
                let at = |place: usize| {
                    let mut longer = order.clone();
                    longer.insert(place, c);
                    longer
                };
                (0..=order.len()).map(at).collect::<Vec<_>>()
            };
            orders = orders.iter().flat_map(put).collect();
        }
        return orders;
    }
    let from = |first: usize| {
        let forth: Vec<usize> = (0..components).map(|c| (first + c) % components).collect();
        let mut back = forth.clone();
        back.reverse();
        [forth, back]
    };
    (0..components).flat_map(from).collect()
}

fn checked_times(weight: Weight, count: i128) -> Option<Weight> {
    let [a, b, c] = weight;
    Some([a.checked_mul(count)?, b.checked_mul(count)?, c.checked_mul(count)?])
}

fn checked_minus(weight: Weight, less: Weight) -> Option<Weight> {
    let ([a, b, c], [x, y, z]) = (weight, less);
    Some([a.checked_sub(x)?, b.checked_sub(y)?, c.checked_sub(z)?])
}

fn plus(a: Weight, b: Weight) -> Weight {
    [a[0].saturating_add(b[0]), a[1].saturating_add(b[1]), a[2].saturating_add(b[2])]
}

fn times(weight: Weight, count: u64) -> Weight {
    weight.map(|place| place.saturating_mul(i128::from(count)))
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
