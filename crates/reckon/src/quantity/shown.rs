//! How a reckoned value is shown: a fitting number of figures, then the unit.
//!
//! For showing only: no value is read back from it. A kept bench answer keeps its words as they were shown.

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

/// From here on not every whole number is a float.
const LARGEST: f64 = (1u64 << 53) as f64;

/// Four significant figures or so, at most `most` decimals, at least none; half is rounded away from nought, as on paper.
/// Of ten, exactly; never more than five decimals are shown.
const POWERS: [f64; 6] = [1.0, 1e1, 1e2, 1e3, 1e4, 1e5];

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
    let power = POWERS.get(decimals).copied().unwrap_or(1e5);
    let digits = (value.abs() * power).round();
    // −0.000 is 0.000 to a person.
    if value < 0.0 && digits > 0.0 {
        text.push('-');
    }
    if digits < LARGEST {
        // Whole numbers are written far faster than floats, which would be most of an answer's work.
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole, not below nought and below 2^53"
        )]
        let (digits, power) = (digits as u64, power as u64);
        let mut buffer = itoa::Buffer::new();
        text.push_str(buffer.format(digits / power));
        if decimals > 0 {
            let part = buffer.format(digits % power);
            text.push('.');
            text.extend(std::iter::repeat_n('0', decimals.saturating_sub(part.len())));
            text.push_str(part);
        }
    } else {
        // Writing to a string cannot fail.
        let _ = write!(text, "{:.decimals$}", value.abs());
    }
    text
}

/// Is a size as shown nothing but noughts?
pub(crate) fn is_nought(shown: &str) -> bool {
    let number = shown.split(' ').next().unwrap_or_default();
    number.chars().all(|c| matches!(c, '0' | '.' | '-' | '−'))
}

/// What is not nought and is shown so, told as less than one of the last figure: `less than 0.1 µm`.
pub(crate) fn or_less(shown: String) -> String {
    match shown.split_once(' ') {
        Some((number, unit)) if is_nought(&shown) => match number.strip_suffix('0') {
            Some(rest) => format!("less than {rest}1 {unit}"),
            None => shown,
        },
        _ => shown,
    }
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
        check(-0.035_5, Unit::Millimetre, "-0.036 mm");
        check(0.000_6, Unit::Millimetre, "0.001 mm");
        check(20.0, Unit::Millimetre, "20.000 mm");
        check(999_999.6, Unit::Newton, "1000000 N");
        check(1e17, Unit::Newton, "100000000000000000 N");
        check(3000.0, Unit::Rpm, "3000 rpm");
        check(f64::NAN, Unit::Millimetre, "no number mm");
    }
}
