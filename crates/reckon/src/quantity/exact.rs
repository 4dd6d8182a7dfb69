//! An exact value: a fraction of two whole numbers of any size, so that `12 thou` is 0.3048 mm and not nearly so.
//!
//! Never panics and never rounds; the one way out to a float is [`Exact::to_f64`].

use std::fmt;

use num_bigint::{BigInt, Sign};
use num_rational::{BigRational, Ratio};
use num_traits::{One, Signed, ToPrimitive, Zero};

/// The longest text that [`Exact::read`] looks at, in bytes. A kept value is at most about 250 long.
const LONGEST: usize = 600;

/// An exact fraction. Prints as a finite decimal where there is one (`0.3048`), else as a fraction (`381/1250` would be
/// `0.3048`; a third is `1/3`).
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Exact(BigRational);

impl Exact {
    /// Nought.
    pub fn zero() -> Self {
        Self(BigRational::zero())
    }

    /// A whole number.
    pub fn whole(n: i128) -> Self {
        Self(BigRational::from_integer(BigInt::from(n)))
    }

    /// The fraction `top/bottom`; `None` where the bottom is nought.
    pub fn fraction(top: i128, bottom: i128) -> Option<Self> {
        if bottom == 0 {
            None
        } else {
            Some(Self(BigRational::new(BigInt::from(top), BigInt::from(bottom))))
        }
    }

    /// `digits` (0–9 only) with the decimal point moved `places` to the left (negative: to the right).
    /// `None` where there is no digit, or anything but digits, or a move of more than 500 places.
    pub(crate) fn from_digits(digits: &str, places: i64) -> Option<Self> {
        if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_digit()) || places.unsigned_abs() > 500 {
            return None;
        }
        if let (Ok(places @ 0..=18), Ok(top)) = (u32::try_from(places), digits.parse::<u64>()) {
            return Some(Self::small(top, 10u64.pow(places)));
        }
        let top = BigInt::parse_bytes(digits.as_bytes(), 10)?;
        let power = BigInt::from(10u8).pow(u32::try_from(places.unsigned_abs()).ok()?);
        Some(Self(if places >= 0 {
            BigRational::new(top, power)
        } else {
            BigRational::from_integer(top * power)
        }))
    }

    /// A fraction of small numbers, `bottom` above nought, in its lowest terms: the usual case, without long arithmetic.
    fn small(top: u64, bottom: u64) -> Self {
        let (top, bottom) = Ratio::new(top, bottom).into_raw();
        Self(BigRational::new_raw(BigInt::from(top), BigInt::from(bottom)))
    }

    /// Reads what [`fmt::Display`] writes: an optional `-`, then `12`, `0.3048` or `381/1250`. `None` for anything else.
    pub fn read(text: &str) -> Option<Self> {
        if text.len() > LONGEST {
            return None;
        }
        let (negative, rest) = match text.strip_prefix('-') {
            Some(rest) => (true, rest),
            None => (false, text),
        };
        let size = if let Some((top, bottom)) = rest.split_once('/') {
            Self::from_digits(top, 0)?.over(&Self::from_digits(bottom, 0)?)?
        } else if let Some((whole, part)) = rest.split_once('.') {
            if whole.is_empty() || part.is_empty() {
                return None;
            }
            Self::from_digits(&format!("{whole}{part}"), i64::try_from(part.len()).ok()?)?
        } else {
            Self::from_digits(rest, 0)?
        };
        Some(if negative { size.negated() } else { size })
    }

    /// The sum.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        Self(&self.0 + &other.0)
    }

    /// The difference `self − other`.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        Self(&self.0 - &other.0)
    }

    /// The product.
    #[must_use]
    pub fn times(&self, other: &Self) -> Self {
        Self(&self.0 * &other.0)
    }

    /// The quotient `self / other`; `None` where `other` is nought.
    pub fn over(&self, other: &Self) -> Option<Self> {
        if other.is_zero() {
            None
        } else {
            Some(Self(&self.0 / &other.0))
        }
    }

    /// The same size with the other sign.
    #[must_use]
    pub fn negated(&self) -> Self {
        Self(-&self.0)
    }

    /// `self · top / bottom`; nought where `bottom` is, which no unit has.
    #[must_use]
    pub(crate) fn scaled(&self, top: i128, bottom: i128) -> Self {
        if top == bottom {
            return self.clone();
        }
        // The usual case, without long arithmetic: all of it fits into 128 bits.
        if bottom > 0
            && let (Some(numer), Some(denom)) = (self.0.numer().to_i64(), self.0.denom().to_i64())
            && let Some(numer) = i128::from(numer).checked_mul(top)
            && let Some(denom) = i128::from(denom).checked_mul(bottom)
        {
            let (numer, denom) = Ratio::new(numer, denom).into_raw();
            return Self(BigRational::new_raw(BigInt::from(numer), BigInt::from(denom)));
        }
        self.times(&Self::whole(top))
            .over(&Self::whole(bottom))
            .unwrap_or_else(Self::zero)
    }

    /// Is it nought?
    pub fn is_zero(&self) -> bool {
        self.0.is_zero()
    }

    /// Is it below nought?
    pub fn is_negative(&self) -> bool {
        self.0.is_negative()
    }

    /// Is it a whole number?
    pub fn is_whole(&self) -> bool {
        self.0.is_integer()
    }

    /// The whole number that it is, where it is one and fits.
    pub fn to_whole(&self) -> Option<i64> {
        if self.is_whole() {
            self.0.numer().to_i64()
        } else {
            None
        }
    }

    /// The nearest float, for reckoning.
    pub fn to_f64(&self) -> f64 {
        // Two whole numbers that a float holds exactly are divided with one rounding: the same bits as the long way.
        const EXACT: u64 = 1 << 53;
        if let (Some(top), Some(bottom)) = (self.0.numer().to_i64(), self.0.denom().to_i64())
            && top.unsigned_abs() <= EXACT
            && bottom.unsigned_abs() <= EXACT
        {
            return top as f64 / bottom as f64;
        }
        // Every exact value here came from a bounded text, so this is finite; nought stands in for the impossible.
        self.0.to_f64().unwrap_or(0.0)
    }

    /// The finite decimal without its sign, as digits and how many of them are decimals, where all of it fits into 128 bits: the
    /// usual case, without long arithmetic.
    fn short(&self) -> Option<(u128, usize)> {
        let (top, bottom) = (self.0.numer().magnitude().to_u64()?, self.0.denom().to_u64()?);
        let twos = bottom.trailing_zeros();
        let (mut rest, mut fives) = (bottom >> twos, 0u32);
        while rest.is_multiple_of(5) {
            rest /= 5;
            fives += 1;
        }
        let places = twos.max(fives);
        if rest != 1 || places > 18 {
            return None;
        }
        let scaled = u128::from(top) * 10u128.pow(places) / u128::from(bottom);
        Some((scaled, places as usize))
    }

    /// How many decimals the finite decimal needs; `None` where it never ends.
    fn decimals(&self) -> Option<u32> {
        let (two, five, ten) = (BigInt::from(2u8), BigInt::from(5u8), BigInt::from(10u8));
        let mut bottom = self.0.denom().clone();
        let mut places = 0u32;
        // Strip tens first, then what is left of twos or of fives: each stripped factor is one decimal place.
        for factor in [&ten, &two, &five] {
            while (&bottom % factor).is_zero() {
                bottom /= factor;
                places += 1;
            }
        }
        bottom.is_one().then_some(places)
    }
}

impl fmt::Display for Exact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0.numer().sign() == Sign::Minus {
            "-"
        } else {
            ""
        };
        if let Some((digits, places)) = self.short() {
            return decimal(f, sign, &digits.to_string(), places);
        }
        let Some(places) = self.decimals() else {
            return write!(f, "{sign}{}/{}", self.0.numer().magnitude(), self.0.denom());
        };
        let scaled = &self.0 * BigRational::from_integer(BigInt::from(10u8).pow(places));
        let digits = scaled.to_integer().magnitude().to_string();
        decimal(f, sign, &digits, places as usize)
    }
}

/// Writes digits with the point `places` from their end.
fn decimal(f: &mut fmt::Formatter<'_>, sign: &str, digits: &str, places: usize) -> fmt::Result {
    if places == 0 {
        return write!(f, "{sign}{digits}");
    }
    let padded = format!("{digits:0>width$}", width = places + 1);
    let (whole, part) = padded.split_at(padded.len() - places);
    write!(f, "{sign}{whole}.{part}")
}

impl From<i64> for Exact {
    fn from(n: i64) -> Self {
        Self::whole(i128::from(n))
    }
}

#[cfg(test)]
mod tests {
    use super::Exact;

    #[track_caller]
    fn check(top: i128, bottom: i128, expected: &str) {
        let value = Exact::fraction(top, bottom).unwrap();
        assert_eq!(value.to_string(), expected);
        assert_eq!(Exact::read(expected), Some(value), "reading {expected} back");
    }

    #[test]
    fn short_and_long_ways_agree() {
        for (top, bottom) in [
            (1, 3),
            (-7, 8),
            (381, 1_250),
            (i128::from(u64::MAX), 625),
            (1, 1 << 20),
            (1, 5i128.pow(18)),
            (0, 1),
        ] {
            let value = Exact::fraction(top, bottom).unwrap();
            if let Some((digits, places)) = value.short() {
                assert_eq!(value.decimals(), u32::try_from(places).ok(), "{top}/{bottom}");
                let scale = Exact::whole(10i128.pow(u32::try_from(places).unwrap()));
                let long = value.times(&scale);
                assert!(long.is_whole());
                assert_eq!(long.0.numer().magnitude().to_string(), digits.to_string());
            }
            let shown = value.to_string();
            assert_eq!(Exact::read(&shown), Some(value.clone()), "{shown}");
            let ratio = num_traits::ToPrimitive::to_f64(&value.0).unwrap();
            assert_eq!(value.to_f64().to_bits(), ratio.to_bits(), "{top}/{bottom}");
        }
    }

    #[test]
    fn prints_and_reads() {
        check(3048, 10_000, "0.3048");
        check(1, 3, "1/3");
        check(-1, 8, "-0.125");
        check(-5, 3, "-5/3");
        check(0, 7, "0");
        check(1_000, 1, "1000");
        check(3, 40, "0.075");
        check(1, 1024, "0.0009765625");
        check(1, 1000, "0.001");
    }

    #[test]
    fn refuses_what_it_does_not_write() {
        for text in [
            "", "-", ".5", "5.", "1/0", "1/", "/2", "1e5", "+1", "1 1", "--1", "1.2.3", "٣",
        ] {
            assert_eq!(Exact::read(text), None, "{text}");
        }
        assert_eq!(Exact::read(&"9".repeat(601)), None);
        assert_eq!(Exact::fraction(1, 0), None);
        assert_eq!(Exact::zero().over(&Exact::zero()), None);
    }
}
