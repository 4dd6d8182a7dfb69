//! The first look at a typed text: is it short enough, are its characters ones that quantities are written with, and
//! the many forms of one sign (minus, prime, fraction slash) made one.
//!
//! Never changes what a text means, and never keeps its result: the typed text itself is what is kept.

use super::unclear::{Code, Unclear};

/// The longest text looked at, in characters. No quantity typed at a bench is half as long.
pub(super) const LONGEST: usize = 64;

/// The narrow no-break space: the one grouping space that cannot be a slip of the thumb.
pub(super) const GROUP_SPACE: char = '\u{202f}';

/// Fractions with a character of their own, as numerator and denominator.
pub(super) fn fraction_of(c: char) -> Option<(i128, i128)> {
    Some(match c {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        '⅐' => (1, 7),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        '⅑' => (1, 9),
        '⅒' => (1, 10),
        _ => return None,
    })
}

/// The text trimmed and with one form of each sign; or why it is no quantity.
pub(super) fn clean(text: &str) -> Result<String, Unclear> {
    // The byte length is looked at first: counting characters of a very long text is work for nothing.
    if text.len() > LONGEST * 16 {
        return Err(too_long());
    }
    let text = text.trim();
    if text.is_empty() {
        return Err(Unclear::new(Code::Empty, "Nothing was typed."));
    }
    if text.chars().count() > LONGEST {
        return Err(too_long());
    }
    if text.contains("+/-") || text.contains("+-") {
        return Err(not_one_value("±"));
    }
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '−' | '–' | '‐' | '‑' | '﹣' | '－' => out.push('-'),
            '⁄' | '∕' => out.push('/'),
            '\u{a0}' | '\u{2009}' | GROUP_SPACE => out.push(GROUP_SPACE),
            '″' | '”' | '“' | '‟' => out.push('"'),
            '′' | '’' | '‘' | '‛' => out.push('\''),
            'º' | '˚' => out.push('°'),
            '℃' => out.push_str("°C"),
            '℉' => out.push_str("°F"),
            'μ' => out.push('µ'),
            '\u{2126}' => out.push('Ω'),
            '⋅' | '•' | '∙' | '*' => out.push('·'),
            '±' | '~' | '≈' | '<' | '>' | '≤' | '≥' | '=' => {
                return Err(not_one_value(&c.to_string()));
            }
            ' ' | '.' | ',' | '/' | '-' | '+' | '\'' | '"' | '%' | '^' | ':' => out.push(c),
            '°' | 'µ' | 'Ω' | '·' | '¹' | '²' | '³' | '⁻' => out.push(c),
            '£' | '€' | '$' | '¥' => out.push(c),
            _ if c.is_ascii_alphanumeric() || fraction_of(c).is_some() => out.push(c),
            _ => return Err(strange(c)),
        }
    }
    // Two single primes are one double prime.
    if out.contains("''") {
        out = out.replace("''", "\"");
    }
    Ok(out)
}

fn too_long() -> Unclear {
    Unclear::new(
        Code::TooLong,
        format!("That is longer than {LONGEST} characters; a quantity is a number and a unit."),
    )
}

fn not_one_value(sign: &str) -> Unclear {
    Unclear::new(
        Code::NotOneValue,
        format!(
            "“{sign}” makes it a tolerance or a bound; type one value, and keep the tolerance as a limit."
        ),
    )
}

fn strange(c: char) -> Unclear {
    let shown = if c.is_control() || c.is_whitespace() || !c.is_alphanumeric() {
        format!("character U+{:04X}", u32::from(c))
    } else {
        format!("character “{c}” (U+{:04X})", u32::from(c))
    };
    Unclear::new(
        Code::StrangeCharacter,
        format!("The {shown} has no place in a quantity."),
    )
}
