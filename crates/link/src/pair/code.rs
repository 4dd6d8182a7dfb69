//! Digits that people compare or speak: twelve to compare, eight to speak. They hold no secret of the device.

use std::fmt;

/// Twelve digits that both devices show: one of 10¹², so 39.86 bits.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Code(u64);

impl Code {
    /// How many codes there are.
    pub const COUNT: u64 = 1_000_000_000_000;

    /// From 16 bytes of a hash. Taking the rest of 128 bits favours no code by more than 2⁻⁸⁸.
    pub(super) fn from_hash(bytes: [u8; 16]) -> Self {
        let rest = u128::from_le_bytes(bytes) % u128::from(Self::COUNT);
        Self(u64::try_from(rest).unwrap_or_default())
    }

    /// The number, below [`Code::COUNT`].
    #[must_use]
    pub fn number(self) -> u64 {
        self.0
    }
}

impl fmt::Display for Code {
    /// Three groups of four digits.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (first, middle, last) = (self.0 / 100_000_000, self.0 / 10_000 % 10_000, self.0 % 10_000);
        write!(out, "{first:04} {middle:04} {last:04}")
    }
}

/// Eight digits that one keeper reads to the other: one of 10⁸, so 26.58 bits. A secret until it is used.
#[derive(Clone, PartialEq, Eq)]
pub struct Spoken(String);

impl Spoken {
    /// How many spoken codes there are.
    pub const COUNT: u64 = 100_000_000;

    /// A code from 16 random bytes.
    #[must_use]
    pub fn generate(random: [u8; 16]) -> Self {
        Self(format!(
            "{:08}",
            u128::from_le_bytes(random) % u128::from(Self::COUNT)
        ))
    }

    /// The code that somebody typed, with or without spaces and dashes; none unless it has eight digits.
    #[must_use]
    pub fn typed(text: &str) -> Option<Self> {
        let digits: String = text
            .chars()
            .filter(|letter| !letter.is_whitespace() && *letter != '-')
            .collect();
        (digits.len() == 8 && digits.bytes().all(|byte| byte.is_ascii_digit())).then_some(Self(digits))
    }

    /// The digits alone.
    pub(super) fn digits(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Spoken {
    /// Two groups of four digits.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (first, last) = self.0.split_at_checked(4).unwrap_or((&self.0, ""));
        write!(out, "{first} {last}")
    }
}

impl fmt::Debug for Spoken {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("Spoken(…)")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_in_groups() {
        assert_eq!(Code(0).to_string(), "0000 0000 0000");
        assert_eq!(Code(123_456_789_012).to_string(), "1234 5678 9012");
        assert_eq!(
            Code::from_hash([255; 16]).number(),
            u64::try_from(u128::MAX % 1_000_000_000_000).unwrap()
        );
        let spoken = Spoken::typed(" 0123-4567 ").unwrap();
        assert_eq!(spoken.to_string(), "0123 4567");
        assert_eq!(Spoken::typed(&spoken.to_string()), Some(spoken));
        assert!(Spoken::typed("1234567").is_none() && Spoken::typed("1234567x").is_none());
    }

    #[test]
    fn the_code_has_39_bits_and_more() {
        const { assert!(Code::COUNT >= 1 << 39) };
    }
}
