//! The lines of a price, one under the other.

use super::money::{fraction, short, sum};
use super::need::SystemNeeds;
use super::packs::{Short, choose};
use super::price::rate;
use super::{
    Charge, CostError, Currency, LineGroup, Per, Profit, QuoteLine, Rates, Reckoning, Step,
};
use rust_decimal::Decimal;

const HUNDRED: Decimal = Decimal::ONE_HUNDRED;

/// What is made for one price: so many pieces, and a trial beside them.
pub(super) struct Order<'a> {
    /// Good pieces.
    pub pieces: u32,
    /// Moulds that are filled at once.
    pub at_once: u32,
    /// How often they are filled.
    pub rounds: u32,
    /// What the pieces take.
    pub needs: &'a [SystemNeeds],
    /// Castings of the trial, and what they take.
    pub trial: u32,
    pub trial_needs: &'a [SystemNeeds],
}

/// A build-up in the making.
pub(super) struct BuildUp<'a> {
    rates: &'a Rates,
    order: &'a Order<'a>,
    pub lines: Vec<QuoteLine>,
    /// Numbers of the lines that are there once an order.
    once: Vec<usize>,
    /// Packs that were chosen are still invented ones, or have no price.
    pub unpriced_systems: Vec<String>,
}

/// A line that is not rounded yet.
struct Raw {
    group: LineGroup,
    name: String,
    formula: String,
    amount: Option<Decimal>,
}

impl<'a> BuildUp<'a> {
    /// All lines of an order.
    pub fn of(rates: &'a Rates, order: &'a Order<'a>) -> Result<Self, CostError> {
        let mut all = Self::begun(rates, order);
        match rates.reckoning {
            Reckoning::Grams => all.grams(LineGroup::Material, order.needs)?,
            Reckoning::Packs => all.packs()?,
        }
        all.bought_in(LineGroup::BoughtIn, order.pieces)?;
        all.mould()?;
        all.work()?;
        all.trial()?;
        all.rejects()?;
        all.overhead()?;
        all.margin()?;
        all.taxes()?;
        Ok(all)
    }

    fn begun(rates: &'a Rates, order: &'a Order<'a>) -> Self {
        Self { rates, order, lines: Vec::new(), once: Vec::new(), unpriced_systems: Vec::new() }
    }

    /// The material lines of one need alone, by the same reckoning, as those of a mould.
    pub fn of_materials(
        rates: &'a Rates,
        needs: &'a SystemNeeds,
    ) -> Result<Vec<QuoteLine>, CostError> {
        let needs = std::slice::from_ref(needs);
        // Moulds have no rejects.
        let plain = Rates { rejects_percent: Decimal::ZERO, ..rates.clone() };
        let order = Order { pieces: 1, at_once: 1, rounds: 1, needs, trial: 0, trial_needs: &[] };
        let mut all = BuildUp::begun(&plain, &order);
        match rates.reckoning {
            Reckoning::Grams => all.grams(LineGroup::Mould, needs)?,
            Reckoning::Packs => all.packs()?,
        }
        let of_mould = |line| QuoteLine { group: LineGroup::Mould, ..line };
        Ok(all.lines.into_iter().map(of_mould).collect())
    }

    /// The lines of some groups added up; `None` where one isn't known.
    pub fn sum(&self, of: impl Fn(LineGroup) -> bool) -> Result<Option<Decimal>, CostError> {
        let amounts = self.lines.iter().filter(|line| of(line.group)).map(|line| line.amount);
        let amounts: Option<Vec<Decimal>> = amounts.collect();
        amounts.map(|amounts| sum("the price", amounts)).transpose()
    }

    fn currency(&self) -> &'a Currency {
        &self.rates.currency
    }

    fn add(&mut self, raw: Raw) {
        let amount = raw.amount.map(|amount| self.currency().rounded(amount));
        let Raw { group, name, formula, .. } = raw;
        self.lines.push(QuoteLine { group, name, formula, amount });
    }

    /// Materials by what is weighed.
    fn grams(&mut self, group: LineGroup, needs: &[SystemNeeds]) -> Result<(), CostError> {
        for of_system in needs {
            let system = &of_system.system;
            for need in &of_system.needs {
                let name = format!("{}, {}", need.component, system.id);
                let grams = short(need.grams);
                let rate = rate(system, &need.component, &self.rates.prices)?;
                let (formula, amount) = match rate {
                    Some(rate) => {
                        let amount = fraction(&name, &[need.grams, rate.price], &[rate.grams])?;
                        (format!("{grams} g × {rate}"), Some(amount))
                    }
                    None => (format!("{grams} g, no price known"), None),
                };
                self.add(Raw { group, name, formula, amount });
            }
        }
        Ok(())
    }

    /// Materials by the packs that must be opened: for pieces, rejects and trial together.
    fn packs(&mut self) -> Result<(), CostError> {
        let rejects = self.rates.rejects_percent;
        let mut together = Vec::new();
        for needs in self.order.needs {
            let with_rejects = needs.clone().times(HUNDRED, HUNDRED.saturating_sub(rejects));
            let too_large = || CostError::TooLarge { what: needs.system.id.clone() };
            super::need::add(&mut together, with_rejects.ok_or_else(too_large)?);
        }
        for needs in self.order.trial_needs {
            super::need::add(&mut together, needs.clone());
        }
        for needs in &together {
            let wanted = needs
                .needs
                .iter()
                .map(|need| Short { component: &need.component, grams: need.grams });
            let chosen = choose(&needs.system, &wanted.collect::<Vec<_>>(), self.currency())?;
            let id = &needs.system.id;
            let known = !chosen.invented;
            let covered = chosen.no_pack.iter().all(|none| !none);
            if !known || !covered || chosen.price.is_none() {
                self.unpriced_systems.push(id.clone());
            }
            for pack in &chosen.packs {
                let each = pack.price_each.filter(|_| known);
                let formula = match each {
                    Some(each) => format!("{} × {each}", pack.count),
                    None => format!("{}, no price known", pack.count),
                };
                let name = format!("{}, {id}", pack.name);
                let amount = pack.price.filter(|_| known);
                self.add(Raw { group: LineGroup::Material, name, formula, amount });
            }
            for (need, _) in needs.needs.iter().zip(&chosen.no_pack).filter(|(_, none)| **none) {
                self.add(Raw {
                    group: LineGroup::Material,
                    name: format!("{}, {id}", need.component),
                    formula: format!("{} g, no pack holds it", short(need.grams)),
                    amount: None,
                });
            }
        }
        Ok(())
    }

    fn bought_in(&mut self, group: LineGroup, castings: u32) -> Result<(), CostError> {
        for part in &self.rates.bought_in {
            let amount =
                fraction(&part.name, &[castings.into(), part.each, part.price], &[Decimal::ONE])?;
            let formula = format!(
                "{} × {} each × {}",
                counted(castings, "casting"),
                short(part.each),
                part.price
            );
            self.add(Raw { group, name: part.name.clone(), formula, amount: Some(amount) });
        }
        Ok(())
    }

    fn mould(&mut self) -> Result<(), CostError> {
        let Some(mould) = &self.rates.mould else { return Ok(()) };
        match mould.charge {
            Charge::Wear => self.wear(LineGroup::Mould, self.order.pieces),
            Charge::Whole => {
                let made = self.castings_made()?;
                let worn = fraction("moulds", &[made], &[mould.life_castings.into()])?.ceil();
                let moulds = worn.max(self.order.at_once.into());
                let amount = fraction("the moulds", &[moulds, mould.cost], &[Decimal::ONE])?;
                let formula = format!(
                    "{} × {}; {} castings are made, and one lasts for {}",
                    short(moulds),
                    mould.cost,
                    short(made.round_dp(1)),
                    mould.life_castings
                );
                let name = "whole moulds".to_owned();
                self.add(Raw { group: LineGroup::Mould, name, formula, amount: Some(amount) });
                Ok(())
            }
        }
    }

    /// Castings with rejects and trial, on the average.
    fn castings_made(&self) -> Result<Decimal, CostError> {
        let good = HUNDRED.saturating_sub(self.rates.rejects_percent);
        let made = fraction("the castings", &[self.order.pieces.into(), HUNDRED], &[good])?;
        sum("the castings", [made, self.order.trial.into()])
    }

    fn wear(&mut self, group: LineGroup, castings: u32) -> Result<(), CostError> {
        let Some(mould) = self.rates.mould.as_ref().filter(|m| m.charge == Charge::Wear) else {
            return Ok(());
        };
        let life = mould.life_castings;
        let amount = fraction("the mould's wear", &[castings.into(), mould.cost], &[life.into()])?;
        let formula = format!(
            "{} × {} / {}",
            counted(castings, "casting"),
            mould.cost,
            counted(life, "casting")
        );
        self.add(Raw { group, name: "mould's wear".to_owned(), formula, amount: Some(amount) });
        Ok(())
    }

    fn work(&mut self) -> Result<(), CostError> {
        let (pieces, rounds) = (self.order.pieces, self.order.rounds);
        for step in &self.rates.steps {
            let (count, what) = match step.per {
                Per::Casting => (pieces, "casting"),
                Per::Round => (rounds, "round"),
                Per::Order => (1, "order"),
            };
            let at = self.lines.len();
            self.step(LineGroup::Work, step, count, what)?;
            if step.per == Per::Order && self.lines.len() > at {
                self.once.push(at);
            }
        }
        Ok(())
    }

    fn step(
        &mut self,
        group: LineGroup,
        step: &Step,
        count: u32,
        what: &str,
    ) -> Result<(), CostError> {
        let Some(rate) = self.rates.hourly_rate.filter(|_| step.minutes > Decimal::ZERO) else {
            return Ok(());
        };
        let sixty = Decimal::from(60);
        let amount = fraction(&step.name, &[count.into(), step.minutes, rate], &[sixty])?;
        let formula =
            format!("{} × {} min × {rate} / 60 min", counted(count, what), short(step.minutes));
        self.add(Raw { group, name: step.name.clone(), formula, amount: Some(amount) });
        Ok(())
    }

    /// A trial takes all that a casting takes, one casting after the other.
    fn trial(&mut self) -> Result<(), CostError> {
        let castings = self.order.trial;
        if castings == 0 {
            return Ok(());
        }
        if self.rates.reckoning == Reckoning::Grams {
            self.grams(LineGroup::Trial, self.order.trial_needs)?;
        }
        self.bought_in(LineGroup::Trial, castings)?;
        self.wear(LineGroup::Trial, castings)?;
        for step in self.rates.steps.iter().filter(|step| step.per != Per::Order) {
            self.step(LineGroup::Trial, step, castings, "casting")?;
        }
        Ok(())
    }

    /// Of all castings that are made so many per cent fail, so that the good ones carry
    /// q/(100 − q) of their own cost besides.
    fn rejects(&mut self) -> Result<(), CostError> {
        let q = self.rates.rejects_percent;
        if q.is_zero() {
            return Ok(());
        }
        let by_grams = self.rates.reckoning == Reckoning::Grams;
        let whole = self.rates.mould.as_ref().is_some_and(|m| m.charge == Charge::Whole);
        let repeats = |(at, line): &(usize, &QuoteLine)| match line.group {
            LineGroup::Material => by_grams,
            LineGroup::BoughtIn => true,
            LineGroup::Mould => !whole,
            LineGroup::Work => !self.once.contains(at),
            _ => false,
        };
        let lines = self.lines.iter().enumerate().filter(repeats);
        let amounts: Option<Vec<Decimal>> = lines.map(|(_, line)| line.amount).collect();
        let base = amounts.map(|amounts| sum("the rejects", amounts)).transpose()?;
        let good = HUNDRED.saturating_sub(q);
        let amount = base.map(|base| fraction("the rejects", &[base, q], &[good])).transpose()?;
        let told = self.told(base);
        let mut without = vec!["trial"];
        without.extend((!by_grams).then_some("packs"));
        without.extend(whole.then_some("whole moulds"));
        without.extend((!self.once.is_empty()).then_some("what is done once"));
        let formula = format!(
            "{told} × {} / {}; {told} is all above without {}",
            short(q),
            short(good),
            without.join(", ")
        );
        let name = format!("{} % of the castings fail", short(q));
        self.add(Raw { group: LineGroup::Rejects, name, formula, amount });
        Ok(())
    }

    fn told(&self, amount: Option<Decimal>) -> String {
        amount.map_or_else(|| "?".to_owned(), |amount| self.currency().text(amount))
    }

    fn overhead(&mut self) -> Result<(), CostError> {
        let Some(percent) = self.rates.overhead_percent else { return Ok(()) };
        let base = self.sum(|group| group < LineGroup::Overhead)?;
        let amount = base.map(|base| fraction("the overhead", &[base, percent], &[HUNDRED]));
        let formula = format!("{} × {} / 100", self.told(base), short(percent));
        let name = format!("{} % of all above", short(percent));
        self.add(Raw { group: LineGroup::Overhead, name, formula, amount: amount.transpose()? });
        Ok(())
    }

    fn margin(&mut self) -> Result<(), CostError> {
        let Some(profit) = self.rates.profit else { return Ok(()) };
        let cost = self.sum(|group| group <= LineGroup::Overhead)?;
        let (percent, below, name) = match profit {
            Profit::Margin(percent) => {
                let below = HUNDRED.saturating_sub(percent);
                (percent, below, format!("{} % of the price before tax", short(percent)))
            }
            Profit::Markup(percent) => {
                (percent, HUNDRED, format!("mark-up of {} % on the cost", short(percent)))
            }
        };
        let amount = cost.map(|cost| fraction("the margin", &[cost, percent], &[below]));
        let formula = format!("{} × {} / {}", self.told(cost), short(percent), short(below));
        self.add(Raw { group: LineGroup::Margin, name, formula, amount: amount.transpose()? });
        Ok(())
    }

    fn taxes(&mut self) -> Result<(), CostError> {
        for tax in &self.rates.taxes {
            let base = if tax.on_taxes {
                self.sum(|_| true)?
            } else {
                self.sum(|group| group < LineGroup::Tax)?
            };
            let amount = base.map(|base| fraction(&tax.name, &[base, tax.percent], &[HUNDRED]));
            let formula = format!("{} × {} / 100", self.told(base), short(tax.percent));
            let name = tax.name.clone();
            self.add(Raw { group: LineGroup::Tax, name, formula, amount: amount.transpose()? });
        }
        Ok(())
    }
}

/// `1 casting`, `5 castings`.
fn counted(count: u32, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}
