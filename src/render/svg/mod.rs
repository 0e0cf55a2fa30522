//! Sections as drawings, true to scale.
//!
//! One drawing serves the page and a file of its own. Units: mm on paper.

mod ink;
mod legend;
mod levels;
mod scale;

use maud::{Markup, html};

use super::Lengths;
use super::plain::{clean, direction};
use crate::sheet::{Lie, Point, Region, Section, Sheet};
use ink::Fill;
use scale::{Bar, Scale};

/// How a section is put on paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paper<'a> {
    /// Width of the whole drawing, mm.
    pub width_mm: f64,
    /// The section itself is no higher than this, mm.
    pub height_mm: f64,
    /// What names within it begin with: no two drawings of a page may share it.
    pub ids: &'a str,
    /// The unit.
    pub lengths: Lengths,
    /// The levels' names stand beside the section.
    pub names: bool,
    /// A section whose legend is at hand already: what stands there isn't told again.
    pub told: Option<&'a Section>,
}

/// Height of writing.
const TEXT_MM: f64 = 2.7;
/// Space between two lines of writing.
const LINE_MM: f64 = 3.4;
/// White around what is drawn.
const EDGE_MM: f64 = 1.5;
/// Width of the column with the levels' names.
const NAMES_MM: f64 = 46.0;
/// Height of the scale bar with its writing, and the space under it.
const BAR_MM: f64 = 2.6;
const BAR_GAP_MM: f64 = 3.0;
/// A drawing by itself.
const ALONE: Paper<'static> = Paper {
    width_mm: 186.0,
    height_mm: 120.0,
    ids: "s",
    lengths: Lengths::Millimetres,
    names: true,
    told: None,
};

/// The section along the piece as a file of its own; `None` where it wasn't drawn.
pub fn section(sheet: &Sheet, lengths: Lengths) -> Option<String> {
    let section = sheet.drawings.as_ref()?.section.as_ref()?;
    let title = format!("{}: {}", clean(&sheet.mesh.file), what(section, sheet, lengths));
    let drawing = drawing(section, &title, &Paper { lengths, ..ALONE });
    Some(format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}\n", drawing.into_string()))
}

/// What a section shows, in a few words.
pub fn what(section: &Section, sheet: &Sheet, lengths: Lengths) -> String {
    let seen = direction(section.seen_along.to_array());
    match section.lie {
        Lie::Upright => format!("upright section, seen along {seen}"),
        Lie::Level { height_mm } => {
            let under = sheet.cavity.measures.lip_mm - height_mm;
            let place = match sheet.cavity.open {
                true => lengths.under_lip(under),
                false => format!("{} over the lowest point", lengths.mark(height_mm)),
            };
            format!("level, {place}, {} to the right", direction(section.right.to_array()))
        }
    }
}

/// From the piece to paper.
struct Place {
    scale: Scale,
    /// Left and upper edge of what is drawn, on the piece, mm.
    left: f64,
    top: f64,
    /// The same on paper.
    at: [f64; 2],
}

impl Place {
    fn x(&self, u: f64) -> f64 {
        self.at[0] + (u - self.left) * self.scale.factor()
    }

    fn y(&self, v: f64) -> f64 {
        self.at[1] + (self.top - v) * self.scale.factor()
    }
}

/// The box that everything drawn lies in.
fn extent(section: &Section) -> [Point; 2] {
    let boxes = [section.cavity.bounding_box(), section.inserts.bounding_box()];
    let [mut low, mut high] = [[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]];
    for [a, b] in boxes.into_iter().flatten() {
        for k in 0..2 {
            (low[k], high[k]) = (low[k].min(a[k]), high[k].max(b[k]));
        }
    }
    if let Some(levels) = section.levels {
        (low[1], high[1]) = (low[1].min(0.0), high[1].max(levels.lip_mm));
    }
    if low[0] < high[0] && low[1] < high[1] { [low, high] } else { [[0.0; 2], [1.0; 2]] }
}

/// A section with its levels, scale bar and legend.
pub fn drawing(section: &Section, title: &str, paper: &Paper) -> Markup {
    let [low, high] = extent(section);
    let marks = levels::marks(section, paper.lengths);
    let has_names = paper.names && !marks.is_empty();
    let names_mm = if has_names { NAMES_MM } else { 0.0 };
    let room = [paper.width_mm - 2.0 * EDGE_MM - names_mm, paper.height_mm];
    let sides = [high[0] - low[0], high[1] - low[1]];
    let scale = Scale::fitting(sides, room);
    let on_paper = sides.map(|side| side * scale.factor());
    // Names of levels need their room even beside a flat piece.
    let least = if has_names { marks.len() as f64 * levels::EACH_MM } else { 0.0 };
    let drawn_mm = on_paper[1].max(least);
    let at = [EDGE_MM + 0.5 * (room[0] - on_paper[0]), EDGE_MM + 0.5 * (drawn_mm - on_paper[1])];
    let place = Place { scale, left: low[0], top: high[1], at };
    let below = 2.0 * EDGE_MM + drawn_mm;
    let mut entries = legend::entries(section, paper.lengths);
    if let Some(told) = paper.told {
        let told = legend::entries(told, paper.lengths);
        entries.retain(|entry| told.iter().all(|other| other.text != entry.text));
    }
    let (legend, height) = match entries.is_empty() {
        true => (html! {}, below + BAR_MM),
        false => legend::rows(&entries, paper, below + BAR_MM + BAR_GAP_MM),
    };
    let (width, height) = (paper.width_mm, height + EDGE_MM);
    let fills = fills(section);
    html! {
        svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label=(title)
            width={ (mm(width)) "mm" } height={ (mm(height)) "mm" }
            viewBox={ "0 0 " (mm(width)) " " (mm(height)) }
            data-through-mm=(triple(section.through_mm.to_array(), 6))
            data-right=(triple(section.right.to_array(), 9))
            data-seen-along=(triple(section.seen_along.to_array(), 9))
            font-family="'Liberation Sans', Arial, Helvetica, sans-serif" font-size=(TEXT_MM)
        {
            title { (title) }
            defs { @for fill in &fills { (fill.pattern(paper.ids)) } }
            g stroke="#000" stroke-linejoin="round" fill-rule="evenodd" {
                // Under the layers, so that it hides nothing of a thin coat.
                path fill="none" stroke-width="1" d=(path(&section.cavity, &place))
                    data-what="cavity"
                    data-area-mm2=(format!("{:.3}", section.cavity.area_mm2)) {}
                @for (number, coat) in section.coats.iter().enumerate() {
                    @let fill = Fill::Coat(number);
                    (figure(&coat.region, fill, &format!("coat {}", number + 1), paper, &place))
                }
                (figure(&section.core, Fill::Core, "core", paper, &place))
                (figure(&section.cap, Fill::Cap, "cap", paper, &place))
                (figure(&section.air, Fill::Air, "air", paper, &place))
                (figure(&section.inserts, Fill::Insert, "inserts", paper, &place))
            }
            (wall_marks(section, &place))
            (levels::draw(&marks, &place, paper, on_paper))
            (bar(scale, paper, below))
            (legend)
        }
    }
}

/// A number of mm, to hundredths.
pub fn mm(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A figure, with its name and area for who takes the drawing further.
fn figure(region: &Region, fill: Fill, what: &str, paper: &Paper, place: &Place) -> Markup {
    html! {
        @if !region.is_empty() {
            path data-what=(what) data-area-mm2=(format!("{:.3}", region.area_mm2))
                fill=(fill.paint(paper.ids)) stroke-width=".18" d=(path(region, place)) {}
        }
    }
}

/// Three numbers, as an attribute.
fn triple(v: [f64; 3], decimals: usize) -> String {
    v.map(|x| format!("{x:.decimals$}")).join(" ")
}

fn path(region: &Region, place: &Place) -> String {
    let mut d = String::new();
    for ring in &region.rings {
        line(&mut d, ring, place);
        d.push('Z');
    }
    d
}

fn line(d: &mut String, points: &[Point], place: &Place) {
    for (k, [u, v]) in points.iter().enumerate() {
        d.push(if k == 0 { 'M' } else { 'L' });
        d.push_str(&mm(place.x(*u)));
        d.push(' ');
        d.push_str(&mm(place.y(*v)));
    }
}

fn lines(all: &[Vec<Point>], place: &Place) -> String {
    let mut d = String::new();
    all.iter().for_each(|points| line(&mut d, points, place));
    d
}

/// Thin places as a white line with black rungs, filled holes as a row of beads.
fn wall_marks(section: &Section, place: &Place) -> Markup {
    let marks = &section.marks;
    html! {
        @if !marks.thin.is_empty() {
            @let d = lines(&marks.thin, place);
            path fill="none" stroke="#000" stroke-width="1.3" d=(d) {}
            path fill="none" stroke="#fff" stroke-width=".8" stroke-dasharray=".9 .6" d=(d) {}
        }
        @if !marks.filled.is_empty() {
            path fill="none" stroke="#000" stroke-width="1.5" stroke-linecap="round"
                stroke-dasharray="0 2.1" d=(lines(&marks.filled, place)) {}
        }
    }
}

/// The patterns that a section and its legend need.
fn fills(section: &Section) -> Vec<Fill> {
    let mut fills: Vec<Fill> = (0..section.coats.len().min(3)).map(Fill::Coat).collect();
    let others = [
        (&section.core, Fill::Core),
        (&section.cap, Fill::Cap),
        (&section.air, Fill::Air),
        (&section.inserts, Fill::Insert),
    ];
    fills.extend(others.iter().filter(|(region, _)| !region.is_empty()).map(|(_, fill)| *fill));
    fills
}

/// The scale bar, its parts black and white in turn, and what the scale is.
fn bar(scale: Scale, paper: &Paper, y: f64) -> Markup {
    let bar = Bar::of(scale, paper.lengths);
    let part = bar.part_mm * scale.factor();
    let length = part * f64::from(bar.parts);
    let x = EDGE_MM;
    html! {
        g stroke="#000" stroke-width=".2" {
            @for k in 0..bar.parts {
                rect x=(mm(x + part * f64::from(k))) y=(mm(y)) width=(mm(part)) height="1.4"
                    fill=(if k % 2 == 0 { "#000" } else { "#fff" }) {}
            }
        }
        text x=(mm(x + length + 1.5)) y=(mm(y + 1.9)) {
            (bar.label) " · scale " (scale.to_string()) " on paper"
        }
    }
}
