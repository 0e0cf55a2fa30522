//! A page of text 80 columns wide: rows with a label, wrapped, and nothing that runs over.

use anstyle::Style;

/// Columns of the page.
pub const WIDTH: usize = 80;
/// Columns of a row's label, with the space behind it.
pub const LABEL: usize = 11;

/// The one emphasis: what is weighed, and the names of pours.
pub const STRONG: Style = Style::new().bold();
/// What may be read later.
pub const FAINT: Style = Style::new().dimmed();
/// What must not be overlooked.
pub const ALERT: Style =
    Style::new().bold().fg_color(Some(anstyle::Color::Ansi(anstyle::AnsiColor::Yellow)));
/// No emphasis.
pub const PLAIN: Style = Style::new();

/// A page in the making.
#[derive(Debug, Default)]
pub struct Page {
    text: String,
    items: Vec<Item>,
}

/// What stands on a page, without its layout: for outputs with a layout of their own.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// The name of a part, and what is said behind it.
    Heading(String),
    /// A line by itself.
    Line(String),
    /// A labelled text; without a label it goes on with what stands before.
    Row {
        /// The label.
        label: String,
        /// The text, unwrapped.
        text: String,
        /// It must not be overlooked.
        alert: bool,
    },
}

impl Page {
    /// The finished page.
    pub fn into_text(self) -> String {
        self.text
    }

    /// What stands on it.
    pub fn into_items(self) -> Vec<Item> {
        self.items
    }

    /// An empty line.
    pub fn gap(&mut self) {
        self.text.push('\n');
    }

    /// A line across the page.
    pub fn rule(&mut self) {
        self.put(&[(FAINT, &"─".repeat(WIDTH))]);
    }

    /// A line of pieces, each in its own style; the pieces must fit.
    pub fn line(&mut self, pieces: &[(Style, &str)]) {
        let text: String = pieces.iter().map(|(_, piece)| *piece).collect();
        let is_heading = pieces.first().is_some_and(|(style, _)| *style == STRONG);
        self.items.push(if is_heading { Item::Heading(text) } else { Item::Line(text) });
        self.put(pieces);
    }

    fn put(&mut self, pieces: &[(Style, &str)]) {
        for (style, piece) in pieces {
            self.styled(*style, piece);
        }
        self.text.push('\n');
    }

    /// Something on the left, something at the right edge; the left is shortened to fit.
    pub fn ends(&mut self, left: (Style, &str), right: (Style, &str)) {
        let room = WIDTH - width(right.1) - 2;
        let shown = shortened(left.1, room);
        let between = " ".repeat(WIDTH - width(&shown) - width(right.1));
        self.put(&[(left.0, &shown), (PLAIN, &between), right]);
    }

    /// A labelled text, wrapped beside its label.
    pub fn row(&mut self, label: &str, text: &str) {
        self.row_in(PLAIN, label, text);
    }

    /// A labelled text in a style.
    pub fn row_in(&mut self, style: Style, label: &str, text: &str) {
        self.row_beside(LABEL, style, label, text);
    }

    /// The same with so many columns for the label.
    pub fn row_beside(&mut self, columns: usize, style: Style, label: &str, text: &str) {
        let alert = style == ALERT;
        self.items.push(Item::Row { label: label.to_owned(), text: text.to_owned(), alert });
        let label = format!("{label:<columns$}");
        let mut lead = label.as_str();
        let blank = " ".repeat(columns);
        for line in wrap(text, WIDTH - columns) {
            self.put(&[(FAINT, lead), (style, &line)]);
            lead = &blank;
        }
    }

    fn styled(&mut self, style: Style, piece: &str) {
        if style == PLAIN {
            self.text += piece;
        } else {
            self.text += &format!("{style}{piece}{style:#}");
        }
    }
}

/// Breaks a text at blanks so that no line is wider than `room`; a word that is wider is cut.
pub fn wrap(text: &str, room: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        for part in cut(&clean(word), room) {
            let line = lines.last_mut().map(|l| (width(l), l));
            match line {
                Some((0, line)) => *line = part,
                Some((used, line)) if used + 1 + width(&part) <= room => {
                    line.push(' ');
                    *line += &part;
                }
                _ => lines.push(part),
            }
        }
    }
    lines
}

/// A word in pieces no wider than `room`.
fn cut(word: &str, room: usize) -> Vec<String> {
    let mut parts = vec![String::new()];
    let mut used = 0;
    for c in word.chars() {
        let wide = char_width(c);
        if used + wide > room {
            parts.push(String::new());
            used = 0;
        }
        used += wide;
        if let Some(part) = parts.last_mut() {
            part.push(c);
        }
    }
    parts
}

/// A text no wider than `room`, its middle left out where it is too long: names differ at their
/// ends.
pub fn shortened(text: &str, room: usize) -> String {
    let text = clean(text);
    if width(&text) <= room {
        return text;
    }
    let (mut head, mut tail, mut used) = (String::new(), Vec::new(), 1);
    let mut rest = text.chars();
    let mut from_front = true;
    while let Some(c) = if from_front { rest.next() } else { rest.next_back() } {
        used += char_width(c);
        if used > room {
            break;
        }
        if from_front {
            head.push(c)
        } else {
            tail.push(c)
        }
        from_front = !from_front;
    }
    head.push('…');
    head.extend(tail.iter().rev());
    head
}

/// Without control characters, which could move the cursor or colour what follows.
fn clean(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect()
}

/// Columns that a text takes on a terminal.
pub fn width(text: &str) -> usize {
    text.chars().map(char_width).sum()
}

/// Columns of a character: 2 for the wide scripts, 0 for combining marks, else 1.
///
/// Source: the ranges of Unicode's East Asian Width that are wide, coarsely; from memory.
fn char_width(c: char) -> usize {
    match u32::from(c) {
        0x300..=0x36f | 0x200b..=0x200f | 0xfe00..=0xfe0f => 0,
        0x1100..=0x115f
        | 0x2e80..=0xa4cf
        | 0xac00..=0xd7a3
        | 0xf900..=0xfaff
        | 0xfe30..=0xfe6f
        | 0xff00..=0xff60
        | 0xffe0..=0xffe6
        | 0x1f300..=0x1faff
        | 0x20000..=0x3fffd => 2,
        _ => 1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_runs_over_the_edge() {
        let long = "kidney-".repeat(40);
        let wide = "腎臓".repeat(40);
        for text in [long.as_str(), wide.as_str(), "a b c", "", "two\u{1b}[31m words"] {
            for room in [1, 2, 7, 69] {
                for line in wrap(text, room.max(2)) {
                    assert!(width(&line) <= room.max(2), "{line}");
                    assert!(!line.contains('\u{1b}'));
                }
                assert!(width(&shortened(text, room)) <= room);
            }
        }
        let mut page = Page::default();
        page.ends((PLAIN, &long), (PLAIN, "batch sheet"));
        page.row("Read", &long);
        assert!(plain(&page.into_text()).lines().all(|l| width(l) <= WIDTH));
    }

    /// Without terminal codes, which end in an `m`.
    fn plain(text: &str) -> String {
        let mut pieces = text.split('\u{1b}');
        let first = pieces.next().unwrap_or_default().to_owned();
        first + &pieces.filter_map(|p| p.split_once('m')).map(|(_, rest)| rest).collect::<String>()
    }

    #[test]
    fn words_are_kept_whole_and_in_order() {
        assert_eq!(wrap("one two three", 7), ["one two", "three"]);
        assert_eq!(wrap("abcdefgh", 3), ["abc", "def", "gh"]);
        assert_eq!(shortened("left-kidney.stl", 9), "left….stl");
        assert_eq!(shortened("short", 9), "short");
    }
}
