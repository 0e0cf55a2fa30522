//! `cavigram/systems/1`, the list of casting systems, and `cavigram/system/1`, all of one.

use serde::Serialize;

use crate::sheet::{By, SystemFact, SystemGist, SystemLine, SystemPage, SystemsList};

/// `cavigram/systems/1`.
#[derive(Serialize)]
pub struct Systems<'a> {
    schema: &'static str,
    systems: Vec<Line<'a>>,
    folders: Vec<Folder<'a>>,
    unread: &'a [String],
}

#[derive(Serialize)]
struct Folder<'a> {
    what: &'static str,
    path: &'a str,
}

#[derive(Serialize)]
struct Line<'a> {
    id: &'a str,
    place: &'static str,
    file: &'a str,
    hidden: bool,
    title: Option<&'a str>,
    family: Option<&'static str>,
    shore_scale: Option<&'static str>,
    shore_reading: Option<f64>,
    working_minutes: Option<f64>,
    /// Why it can't be used.
    error: Option<&'a str>,
}

/// `cavigram/system/1`.
#[derive(Serialize)]
pub struct System<'a> {
    schema: &'static str,
    id: &'a str,
    title: &'a str,
    family: &'static str,
    by: &'static str,
    place: &'static str,
    file: &'a str,
    weighing_order: &'a [String],
    facts: Vec<Fact<'a>>,
    cautions: &'a [String],
    missing: &'a [&'static str],
}

#[derive(Serialize)]
struct Fact<'a> {
    of: &'a str,
    key: &'static str,
    value: f64,
    /// The price as it was written, where a binary number would not do.
    #[serde(skip_serializing_if = "Option::is_none")]
    exact: Option<String>,
    unit: &'static str,
    source: Option<&'a str>,
    date: Option<&'a str>,
}

impl<'a> Systems<'a> {
    pub fn new(list: &'a SystemsList) -> Self {
        Self {
            schema: "cavigram/systems/1",
            systems: list.lines.iter().map(Line::new).collect(),
            folders: list.folders.iter().map(|(what, path)| Folder { what, path }).collect(),
            unread: &list.unread,
        }
    }
}

impl<'a> Line<'a> {
    fn new(line: &'a SystemLine) -> Self {
        let gist: Option<&SystemGist> = line.says.as_ref().ok();
        let hardness = gist.and_then(|gist| gist.hardness);
        Self {
            id: &line.id,
            place: line.place,
            file: &line.file,
            hidden: line.hidden,
            title: gist.map(|gist| gist.title.as_str()),
            family: gist.map(|gist| gist.family),
            shore_scale: hardness.map(|hardness| hardness.scale.as_str()),
            shore_reading: hardness.map(|hardness| hardness.reading),
            working_minutes: gist.and_then(|gist| gist.working_minutes),
            error: line.says.as_ref().err().map(String::as_str),
        }
    }
}

impl<'a> System<'a> {
    pub fn new(page: &'a SystemPage) -> Self {
        Self {
            schema: "cavigram/system/1",
            id: &page.id,
            title: &page.title,
            family: page.family,
            by: match page.by {
                By::Weight => "weight",
                By::Volume => "volume",
            },
            place: page.place,
            file: &page.file,
            weighing_order: &page.weighing_order,
            facts: page.facts.iter().map(Fact::new).collect(),
            cautions: &page.cautions,
            missing: &page.gaps,
        }
    }
}

impl<'a> Fact<'a> {
    fn new(fact: &'a SystemFact) -> Self {
        Self {
            of: &fact.of,
            key: fact.key,
            value: fact.value,
            exact: fact.exact.map(|exact| exact.to_string()),
            unit: fact.unit,
            source: fact.source.as_deref(),
            date: fact.date.as_deref(),
        }
    }
}
