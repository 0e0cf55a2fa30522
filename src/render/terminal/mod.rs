//! The sheet as a person at a bench reads it: 80 columns, the grams large, warnings last.
//!
//! The text carries emphasis as terminal codes; whoever prints it strips them off a terminal.

mod allowed;
mod buy;
mod head;
mod in_mould;
mod inserts;
mod level;
mod mix;
mod mould;
pub(super) mod numbers;
mod page;
mod parting;
mod pours;
mod quote;
mod record;
mod run;
mod systems;
mod timeline;

use crate::finding::{Finding, Severity};
use crate::sheet::{
    Caution, Entry, LevelTable, MixSheet, MouldSheet, Purchase, Quote, Sheet, Summary, Survey,
    SystemPage, SystemsList,
};

pub(super) use page::Item;
use page::{ALERT, PLAIN, Page};
pub(super) use pours::WHEN;
pub(super) use timeline::clock;

/// What a mesh is, whether it can be trusted, and what it holds.
pub fn survey(survey: &Survey) -> String {
    let mut page = Page::default();
    head::title(&mut page, &survey.mesh, "survey");
    head::mesh(&mut page, &survey.mesh);
    head::health(&mut page, &survey.health);
    match &survey.cavity {
        Some(cavity) => head::cavity(&mut page, &survey.mesh, cavity),
        None => page.row_in(ALERT, "Cavity", "none can be given: see below"),
    }
    findings(&mut page, &survey.findings);
    page.into_text()
}

/// The batch sheet: what was read and assumed, the cavity, then pour by pour what to weigh.
pub fn plan(sheet: &Sheet) -> String {
    let mut page = Page::default();
    head::title(&mut page, &sheet.mesh, "batch sheet");
    facts(&mut page, sheet);
    before_pouring(&mut page, &sheet.findings, &sheet.plan.cautions);
    run::row(&mut page, &sheet.plan);
    pours::all(&mut page, sheet);
    run::later(&mut page, &sheet.plan);
    parting::block(&mut page, sheet);
    timeline::block(&mut page, sheet);
    allowed::rows(&mut page, &sheet.plan, &sheet.shop_told);
    in_mould::piece(&mut page, sheet);
    findings(&mut page, &sheet.findings);
    page.into_text()
}

/// What was read and assumed, and what it holds.
fn facts(page: &mut Page, sheet: &Sheet) {
    head::mesh(page, &sheet.mesh);
    head::health(page, &sheet.health);
    parting::other_half(page, sheet);
    head::cavity(page, &sheet.mesh, &sheet.cavity);
    if let Some(check) = &sheet.water {
        head::water(page, check);
    }
    inserts::rows(page, sheet);
}

/// The words of a batch sheet, part by part, for outputs with a layout of their own.
pub(super) struct Words {
    /// What was read and assumed, and what it holds.
    pub facts: Vec<Item>,
    /// The pours.
    pub pours: Vec<Item>,
    /// Rounds that are weighed otherwise, and sums.
    pub later: Vec<Item>,
    /// The two parts of a mould that closes round the piece.
    pub halves: Vec<Item>,
    /// Order and times, without what a band of the pours tells.
    pub times: Vec<Item>,
    /// What was allowed for.
    pub allowed: Vec<Item>,
    /// What the piece will weigh.
    pub piece: Vec<Item>,
}

/// The same words as [`plan`] has.
pub(super) fn words(sheet: &Sheet) -> Words {
    let part = |write: &dyn Fn(&mut Page)| {
        let mut page = Page::default();
        write(&mut page);
        page.into_items()
    };
    Words {
        facts: part(&|page| {
            facts(page, sheet);
            run::row(page, &sheet.plan);
        }),
        pours: part(&|page| pours::all(page, sheet)),
        later: part(&|page| run::later(page, &sheet.plan)),
        halves: part(&|page| parting::block(page, sheet)),
        times: part(&|page| timeline::beside_band(page, sheet)),
        allowed: part(&|page| allowed::rows(page, &sheet.plan, &sheet.shop_told)),
        piece: part(&|page| in_mould::piece(page, sheet)),
    }
}

/// The dip-stick table: what was read and assumed, what it holds, and how much level by level.
pub fn level(table: &LevelTable) -> String {
    let mut page = Page::default();
    head::title(&mut page, &table.mesh, "dip-stick table");
    head::mesh(&mut page, &table.mesh);
    head::health(&mut page, &table.health);
    head::volume(&mut page, &table.mesh, &table.cavity);
    level::table(&mut page, table);
    findings(&mut page, &table.findings);
    page.into_text()
}

/// The mould sheet: what was read, box or blanket, what to weigh for its rubber and its jacket.
pub fn mould(sheet: &MouldSheet) -> String {
    let mut page = Page::default();
    head::title(&mut page, &sheet.mesh, "mould sheet");
    head::mesh(&mut page, &sheet.mesh);
    head::health(&mut page, &sheet.health);
    mould::head(&mut page, sheet);
    page.rule();
    for conflict in sheet.findings.iter().filter(|f| f.severity == Severity::Conflict) {
        finding(&mut page, conflict);
    }
    for caution in &sheet.cautions {
        page.row("Care", &caution.text);
    }
    page.rule();
    mould::parts(&mut page, sheet);
    findings(&mut page, &sheet.findings);
    page.into_text()
}

/// One mix without a mesh: what was asked, and what to weigh.
pub fn mix(sheet: &MixSheet) -> String {
    let mut page = Page::default();
    mix::head(&mut page, sheet);
    before_pouring(&mut page, &sheet.findings, &sheet.plan.cautions);
    run::row(&mut page, &sheet.plan);
    mix::block(&mut page, sheet);
    run::later(&mut page, &sheet.plan);
    if !sheet.exact {
        allowed::rows(&mut page, &sheet.plan, &sheet.shop_told);
    }
    findings(&mut page, &sheet.findings);
    page.into_text()
}

/// What was recorded of a job: castings, their spread, and what they propose.
pub fn record(summary: &Summary) -> String {
    let mut page = Page::default();
    record::record(&mut page, summary);
    findings(&mut page, &summary.findings);
    page.into_text()
}

/// An entry that was just added to the record in `file`.
pub fn recorded(entry: &Entry, file: &str) -> String {
    let mut page = Page::default();
    record::recorded(&mut page, entry, file);
    page.into_text()
}

/// What to buy.
pub fn buy(purchase: &Purchase) -> String {
    let mut page = Page::default();
    buy::list(&mut page, purchase);
    findings(&mut page, &purchase.findings);
    page.into_text()
}

/// What to ask for a piece; `of` is what it is.
pub fn quote(quote: &Quote, of: &str) -> String {
    let mut page = Page::default();
    quote::table(&mut page, quote, of);
    findings(&mut page, &quote.findings);
    page.into_text()
}

/// The casting systems at hand.
pub fn systems(list: &SystemsList) -> String {
    let mut page = Page::default();
    systems::list(&mut page, list);
    page.into_text()
}

/// All of a casting system.
pub fn system(system: &SystemPage) -> String {
    let mut page = Page::default();
    systems::show(&mut page, system);
    page.into_text()
}

/// A system file that is right, and what it still lacks.
pub fn fine(file: &str, gaps: &[&str]) -> String {
    let mut page = Page::default();
    page.ends((PLAIN, file), (PLAIN, "fine"));
    for gap in gaps {
        page.row("Missing", gap);
    }
    page.into_text()
}

/// What must be settled or known before anything is opened: conflicts, then cautions.
fn before_pouring(page: &mut Page, findings: &[Finding], cautions: &[Caution]) {
    page.rule();
    for conflict in findings.iter().filter(|f| f.severity == Severity::Conflict) {
        finding(page, conflict);
    }
    for caution in cautions {
        page.row("Care", &caution.text);
    }
    page.rule();
}

/// Notes first, warnings last: what stands at the end is what is looked at. Conflicts stand
/// before the grams.
fn findings(page: &mut Page, findings: &[Finding]) {
    let mut sorted: Vec<_> = findings.iter().filter(|f| f.severity < Severity::Conflict).collect();
    if sorted.is_empty() {
        return;
    }
    page.rule();
    sorted.sort_by_key(|finding| finding.severity);
    for one in sorted {
        finding(page, one);
    }
}

fn finding(page: &mut Page, finding: &Finding) {
    let (label, style) = match finding.severity {
        Severity::Note => ("Note", PLAIN),
        Severity::Warning => ("Warning", ALERT),
        Severity::Conflict => ("Stop", ALERT),
    };
    page.row_in(style, label, &finding.message);
    if let Some(hint) = &finding.hint {
        page.row("", &format!("→ {hint}"));
    }
}
