//! Plain pieces of text that pages and drawings share.

/// A part across an axis smaller than this is rounding.
const ALONG: f64 = 1e-3;
/// Up to this a direction lies about along an axis: 5°.
const ABOUT: f64 = 0.0872;

/// A direction along the file's axes: `+x`, `about +x`, or its three parts.
pub fn direction([x, y, z]: [f64; 3]) -> String {
    let parts = [(x, 'x'), (y, 'y'), (z, 'z')];
    for (k, (part, axis)) in parts.iter().enumerate() {
        let others = (0..3).filter(|other| *other != k);
        let across = others.map(|other| parts[other].0.abs()).fold(0.0, f64::max);
        if across < ABOUT {
            let about = if across < ALONG { "" } else { "about " };
            return format!("{about}{}{axis}", if *part < 0.0 { '-' } else { '+' });
        }
    }
    let text = |part: f64| format!("{:.2}", part + 0.0).replace("-0.00", "0.00");
    format!("({}, {}, {})", text(x), text(y), text(z))
}

/// Without control characters, which neither HTML nor XML may hold.
pub fn clean(text: &str) -> String {
    let forbidden = |c: char| c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}');
    text.chars().map(|c| if forbidden(c) { '\u{fffd}' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn directions_are_named_by_axis_where_they_lie_along_one() {
        assert_eq!(direction([1.0, 0.0, 0.0]), "+x");
        assert_eq!(direction([1e-5, -1.0, 0.0]), "-y");
        assert_eq!(direction([0.0, 0.999, 0.03]), "about +y");
        assert_eq!(direction([0.6, -0.8, -1e-9]), "(0.60, -0.80, 0.00)");
    }

    #[test]
    fn no_control_character_is_left() {
        assert_eq!(clean("a\u{1}b\u{7f}c\u{ffff}"), "a\u{fffd}b\u{fffd}c\u{fffd}");
    }
}
