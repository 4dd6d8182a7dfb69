//! A kept measure, read for judging: the typed text, the value as a float and the unit it was typed in. A page judges
//! thousands of them, so what is plainly written is read the short way; all else as `reckon` reads it.

use reckon::{Kind, Typed, Unit};

/// A kept measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    /// As typed.
    pub text: String,
    /// In the base unit of its kind.
    pub base: f64,
    /// The unit it was typed in.
    pub unit: Unit,
}

impl Kept {
    /// Reads `12 thou = 0.3048 mm`; nothing where it is no kept measure.
    #[must_use]
    pub fn read(kept: &str) -> Option<Self> {
        plainly(kept).or_else(|| {
            let typed = Typed::from_kept(kept).ok()?;
            Some(Self {
                text: typed.text().to_owned(),
                base: typed.value(),
                unit: typed.unit(),
            })
        })
    }

    /// What it measures.
    #[must_use]
    pub fn kind(&self) -> Kind {
        self.unit.kind()
    }

    /// As typed, with its unit behind it where it was typed without.
    #[must_use]
    pub fn with_unit(&self) -> String {
        if self.text.ends_with(|c: char| c.is_ascii_digit()) {
            format!("{} {}", self.text, self.unit.symbol())
        } else {
            self.text.clone()
        }
    }
}

/// Plain decimals with a symbol on both sides. A decimal read as a float is the float nearest to it, as the exact value's
/// is.
fn plainly(kept: &str) -> Option<Kept> {
    let (text, value) = kept.rsplit_once(" = ")?;
    let (number, symbol) = value.split_once(' ')?;
    let base = decimal(number)?;
    let kind = *Kind::ALL.iter().find(|kind| kind.base().symbol() == symbol)?;
    let (typed, symbol) = text.split_once(' ')?;
    let spelled = |unit: &&Unit| unit.kind() == kind && unit.symbol() == symbol;
    let usual = kind.usual().iter().find(spelled);
    let unit = *usual.or_else(|| Unit::ALL.iter().find(spelled))?;
    let apart = (unit.to_base(decimal(typed)?) - base).abs();
    (apart <= 1e-12 * base.abs().max(1e-3)).then(|| Kept {
        text: text.to_owned(),
        base,
        unit,
    })
}

/// Digits with at most one point between them.
fn decimal(text: &str) -> Option<f64> {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let plain = match text.split_once('.') {
        Some((whole, part)) => digits(whole) && digits(part),
        None => digits(text),
    };
    plain.then(|| text.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
    use super::*;

    /// The short way and the long way say the same, to the last bit.
    #[test]
    fn plainly_written_measures_read_as_reckon_reads_them() {
        let mut short = 0;
        for unit in Unit::ALL {
            for number in [
                "0", "1", "0.30", "77.123", "012.5", "2.6295", "1 3/8", "1.5e3", "-4",
            ] {
                let Ok(typed) = reckon::parse_any(&format!("{number} {}", unit.certain())) else {
                    continue;
                };
                let kept = typed.kept();
                let read = Kept::read(&kept).unwrap();
                assert_eq!(read.text, typed.text(), "{kept}");
                assert_eq!(read.base.to_bits(), typed.value().to_bits(), "{kept}");
                assert_eq!(read.unit, Typed::from_kept(&kept).unwrap().unit(), "{kept}");
                short += usize::from(plainly(&kept).is_some());
            }
        }
        assert!(short > 100, "only {short} were read the short way");
        for none in ["", "0.3 mm", "x = 1 mm", "1 mm = x", "2 mm = 3 mm "] {
            assert_eq!(
                Kept::read(none).is_some(),
                Typed::from_kept(none).is_ok(),
                "{none}"
            );
        }
    }
}
