//! The word that was likely meant.

/// The known word with the fewest changes, provided that over half of it was typed right.
pub fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let typed = typed.to_lowercase().replace('_', "-");
    let (distance, word) =
        known.into_iter().map(|word| (edits(&typed, word), word)).min_by_key(|(d, _)| *d)?;
    (2 * distance < word.chars().count()).then_some(word)
}

/// Insertions, deletions and replacements between two texts (Levenshtein 1966).
fn edits(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().enumerate() {
        let mut diagonal = i;
        let mut left = i + 1;
        if let Some(first) = row.first_mut() {
            *first = left;
        }
        for (cell, cb) in row.iter_mut().skip(1).zip(&b) {
            let replaced = diagonal + usize::from(ca != *cb);
            diagonal = *cell;
            left = replaced.min(*cell + 1).min(left + 1);
            *cell = left;
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
    fn only_a_near_word_is_named() {
        let known = ["skin", "coats", "below-lip"];
        assert_eq!(nearest("skinn", known), Some("skin"));
        assert_eq!(nearest("below_lip", known), Some("below-lip"));
        assert_eq!(nearest("thickness", known), None);
    }
}
