//! What a device's signature over a change is: the words that are signed, and the mark by which it crosses and is kept.
//! A mark vouches for the device's own changes which the signed one stands on, and for nobody else's; whose they are, and
//! which key is the device's, is for the record and its keepers to say. Nothing is decided here, and no mark is believed.
//!
//! Source: Ed25519 is RFC 8032. What stands before the signed words keeps them from being taken for any others.

use data_encoding::{HEXLOWER, HEXLOWER_PERMISSIVE};

use crate::carry::Head;
use crate::identity::{Identity, Key};

/// A SHA-256 of a change.
type Hash = [u8; 32];

/// The first four bytes of a mark. No change begins so.
const FRONT: [u8; 4] = *b"\xE7wms";
const CHANGE: &[u8] = b"witnessmark 2026 a change is this device's\0";
const HEADS: &[u8] = b"witnessmark 2026 this device has these newest changes\0";
/// Where an open file's first page says who signed what it has.
const SIGNED: &str = "heads_signed";

/// Most marks that are taken of one file, or wait with the changes of one meeting.
pub const MOST_MARKS: usize = 100_000;

/// A device's signature over one of its changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// The device, as the record names it.
    pub device: [u8; 16],
    /// The change.
    pub change: Hash,
    /// The key that signed: whether it is the device's is for the record to say.
    pub key: [u8; 32],
    /// The signature.
    pub signature: [u8; 64],
}

impl Mark {
    /// How long every mark is.
    pub const LENGTH: usize = 148;

    /// Signs a change of this device.
    #[must_use]
    pub fn sign(identity: &Identity, record: &str, device: [u8; 16], change: Hash) -> Self {
        let (key, signature) = identity.sign_and_say(&words(record, &device, &change));
        Self {
            device,
            change,
            key: *key.as_bytes(),
            signature,
        }
    }

    /// Whether the key that it names signed it, for this record.
    #[must_use]
    pub fn holds(&self, record: &str) -> bool {
        let words = words(record, &self.device, &self.change);
        Key::from_bytes(self.key).is_some_and(|key| key.signed(&words, &self.signature))
    }

    /// Whether bytes that stand among changes are a mark and no change.
    #[must_use]
    pub fn is(bytes: &[u8]) -> bool {
        bytes.starts_with(&FRONT)
    }

    /// Its bytes.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        [&FRONT[..], &self.device, &self.change, &self.key, &self.signature].concat()
    }

    /// Reads one; nothing where the bytes are none.
    #[must_use]
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        let rest = bytes.strip_prefix(&FRONT)?;
        let (device, rest) = rest.split_first_chunk()?;
        let (change, rest) = rest.split_first_chunk()?;
        let (key, rest) = rest.split_first_chunk()?;
        Some(Self {
            device: *device,
            change: *change,
            key: *key,
            signature: rest.try_into().ok()?,
        })
    }
}

fn words(record: &str, device: &[u8; 16], change: &Hash) -> Vec<u8> {
    let length = (record.len() as u64).to_le_bytes();
    [CHANGE, &length, record.as_bytes(), device, change].concat()
}

/// Signs what an open file's first page says of its sender: which device it is, and what it has.
pub fn sign_heads(identity: &Identity, head: &mut Head) {
    let signature = identity.sign(&has(head));
    let signature = HEXLOWER.encode(&signature);
    head.extra.insert(SIGNED.to_owned(), signature.into());
}

/// Whether this key signed what a file's first page says of its sender.
#[must_use]
pub fn heads_are_signed(key: &Key, head: &Head) -> bool {
    let text = head.extra.get(SIGNED).and_then(serde_json::Value::as_str);
    text.and_then(|text| HEXLOWER_PERMISSIVE.decode(text.as_bytes()).ok())
        .and_then(|bytes| bytes.try_into().ok())
        .is_some_and(|signature| key.signed(&has(head), &signature))
}

fn has(head: &Head) -> Vec<u8> {
    let mut words = HEADS.to_vec();
    let missing = head.extra.get("photos_missing").map(ToString::to_string);
    let fields = [&head.record, &head.device, &head.sent].into_iter();
    for text in fields.chain(missing.iter()).chain(&head.heads) {
        words.extend_from_slice(&(text.len() as u64).to_le_bytes());
        words.extend_from_slice(text.as_bytes());
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mark_holds_for_its_record_device_and_change_alone() {
        let identity = Identity::generate(&[3; 64]);
        let mark = Mark::sign(&identity, "one", [1; 16], [2; 32]);
        assert!(mark.holds("one"));
        assert!(!mark.holds("another"));
        let back = Mark::from_bytes(&mark.to_bytes()).unwrap();
        assert_eq!(back, mark);
        assert_eq!(mark.to_bytes().len(), Mark::LENGTH);
        let others = [
            Mark {
                device: [9; 16],
                ..mark.clone()
            },
            Mark {
                change: [9; 32],
                ..mark.clone()
            },
            Mark {
                key: *Identity::generate(&[4; 64]).key().as_bytes(),
                ..mark.clone()
            },
            Mark {
                signature: [0; 64],
                ..mark.clone()
            },
        ];
        assert!(others.iter().all(|other| !other.holds("one")));
        let bytes = mark.to_bytes();
        assert!(Mark::is(&bytes) && !Mark::is(&[0x85, 0x6f, 0x4a, 0x83]));
        assert!((0..bytes.len()).all(|cut| Mark::from_bytes(&bytes[..cut]).is_none()));
        assert_eq!(Mark::from_bytes(&[bytes, vec![0]].concat()), None);
    }

    #[test]
    fn what_a_first_page_says_of_its_sender_is_signed_or_not_believed() {
        let identity = Identity::generate(&[3; 64]);
        let mut head = Head {
            record: "one".to_owned(),
            device: "mine".to_owned(),
            heads: vec!["ab".repeat(32)],
            ..Head::default()
        };
        assert!(!heads_are_signed(&identity.key(), &head));
        sign_heads(&identity, &mut head);
        assert!(heads_are_signed(&identity.key(), &head));
        assert!(!heads_are_signed(&Identity::generate(&[4; 64]).key(), &head));
        let other = Head {
            heads: vec!["cd".repeat(32)],
            ..head.clone()
        };
        assert!(!heads_are_signed(&identity.key(), &other));
        let other = Head {
            device: "theirs".to_owned(),
            ..head
        };
        assert!(!heads_are_signed(&identity.key(), &other));
    }
}
