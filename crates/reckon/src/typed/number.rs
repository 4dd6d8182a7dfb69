//! Reads the number at the start of a cleaned text: decimals, fractions, mixed numbers, grouped thousands, exponents.
//!
//! Where a number has more than one reading, all of them are handed back. Never picks one; never panics; the work is
//! bounded, since the text is at most 64 characters long and exponents are bounded here.

use super::clean::{GROUP_SPACE, fraction_of};
use super::unclear::{Code, Unclear};
use crate::quantity::Exact;

/// More digits than this in one number are a slip.
const MOST_DIGITS: usize = 24;
/// Exponents beyond this are a slip, and a way to ask for a great deal of memory.
const LARGEST_EXPONENT: i64 = 30;

/// One reading of a number.
#[derive(Clone, Debug)]
pub(super) struct Reading {
    pub(super) value: Exact,
    /// A text of the number that has only this reading.
    pub(super) plain: String,
    /// Why it may be read so; empty where there is no doubt.
    pub(super) words: String,
}

/// The number at the start of a text.
#[derive(Debug)]
pub(super) struct Scanned<'a> {
    /// One, or more where it is in doubt.
    pub(super) readings: Vec<Reading>,
    /// Why it is in doubt.
    pub(super) doubt: Option<(Code, String)>,
    /// Was it written as a fraction? Then inches are likelier than millimetres.
    pub(super) fraction: bool,
    /// What follows the number, not trimmed.
    pub(super) rest: &'a str,
}

/// The number at the start of `text`, with its sign.
pub(super) fn scan(text: &str) -> Result<Scanned<'_>, Unclear> {
    let (negative, body) = match text.strip_prefix('-') {
        Some(rest) => (true, rest.trim_start()),
        None => (false, text.strip_prefix('+').unwrap_or(text).trim_start()),
    };
    let mut scanned = scan_size(body)?;
    if negative {
        for reading in &mut scanned.readings {
            reading.value = reading.value.negated();
            reading.plain.insert(0, '-');
        }
    }
    Ok(scanned)
}

fn bad(words: impl Into<String>) -> Unclear {
    Unclear::new(Code::BadNumber, words)
}

/// Splits off leading digits.
fn digits(text: &str) -> (&str, &str) {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    text.split_at(end)
}

/// Splits off a leading number of digits, points, commas and grouping spaces. A separator counts only before a digit, so
/// that the stop of `5 in.` and the comma of a sentence stay outside.
fn mantissa(text: &str) -> (&str, &str) {
    let mut end = 0;
    let mut chars = text.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        let next_is_digit = chars.peek().is_some_and(|(_, next)| next.is_ascii_digit());
        let separator = matches!(c, '.' | ',' | GROUP_SPACE) && next_is_digit;
        if !(c.is_ascii_digit() || separator) {
            break;
        }
        end = at + c.len_utf8();
    }
    text.split_at(end)
}

fn one<'a>(value: Exact, plain: String, fraction: bool, rest: &'a str) -> Scanned<'a> {
    let reading = Reading {
        value,
        plain,
        words: String::new(),
    };
    Scanned {
        readings: vec![reading],
        doubt: None,
        fraction,
        rest,
    }
}

/// The fraction `top/bottom` of two digit texts.
fn quotient(top: &str, bottom: &str) -> Result<Exact, Unclear> {
    if top.len() > MOST_DIGITS || bottom.len() > MOST_DIGITS {
        return Err(too_many_digits());
    }
    let (Some(top), Some(bottom)) = (Exact::from_digits(top, 0), Exact::from_digits(bottom, 0)) else {
        return Err(bad("A fraction is two whole numbers, like 5/16."));
    };
    top.over(&bottom)
        .ok_or_else(|| Unclear::new(Code::DivisionByZero, "Nothing can be divided by nought."))
}

fn too_many_digits() -> Unclear {
    Unclear::new(
        Code::TooLong,
        format!("A number of more than {MOST_DIGITS} digits is taken for a slip."),
    )
}

/// A mixed number of a whole and a proper fraction.
fn mixed(whole: &str, part: Exact, part_text: &str) -> Result<(Exact, String), Unclear> {
    if part >= Exact::from(1) {
        return Err(bad(format!(
            "The fraction of a mixed number is less than one; {whole} {part_text} can be read two ways."
        )));
    }
    if whole.len() > MOST_DIGITS {
        return Err(too_many_digits());
    }
    let whole_value = Exact::from_digits(whole, 0).ok_or_else(|| bad("No number can be read."))?;
    Ok((whole_value.plus(&part), format!("{whole} {part_text}")))
}

fn scan_size(text: &str) -> Result<Scanned<'_>, Unclear> {
    let (number, rest) = mantissa(text);
    let plain_digits = !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit());
    let after_space = rest.trim_start_matches([' ', GROUP_SPACE]);

    // ⅜ alone, or behind a whole number.
    if let Some((c, (top, bottom))) = after_space
        .chars()
        .next()
        .and_then(|c| Some((c, fraction_of(c)?)))
    {
        let part = quotient(&top.to_string(), &bottom.to_string())?;
        let part_text = format!("{top}/{bottom}");
        let rest = after_space.get(c.len_utf8()..).unwrap_or_default();
        if number.is_empty() {
            return finished(one(part, part_text, true, rest));
        }
        if !plain_digits {
            return Err(bad(
                "A fraction follows a whole number, like 1 3/8, not a decimal.",
            ));
        }
        let (value, plain) = mixed(number, part, &part_text)?;
        return finished(one(value, plain, true, rest));
    }
    if number.is_empty() {
        return Err(bad(
            "There is no number at the start; type it like 0.30 mm, 12 thou or 1 3/8 in.",
        ));
    }
    // 5/16. A slash before letters belongs to a unit.
    if let Some(behind) = after_space.strip_prefix('/') {
        let (bottom, rest) = digits(behind.trim_start());
        if !bottom.is_empty() {
            if !plain_digits {
                return Err(bad(
                    "A fraction is two whole numbers, like 5/16, with no decimals in it.",
                ));
            }
            return finished(one(
                quotient(number, bottom)?,
                format!("{number}/{bottom}"),
                true,
                rest,
            ));
        }
    }
    // 1-3/8 or 10-12.
    if let Some(behind) = after_space.strip_prefix('-') {
        let (second, rest) = digits(behind.trim_start());
        if !second.is_empty() {
            return hyphen(number, plain_digits, second, rest);
        }
    }
    if after_space.starts_with("..") || after_space.starts_with("to ") {
        return Err(range());
    }
    // 1 3/8, or 1 234, or two numbers. `3000 1/min` is a number and a unit.
    if rest.starts_with(' ')
        && after_space.starts_with(|c: char| c.is_ascii_digit())
        && !after_space.starts_with("1/min")
    {
        return second_number(number, plain_digits, after_space);
    }
    // Exponent.
    if let Some(behind) = rest.strip_prefix(['e', 'E']) {
        let (negative, behind) = match behind.strip_prefix('-') {
            Some(behind) => (true, behind),
            None => (false, behind.strip_prefix('+').unwrap_or(behind)),
        };
        let (power, rest) = digits(behind);
        if !power.is_empty() {
            return exponent(number, negative, power, rest);
        }
    }
    let (readings, doubt) = separators(number)?;
    finished(Scanned {
        readings,
        doubt,
        fraction: false,
        rest,
    })
}

/// No further digit or fraction may stand directly behind a number.
fn finished(scanned: Scanned<'_>) -> Result<Scanned<'_>, Unclear> {
    let slash_digit = scanned.rest.trim_start().strip_prefix('/').map(str::trim_start);
    let digit = |text: &str| text.starts_with(|c: char| c.is_ascii_digit() || fraction_of(c).is_some());
    let second = digit(scanned.rest)
        || (digit(scanned.rest.trim_start()) && !scanned.rest.trim_start().starts_with("1/min"));
    if second || slash_digit.is_some_and(digit) {
        return Err(bad("That is more than one number; type one number and its unit."));
    }
    Ok(scanned)
}

fn range() -> Unclear {
    Unclear::new(
        Code::Range,
        "That is a range; type one value, and keep a range as a limit.",
    )
}

/// `1-3/8` is a mixed number to some and a subtraction to others; `10-12` is a range.
fn hyphen<'a>(number: &str, plain: bool, second: &str, rest: &'a str) -> Result<Scanned<'a>, Unclear> {
    let Some(behind) = rest.trim_start().strip_prefix('/') else {
        return Err(range());
    };
    let (bottom, rest) = digits(behind.trim_start());
    if bottom.is_empty() || !plain {
        return Err(range());
    }
    let (value, text) = mixed(number, quotient(second, bottom)?, &format!("{second}/{bottom}"))?;
    let mut scanned = one(value, text, true, rest);
    scanned.doubt = Some((
        Code::HyphenInNumber,
        format!("Is “{number}-{second}/{bottom}” the mixed number {number} {second}/{bottom}, or a range?"),
    ));
    if let Some(reading) = scanned.readings.first_mut() {
        reading.words = "a mixed number".to_owned();
    }
    finished(scanned)
}

/// A second number behind a space: a mixed number, grouped thousands, or a slip.
fn second_number<'a>(number: &str, plain: bool, after: &'a str) -> Result<Scanned<'a>, Unclear> {
    let (second, rest) = digits(after);
    if let Some(behind) = rest.trim_start().strip_prefix('/') {
        let (bottom, rest) = digits(behind.trim_start());
        if !bottom.is_empty() {
            if !plain {
                return Err(bad(
                    "A fraction follows a whole number, like 1 3/8, not a decimal.",
                ));
            }
            let (value, text) = mixed(number, quotient(second, bottom)?, &format!("{second}/{bottom}"))?;
            return finished(one(value, text, true, rest));
        }
    }
    let groups = plain && number.len() <= 3 && second.len() == 3 && !number.starts_with('0');
    if !groups || rest.trim_start().starts_with(|c: char| c.is_ascii_digit()) {
        return Err(bad("Those are two numbers; type one number and its unit."));
    }
    let (joined, pointed) = (format!("{number}{second}"), format!("{number}.{second}"));
    let mut scanned = in_doubt(
        (&joined, "the space parts thousands"),
        (&pointed, "a decimal point was meant"),
        Code::SpaceInNumber,
        format!("Is “{number} {second}” {joined}, or {pointed}?"),
        rest,
    )?;
    // Decimals behind a space-grouped thousand leave only one thing in doubt: nothing.
    if rest.starts_with(['.', ','])
        && rest
            .get(1..)
            .is_some_and(|r| r.starts_with(|c: char| c.is_ascii_digit()))
    {
        let (part, rest) = digits(rest.get(1..).unwrap_or_default());
        let text = format!("{joined}.{part}");
        let value = decimal(&joined, part)?;
        scanned = one(value, text, false, rest);
    }
    finished(scanned)
}

fn in_doubt<'a>(
    first: (&str, &str),
    second: (&str, &str),
    code: Code,
    words: String,
    rest: &'a str,
) -> Result<Scanned<'a>, Unclear> {
    let mut readings = Vec::with_capacity(2);
    for (text, why) in [first, second] {
        let (whole, part) = text.split_once('.').unwrap_or((text, ""));
        readings.push(Reading {
            value: decimal(whole, part)?,
            plain: text.to_owned(),
            words: why.to_owned(),
        });
    }
    Ok(Scanned {
        readings,
        doubt: Some((code, words)),
        fraction: false,
        rest,
    })
}

fn exponent<'a>(number: &str, negative: bool, power: &str, rest: &'a str) -> Result<Scanned<'a>, Unclear> {
    let (readings, doubt) = separators(number)?;
    let (Some(reading), None) = (readings.first(), &doubt) else {
        return Err(bad("With an exponent, write the decimals with a point: 1.5e3."));
    };
    let size = power.trim_start_matches('0');
    let size: i64 = if size.is_empty() {
        0
    } else {
        size.parse().unwrap_or(i64::MAX)
    };
    if size > LARGEST_EXPONENT {
        return Err(Unclear::new(
            Code::TooLong,
            format!("An exponent beyond {LARGEST_EXPONENT} is taken for a slip."),
        ));
    }
    let signed = if negative { size } else { -size };
    let ten = Exact::from_digits("1", signed).ok_or_else(too_many_digits)?;
    let plain = format!("{}e{}{size}", reading.plain, if negative { "-" } else { "" });
    finished(one(reading.value.times(&ten), plain, false, rest))
}

fn decimal(whole: &str, part: &str) -> Result<Exact, Unclear> {
    if whole.len() + part.len() > MOST_DIGITS {
        return Err(too_many_digits());
    }
    let places = i64::try_from(part.len()).map_err(|_| too_many_digits())?;
    Exact::from_digits(&format!("{whole}{part}"), places).ok_or_else(|| bad("No number can be read."))
}

/// Is `text` digits in groups: one to three, then threes?
fn grouped(text: &str, by: char) -> bool {
    let mut groups = text.split(by);
    let first = groups.next().unwrap_or_default();
    let first_fits = (1..=3).contains(&first.len()) && !first.starts_with('0');
    first_fits
        && first.bytes().all(|b| b.is_ascii_digit())
        && groups.all(|g| g.len() == 3 && g.bytes().all(|b| b.is_ascii_digit()))
}

/// The readings of a number with its separators.
#[expect(
    clippy::type_complexity,
    reason = "two results that belong together, used once"
)]
fn separators(number: &str) -> Result<(Vec<Reading>, Option<(Code, String)>), Unclear> {
    let sure = |whole: &str, part: &str| -> Result<(Vec<Reading>, Option<(Code, String)>), Unclear> {
        let plain = match (whole, part) {
            (whole, "") => whole.to_owned(),
            ("", part) => format!("0.{part}"),
            (whole, part) => format!("{whole}.{part}"),
        };
        Ok((
            vec![Reading {
                value: decimal(whole, part)?,
                plain,
                words: String::new(),
            }],
            None,
        ))
    };
    let wrong = || {
        bad(format!(
            "The points and commas of “{number}” do not make one number."
        ))
    };
    let spaces = number.contains(GROUP_SPACE);
    let (points, commas) = (number.matches('.').count(), number.matches(',').count());

    if spaces {
        let (whole, part) = number.split_once(['.', ',']).unwrap_or((number, ""));
        if points + commas > 1 || !grouped(whole, GROUP_SPACE) || part.contains(GROUP_SPACE) {
            return Err(wrong());
        }
        return sure(&whole.replace(GROUP_SPACE, ""), part);
    }
    match (points, commas) {
        (0, 0) => sure(number, ""),
        (1, 0) => {
            let (whole, part) = number.split_once('.').ok_or_else(wrong)?;
            sure(whole, part)
        }
        (_, 0) if grouped(number, '.') => sure(&number.replace('.', ""), ""),
        (0, 1) => {
            let (whole, part) = number.split_once(',').ok_or_else(wrong)?;
            if part.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0') {
                let (joined, pointed) = (format!("{whole}{part}"), format!("{whole}.{part}"));
                let words = format!("Is “{number}” {joined}, or {pointed}?");
                let doubtful = in_doubt(
                    (&joined, "the comma parts thousands"),
                    (&pointed, "the comma is a decimal comma"),
                    Code::CommaOrPoint,
                    words,
                    "",
                )?;
                return Ok((doubtful.readings, doubtful.doubt));
            }
            sure(whole, part)
        }
        (0, _) if grouped(number, ',') => sure(&number.replace(',', ""), ""),
        (1, _) if number.rfind('.') > number.rfind(',') => {
            let (whole, part) = number.split_once('.').ok_or_else(wrong)?;
            if grouped(whole, ',') {
                sure(&whole.replace(',', ""), part)
            } else {
                Err(wrong())
            }
        }
        (_, 1) if number.rfind(',') > number.rfind('.') => {
            let (whole, part) = number.split_once(',').ok_or_else(wrong)?;
            if grouped(whole, '.') {
                sure(&whole.replace('.', ""), part)
            } else {
                Err(wrong())
            }
        }
        _ => Err(wrong()),
    }
}
