//! Cells of text that a spreadsheet takes for text.

/// A cell: quoted where RFC 4180 asks for it. A text that a spreadsheet would take for a formula
/// gets an apostrophe in front, which spreadsheets read as "this is text".
pub fn cell(text: &str) -> String {
    let clean: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let clean = clean.trim();
    let formula =
        clean.starts_with(['=', '+', '-', '@', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}']);
    let safe = if formula { format!("'{clean}") } else { clean.to_owned() };
    if safe.contains([',', '"', ';']) { format!("\"{}\"", safe.replace('"', "\"\"")) } else { safe }
}

/// A line of cells, ended as RFC 4180 has it.
pub fn line(cells: &[String]) -> String {
    cells.join(",") + "\r\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_is_a_formula() {
        assert_eq!(cell("kit, small"), "\"kit, small\"");
        assert_eq!(cell("=1+1"), "'=1+1");
        assert_eq!(cell("\t=1+1"), "'=1+1");
        assert_eq!(cell("+44"), "'+44");
        assert_eq!(cell("@a"), "'@a");
        assert_eq!(cell("-a \"b\""), "\"'-a \"\"b\"\"\"");
        assert_eq!(cell("two\r\nlines"), "two  lines");
        assert_eq!(cell("A"), "A");
    }
}
