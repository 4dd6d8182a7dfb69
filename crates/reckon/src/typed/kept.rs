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
