//! What is named by the hash of its bytes: a change, and a photo. Each is its own type, so that neither passes for the
//! other, and holds the 32 bytes; hexadecimal is written and read at the edges only (JSON, rows, file names). What is
//! not spelled as this program spells it is no hash, and stays the text it was.

use std::fmt;
use std::ops::Deref;

use data_encoding::HEXLOWER;
use schemars::JsonSchema;
use serde::de::{Error, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use ts_rs::TS;

/// The 64 lower-case hexadecimal digits of a hash, without an allocation.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct Hex([u8; 64]);

impl Hex {
    fn of(bytes: &[u8; 32]) -> Self {
        let mut digits = [b'0'; 64];
        HEXLOWER.encode_mut(bytes, &mut digits);
        Self(digits)
    }

    /// The digits as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or_default()
    }
}

impl Deref for Hex {
    type Target = str;
    fn deref(&self) -> &str {
        self.as_str()
    }
}

impl fmt::Display for Hex {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

/// The bytes of 64 lower-case digits: no other spelling, so that one hash has one text.
fn bytes_of(hex: &str) -> Option<[u8; 32]> {
    let mut bytes = [0; 32];
    let fits = hex.len() == 64;
    (fits && HEXLOWER.decode_mut(hex.as_bytes(), &mut bytes).is_ok()).then_some(bytes)
}

/// One name made of a hash: what it can do, and how it is spelled.
macro_rules! hash {
    ($(#[$doc:meta])* $name:ident, $expecting:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, JsonSchema, TS)]
        #[schemars(transparent)]
        #[ts(type = "string")]
        pub struct $name(#[schemars(with = "String")] [u8; 32]);

        impl $name {
            /// From the bytes of the hash.
            #[must_use]
            pub const fn from_bytes(bytes: [u8; 32]) -> Self {
                Self(bytes)
            }

            /// The bytes of the hash.
            #[must_use]
            pub const fn bytes(&self) -> &[u8; 32] {
                &self.0
            }

            /// From 64 lower-case hexadecimal digits; nothing where the text is any other.
            #[must_use]
            pub fn from_hex(hex: &str) -> Option<Self> {
                bytes_of(hex).map(Self)
            }

            /// As it is spelled outside: 64 lower-case hexadecimal digits, which sort as the bytes do.
            #[must_use]
            pub fn hex(&self) -> Hex {
                Hex::of(&self.0)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.hex().fmt(f)
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{}({})", stringify!($name), self.hex())
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.serialize_str(&self.hex())
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                struct Digits;
                impl Visitor<'_> for Digits {
                    type Value = $name;
                    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                        f.write_str($expecting)
                    }
                    fn visit_str<E: Error>(self, text: &str) -> Result<$name, E> {
                        $name::from_hex(text)
                            .ok_or_else(|| E::invalid_value(serde::de::Unexpected::Str(text), &self))
                    }
                }
                from.deserialize_str(Digits)
            }
        }
    };
}

hash!(
    /// The hash of one change, as 64 hex digits. Opaque outside the document and the store.
    ChangeId,
    "the hash of a change in 64 hexadecimal digits"
);

hash!(
    /// The BLAKE3 hash of a photo's bytes, as 64 hex digits: what its original is kept, asked for and sent under.
    PhotoHash,
    "the hash of a photo in 64 hexadecimal digits"
);

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
    use super::*;

    /// The hash of 'abc' by BLAKE3, from its published implementation.
    fn abc() -> PhotoHash {
        PhotoHash::from_bytes(*blake3::hash(b"abc").as_bytes())
    }

    #[test]
    fn a_hash_has_one_spelling() {
        let text = blake3::hash(b"abc").to_hex();
        assert_eq!(abc().hex().as_str(), text.as_str());
        assert_eq!(PhotoHash::from_hex(&text), Some(abc()));
        for wrong in [
            &text[1..],
            &text.to_uppercase(),
            &format!("{text}0"),
            &format!("{}é", &text[..62]),
            "",
            "../../device.key",
        ] {
            assert_eq!(PhotoHash::from_hex(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn it_crosses_as_its_digits_and_as_nothing_else() {
        let json = serde_json::to_string(&abc()).unwrap();
        assert_eq!(json, format!("\"{}\"", abc()));
        assert_eq!(serde_json::from_str::<PhotoHash>(&json).unwrap(), abc());
        assert!(serde_json::from_str::<PhotoHash>("\"\"").is_err());
        let schema = |of: schemars::Schema| serde_json::to_value(of).unwrap()["type"].clone();
        assert_eq!(schema(schemars::schema_for!(ChangeId)), "string");
    }

    /// What was ordered by its text, points and their identities among it, is ordered alike by its bytes.
    #[test]
    fn digits_sort_as_the_bytes_do() {
        let some: Vec<ChangeId> = (0..200u32)
            .map(|n| ChangeId::from_bytes(*blake3::hash(&n.to_le_bytes()).as_bytes()))
            .collect();
        let mut by_bytes = some.clone();
        by_bytes.sort();
        let mut by_text = some;
        by_text.sort_by_key(|one| one.hex().to_string());
        assert_eq!(by_bytes, by_text);
    }
}
