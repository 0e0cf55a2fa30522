//! Casting systems: the list, and all of one.

use super::page::{ALERT, FAINT, PLAIN, Page, STRONG, wrap};
use crate::sheet::{By, SystemFact, SystemLine, SystemPage, SystemsList};

/// Columns of a number's name and of the number with its unit.
const NAME: usize = 20;
const NUMBER: usize = 24;
/// Columns left for the source.
const SOURCE: usize = 32;

/// Every system at hand, in the order of looking.
pub fn list(page: &mut Page, list: &SystemsList) {
    page.ends((STRONG, "casting systems"), (PLAIN, "the first of a name counts"));
    page.rule();
    for line in &list.lines {
        one(page, line);
    }
    page.rule();
    for (what, folder) in &list.folders {
        page.row("Looked in", &format!("{folder} ({what})"));
    }
    for why in &list.unread {
        page.row_in(ALERT, "Warning", why);
    }
    page.row("Next", "cavigram systems show ID, or systems new ID --from ID to begin one");
}

fn one(page: &mut Page, line: &SystemLine) {
    let style = if line.hidden { FAINT } else { STRONG };
    page.ends((style, &line.id), (PLAIN, line.place));
    match &line.says {
        Ok(gist) => {
            let mut facts = vec![gist.title.clone(), gist.family.to_owned()];
            facts.extend(
                gist.hardness.map(|h| format!("Shore {} {}", h.scale.as_str(), number(h.reading))),
            );
            facts.extend(gist.working_minutes.map(|m| format!("works for {} min", number(m))));
            page.row("", &facts.join("; "));
        }
        Err(why) => page.row_in(ALERT, "", &format!("can't be used: {why}")),
    }
    if line.place != "built in" {
        page.row("", &line.file);
    }
    if line.hidden {
        page.row("", "hidden by the one of the same name above");
    }
}

/// All of one system, with units and sources.
pub fn show(page: &mut Page, system: &SystemPage) {
    page.ends((STRONG, &system.id), (PLAIN, "casting system"));
    page.rule();
    page.row("What", &system.title);
    page.row("Family", system.family);
    page.row("From", &from(system));
    let by = match system.by {
        By::Weight => "by weight",
        By::Volume => "by volume; sheets tell grams all the same",
    };
    page.row("Parts", by);
    if !system.weighing_order.is_empty() {
        page.row("Weigh", &system.weighing_order.join(", then "));
    }
    let mut of = "";
    for fact in &system.facts {
        if fact.of != of {
            page.gap();
            page.line(&[(STRONG, &super::page::shortened(&fact.of, super::page::WIDTH))]);
            of = &fact.of;
        }
        number_line(page, fact);
    }
    page.rule();
    for caution in &system.cautions {
        page.row("Care", caution);
    }
    for gap in &system.gaps {
        page.row("Missing", gap);
    }
    page.row("Note", "typical values give way to the data sheet of the material at hand");
}

fn from(system: &SystemPage) -> String {
    if system.place == "built in" {
        system.place.to_owned()
    } else {
        format!("{} ({})", system.file, system.place)
    }
}

fn number_line(page: &mut Page, fact: &SystemFact) {
    let value = match fact.exact {
        Some(exact) => exact.to_string(),
        None => number(fact.value),
    };
    let amount = format!("{value} {}", fact.unit);
    let amount = format!("{:<NUMBER$}", amount.trim_end());
    let mut source = fact.source.clone().unwrap_or_else(|| "no source given".to_owned());
    if let Some(date) = &fact.date {
        source = format!("{source}, {date}");
    }
    let mut lead = format!("  {:<NAME$}", fact.label);
    let mut amount = amount.as_str();
    let blank = " ".repeat(NUMBER);
    for line in wrap(&source, SOURCE) {
        page.line(&[(PLAIN, &lead), (PLAIN, amount), (FAINT, &line)]);
        lead = " ".repeat(NAME + 2);
        amount = &blank;
    }
}

/// A number to five significant digits, without idle zeros.
fn number(value: f64) -> String {
    let decimals = match value.abs() {
        v if v >= 1000.0 => 1,
        v if v >= 10.0 => 3,
        _ => 4,
    };
    let text = format!("{value:.decimals$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
