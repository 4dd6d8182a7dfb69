//! What a person typed, read without guessing: the typed text beside its exact value, or a question with the possible
//! readings.
//!
//! One point, and no comma, is always the decimal point (`1.234 in`). A comma before exactly three digits is asked about.
//! Never takes a bare number in a unit that was not agreed, and never picks among units that share a spelling.

mod clean;
mod expect;
mod kept;
mod list;
mod money;
mod number;
mod spelling;
mod unclear;

pub use expect::Expect;
pub use list::{Counted, parse_grid, parse_list};
pub use money::{parse_money, parse_money_in};
pub use unclear::{Candidate, Code, Unclear};

use crate::quantity::{
    Angle, Area, Density, Exact, Force, Kind, Length, Mass, Pressure, Speed, Temperature, Torque, Turning,
    Unit, Volume,
};
use number::{Reading, Scanned, scan};
use spelling::{UnitFound, find};

/// A quantity as typed: the text, its exact value in the base unit of its kind, and the unit it was typed in.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Typed {
    text: String,
    base: Exact,
    unit: Unit,
}

macro_rules! taken_as {
    ($($(#[$doc:meta])* $name:ident $size:ident),+ $(,)?) => { $(
        $(#[$doc])*
        pub fn $name(&self) -> Option<$size> {
            (self.kind() == $size::KIND).then(|| $size::from_exact(&self.base))
        }
    )+ };
}

impl Typed {
    /// The text as it was typed, without the space around it.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The exact value in the base unit of its kind.
    pub fn exact(&self) -> &Exact {
        &self.base
    }

    /// The unit it was typed in (for a bare number: the first unit in which it has this value).
    pub fn unit(&self) -> Unit {
        self.unit
    }

    /// What it measures.
    pub fn kind(&self) -> Kind {
        self.unit.kind()
    }

    /// As typed, with its unit behind it where it was typed without.
    pub fn with_unit(&self) -> String {
        if self.text.ends_with(|c: char| c.is_ascii_digit()) {
            format!("{} {}", self.text, self.unit.symbol())
        } else {
            self.text.clone()
        }
    }

    /// The value in the base unit, as a float.
    pub fn value(&self) -> f64 {
        self.base.to_f64()
    }

    /// The value in `unit`, rounded once at the end; `None` where the unit is of another kind.
    pub fn in_unit(&self, unit: Unit) -> Option<f64> {
        (unit.kind() == self.kind()).then(|| unit.from_base_exact(&self.base).to_f64())
    }

    taken_as! {
        /// As a length; `None` where it is none.
        length Length,
        /// As an area; `None` where it is none.
        area Area,
        /// As a volume; `None` where it is none.
        volume Volume,
        /// As a mass; `None` where it is none.
        mass Mass,
        /// As a density; `None` where it is none.
        density Density,
        /// As a force; `None` where it is none.
        force Force,
        /// As a torque; `None` where it is none.
        torque Torque,
        /// As a pressure; `None` where it is none.
        pressure Pressure,
        /// As an angle; `None` where it is none.
        angle Angle,
        /// As a temperature; `None` where it is none.
        temperature Temperature,
        /// As a speed; `None` where it is none.
        speed Speed,
        /// As a turning speed; `None` where it is none.
        turning Turning,
    }
}

/// Reads `text` as a quantity of the expected kind.
///
/// ```
/// use reckon::{Expect, Kind, parse};
///
/// // What was typed stays as it was; the value beside it is exact.
/// let typed = parse("12 thou", Expect::of(Kind::Length)).unwrap();
/// assert_eq!(typed.text(), "12 thou");
/// assert_eq!(typed.kept(), "12 thou = 0.3048 mm");
/// // Nothing is guessed: a bare number has no unit.
/// assert!(parse("12", Expect::of(Kind::Length)).is_err());
/// ```
///
/// # Errors
/// [`Unclear`] where the text has no reading, or more than one; it then carries the candidates.
pub fn parse(text: &str, expect: Expect) -> Result<Typed, Unclear> {
    read(text, Some(expect.kind()), expect.bare())
}

/// Reads `text` as a quantity of whatever kind its unit says.
///
/// # Errors
/// [`Unclear`] where the text has no reading, or more than one; a bare number is always asked about.
pub fn parse_any(text: &str) -> Result<Typed, Unclear> {
    read(text, None, None)
}

/// Reads `text` as a plain number: `0.15`, `1/3`, `12 %`, `9.5:1`.
///
/// # Errors
/// [`Unclear`] where the text has no reading, or more than one.
pub fn parse_number(text: &str) -> Result<Exact, Unclear> {
    read(text, Some(Kind::Number), None).map(|typed| typed.base)
}

/// Pairs of units that are written one behind the other: `5 ft 6 in`, `12° 30'`, `5 lb 3 oz`.
const COMPOUNDS: &[(Unit, Unit)] = &[
    (Unit::Yard, Unit::Foot),
    (Unit::Foot, Unit::Inch),
    (Unit::PoundMass, Unit::OunceMass),
    (Unit::Degree, Unit::ArcMinute),
    (Unit::ArcMinute, Unit::ArcSecond),
    (Unit::Hour, Unit::Minute),
    (Unit::Minute, Unit::Second),
];

fn read(text: &str, kind: Option<Kind>, bare: Option<Unit>) -> Result<Typed, Unclear> {
    let cleaned = clean::clean(text)?;
    let scanned = scan(&cleaned)?;
    let rest = scanned.rest.trim();
    let (unit, base) = if rest.is_empty() {
        bare_number(&scanned, kind, bare)?
    } else if kind == Some(Kind::Number) && rest.strip_prefix(':').is_some_and(|one| one.trim() == "1") {
        settle(&scanned, &[Unit::One])?
    } else {
        match find(rest, kind) {
            UnitFound::Units(units) => settle(&scanned, &units)?,
            UnitFound::OtherKind(units) => return Err(other_kind(text.trim(), &units, kind)),
            UnitFound::Unknown => match compound(&scanned, kind, 3)? {
                Some(found) => found,
                None => return Err(unknown_unit(rest, &scanned, kind)),
            },
        }
    };
    if unit.kind() == Kind::Temperature && Unit::Kelvin.from_base_exact(&base).is_negative() {
        return Err(Unclear::new(
            Code::Impossible,
            "Nothing is colder than −273.15 °C.",
        ));
    }
    Ok(Typed {
        text: text.trim().to_owned(),
        base,
        unit,
    })
}

/// One number and one unit, or the question.
fn settle(scanned: &Scanned<'_>, units: &[Unit]) -> Result<(Unit, Exact), Unclear> {
    if let ([reading], [unit], None) = (scanned.readings.as_slice(), units, &scanned.doubt) {
        return Ok((*unit, unit.to_base_exact(&reading.value)));
    }
    let candidates = candidates(&scanned.readings, units);
    Err(match &scanned.doubt {
        Some((code, words)) => Unclear::new(*code, words.clone()),
        None => Unclear::new(
            Code::AmbiguousUnit,
            format!(
                "That unit means more than one thing: {}.",
                list(units.iter().map(|unit| unit_words(*unit)))
            ),
        ),
    }
    .offering(candidates))
}

fn candidates(readings: &[Reading], units: &[Unit]) -> Vec<Candidate> {
    let mut all = Vec::new();
    for reading in readings {
        for unit in units {
            let text = format!("{} {}", reading.plain, unit.certain()).trim().to_owned();
            let words = match (reading.words.as_str(), units.len()) {
                ("", _) => unit_words(*unit),
                (why, 1) => why.to_owned(),
                (why, _) => format!("{}; {why}", unit_words(*unit)),
            };
            all.push(Candidate::new(text, words));
        }
    }
    all
}

/// `UK fl oz, a volume`.
fn unit_words(unit: Unit) -> String {
    match unit.symbol() {
        "" => unit.kind().words().to_owned(),
        symbol => format!("{symbol}, {}", unit.kind().words()),
    }
}

fn list(words: impl Iterator<Item = String>) -> String {
    words.collect::<Vec<_>>().join("; ")
}

fn bare_number(
    scanned: &Scanned<'_>,
    kind: Option<Kind>,
    bare: Option<Unit>,
) -> Result<(Unit, Exact), Unclear> {
    if kind == Some(Kind::Number) {
        return settle(scanned, &[Unit::One]);
    }
    // A fraction on a field in millimetres is likelier a fraction of an inch: ask.
    let inch_like = |unit: Unit| matches!(unit, Unit::Inch | Unit::Foot | Unit::Yard);
    if let Some(unit) = bare
        && (!scanned.fraction || unit.kind() != Kind::Length || inch_like(unit))
    {
        let (unit, base) = settle(scanned, &[unit])?;
        return Ok((first_unit_of(scanned, unit, &base), base));
    }
    let mut units = match kind {
        Some(kind) => kind.usual().to_vec(),
        None => vec![Unit::Millimetre, Unit::Inch],
    };
    if scanned.fraction
        && let Some(at) = units.iter().position(|unit| *unit == Unit::Inch)
    {
        units.swap(0, at);
    }
    let wanted = kind.map_or("", |kind| kind.words());
    let words = if wanted.is_empty() {
        "Which unit? Type it behind the number.".to_owned()
    } else {
        format!("Which unit? This is {wanted}; type the unit behind the number.")
    };
    Err(Unclear::new(Code::NoUnit, words).offering(candidates(&scanned.readings, &units)))
}

/// The first unit of the table in which the bare number has this value, so that the kept text reads back the same (nought
/// is nought in every unit; −40 is −40 in °C and °F).
fn first_unit_of(scanned: &Scanned<'_>, unit: Unit, base: &Exact) -> Unit {
    let Some(reading) = scanned.readings.first() else {
        return unit;
    };
    let mut same_kind = Unit::ALL
        .iter()
        .copied()
        .filter(|other| other.kind() == unit.kind());
    same_kind
        .find(|other| other.to_base_exact(&reading.value) == *base)
        .unwrap_or(unit)
}

/// `5 ft 6 in`: the sum, in the first unit. `None` where the rest is no such thing. `depth` bounds the parts.
fn compound(scanned: &Scanned<'_>, kind: Option<Kind>, depth: u8) -> Result<Option<(Unit, Exact)>, Unclear> {
    let rest = scanned.rest.trim();
    let (Some(at), Some(reading), None, true) = (
        rest.find(|c: char| c.is_ascii_digit() || clean::fraction_of(c).is_some()),
        scanned.readings.first(),
        &scanned.doubt,
        depth > 1,
    ) else {
        return Ok(None);
    };
    let (first, behind) = rest.split_at(at);
    let UnitFound::Units(firsts) = find(first, kind) else {
        return Ok(None);
    };
    let second = scan(behind)?;
    let mut found = Vec::new();
    for first in firsts {
        let kind = Some(first.kind());
        let parts = match find(second.rest.trim(), kind) {
            UnitFound::Units(units) => {
                let mut fitting = units
                    .into_iter()
                    .filter(|unit| COMPOUNDS.contains(&(first, *unit)));
                match fitting.next() {
                    Some(unit) => Some(settle(&second, &[unit])?),
                    None => None,
                }
            }
            UnitFound::OtherKind(_) => None,
            UnitFound::Unknown => {
                compound(&second, kind, depth - 1)?.filter(|(unit, _)| COMPOUNDS.contains(&(first, *unit)))
            }
        };
        if let Some((_, part)) = parts {
            let whole = first.to_base_exact(&reading.value);
            let sum = if reading.plain.starts_with('-') {
                whole.minus(&part)
            } else {
                whole.plus(&part)
            };
            found.push((first, sum));
        }
    }
    Ok(if found.len() == 1 { found.pop() } else { None })
}

fn other_kind(text: &str, units: &[Unit], kind: Option<Kind>) -> Unclear {
    let is = units.first().map_or("something else", |unit| unit.kind().words());
    let wanted = kind.map_or("something else", Kind::words);
    Unclear::new(
        Code::WrongKind,
        format!("“{text}” is {is}; {wanted} is wanted here."),
    )
}

fn unknown_unit(rest: &str, scanned: &Scanned<'_>, kind: Option<Kind>) -> Unclear {
    let units = kind.map_or(&[][..], Kind::usual);
    let wanted = match kind {
        Some(Kind::Number) => "a plain number has no unit".to_owned(),
        Some(kind) => {
            let symbols: Vec<&str> = units.iter().map(|unit| unit.symbol()).collect();
            format!("{} is in {}, for instance", kind.words(), symbols.join(", "))
        }
        None => "type it like 0.30 mm, 12 thou or 54 N·m".to_owned(),
    };
    Unclear::new(
        Code::UnknownUnit,
        format!("The unit “{rest}” is not known; {wanted}."),
    )
    .offering(candidates(&scanned.readings, units))
}
