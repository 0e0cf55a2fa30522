//! `cavigram/records/1`: what a job's record tells.

use serde::Serialize;

use super::shared::{Warning, warnings};
use crate::sheet::{Entry, Judged, Proposal, Summary, judged};

/// `cavigram/records/1`.
#[derive(Serialize)]
pub struct Records<'a> {
    schema: &'static str,
    job: &'a str,
    good: usize,
    entries: Vec<EntryWire<'a>>,
    spreads: Vec<SpreadWire>,
    proposals: Vec<ProposalWire<'a>>,
    warnings: Vec<Warning<'a>>,
}

/// An entry as it stands in the record, with its line.
#[derive(Serialize)]
struct EntryWire<'a> {
    line: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    piece_is: Option<&'static str>,
    #[serde(flatten)]
    entry: &'a Entry,
}

#[derive(Serialize)]
struct SpreadWire {
    what: &'static str,
    count: usize,
    median: f64,
    low: f64,
    high: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    planned: Option<f64>,
}

#[derive(Serialize)]
struct ProposalWire<'a> {
    layer: &'static str,
    kept_g_per_mix: &'a [f64],
    median_g_per_mix: f64,
    planned_g_per_mix: f64,
    remainder_percent: f64,
    proposed_remainder_percent: f64,
}

impl<'a> Records<'a> {
    pub fn new(summary: &'a Summary) -> Self {
        let entry = |(line, entry): &'a (usize, Entry)| EntryWire {
            line: *line,
            piece_is: judged(entry).map(|judged| match judged {
                Judged::Within => "within",
                Judged::Under(_) => "under",
                Judged::Over(_) => "over",
            }),
            entry,
        };
        let spreads = summary.spreads.iter().map(|(quantity, spread, planned)| SpreadWire {
            what: quantity.as_str(),
            count: spread.count(),
            median: spread.median(),
            low: spread.low(),
            high: spread.high(),
            planned: *planned,
        });
        Self {
            schema: "cavigram/records/1",
            job: &summary.job,
            good: summary.good,
            entries: summary.entries.iter().map(entry).collect(),
            spreads: spreads.collect(),
            proposals: summary.proposals.iter().map(ProposalWire::new).collect(),
            warnings: warnings(&summary.findings),
        }
    }
}

impl<'a> ProposalWire<'a> {
    fn new(proposal: &'a Proposal) -> Self {
        Self {
            layer: proposal.layer.as_str(),
            kept_g_per_mix: proposal.kept_g.sorted(),
            median_g_per_mix: proposal.kept_g.median(),
            planned_g_per_mix: proposal.planned_g,
            remainder_percent: proposal.remainder_percent,
            proposed_remainder_percent: proposal.new_remainder_percent,
        }
    }
}
