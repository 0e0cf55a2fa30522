//! The words of the sheet as pieces of a page.

use maud::{Markup, html};

use crate::render::plain::clean;
use crate::render::terminal::Item;

/// A text that may hold a file's name, kept apart from the direction of what is around it.
pub fn apart(text: &str) -> Markup {
    html! { bdi { (clean(text)) } }
}

/// A text of the program's own, its numbers set apart.
pub fn told(text: &str) -> Markup {
    apart(&numbers_apart(text))
}

/// Whole parts of numbers from five digits on in threes, as [`grouped`] has them. What isn't a
/// number by itself, such as a part of a name, stays as it is.
fn numbers_apart(text: &str) -> String {
    let digits =
        |text: &str| text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let mut done = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(|c: char| c.is_ascii_digit()) {
        let (before, number) = rest.split_at(at);
        done += before;
        let mut long = digits(number);
        // Counts come with blanks: `38 032`.
        while long <= 11 && number[long..].starts_with(' ') && digits(&number[long + 1..]) == 3 {
            long += 4;
        }
        let whole: String = number[..long].replace(' ', "");
        let blanks = whole.len() < long;
        let after = number[long..].trim_start_matches(|c: char| c == '.' || c.is_ascii_digit());
        let opens = before.is_empty() && done.is_empty()
            || done.ends_with([' ', '(', '+', '×', '–', '\u{a0}']);
        let closes = after.is_empty() || after.starts_with([' ', ')', ',', ';', ':', '%', '–']);
        let first = digits(number);
        let is_number = whole.len() >= 5 && opens && closes && (!blanks || first <= 3);
        if is_number {
            done += &grouped(&whole);
        } else {
            long = first;
            done += &number[..long];
        }
        rest = &number[long..];
        // What is behind a point isn't set apart.
        let behind = rest.strip_prefix('.').map_or(0, |decimals| 1 + digits(decimals));
        done += &rest[..behind];
        rest = &rest[behind..];
    }
    done + rest
}

/// Labelled rows as a list of terms; rows without a label go on with the one before. Headings and
/// lines by themselves are left out.
pub fn terms<'a>(items: impl IntoIterator<Item = &'a Item>) -> Markup {
    let mut rows: Vec<(&str, Vec<&str>)> = Vec::new();
    for item in items {
        let Item::Row { label, text, .. } = item else { continue };
        match rows.last_mut() {
            Some((_, texts)) if label.is_empty() => texts.push(text),
            _ => rows.push((label, vec![text])),
        }
    }
    html! {
        @if !rows.is_empty() {
            dl {
                @for (label, texts) in rows {
                    div {
                        dt { (label) }
                        dd { @for (k, text) in texts.iter().enumerate() {
                            @if k > 0 { br; }
                            (told(text))
                        } }
                    }
                }
            }
        }
    }
}

/// A heading in its parts, between which stand two blanks.
pub fn parts(heading: &str) -> Vec<&str> {
    heading.split("  ").map(str::trim).filter(|part| !part.is_empty()).collect()
}

/// Digits of whole numbers from five on in threes, set apart by narrow blanks that don't break.
pub fn grouped(number: &str) -> String {
    let (whole, rest) = match number.split_once('.') {
        Some((whole, rest)) => (whole, format!(".{rest}")),
        None => (number, String::new()),
    };
    if whole.len() < 5 || !whole.bytes().all(|b| b.is_ascii_digit()) {
        return number.to_owned();
    }
    let mut text = String::new();
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) {
            text.push('\u{202f}');
        }
        text.push(digit);
    }
    text + &rest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_stand_apart() {
        assert_eq!(grouped("30.0"), "30.0");
        assert_eq!(grouped("9999.5"), "9999.5");
        assert_eq!(grouped("12345.0"), "12\u{202f}345.0");
        assert_eq!(grouped("1234567"), "1\u{202f}234\u{202f}567");
    }

    #[test]
    fn numbers_in_texts_are_set_apart_and_names_are_not() {
        for (text, apart) in [
            ("38 032 triangles, 19 018 corners", "38_032 triangles, 19_018 corners"),
            (
                "12345.678 g in all (1 048 576 to 2000000)",
                "12_345.678 g in all (1_048_576 to 2_000_000)",
            ),
            ("2310.0 g expected, 0.123456 kg", "2310.0 g expected, 0.123456 kg"),
            (
                "scan12345.stl, 12345.stl, a-12345, 2026-11-27 09:00",
                "scan12345.stl, 12345.stl, a-12345, 2026-11-27 09:00",
            ),
            ("Shore 00 20 and 5 100 is no number", "Shore 00 20 and 5 100 is no number"),
        ] {
            assert_eq!(numbers_apart(text), apart.replace('_', "\u{202f}"));
        }
    }

    #[test]
    fn headings_come_apart_at_two_blanks() {
        assert_eq!(parts("1  SKIN  coat 1 of 3: 0.4 mm"), ["1", "SKIN", "coat 1 of 3: 0.4 mm"]);
        assert_eq!(parts("   SKIN  all"), ["SKIN", "all"]);
    }
}
