//! Cautions that must stand on a sheet, from the hazards of the systems used.
//!
//! They state what is so and what duties there are; they give no advice on protection. Gloves,
//! ventilation, masks, storage and waste are for the safety data sheet, local rules and trained
//! practice to say.

use super::{Hazard, System};

/// One caution.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// What it follows from; `None` for what a system's file says in words and for the general one.
    pub hazard: Option<Hazard>,
    /// One to three plain sentences.
    pub text: String,
}

/// Stands on every sheet.
const GENERAL: &str = "The safety data sheets, local rules and trained practice come before this \
    sheet, which tells grams, not protection. Nothing here says that a cured piece is fit for \
    contact with patients or food.";

impl Hazard {
    /// What the sheet says about it.
    ///
    /// Source of the duty to train: Regulation (EU) 2020/1149, REACH Annex XVII entry 74.
    /// Sensitisation: NIOSH Alert 96-111.
    pub const fn caution(self) -> &'static str {
        match self {
            Self::Isocyanate => {
                "Isocyanates can sensitise airways and skin, and react with water: dry moulds, \
                 closed tins, never a tight lid on waste. In the EU industrial and professional \
                 users, the self-employed included, must have completed training unless total \
                 diisocyanates are under 0.1 % by weight (REACH Annex XVII entry 74)."
            }
            Self::Dust => {
                "Thickeners such as fumed silica float as fine dust that must not be breathed; \
                 see their safety data sheet."
            }
            Self::Solvent => {
                "Solvents and release sprays can be flammable, their vapour harmful; see their \
                 safety data sheet."
            }
            Self::IrritantHardener => {
                "The hardener irritates skin and eyes; see its safety data sheet."
            }
            Self::Exotherm => "Large leftovers in a cup heat up by themselves.",
            Self::Expansion => {
                "The mix sets gas free and presses on the mould; without a vent it can burst."
            }
            Self::CureInhibition => {
                "Latex gloves, sulphur, amines, tin-cured silicone and some printed resins stop \
                 the cure: no latex gloves near it."
            }
            Self::Heat => "Curing with heat has risks of its own: no kitchen oven.",
            Self::Vacuum => {
                "Where it is degassed: a vacuum vessel can implode, and the mix rises in it."
            }
            Self::Pressure => "Where it is cured under pressure: a pressure vessel can burst.",
        }
    }
}

impl Hazard {
    /// The same in two or three words, for where the sentence stands elsewhere too.
    pub const fn in_short(self) -> &'static str {
        match self {
            Self::Isocyanate => "isocyanates sensitise",
            Self::Dust => "fine dust",
            Self::Solvent => "flammable solvents",
            Self::IrritantHardener => "irritating hardener",
            Self::Exotherm => "leftovers heat up",
            Self::Expansion => "foam presses",
            Self::CureInhibition => "cure easily stopped",
            Self::Heat => "curing with heat",
            Self::Vacuum => "vacuum",
            Self::Pressure => "pressure",
        }
    }
}

/// The cautions for these systems and further hazards of the work, each once, the general one
/// first, then by hazard, then what the systems' files say in words.
pub fn cautions<'a>(
    systems: impl IntoIterator<Item = &'a System>,
    work: &[Hazard],
) -> Vec<Caution> {
    let mut hazards = work.to_vec();
    let mut words: Vec<&str> = Vec::new();
    for system in systems {
        hazards.extend(&system.hazards);
        for text in &system.cautions {
            if !words.contains(&text.as_str()) {
                words.push(text);
            }
        }
    }
    hazards.sort_unstable();
    hazards.dedup();
    let general = Caution { hazard: None, text: GENERAL.to_owned() };
    let of_hazards =
        hazards.into_iter().map(|h| Caution { hazard: Some(h), text: h.caution().to_owned() });
    let of_words = words.into_iter().map(|w| Caution { hazard: None, text: w.to_owned() });
    std::iter::once(general).chain(of_hazards).chain(of_words).collect()
}
