//! The kept form of a quantity, `12 thou = 0.3048 mm`: the typed text, ` = `, the exact value in the base unit.
//!
//! The exact value is what counts: a later program that reads a typed text differently still keeps the value. Never
//! rounds.

use super::unclear::{Code, Unclear};
use super::{Typed, clean, first_unit_of, read};
use crate::quantity::{Exact, Kind, Unit};

/// Longer texts are no kept quantities, in bytes.
const LONGEST: usize = 1_000;

impl Typed {
    /// `12 thou = 0.3048 mm`; a fraction (`1/3 in = 127/15 mm`) where there is no finite decimal.
    pub fn kept(&self) -> String {
        let base = self.kind().base().symbol();
        let gap = if base.is_empty() { "" } else { " " };
        format!("{} = {}{gap}{base}", self.text, self.base)
    }

    /// Reads what [`Typed::kept`] wrote.
    ///
    /// ```
    /// use reckon::{Typed, parse_any};
    ///
    /// let typed = parse_any("1/3 in").unwrap();
    /// assert_eq!(typed.kept(), "1/3 in = 127/15 mm");
    /// assert_eq!(Typed::from_kept("1/3 in = 127/15 mm"), Ok(typed));
    /// ```
    ///
    /// # Errors
    /// [`Code::NotKept`] where the text is no kept quantity.
    pub fn from_kept(kept: &str) -> Result<Self, Unclear> {
        split(kept).ok_or_else(|| {
            Unclear::new(
                Code::NotKept,
                "That is not a kept quantity, which is written like 12 thou = 0.3048 mm.",
            )
        })
    }
}

fn split(kept: &str) -> Option<Typed> {
    if kept.len() > LONGEST {
        return None;
    }
    let (text, value) = kept.rsplit_once(" = ")?;
    if text.is_empty() || text.trim() != text {
        return None;
    }
    let (kind, base) = Kind::ALL.iter().find_map(|kind| {
        let number = match kind.base().symbol() {
            "" => value,
            symbol => value.strip_suffix(symbol)?.strip_suffix(' ')?,
        };
        Some((*kind, Exact::read(number)?))
    })?;
    Some(Typed {
        unit: unit_of(text, kind, &base),
        text: text.to_owned(),
        base,
    })
}

/// The unit that the text was typed in: as it reads now with its unit, or bare; else the base unit.
fn unit_of(text: &str, kind: Kind, base: &Exact) -> Unit {
    if let Some(unit) = plainly(text, kind, base) {
        return unit;
    }
    if let Ok(typed) = read(text, Some(kind), None)
        && typed.base == *base
    {
        return typed.unit;
    }
    let bare = || {
        let cleaned = clean::clean(text).ok()?;
        let scanned = super::scan(&cleaned).ok()?;
        Some(first_unit_of(&scanned, kind.base(), base))
    };
    bare().unwrap_or_else(|| kind.base())
}

/// The unit of a plain decimal with its symbol behind it, which nearly every kept text is: a page has thousands, and the long way
/// asks what else each could mean.
fn plainly(text: &str, kind: Kind, base: &Exact) -> Option<Unit> {
    let (number, symbol) = text.split_once(' ')?;
    if !number.bytes().all(|b| b.is_ascii_digit() || b == b'.') {
        return None;
    }
    let spelled = |unit: &&Unit| unit.kind() == kind && unit.symbol() == symbol;
    let usual = kind.usual().iter().find(spelled);
    let unit = *usual.or_else(|| Unit::ALL.iter().find(spelled))?;
    (unit.to_base_exact(&Exact::read(number)?) == *base).then_some(unit)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
    use super::*;
    use crate::parse_any;

    /// The short way and the long way say the same unit.
    #[test]
    fn plainly_written_measures_read_as_those_that_are_not() {
        let mut short = 0;
        for unit in Unit::ALL {
            for number in [
                "0", "1", "0.30", "77.123", "012.5", "2.6295", "1 3/8", "1.5e3", "-4",
            ] {
                let Ok(typed) = parse_any(&format!("{number} {}", unit.certain())) else {
                    continue;
                };
                let kept = Typed::from_kept(&typed.kept()).unwrap();
                let long = read(typed.text(), Some(typed.kind()), None).unwrap();
                assert_eq!(
                    (kept.unit(), kept.exact()),
                    (long.unit(), long.exact()),
                    "{kept:?}"
                );
                short += usize::from(plainly(typed.text(), typed.kind(), typed.exact()).is_some());
            }
        }
        assert!(short > 100, "only {short} were read the short way");
        for none in ["", "0.3 mm", "x = 1 mm", "1 mm = x", "2 mm = 3 mm "] {
            assert_eq!(plainly(none, Kind::Length, &Exact::zero()), None, "{none}");
        }
    }
}
