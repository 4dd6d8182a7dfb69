//! How a reckoned value is shown: a fitting number of figures, then the unit.
//!
//! For showing only: never read back, never kept.

use std::fmt::Write;

use super::Unit;

/// `value` (already in `unit`) with about four significant figures, and no more decimals than the unit is worth:
/// `0.308 mm`, `1192.1 cm³`, `31.6 kN`. A plain number has no unit behind it.
pub fn shown(value: f64, unit: Unit) -> String {
    let mut text = figures(value, unit.decimals());
    let symbol = unit.symbol();
    if !symbol.is_empty() {
        text.push(' ');
        text.push_str(symbol);
    }
    text
}

/// Four significant figures or so, at most `most` decimals, at least none.
fn figures(value: f64, most: usize) -> String {
    if !value.is_finite() {
        return "no number".to_owned();
    }
    let mut decimals = most;
    // One decimal fewer for each figure before the point from the second on, so that 1192.09 shows as 1192.1.
    let mut size = value.abs();
    let mut figures_before = 1usize;
    while size >= 10.0 {
        size /= 10.0;
        figures_before += 1;
    }
    if figures_before + decimals > 5 {
        decimals = 5usize.saturating_sub(figures_before);
    }
    // Room for the unit too: an answer has many of these.
    let mut text = String::with_capacity(24);
    // Writing to a string cannot fail.
    let _ = write!(text, "{value:.decimals$}");
    // −0.000 is 0.000 to a person.
    if text.starts_with('-') && text.bytes().skip(1).all(|b| b == b'0' || b == b'.') {
        text.remove(0);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::{Unit, shown};

    #[track_caller]
    fn check(value: f64, unit: Unit, expected: &str) {
        assert_eq!(shown(value, unit), expected);
    }

    #[test]
    fn shows_fitting_figures() {
        check(0.308, Unit::Millimetre, "0.308 mm");
        check(1192.094, Unit::CubicCentimetre, "1192.1 cm³");
        check(31_600.0, Unit::Newton, "31600 N");
        check(-0.0001, Unit::Millimetre, "0.000 mm");
        check(9.258, Unit::One, "9.258");
        check(3000.0, Unit::Rpm, "3000 rpm");
        check(f64::NAN, Unit::Millimetre, "no number mm");
    }
}
