//! The words of the sheet as pieces of a page.

use maud::{Markup, html};

use crate::render::plain::clean;
use crate::render::terminal::Item;

/// A text that may hold a file's name, kept apart from the direction of what is around it.
pub fn apart(text: &str) -> Markup {
    html! { bdi { (clean(text)) } }
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
                            (apart(text))
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
    fn headings_come_apart_at_two_blanks() {
        assert_eq!(parts("1  SKIN  coat 1 of 3: 0.4 mm"), ["1", "SKIN", "coat 1 of 3: 0.4 mm"]);
        assert_eq!(parts("   SKIN  all"), ["SKIN", "all"]);
    }
}
