//! What a message is made of where its length is not fixed: bytes and hashes. Both are read as one run of bytes whose
//! length is held against what is there before any room is made; nothing in a message is read as a list of things,
//! whose reader would believe a count.

use std::fmt;

use serde::de::{Error, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A SHA-256 of a change, or a BLAKE3 of a photo.
pub type Hash = [u8; 32];

/// Bytes that mean nothing here.
#[derive(Clone, Default, PartialEq, Eq)]
pub struct Bytes(pub Vec<u8>);

/// Hashes, one after the other.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hashes(pub Vec<Hash>);

impl fmt::Debug for Bytes {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(to, "{} bytes", self.0.len())
    }
}

impl Serialize for Bytes {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_bytes(&self.0)
    }
}

impl Serialize for Hashes {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_bytes(self.0.as_flattened())
    }
}

impl<'de> Deserialize<'de> for Bytes {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Ok(Self(from.deserialize_bytes(Run)?.to_vec()))
    }
}

impl<'de> Deserialize<'de> for Hashes {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let (hashes, rest) = from.deserialize_bytes(Run)?.as_chunks::<32>();
        if rest.is_empty() {
            Ok(Self(hashes.to_vec()))
        } else {
            Err(D::Error::custom("half a hash"))
        }
    }
}

/// A run of bytes that lies in the frame; the reader has seen to it that all of it is there.
struct Run;

impl<'de> Visitor<'de> for Run {
    type Value = &'de [u8];

    fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        to.write_str("bytes")
    }

    fn visit_borrowed_bytes<E: Error>(self, bytes: &'de [u8]) -> Result<&'de [u8], E> {
        Ok(bytes)
    }
}
