//! Numbers as they are read at arm's length.

/// Three significant digits, but never coarser than tenths: `9.11`, `40.2`, `402.3`.
pub fn three(value: f64) -> String {
    format!("{value:.*}", decimals(value))
}

/// A lower limit, rounded down to the digits of `best` so that it still holds.
pub fn three_down(value: f64, best: f64) -> String {
    rounded(value, decimals(best), f64::floor)
}

/// An upper limit, rounded up likewise.
pub fn three_up(value: f64, best: f64) -> String {
    rounded(value, decimals(best), f64::ceil)
}

fn rounded(value: f64, decimals: usize, toward: fn(f64) -> f64) -> String {
    let step = 10f64.powi(decimals as i32);
    format!("{:.decimals$}", toward(value * step) / step)
}

fn decimals(value: f64) -> usize {
    match value.abs() {
        v if v >= 10.0 || v == 0.0 => 1,
        v if v >= 1.0 => 2,
        v if v >= 0.1 => 3,
        _ => 4,
    }
}

/// Grams to the scale's step.
pub fn grams(value: f64, step_g: f64) -> String {
    let decimals = if step_g >= 1.0 {
        0
    } else if step_g >= 0.1 {
        1
    } else {
        2
    };
    format!("{value:.decimals$}")
}

/// A length in mm to tenths, without an idle zero.
pub fn tenths(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// Thousands set apart, for counts: `1 048 576`.
pub fn count(value: usize) -> String {
    let digits = value.to_string();
    let mut text = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) && digits.len() > 4 {
            text.push(' ');
        }
        text.push(digit);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn volumes_keep_three_digits_or_tenths() {
        for (value, text) in [
            (0.0, "0.0"),
            (0.01234, "0.0123"),
            (0.5, "0.500"),
            (9.114, "9.11"),
            (40.21, "40.2"),
            (1072.33, "1072.3"),
        ] {
            assert_eq!(three(value), text);
        }
    }

    #[test]
    fn limits_are_rounded_outward() {
        assert_eq!(three_down(9.059, 9.1), "9.05");
        assert_eq!(three_up(9.161, 9.1), "9.17");
        assert_eq!(three_down(9.05, 9.1), "9.05");
    }

    #[test]
    fn grams_follow_the_scale() {
        assert_eq!(grams(30.0, 0.1), "30.0");
        assert_eq!(grams(30.4, 1.0), "30");
        assert_eq!(grams(30.25, 0.01), "30.25");
    }

    #[test]
    fn counts_are_set_apart() {
        assert_eq!(count(12), "12");
        assert_eq!(count(2048), "2048");
        assert_eq!(count(20480), "20 480");
        assert_eq!(count(1_048_576), "1 048 576");
    }
}
