//! The head of a carry file: who sends what, and from where it starts. It never holds more of the record itself than the
//! names of the car and of the keeper who sends it, ids and hashes, and never tells the time by itself.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{CarryBound, CarryError, Limits};

/// The first page of a carry file, kept as JSON.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Head {
    /// Id of the record (one car); a device that keeps several finds the right one by it.
    pub record: String,
    /// Name of the car, to show before anything is taken.
    pub car: String,
    /// Id of the sending device.
    pub device: String,
    /// Id of the sending keeper.
    pub keeper: String,
    /// Name of the sending keeper, to show before anything is taken.
    pub keeper_name: String,
    /// When it was sent: RFC 3339 UTC, `2031-03-01T18:20:05Z`, from the sender's clock. Shown, never relied on.
    pub sent: String,
    /// Hashes of the newest changes that the sender has, 64 hexadecimal digits each.
    pub heads: Vec<String>,
    /// Whether it holds everything, so that a newcomer may join from it.
    pub whole: bool,
    /// Hashes of the newest changes that the other was known to have: what is sent builds on them. Empty when `whole`.
    #[serde(default)]
    pub base: Vec<String>,
    /// How many changes it holds.
    pub changes: u64,
    /// How many photos it holds.
    pub photos: u64,
    /// Schema version of the sender's record; whether it can be taken is for the record to say.
    pub schema: u32,
    /// Fields of a newer version: kept as they came, and written as given.
    #[serde(flatten)]
    pub extra: BTreeMap<String, serde_json::Value>,
}

impl Head {
    /// The head as JSON bytes. Refused: hashes that are none, a `base` beside `whole`, more bytes than the limit.
    pub(super) fn to_bytes(&self, limits: &Limits) -> Result<Vec<u8>, CarryError> {
        self.sound()?;
        let bytes = serde_json::to_vec(self).map_err(|_| CarryError::Malformed {
            what: "its first page cannot be written",
        })?;
        Head::in_limits(bytes.len() as u64, limits)?;
        Ok(bytes)
    }

    /// The head out of JSON bytes, with the same refusals.
    pub(super) fn from_bytes(bytes: &[u8], limits: &Limits) -> Result<Head, CarryError> {
        Head::in_limits(bytes.len() as u64, limits)?;
        let head: Head = serde_json::from_slice(bytes).map_err(|_| CarryError::Malformed {
            what: "its first page cannot be read",
        })?;
        head.sound()?;
        Ok(head)
    }

    /// Whether a head of so many bytes is taken.
    pub(super) fn in_limits(bytes: u64, limits: &Limits) -> Result<(), CarryError> {
        if bytes > limits.head {
            return Err(CarryError::TooLarge {
                what: CarryBound::Head,
                limit: limits.head,
            });
        }
        Ok(())
    }

    fn sound(&self) -> Result<(), CarryError> {
        let hash =
            |text: &String| text.len() == 64 && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
        if !self.heads.iter().chain(&self.base).all(hash) {
            return Err(CarryError::Malformed {
                what: "its first page names a change that cannot be",
            });
        }
        if self.whole && !self.base.is_empty() {
            return Err(CarryError::Malformed {
                what: "it says it is whole and also only a part",
            });
        }
        Ok(())
    }
}
