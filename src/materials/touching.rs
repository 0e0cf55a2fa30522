//! Who touches whom: what happens where one material cures against another.
//!
//! All of it is common practice without a source (references B8 and P16); the data sheet wins.

use super::Family;

/// What happens where one material is poured against another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Outcome {
    /// It bonds.
    Bonds,
    /// It bonds while what is there is gelled but still tacky.
    BondsWhileTacky,
    /// It comes off by itself: good against a mould, bad between layers.
    NoBond,
    /// It sticks unless a release agent lies between.
    NeedsRelease,
    /// It does not cure there.
    Inhibits,
    /// It depends; only a patch tells.
    TestPatch,
}

impl Outcome {
    /// The word used in JSON.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Bonds => "bonds",
            Self::BondsWhileTacky => "bonds-while-tacky",
            Self::NoBond => "no-bond",
            Self::NeedsRelease => "needs-release",
            Self::Inhibits => "inhibits",
            Self::TestPatch => "test-patch",
        }
    }

    /// Whether layers hold together by it.
    pub const fn holds(self) -> bool {
        matches!(self, Self::Bonds | Self::BondsWhileTacky)
    }
}

/// What state something is in when another material is poured against it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Surface {
    /// A layer of the piece: gelled, within its bond window.
    Gelled,
    /// A mould, pattern or insert, cured and aired.
    Cured,
    /// A mould that was made only just, and still gives off what its cure sets free.
    Fresh,
}

/// What happens, and why.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Contact {
    /// What happens.
    pub outcome: Outcome,
    /// Why, in a few plain words.
    pub reason: &'static str,
}

/// What touches the piece beside its own layers, as far as anybody said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Touching {
    /// What the mould is made of.
    pub mould: Option<Family>,
    /// The mould was made only just.
    pub mould_fresh: bool,
    /// What the mould was, or will be, made from.
    pub pattern: Option<Family>,
    /// What an insert is made of.
    pub insert: Option<Family>,
}

/// What happens where `poured` cures against `onto`.
///
/// Source: common practice, no source (references B8, P16); the data sheet wins.
///
/// # Example
/// ```
/// use cavigram::materials::{Family, Outcome, Surface, contact};
///
/// let clay = contact(Family::AdditionCureSilicone, Family::SulphurClay, Surface::Cured);
/// assert_eq!(clay.outcome, Outcome::Inhibits);
/// ```
pub fn contact(poured: Family, onto: Family, surface: Surface) -> Contact {
    match poured {
        Family::Urethane | Family::Foam => urethane(onto, surface),
        Family::AdditionCureSilicone => addition_silicone(onto, surface),
        Family::CondensationCureSilicone => condensation_silicone(onto, surface),
        Family::Plaster => plaster(onto, surface),
        Family::Latex => latex(onto, surface),
        Family::PrintedResin
        | Family::SulphurClay
        | Family::PlainClay
        | Family::RigidPlastic
        | Family::MetalOrGlass
        | Family::WoodOrFibre => {
            told(Outcome::NoBond, "it is not poured, so that nothing cures against the other")
        }
    }
}

const fn told(outcome: Outcome, reason: &'static str) -> Contact {
    Contact { outcome, reason }
}

/// Like on like: layers bond, a casting in a mould sticks.
const fn like(surface: Surface, layers: Outcome, reason: &'static str) -> Contact {
    match surface {
        Surface::Gelled => told(layers, reason),
        Surface::Cured | Surface::Fresh => {
            told(Outcome::NeedsRelease, "like sticks to like where no release agent lies between")
        }
    }
}

fn urethane(onto: Family, surface: Surface) -> Contact {
    use Outcome::{Inhibits, NeedsRelease, NoBond, TestPatch};
    match onto {
        Family::Urethane | Family::Foam => like(
            surface,
            Outcome::BondsWhileTacky,
            "urethane bonds to urethane that is gelled but tacky; a cured one has to be abraded",
        ),
        Family::AdditionCureSilicone => told(NoBond, "urethane does not bond to silicone"),
        Family::CondensationCureSilicone => match surface {
            Surface::Cured => told(NoBond, "urethane does not bond to silicone"),
            Surface::Gelled | Surface::Fresh => told(
                Inhibits,
                "what a fresh condensation-cure silicone gives off can keep urethane from curing",
            ),
        },
        Family::Plaster if surface == Surface::Gelled => {
            told(TestPatch, "urethane foams on damp plaster")
        }
        Family::Plaster => told(NeedsRelease, "plaster must be dry, sealed and released"),
        Family::PrintedResin | Family::RigidPlastic | Family::MetalOrGlass => {
            told(NeedsRelease, "urethane sticks to it")
        }
        Family::SulphurClay | Family::PlainClay => told(NeedsRelease, "urethane sticks to clay"),
        Family::Latex => told(TestPatch, "water and ammonia left in latex can disturb urethane"),
        Family::WoodOrFibre => {
            told(NeedsRelease, "it is porous and damp: urethane keys into it and foams")
        }
    }
}

fn addition_silicone(onto: Family, surface: Surface) -> Contact {
    use Outcome::{Inhibits, NeedsRelease, NoBond, TestPatch};
    match onto {
        Family::AdditionCureSilicone => {
            like(surface, Outcome::Bonds, "silicone bonds to silicone of its kind")
        }
        Family::CondensationCureSilicone => {
            told(Inhibits, "the tin in condensation-cure silicone stops the platinum cure")
        }
        Family::Urethane | Family::Foam => match surface {
            Surface::Gelled => {
                told(Inhibits, "amines and tin in a urethane stop the platinum cure")
            }
            Surface::Cured | Surface::Fresh => {
                told(TestPatch, "amines and tin left in a urethane can stop the platinum cure")
            }
        },
        Family::SulphurClay => told(Inhibits, "sulphur stops the platinum cure"),
        Family::Latex => told(Inhibits, "latex stops the platinum cure"),
        Family::PrintedResin => told(
            Inhibits,
            "resin hardened by light stops the platinum cure unless a test patch shows otherwise",
        ),
        Family::Plaster if surface == Surface::Gelled => told(TestPatch, "plaster is porous"),
        Family::Plaster => told(NeedsRelease, "plaster must be sealed and released"),
        Family::PlainClay | Family::RigidPlastic => told(NoBond, "silicone does not bond to it"),
        Family::MetalOrGlass => told(NeedsRelease, "silicone can stick to glass and metal"),
        Family::WoodOrFibre => told(NeedsRelease, "it is porous: silicone keys into it"),
    }
}

fn condensation_silicone(onto: Family, surface: Surface) -> Contact {
    use Outcome::{Inhibits, NeedsRelease, NoBond, TestPatch};
    match onto {
        Family::CondensationCureSilicone => {
            like(surface, Outcome::Bonds, "silicone bonds to silicone of its kind")
        }
        Family::AdditionCureSilicone => match surface {
            Surface::Gelled => told(Inhibits, "its tin stops a platinum cure that is not done"),
            Surface::Cured | Surface::Fresh => told(NeedsRelease, "silicone sticks to silicone"),
        },
        Family::Urethane | Family::Foam => told(NoBond, "silicone does not bond to urethane"),
        Family::SulphurClay | Family::PlainClay | Family::RigidPlastic => {
            told(NoBond, "silicone does not bond to it")
        }
        Family::Plaster if surface == Surface::Gelled => told(TestPatch, "plaster is porous"),
        Family::Plaster => told(NeedsRelease, "plaster must be sealed and released"),
        Family::PrintedResin => told(TestPatch, "some resins hardened by light leave it sticky"),
        Family::Latex => told(TestPatch, "nobody can say without the very latex"),
        Family::MetalOrGlass => told(NeedsRelease, "silicone can stick to glass and metal"),
        Family::WoodOrFibre => told(NeedsRelease, "it is porous: silicone keys into it"),
    }
}

fn plaster(onto: Family, surface: Surface) -> Contact {
    use Outcome::{NeedsRelease, NoBond, TestPatch};
    if surface == Surface::Gelled {
        return told(TestPatch, "plaster sets with water, which soft layers may not bear");
    }
    match onto {
        Family::AdditionCureSilicone
        | Family::CondensationCureSilicone
        | Family::Latex
        | Family::SulphurClay
        | Family::PlainClay => told(NoBond, "plaster comes off it"),
        Family::Plaster => told(NeedsRelease, "plaster grips plaster that is not sealed"),
        Family::Urethane
        | Family::Foam
        | Family::PrintedResin
        | Family::RigidPlastic
        | Family::MetalOrGlass
        | Family::WoodOrFibre => told(NeedsRelease, "plaster grips what is rough or porous"),
    }
}

fn latex(onto: Family, surface: Surface) -> Contact {
    use Outcome::{NoBond, TestPatch};
    match onto {
        Family::Latex => like(surface, Outcome::Bonds, "latex bonds to latex"),
        Family::Plaster if surface != Surface::Gelled => {
            told(NoBond, "latex dries on plaster and comes off it")
        }
        Family::AdditionCureSilicone => told(NoBond, "latex does not bond to silicone"),
        Family::CondensationCureSilicone if surface != Surface::Gelled => {
            told(NoBond, "latex does not bond to silicone")
        }
        _ => told(TestPatch, "latex dries where water can leave, and some metals spoil it"),
    }
}
