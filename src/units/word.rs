//! What was probably meant by a mistyped word.

/// The word with the fewest changes, provided that over half of it was typed right.
pub fn nearest_word<'a>(typed: &str, words: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let judged = words.into_iter().map(|word| {
        let full = edits(typed, word);
        // What was typed may be the beginning of a word: "urethane", "foam".
        let begun = if typed.len() > 2 && word.starts_with(typed) { 1 } else { usize::MAX };
        (full.min(begun), word)
    });
    // Of equals the first: lists begin with the usual one.
    let (distance, word) = judged.min_by_key(|(distance, _)| *distance)?;
    (2 * distance < word.chars().count()).then_some(word)
}

/// Insertions, deletions and replacements between two texts (Levenshtein 1966).
fn edits(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().enumerate() {
        let mut diagonal = i;
        let mut left = i + 1;
        for (above, cb) in row.iter_mut().skip(1).zip(&b) {
            let replaced = diagonal + usize::from(ca != *cb);
            diagonal = *above;
            left = replaced.min(*above + 1).min(left + 1);
            *above = left;
        }
        if let Some(first) = row.first_mut() {
            *first = i + 1;
        }
    }
    row.last().copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edits_are_counted() {
        // Wagner and Fischer's classic pair.
        assert_eq!(edits("kitten", "sitting"), 3);
        assert_eq!(edits("", "abc"), 3);
        assert_eq!(edits("abc", ""), 3);
        assert_eq!(edits("abc", "abc"), 0);
    }

    #[test]
    fn half_a_word_must_be_right() {
        let words = ["gel_minutes", "mass_g"];
        assert_eq!(nearest_word("gel_minuts", words), Some("gel_minutes"));
        assert_eq!(nearest_word("gel", words), Some("gel_minutes"));
        assert_eq!(nearest_word("zzzz", words), None);
        assert_eq!(nearest_word("mass", []), None);
    }
}
