//! The cheapest packs that cover several needs at once, exactly.
//!
//! The packs are taken one after the other; for each and for what is still needed the best count is
//! searched, and remembered. What a count can lead to at best is bounded from below: of every
//! component the packs that are left cost at least what is needed of it at the lowest price per
//! gram, and components that no pack holds together add up. A count whose bound is worse than what
//! was found already is passed over, so that nothing is lost.

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

/// Counts that are looked at before the search gives up: some seconds.
const MOST_STEPS: u64 = 20_000_000;
/// Results that are remembered before it gives up: some hundred megabytes.
const MOST_KEPT: usize = 1_500_000;
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
    /// The sort of least weight per unit of each component, as weight and units in it.
    cheapest: Vec<Option<(Weight, u64)>>,
    /// Components in one group are held together by some sort; its number.
    group: Vec<usize>,
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
        let groups = self.rest.get(level + 1).map_or(0, Rest::groups);
        // As many as may be of use first: a good start makes the bounds bite.
        let mut best = self.with(level, left, most, weight)?.map(|found| (found, most));
        let mut before: Option<i128> = None;
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
                // The price without rounding is convex in the count, and each group rounds it by
                // less than one: rising by more than that while worse, it stays worse.
                let rising = before.is_some_and(|before| bound[0] - before > groups);
                if rising && bound[0] - groups > found[0] {
                    break;
                }
                before = Some(bound[0]);
                continue;
            }
            before = Some(bound[0]);
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
        let mut group: Vec<usize> = (0..components).collect();
        let mut cheapest: Vec<Option<(Weight, u64)>> = vec![None; components];
        for pack in packs {
            let held = pack.holds.iter().enumerate().filter(|(_, holds)| **holds > 0);
            let held: Vec<(usize, u64)> = held.map(|(c, holds)| (c, *holds)).collect();
            let joined: Vec<usize> =
                held.iter().filter_map(|(c, _)| group.get(*c).copied()).collect();
            let into = joined.iter().min().copied().unwrap_or(0);
            for number in &mut group {
                if joined.contains(number) {
                    *number = into;
                }
            }
            for (c, holds) in held {
                let Some(known) = cheapest.get_mut(c) else { continue };
                let lower = known
                    .is_none_or(|(weight, units)| times(pack.weight, units) < times(weight, holds));
                if lower {
                    *known = Some((pack.weight, holds));
                }
            }
        }
        Self { cheapest, group }
    }

    fn groups(&self) -> i128 {
        // Not more than there are components.
        self.group.len() as i128
    }

    /// No set of these sorts that covers `left` weighs less; `None` where none covers it.
    fn at_least(&self, left: &[u64]) -> Option<Weight> {
        let mut by_group = vec![NOTHING; self.group.len()];
        for ((need, cheapest), group) in left.iter().zip(&self.cheapest).zip(&self.group) {
            if *need == 0 {
                continue;
            }
            let (weight, units) = (*cheapest)?;
            let bound = whole(times(weight, *need), units);
            if let Some(most) = by_group.get_mut(*group) {
                *most = (*most).max(bound);
            }
        }
        Some(by_group.into_iter().fold(NOTHING, plus))
    }
}

/// The least whole weight that is not under `weight`/`units`: where one place is rounded up, those
/// behind it may be anything.
fn whole(weight: Weight, units: u64) -> Weight {
    let units = i128::from(units);
    let mut rounded = NOTHING;
    for (place, value) in rounded.iter_mut().zip(weight) {
        *place = value / units;
        if value % units > 0 {
            *place += 1;
            break;
        }
    }
    rounded
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
