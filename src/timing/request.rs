//! What a timeline is made from.

use super::TimingError;
use crate::materials::RoomTimes;
use crate::units::{Hours, Minutes, Start};

/// What is to be laid in time.
#[derive(Debug, Clone, PartialEq)]
pub struct TimelineRequest {
    /// In pouring order: coats from the wall inward, core, cap; absent ones left out.
    pub pours: Vec<Pour>,
    /// Share of the working time kept in reserve, 0 to below 1.
    pub reserve: f64,
    /// From putting the release agent on until the first coat may go on it; 0 for none.
    pub release_minutes: f64,
    /// When the release agent goes on.
    pub start: Start,
    /// When the shop is open, where that matters.
    pub hours: Option<Hours>,
    /// Castings in all, at least 1.
    pub castings: u32,
    /// Moulds that are filled at once, at least 1.
    pub moulds: u32,
}

/// One coat or pour, in all moulds that are filled at once.
#[derive(Debug, Clone, PartialEq)]
pub struct Pour {
    /// What to call it: "skin, coat 1", "core".
    pub name: String,
    /// The system's id, for messages.
    pub system: String,
    /// What it is.
    pub kind: PourKind,
    /// It expands in the mould, under a vented lid.
    pub foam: bool,
    /// In how many batches, one after another; at least 1.
    pub batches: u32,
    /// Mixing one batch; the working time begins with it.
    pub mixing_minutes: f64,
    /// Degassing one batch; 0 without vacuum.
    pub degassing_minutes: f64,
    /// Brushing or pouring one batch.
    pub applying_minutes: f64,
    /// How long its mix takes in the room.
    pub times: RoomTimes,
}

/// What a pour is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PourKind {
    /// Brushed on the wall.
    Coat,
    /// Poured behind the skin.
    Core,
    /// Poured over the core, up to the fill level.
    Cap,
}

impl PourKind {
    /// The word used in JSON and messages.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Coat => "coat",
            Self::Core => "core",
            Self::Cap => "cap",
        }
    }
}

impl Pour {
    /// From the first stir of a batch until the last of it is laid, min.
    pub fn batch_minutes(&self) -> f64 {
        self.mixing_minutes + self.degassing_minutes + self.applying_minutes
    }

    /// All its batches, min.
    pub fn all_minutes(&self) -> f64 {
        f64::from(self.batches) * self.batch_minutes()
    }

    /// The first that a next layer may go on it, from mixing, min: gelled, and within the bond
    /// window.
    pub(super) fn carries_minutes(&self) -> Option<f64> {
        match (self.times.gel_minutes, self.times.bond_from_minutes) {
            (Some(gel), Some(bond)) => Some(gel.max(bond)),
            (gel, bond) => bond.or(gel),
        }
    }

    fn check(&self) -> Result<(), TimingError> {
        let times = &self.times;
        let known = |time: Option<f64>| time.unwrap_or(0.0);
        for (what, minutes) in [
            ("mixing", self.mixing_minutes),
            ("degassing", self.degassing_minutes),
            ("applying", self.applying_minutes),
            ("the working time", known(times.working_minutes)),
            ("the gel time", known(times.gel_minutes)),
            ("the beginning of the bond window", known(times.bond_from_minutes)),
            ("the end of the bond window", known(times.bond_until_minutes)),
            ("the demould time", known(times.demould_minutes)),
            ("full cure", known(times.full_cure_minutes)),
        ] {
            in_range(&self.name, what, minutes)?;
        }
        if !(1..=TimelineRequest::MOST_BATCHES).contains(&self.batches) {
            let name = self.name.clone();
            return Err(TimingError::Batches { name, batches: self.batches });
        }
        Ok(())
    }
}

impl TimelineRequest {
    /// More batches are no pour for a workshop.
    pub const MOST_BATCHES: u32 = 1000;
    /// More rounds are no run for a workshop.
    pub const MOST_ROUNDS: u32 = 10_000;

    /// How often all moulds are filled, the last time perhaps not all of them.
    pub fn rounds(&self) -> u32 {
        self.castings.max(1).div_ceil(self.at_once())
    }

    /// Castings made at once.
    pub fn at_once(&self) -> u32 {
        self.moulds.clamp(1, self.castings.max(1))
    }

    /// # Errors
    /// [`TimingError`] where a number is no time or the pours stand in no order.
    pub(super) fn check(&self) -> Result<(), TimingError> {
        self.pours.iter().try_for_each(Pour::check)?;
        in_range("release agent", "its drying", self.release_minutes)?;
        if !(0.0..1.0).contains(&self.reserve) {
            return Err(TimingError::Reserve { share: self.reserve });
        }
        for pair in self.pours.windows(2) {
            let [before, after] = pair else { continue };
            let several_coats = before.kind == PourKind::Coat && after.kind == PourKind::Coat;
            if before.kind >= after.kind && !several_coats {
                let (before, after) = (before.name.clone(), after.name.clone());
                return Err(TimingError::OutOfOrder { before, after });
            }
        }
        if self.castings == 0 || self.moulds == 0 {
            return Err(TimingError::Nothing);
        }
        if self.rounds() > Self::MOST_ROUNDS {
            return Err(TimingError::Rounds { rounds: self.rounds() });
        }
        Ok(())
    }
}

fn in_range(name: &str, what: &'static str, minutes: f64) -> Result<(), TimingError> {
    // No range holds NaN.
    if (0.0..=Minutes::MOST).contains(&minutes) {
        return Ok(());
    }
    Err(TimingError::OutOfRange { name: name.to_owned(), what, minutes })
}
