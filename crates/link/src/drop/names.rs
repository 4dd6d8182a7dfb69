//! The names in a drop: they say nothing to anybody who is no member. No file is opened here.

use std::fmt;

use data_encoding::HEXLOWER;

use super::Hash;

/// Where a key's purpose is bound in (BLAKE3's key derivation).
const CONTEXT: &str = "witnessmark drop names 1";

/// What lies in a folder of a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Shelf {
    /// Batches: changes, and which photos lie where.
    Batches,
    /// Photos.
    Photos,
}

/// Makes the names of one record's drop.
///
/// Its key comes out of a secret that is in the record itself, so that whoever has the record has it, and nobody else:
/// a newcomer gets it with the record, by pairing or by a carry file. Whoever was a member keeps it; all it opens is
/// the names, and who may open a file is settled for each file by its seal.
#[derive(Clone)]
pub struct Names([u8; 32]);

impl Names {
    /// From the record's secret (any bytes that only its members have, 16 or more of them random) and its id.
    pub fn new(secret: &[u8], record: &str) -> Self {
        let mut key = blake3::Hasher::new_derive_key(CONTEXT);
        key.update(&(secret.len() as u64).to_le_bytes());
        key.update(secret);
        key.update(record.as_bytes());
        Names(*key.finalize().as_bytes())
    }

    /// The folder of the record: 32 hexadecimal digits.
    pub fn record(&self) -> String {
        self.tag(b"record", &[])
    }

    /// The folder of a device in it, by its public key: 32 hexadecimal digits.
    pub fn folder(&self, device: &[u8; 32], shelf: Shelf) -> String {
        match shelf {
            Shelf::Batches => self.tag(b"batches", device),
            Shelf::Photos => self.tag(b"photos", device),
        }
    }

    /// Where a file lies.
    pub fn path(&self, device: &[u8; 32], shelf: Shelf, name: &Hash) -> String {
        format!(
            "{}/{}/{}",
            self.record(),
            self.folder(device, shelf),
            HEXLOWER.encode(name)
        )
    }

    fn tag(&self, what: &[u8], of: &[u8]) -> String {
        let mut tag = blake3::Hasher::new_keyed(&self.0);
        tag.update(&[u8::try_from(what.len()).unwrap_or(u8::MAX)]);
        tag.update(what);
        tag.update(of);
        let mut half = [0; 16];
        tag.finalize_xof().fill(&mut half);
        HEXLOWER.encode(&half)
    }
}

impl fmt::Debug for Names {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "Names({})", self.record())
    }
}

/// The hash that a file's name begins with, and whether the name is nothing else. A copying program that will not
/// overwrite adds words of its own behind it: what lies there may be the same file all the same.
pub(super) fn named(name: &str) -> Option<(Hash, bool)> {
    let hash = HEXLOWER.decode(name.get(..64)?.as_bytes()).ok()?;
    Some((hash.try_into().ok()?, name.len() == 64))
}
