//! What was recorded: a table of castings, their spread, and what they propose.

use super::numbers::tenths;
use super::page::{FAINT, PLAIN, Page, STRONG, width};
use crate::sheet::{Entry, Judged, LEAST_GOOD, Layer, Proposal, Quantity, Summary, judged};

/// Columns: number, date and time, revision, skin, core, cap, piece, verdict.
const COLUMNS: [usize; 8] = [3, 18, 5, 9, 9, 9, 9, 18];
/// Columns of the spread: what, how often, median, range, planned.
const SPREAD: [usize; 5] = [33, 7, 9, 19, 12];

/// A record that was read.
pub fn record(page: &mut Page, summary: &Summary) {
    page.ends((STRONG, &summary.job), (PLAIN, "record"));
    page.rule();
    if summary.entries.is_empty() {
        page.row("Castings", "none is recorded yet");
        page.row("", "→ cavigram record JOB.toml --skin-used 148g --piece 92.4g --good");
        return;
    }
    castings(page, summary);
    page.gap();
    spreads(page, summary);
    page.rule();
    if summary.proposals.is_empty() {
        let what = if summary.good < LEAST_GOOD {
            format!(
                "nothing: that takes {LEAST_GOOD} good castings with what stuck to cup and brush (--skin-left); there \
                 are {}",
                summary.good
            )
        } else {
            "nothing: what was allowed for lies within what stuck there, or too few weights were \
             recorded"
                .to_owned()
        };
        page.row("Propose", &what);
    }
    for proposal in &summary.proposals {
        propose(page, proposal);
    }
}

/// One entry that was just added.
pub fn recorded(page: &mut Page, entry: &Entry, file: &str) {
    page.row("Recorded", &format!("{}, revision {}, in {file}", entry.at, entry.revision));
    for layer in [Layer::Skin, Layer::Core, Layer::Cap] {
        if let Some(used) = entry.used_g.of(layer) {
            let planned = tenths(entry.planned.of(layer).net_g);
            let place = match entry.castings {
                1 => "in the mould".to_owned(),
                n => format!("in {n} moulds together"),
            };
            let text = format!("{} g {place}, planned {planned} g", tenths(used));
            page.row(label(layer), &text);
        }
    }
    if let (Some(piece_g), Some(judged)) = (entry.piece_g, judged(entry)) {
        let expected = entry.planned.piece_g;
        page.row(
            "Piece",
            &format!(
                "{} g{}, expected {} g ({} to {})",
                tenths(piece_g),
                tell(judged),
                tenths(expected.best),
                tenths(expected.low),
                tenths(expected.high)
            ),
        );
    }
}

fn label(layer: Layer) -> &'static str {
    match layer {
        Layer::Skin => "Skin",
        Layer::Core => "Core",
        Layer::Cap => "Cap",
    }
}

fn tell(judged: Judged) -> String {
    match judged {
        Judged::Within => ", as expected".to_owned(),
        Judged::Under(grams) => format!(", {} g under the band", tenths(grams)),
        Judged::Over(grams) => format!(", {} g over the band", tenths(grams)),
    }
}

fn castings(page: &mut Page, summary: &Summary) {
    let head = ["", "when", "rev.", "skin g", "core g", "cap g", "piece g", ""];
    page.line(&[(FAINT, line(head.map(str::to_owned), &COLUMNS).trim_end())]);
    for (at, (_, entry)) in summary.entries.iter().enumerate() {
        let grams = |value: Option<f64>| value.map_or("-".to_owned(), |g| format!("{g:.1}"));
        // Date and time to the minute; an odd one as it stands.
        let when = entry.at.get(..16).unwrap_or(&entry.at).replace('T', " ");
        let verdict = match entry.verdict.good {
            Some(true) => "good",
            Some(false) => "reject",
            None => "",
        };
        let weighs = match judged(entry) {
            Some(Judged::Under(_)) => "light",
            Some(Judged::Over(_)) => "heavy",
            Some(Judged::Within) | None => "",
        };
        let words: Vec<&str> =
            [verdict, weighs].into_iter().filter(|word| !word.is_empty()).collect();
        let cells = [
            (at + 1).to_string(),
            when,
            entry.revision.to_string(),
            grams(entry.used_g.skin),
            grams(entry.used_g.core),
            grams(entry.used_g.cap),
            grams(entry.piece_g),
            words.join(", "),
        ];
        page.line(&[(PLAIN, line(cells, &COLUMNS).trim_end())]);
        if let Some(why) = &entry.verdict.reject_reason {
            page.row("", &format!("reject: {why}"));
        }
        if let Some(note) = &entry.note {
            page.row("", note);
        }
        if let Some(judged) = judged(entry).filter(|judged| *judged != Judged::Within) {
            let expected = entry.planned.piece_g;
            let band = format!("({} to {})", tenths(expected.low), tenths(expected.high));
            let side = tell(judged);
            page.row("", &format!("piece{} {band}", side.trim_start_matches(',')));
        }
    }
}

fn spreads(page: &mut Page, summary: &Summary) {
    let head = ["rejects left out", "times", "median", "range", "planned"];
    page.line(&[(FAINT, &line(head.map(str::to_owned), &SPREAD))]);
    for (quantity, spread, planned) in &summary.spreads {
        let range = format!("{:.1} to {:.1}", spread.low(), spread.high());
        let cells = [
            words(*quantity).to_owned(),
            spread.count().to_string(),
            format!("{:.1}", spread.median()),
            range,
            planned.map_or(String::new(), |planned| format!("{planned:.1}")),
        ];
        page.line(&[(PLAIN, line(cells, &SPREAD).trim_end())]);
    }
}

fn words(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Used(Layer::Skin) => "skin in the mould, g",
        Quantity::Used(Layer::Core) => "core in the mould, g",
        Quantity::Used(Layer::Cap) => "cap in the mould, g",
        Quantity::Kept(Layer::Skin) => "kept by cup and brush a coat, g",
        Quantity::Kept(Layer::Core) => "core kept by the cup, g",
        Quantity::Kept(Layer::Cap) => "cap kept by the cup, g",
        Quantity::GelSeen(Layer::Skin) => "skin: gel seen after, min",
        Quantity::GelSeen(Layer::Core) => "core: gel seen after, min",
        Quantity::GelSeen(Layer::Cap) => "cap: gel seen after, min",
        Quantity::Thickness => "skin measured, mm",
        Quantity::Piece => "trimmed piece, g",
    }
}

fn propose(page: &mut Page, proposal: &Proposal) {
    let all: Vec<String> = proposal.kept_g.sorted().iter().map(|g| format!("{g:.1}")).collect();
    let (keeper, each) = match proposal.layer {
        Layer::Skin => ("cup and brush", "a skin coat"),
        Layer::Core => ("the cup", "of core"),
        Layer::Cap => ("the cup", "of cap"),
    };
    page.row(
        "Propose",
        &format!(
            "{keeper} kept {:.1} g {each} ({}; planned {:.1}): remainder {} % instead of {} %",
            proposal.kept_g.median(),
            all.join(", "),
            proposal.planned_g,
            tenths(proposal.new_remainder_percent),
            tenths(proposal.remainder_percent)
        ),
    );
    page.row("", &format!("→ in the shop file under [allowances]: {}", proposal.shop_line()));
}

/// Texts in their columns: the first and last at the left, numbers at the right.
fn line<const N: usize>(texts: [String; N], columns: &[usize; N]) -> String {
    let mut line = String::new();
    for (at, (text, &room)) in texts.iter().zip(columns).enumerate() {
        let text = super::page::shortened(text, room.saturating_sub(1));
        let blank = " ".repeat(room.saturating_sub(width(&text)));
        let at_left = (at == 0 && N == 5) || (at + 1 == N && N == 8);
        line += &if at_left && at == 0 {
            format!("{text}{blank}")
        } else if at_left {
            format!("  {text}")
        } else {
            format!("{blank}{text}")
        };
    }
    line
}
