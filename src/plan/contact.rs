//! Who touches whom in a casting, and what must be told of it before anything is opened.

use super::{Layer, LayerPlan, PlanRequest, Recipe};
use crate::finding::Finding;
use crate::materials::{Contact, Family, Outcome, Surface, Touching, contact};

/// One material cured against another.
struct Meeting {
    poured: (&'static str, Family),
    onto: (&'static str, Family),
    surface: Surface,
    role: Role,
}

/// What is wanted where two materials meet.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Role {
    /// Layers of the piece are to hold together.
    Layers,
    /// The piece is to leave the mould, the mould its pattern.
    Parting,
    /// An insert is to stay.
    Insert,
}

/// What to tell of the materials that meet: conflicts, warnings and notes, each pair once.
pub(super) fn findings(
    layers: &[LayerPlan; 3],
    recipes: [&Recipe; 3],
    request: &PlanRequest,
) -> Vec<Finding> {
    let used: Vec<(&'static str, Family)> = layers
        .iter()
        .zip(recipes)
        .filter(|(layer, _)| !layer.dose.is_empty())
        .map(|(layer, recipe)| (layer.layer.as_str(), recipe.system.family))
        .collect();
    let mut met: Vec<Meeting> = Vec::new();
    for meeting in meetings(&used, &request.touching) {
        if !met.iter().any(|before| before.is_like(&meeting)) {
            met.push(meeting);
        }
    }
    let mut findings: Vec<Finding> = met.iter().filter_map(Meeting::finding).collect();
    findings.extend(cap_on_foam(layers, recipes));
    findings
}

/// Nobody said what the mould is made of, so that nobody checked it against the piece.
pub fn mould_not_checked(touching: &Touching) -> Option<Finding> {
    touching.mould.is_none().then(|| {
        let message = "what the mould is made of was not said, so that mould and piece were not \
                       checked against each other";
        Finding::note("mould-not-checked", message)
            .with_hint("say it with --mould-of, such as --mould-of condensation-cure-silicone")
    })
}

/// What to tell where something is cast or brushed against something cured that it has to leave
/// again, such as the rubber of a mould on its pattern; each with what to call it.
pub fn parts_from(poured: (&'static str, Family), onto: (&'static str, Family)) -> Option<Finding> {
    Meeting { poured, onto, surface: Surface::Cured, role: Role::Parting }.finding()
}

fn meetings(used: &[(&'static str, Family)], touching: &Touching) -> Vec<Meeting> {
    let layer = |layer: Layer| used.iter().find(|(name, _)| *name == layer.as_str()).copied();
    let (skin, core, cap) = (layer(Layer::Skin), layer(Layer::Core), layer(Layer::Cap));
    let mould = touching.mould.map(|family| ("mould", family));
    let pattern = touching.pattern.map(|family| ("pattern", family));
    let insert = touching.insert.map(|family| ("insert", family));
    let of_mould = if touching.mould_fresh { Surface::Fresh } else { Surface::Cured };
    // Without a skin the poured layers touch the mould themselves.
    let (first, second) = if skin.is_some() { (skin, None) } else { (core, cap) };
    let pairs = [
        (mould, pattern, Surface::Cured, Role::Parting),
        (first, mould, of_mould, Role::Parting),
        (second, mould, of_mould, Role::Parting),
        (core, skin, Surface::Gelled, Role::Layers),
        (cap, core, Surface::Gelled, Role::Layers),
        (cap, skin, Surface::Gelled, Role::Layers),
        (core, insert, Surface::Cured, Role::Insert),
    ];
    pairs
        .into_iter()
        .filter_map(|(poured, onto, surface, role)| {
            Some(Meeting { poured: poured?, onto: onto?, surface, role })
        })
        .collect()
}

impl Meeting {
    /// The same two families for the same end; between layers in either order.
    fn is_like(&self, other: &Self) -> bool {
        let same = self.poured.1 == other.poured.1 && self.onto.1 == other.onto.1;
        let turned = self.poured.1 == other.onto.1 && self.onto.1 == other.poured.1;
        let either = same || (turned && self.role == Role::Layers);
        either && self.role == other.role && self.surface == other.surface
    }

    fn finding(&self) -> Option<Finding> {
        let Contact { outcome, reason } = contact(self.poured.1, self.onto.1, self.surface);
        match (outcome, self.role) {
            (Outcome::Inhibits, _) => Some(self.inhibited(reason)),
            (Outcome::NoBond, Role::Layers) => Some(self.no_bond(reason)),
            (Outcome::TestPatch | Outcome::NeedsRelease, Role::Layers) => {
                Some(self.untested(reason))
            }
            (Outcome::TestPatch, _) => Some(self.untested(reason)),
            (Outcome::NeedsRelease, Role::Parting) => Some(self.needs_release(reason)),
            (Outcome::NeedsRelease, Role::Insert) => Some(Finding::note(
                "insert-sticks",
                self.words(
                    "the core holds on to the insert; if that is to come out, it needs a \
                            release agent",
                    reason,
                ),
            )),
            (Outcome::NoBond, Role::Insert) => Some(Finding::note(
                "insert-loose",
                self.words("the core does not bond to the insert: only its shape holds it", reason),
            )),
            // Said too, so that one can tell that it was looked at.
            (Outcome::NoBond, Role::Parting) => Some(Finding::note(
                "comes-off",
                self.words("by common practice it comes off again", reason),
            )),
            (Outcome::Bonds | Outcome::BondsWhileTacky, _) => None,
        }
    }

    /// "core on skin (addition-cure silicone on urethane): it may not cure; …".
    fn words(&self, what: &str, reason: &str) -> String {
        let ((poured, by), (onto, against)) = (self.poured, self.onto);
        format!(
            "{poured} on {onto} ({by} on {against}): {what}; {reason} (common practice; the data \
             sheet wins)"
        )
    }

    fn inhibited(&self, reason: &str) -> Finding {
        let hint = match self.role {
            Role::Layers => "take layers of one family",
            Role::Parting if self.surface == Surface::Fresh => {
                "let the mould air for days, and see a patch cure in it first"
            }
            Role::Parting => "take another material for one of the two, or see a patch cure first",
            Role::Insert => "take another insert or seal it, and see a patch cure on it first",
        };
        Finding::conflict("cure-inhibited", self.words("it may not cure there", reason))
            .with_hint(hint)
    }

    fn no_bond(&self, reason: &str) -> Finding {
        Finding::conflict("no-bond", self.words("the layers come apart", reason))
            .with_hint("take layers of one family")
    }

    fn needs_release(&self, reason: &str) -> Finding {
        let message = self.words("a release agent must lie between", reason);
        if self.poured.1 == self.onto.1 {
            // Like on like without release is one lump.
            Finding::warning("needs-release", message)
        } else {
            Finding::note("needs-release", message)
        }
    }

    fn untested(&self, reason: &str) -> Finding {
        Finding::note("contact-untested", self.words("see a test patch cure first", reason))
    }
}

/// Foam expands against a vented lid: an ordinary cap can't be poured behind it.
fn cap_on_foam(layers: &[LayerPlan; 3], recipes: [&Recipe; 3]) -> Option<Finding> {
    let [_, core, cap] = layers;
    let [_, of_core, of_cap] = recipes;
    if core.dose.is_empty() || of_core.system.family != Family::Foam {
        return None;
    }
    if cap.dose.is_empty() {
        let message = "core: a foam expands against a vented lid, so that no cap is poured \
                       behind it";
        return Some(Finding::note("foam-without-cap", message));
    }
    if of_cap.system.family == Family::Foam {
        return None;
    }
    let message = "cap: an ordinary cap can't be poured behind a foam, which expands and presses \
                   it out";
    let hint = "leave the cap out (--cap 0) and close the mould with a vented lid";
    Some(Finding::conflict("cap-on-foam", message).with_hint(hint))
}
