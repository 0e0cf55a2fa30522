//! What the hatchings and lines of a section mean.

use maud::{Markup, html};

use super::ink::Fill;
use super::{EDGE_MM, LINE_MM, Paper, TEXT_MM, levels, mm};
use crate::render::Lengths;
use crate::sheet::Section;

/// One line of a legend.
pub struct Entry {
    sample: Sample,
    /// What it means.
    pub text: String,
}

enum Sample {
    Fill(Fill),
    Thin,
    Filled,
    Parting,
}

/// Width of a sample.
const SAMPLE_MM: f64 = 7.0;
/// Mean width of a letter, as a share of its height; a little more than it is.
const LETTER: f64 = 0.56;

/// All that a section shows.
pub fn entries(section: &Section, lengths: Lengths) -> Vec<Entry> {
    let mut entries = Vec::new();
    let mut add = |sample: Sample, text: String| entries.push(Entry { sample, text });
    let coats = section.coats.len();
    for (number, coat) in section.coats.iter().enumerate() {
        let thick = lengths.thickness(coat.thickness_mm);
        let name = if coats == 1 {
            format!("skin {thick}")
        } else {
            format!("coat {} {thick}", number + 1)
        };
        add(Sample::Fill(Fill::Coat(number)), name);
    }
    let figures = [
        (&section.core, Fill::Core, "core"),
        (&section.cap, Fill::Cap, "cap"),
        (&section.air, Fill::Air, "air that stays"),
        (&section.inserts, Fill::Insert, "insert"),
    ];
    for (region, fill, name) in figures {
        if !region.is_empty() {
            add(Sample::Fill(fill), name.to_owned());
        }
    }
    if !section.marks.thin.is_empty() {
        add(Sample::Thin, "too thin for a core".to_owned());
    }
    if !section.marks.filled.is_empty() {
        add(Sample::Filled, "filled hole".to_owned());
    }
    if section.parting_mm.is_some() {
        add(Sample::Parting, levels::PARTING.to_owned());
    }
    entries
}

/// The legend from a height on, in as many rows as it needs, and where it ends.
pub fn rows(entries: &[Entry], paper: &Paper, top: f64) -> (Markup, f64) {
    let mut placed = Vec::new();
    let (mut x, mut y) = (EDGE_MM, top);
    for entry in entries {
        let width = SAMPLE_MM + 1.5 + LETTER * TEXT_MM * entry.text.chars().count() as f64 + 3.0;
        if x > EDGE_MM && x + width > paper.width_mm - EDGE_MM {
            (x, y) = (EDGE_MM, y + LINE_MM + 1.2);
        }
        placed.push((entry, x, y));
        x += width;
    }
    let legend = html! {
        @for (entry, x, y) in placed {
            (sample(&entry.sample, x, y, paper))
            text x=(mm(x + SAMPLE_MM + 1.5)) y=(mm(y + 2.6)) { (entry.text) }
        }
    };
    (legend, y + LINE_MM)
}

fn sample(sample: &Sample, x: f64, y: f64, paper: &Paper) -> Markup {
    let middle = format!("M{} {}h{}", mm(x), mm(y + 1.6), mm(SAMPLE_MM));
    html! {
        @match sample {
            Sample::Fill(fill) => rect x=(mm(x)) y=(mm(y)) width=(mm(SAMPLE_MM)) height="3.2"
                fill=(fill.paint(paper.ids)) stroke="#000" stroke-width=".18" {},
            Sample::Thin => {
                path stroke="#000" stroke-width="1.3" d=(middle) {}
                path stroke="#fff" stroke-width=".8" stroke-dasharray=".9 .6" d=(middle) {}
            }
            Sample::Filled => path stroke="#000" stroke-width="1.5" stroke-linecap="round"
                stroke-dasharray="0 2.1" d=(middle) {},
            Sample::Parting => path stroke="#000" stroke-width=".22"
                stroke-dasharray=(levels::PARTING_DASHES) d=(middle) {},
        }
    }
}
