//! The bench sheet: one self-contained page, to print and hang above the scale.
//!
//! It tells what the sheet in the terminal tells, in the same words, in another order and with
//! pictures. Nothing in it needs a network or a script. Everything that comes from a file or a
//! person is escaped by the templates.

mod band;
mod blocks;
mod first;
mod lots;
mod pictures;
mod second;
mod several;
mod stick;
mod style;
mod words;

use maud::{DOCTYPE, PreEscaped, html};

use super::Lengths;
use super::plain::clean;
use super::png::PngError;
use super::terminal;
use crate::sheet::Sheet;

/// What a bench sheet tells beside the plan itself.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Heading {
    /// The day it is made, `2026-11-26`.
    pub date: Option<String>,
    /// The job file it is made from or kept in.
    pub job: Option<String>,
    /// That job's revision.
    pub revision: Option<u64>,
    /// The unit that comes first.
    pub lengths: Lengths,
}

/// The page as text.
///
/// # Errors
/// [`PngError`] where a picture can't be packed.
pub fn page(sheet: &Sheet, heading: &Heading) -> Result<String, PngError> {
    let words = terminal::words(sheet);
    let title = format!("{}: bench sheet", clean(&sheet.mesh.file));
    let pictures = pictures::views(sheet)?;
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="generator" content={ "cavigram " (env!("CARGO_PKG_VERSION")) };
                title { (title) }
                style { (PreEscaped(style::SHEET)) }
            }
            body {
                main.many[blocks::are_many(sheet)] {
                    (first::before(sheet))
                    (first::piece(sheet, heading, &words))
                    (blocks::all(sheet, heading.lengths, &words))
                    (first::halves(&words))
                    (first::section(sheet, heading.lengths))
                    (first::times(sheet, &words))
                    (second::page(sheet, heading.lengths, &words, pictures))
                }
            }
        }
    };
    Ok(page.into_string())
}
