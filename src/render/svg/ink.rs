//! Tones and hatchings that tell layers apart, with and without colour.

use maud::{Markup, html};

/// What a figure in a section is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fill {
    /// A coat; neighbours are hatched differently.
    Coat(usize),
    /// The core.
    Core,
    /// The cap.
    Cap,
    /// Air that stays.
    Air,
    /// What stands in the mould.
    Insert,
}

/// Coats that look different; more of them begin again.
const COATS: usize = 3;

impl Fill {
    /// The word that names its pattern.
    fn word(self) -> String {
        match self {
            Self::Coat(number) => format!("coat{}", number % COATS + 1),
            Self::Core => "core".to_owned(),
            Self::Cap => "cap".to_owned(),
            Self::Air => "air".to_owned(),
            Self::Insert => "insert".to_owned(),
        }
    }

    /// The name of its pattern, where names of one drawing begin with `ids`.
    pub fn id(self, ids: &str) -> String {
        format!("{ids}-{}", self.word())
    }

    /// What to paint with.
    pub fn paint(self, ids: &str) -> String {
        format!("url(#{})", self.id(ids))
    }

    /// The pattern itself. Units: mm on paper, so that hatchings don't grow with the drawing.
    pub fn pattern(self, ids: &str) -> Markup {
        let (size, tone, lines) = match self {
            Self::Coat(number) => match number % COATS {
                0 => (
                    1.1,
                    "#bfd2e3",
                    html! { path d="M-.3 .3L.3-.3M0 1.1L1.1 0M.8 1.4L1.4 .8" stroke="#12324d" stroke-width=".2" {} },
                ),
                1 => (
                    1.1,
                    "#e4edf4",
                    html! { path d="M-.3 .8L.3 1.4M0 0L1.1 1.1M.8-.3L1.4 .3" stroke="#12324d" stroke-width=".14" {} },
                ),
                _ => (
                    0.9,
                    "#a3bdd4",
                    html! { path d="M.45 0V.9" stroke="#12324d" stroke-width=".16" {} },
                ),
            },
            Self::Core => (
                2.6,
                "#fdf6e3",
                html! {
                    circle cx=".65" cy=".65" r=".19" fill="#6d5210" {}
                    circle cx="1.95" cy="1.95" r=".19" fill="#6d5210" {}
                },
            ),
            Self::Cap => {
                (1.0, "#efc998", html! { path d="M0 .5H1" stroke="#4d2f05" stroke-width=".2" {} })
            }
            Self::Air => (
                2.2,
                "#ffffff",
                html! {
                    circle cx="1.1" cy="1.1" r=".65" fill="none" stroke="#000" stroke-width=".16" {}
                },
            ),
            Self::Insert => (
                1.2,
                "#8f8f8f",
                html! {
                    path d="M0 0L1.2 1.2M0 1.2L1.2 0" stroke="#1a1a1a" stroke-width=".2" {}
                },
            ),
        };
        html! {
            pattern id=(self.id(ids)) width=(size) height=(size) patternUnits="userSpaceOnUse" {
                rect width=(size) height=(size) fill=(tone) {}
                (lines)
            }
        }
    }
}
