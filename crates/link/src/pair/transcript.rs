//! What is hashed in a pairing: the claim, the commitment and the digits. All of it is bound to both keys.

use super::Code;
use crate::identity::Key;

/// Everything that both sides must have seen alike.
pub(super) struct Transcript<'a> {
    pub(super) secret: &'a [u8; 16],
    pub(super) record: &'a [u8; 16],
    pub(super) host: Key,
    pub(super) guest: Key,
}

impl Transcript<'_> {
    fn begun(&self, purpose: &str) -> blake3::Hasher {
        let mut hasher = blake3::Hasher::new_derive_key(purpose);
        hasher
            .update(self.secret)
            .update(self.record)
            .update(self.host.as_bytes())
            .update(self.guest.as_bytes());
        hasher
    }

    /// The guest's proof that it holds the secret.
    pub(super) fn claim(&self) -> [u8; 32] {
        *self.begun("witnessmark pairing claim 1").finalize().as_bytes()
    }

    /// The host's commitment to its number and to what it says of itself.
    pub(super) fn commitment(&self, number: &[u8; 32], introduction: &[u8]) -> [u8; 32] {
        *self
            .begun("witnessmark pairing commitment 1")
            .update(number)
            .update(blake3::hash(introduction).as_bytes())
            .finalize()
            .as_bytes()
    }

    /// The digits that both devices show, from both numbers and both introductions.
    pub(super) fn digits(&self, host: (&[u8; 32], &[u8]), guest: (&[u8; 32], &[u8])) -> Code {
        let hash = self
            .begun("witnessmark pairing digits 1")
            .update(host.0)
            .update(guest.0)
            .update(blake3::hash(host.1).as_bytes())
            .update(blake3::hash(guest.1).as_bytes())
            .finalize();
        let mut bytes = [0; 16];
        for (slot, byte) in bytes.iter_mut().zip(hash.as_bytes()) {
            *slot = *byte;
        }
        Code::from_hash(bytes)
    }
}

/// A number of 32 bytes out of the caller's randomness, which has other uses beside.
pub(super) fn number(random: &[u8; 32]) -> [u8; 32] {
    blake3::derive_key("witnessmark pairing number 1", random)
}
