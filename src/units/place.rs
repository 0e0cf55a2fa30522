//! Where in a text something stands.

/// Line and column, both from 1, of a byte of a text; the column counts characters. A byte beyond
/// the text or inside a character counts as the text's end.
pub fn line_and_column(text: &str, byte: usize) -> (usize, usize) {
    let before = text.get(..byte).unwrap_or(text);
    let in_line = before.rsplit('\n').next().unwrap_or_default();
    (before.matches('\n').count() + 1, in_line.chars().count() + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_and_columns_count_from_one() {
        let text = "äb\ncd";
        assert_eq!(line_and_column(text, 0), (1, 1));
        assert_eq!(line_and_column(text, 2), (1, 2));
        assert_eq!(line_and_column(text, 4), (2, 1));
        assert_eq!(line_and_column(text, 99), (2, 3));
    }
}
