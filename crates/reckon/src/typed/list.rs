//! Several quantities in one text: `0.24x2, 0.30, 0.36 mm`, and rows of them: `85.61, 85.56; 85.57, 85.54 mm`.
//!
//! Values are parted by a semicolon, a line break, or a comma with a space behind it; in a grid the semicolon or line break
//! parts the rows. A comma with no space is a decimal comma, but where it cannot be one (each piece has its own point, `0.24,0.30`;
//! there are several, `30,60,100`; a unit stands before it, `30mm,31mm`) it parts too. Several with three digits between them are
//! asked about. `x2`, `×2` or `*2` behind a value: there are two of it. A unit behind the last value holds for
//! all where no other value has one. Never guesses at one value: each is read by [`parse`].

use super::{Candidate, Code, Expect, Typed, Unclear, parse};

/// The longest list looked at, in bytes.
const LONGEST: usize = 2_000;
/// The most values in a list, each counted as often as it is there.
const MOST: usize = 200;

/// One value of a list and how many there are of it.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Counted {
    /// The value.
    pub typed: Typed,
    /// How many; at least one.
    pub count: u32,
}

/// Reads several quantities of one kind, in the order typed.
///
/// # Errors
/// [`Unclear`] where there is none, there are too many, or one of them has no certain reading; the words name that one.
pub fn parse_list(text: &str, expect: Expect) -> Result<Vec<Counted>, Unclear> {
    let text = checked(text)?;
    let pieces: Vec<&str> = text.split([';', '\n']).flat_map(values).collect();
    let items = read(&pieces, expect, true)?;
    Ok(items)
}

/// Reads rows of quantities of one kind, all rows of one length.
///
/// # Errors
/// [`Unclear`] as [`parse_list`], and where the rows are not of one length.
pub fn parse_grid(text: &str, expect: Expect) -> Result<Vec<Vec<Typed>>, Unclear> {
    let text = checked(text)?;
    let rows: Vec<Vec<&str>> = text
        .split([';', '\n'])
        .map(values)
        .filter(|row| !row.is_empty())
        .collect();
    let lengths: Vec<usize> = rows.iter().map(Vec::len).collect();
    if let (Some(first), Some(other)) = (
        lengths.first(),
        lengths.iter().find(|length| Some(*length) != lengths.first()),
    ) {
        return Err(Unclear::new(
            Code::BadNumber,
            format!("Every row needs as many values as the first: there are {first} and {other}."),
        ));
    }
    let pieces: Vec<&str> = rows.iter().flatten().copied().collect();
    let mut items = read(&pieces, expect, false)?.into_iter().map(|item| item.typed);
    Ok(lengths
        .into_iter()
        .map(|length| items.by_ref().take(length).collect())
        .collect())
}

fn checked(text: &str) -> Result<&str, Unclear> {
    if text.len() > LONGEST {
        return Err(Unclear::new(
            Code::TooLong,
            format!("That is longer than {LONGEST} characters."),
        ));
    }
    match text.trim() {
        "" => Err(Unclear::new(Code::Empty, "Nothing was typed.")),
        text => Ok(text),
    }
}

/// The values of one row, as pieces of text; empty pieces are left out.
fn values(row: &str) -> Vec<&str> {
    let mut pieces = Vec::new();
    let mut rest = row;
    // A comma parts where a space or the end is behind it.
    while let Some(at) = rest
        .char_indices()
        .find(|(at, c)| {
            *c == ','
                && rest
                    .get(at + 1..)
                    .is_none_or(|behind| behind.is_empty() || behind.starts_with(char::is_whitespace))
        })
        .map(|(at, _)| at)
    {
        let (piece, behind) = rest.split_at(at);
        pieces.push(piece);
        rest = behind.strip_prefix(',').unwrap_or(behind);
    }
    pieces.push(rest);
    pieces
        .into_iter()
        .flat_map(|piece| match commas_part(piece) {
            true => piece.split(',').collect(),
            false => vec![piece],
        })
        .map(str::trim)
        .filter(|piece| !piece.is_empty())
        .collect()
}

/// Can the commas of this piece be no decimal comma and no thousands, so that they part values?
fn commas_part(piece: &str) -> bool {
    let parts: Vec<&str> = piece.split(',').collect();
    let [first, rest @ ..] = parts.as_slice() else {
        return false;
    };
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let begins = |text: &str| text.starts_with(|c: char| c.is_ascii_digit());
    let ends = |text: &str| text.ends_with(|c: char| c.is_ascii_digit());
    let numbers = parts
        .iter()
        .all(|part| part.contains(|c: char| c.is_ascii_digit()));
    if rest.is_empty() || !numbers {
        return false;
    }
    // Up to its unit or count, each is what stands between two commas.
    let bare = |text: &str| text.trim_end_matches(|c: char| !c.is_ascii_digit()).to_owned();
    let three = |text: &str| {
        let bare = bare(text);
        let whole = bare.split('.').next().unwrap_or("");
        whole.len() == 3 && digits(whole)
    };
    let beside_a_unit =
        parts.iter().take(parts.len() - 1).any(|part| !ends(part)) || rest.iter().any(|part| !begins(part));
    let each_has_a_point = parts.iter().all(|part| part.contains('.'));
    // `1,234.5` and `1,234,567` are one number; `1.234,5` too.
    let thousands = rest.iter().all(|part| three(part)) && !first.contains('.');
    let points = first.split('.').skip(1);
    let pointed = first.contains('.') && points.clone().all(|group| group.len() == 3) && rest.len() == 1;
    each_has_a_point || beside_a_unit || (!thousands && (rest.len() > 1 || (piece.contains('.') && !pointed)))
}

/// Where the number ends and a unit begins.
fn has_unit(piece: &str) -> bool {
    unit_at(piece).is_some()
}

fn unit_at(piece: &str) -> Option<usize> {
    piece.find(|c: char| c.is_alphabetic() || matches!(c, '"' | '\'' | '″' | '′' | '°' | '%' | '”' | '’'))
}

/// `0.24x2 mm` parted into `0.24 mm` and 2. No unit has an x in it.
fn counted(piece: &str) -> Result<(String, u32), Unclear> {
    let Some(at) = piece.rfind(['x', 'X', '×', '*']) else {
        return Ok((piece.to_owned(), 1));
    };
    let (value, behind) = piece.split_at(at);
    let behind = behind.trim_start_matches(['x', 'X', '×', '*']).trim();
    let end = behind.find(|c: char| !c.is_ascii_digit()).unwrap_or(behind.len());
    let (count, unit) = behind.split_at(end);
    match count.parse::<u32>() {
        Ok(count) if (1..=99).contains(&count) => Ok((
            format!("{} {}", value.trim(), unit.trim()).trim().to_owned(),
            count,
        )),
        _ => Err(Unclear::new(
            Code::BadNumber,
            format!("“{piece}”: behind × stands how many there are, from 1 to 99."),
        )),
    }
}

fn read(pieces: &[&str], expect: Expect, counts: bool) -> Result<Vec<Counted>, Unclear> {
    let mut split = Vec::with_capacity(pieces.len());
    for piece in pieces {
        split.push(if counts {
            counted(piece)?
        } else {
            ((*piece).to_owned(), 1)
        });
    }
    if split.is_empty() {
        return Err(Unclear::new(Code::Empty, "Nothing was typed."));
    }
    // `100,200,300` may be three values, or one number with its thousands parted.
    if let Some(piece) = pieces.iter().find(|piece| piece.matches(',').count() > 1) {
        return Err(Unclear::new(
            Code::CommaOrPoint,
            format!("“{piece}”: put a space or a semicolon between values; leave thousands unparted."),
        ));
    }
    let total: usize = split.iter().map(|(_, count)| *count as usize).sum();
    if total > MOST {
        return Err(Unclear::new(
            Code::TooLong,
            format!("There are {total} values; at most {MOST} are taken."),
        ));
    }
    // A unit behind the last holds for all, where no other has one.
    let shared = match split.split_last() {
        Some(((last, _), before)) if !before.iter().any(|(piece, _)| has_unit(piece)) => unit_at(last)
            .and_then(|at| last.get(at..))
            .unwrap_or("")
            .to_owned(),
        _ => String::new(),
    };
    split
        .into_iter()
        .map(|(piece, count)| {
            let whole = if has_unit(&piece) {
                piece.clone()
            } else {
                format!("{piece} {shared}")
            };
            let typed = parse(&whole, expect).map_err(|unclear| named(&piece, pieces.len(), unclear))?;
            Ok(Counted { typed, count })
        })
        .collect()
}

/// Which of several values it was about. Candidates are for the one value, and could not be put in place of the whole text.
fn named(piece: &str, of: usize, unclear: Unclear) -> Unclear {
    if of == 1 {
        return unclear;
    }
    let readings: Vec<&str> = unclear
        .candidates
        .iter()
        .map(|c: &Candidate| c.text.as_str())
        .collect();
    let words = if readings.is_empty() {
        format!("“{piece}”: {}", unclear.words)
    } else {
        format!(
            "“{piece}”: {} It could be {}.",
            unclear.words,
            readings.join(" or ")
        )
    };
    Unclear::new(unclear.code, words)
}
