//! The keys of sealing in types of our own. They are never printed, and never leave but as the text that the caller
//! asked for to keep.

use std::fmt;

use age::secrecy::ExposeSecret;
use ed25519_dalek::Signer;

use super::SealError;
use crate::identity::Identity;

/// The key that a device signs with: the secret of its Ed25519 identity.
pub struct SigningKey(ed25519_dalek::SigningKey);

impl SigningKey {
    /// From the secret's 32 bytes.
    pub fn from_bytes(secret: [u8; 32]) -> Self {
        SigningKey(ed25519_dalek::SigningKey::from_bytes(&secret))
    }

    /// That of a device.
    pub fn of(identity: &Identity) -> Self {
        SigningKey(ed25519_dalek::SigningKey::from_bytes(identity.seed()))
    }

    /// The public key: what the record knows this device by.
    pub fn public(&self) -> [u8; 32] {
        self.0.verifying_key().to_bytes()
    }

    pub(super) fn sign(&self, words: &[u8]) -> [u8; 64] {
        self.0.sign(words).to_bytes()
    }
}

impl fmt::Debug for SigningKey {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("SigningKey(kept to itself)")
    }
}

/// Whether `signature` is that of `sender` over `words`, by the strict reading of RFC 8032.
pub(super) fn holds(sender: &[u8; 32], words: &[u8], signature: &[u8; 64]) -> bool {
    ed25519_dalek::VerifyingKey::from_bytes(sender).is_ok_and(|key| {
        let signature = ed25519_dalek::Signature::from_bytes(signature);
        key.verify_strict(words, &signature).is_ok()
    })
}

/// The key that opens what was sealed to this device: an age X25519 identity; with those of the devices that it is a copy
/// of, for reading only.
#[derive(Clone)]
pub struct OpeningKey {
    own: age::x25519::Identity,
    older: Vec<age::x25519::Identity>,
}

impl OpeningKey {
    /// A fresh one, out of the system's randomness.
    pub fn generate() -> Self {
        OpeningKey::alone(age::x25519::Identity::generate())
    }

    fn alone(own: age::x25519::Identity) -> Self {
        OpeningKey {
            own,
            older: Vec::new(),
        }
    }

    /// That of a device.
    ///
    /// # Errors
    /// [`SealError::BadKey`] where the identity holds none.
    pub fn of(identity: &Identity) -> Result<Self, SealError> {
        Ok(OpeningKey {
            own: identity.opener().ok_or(SealError::BadKey)?,
            older: identity.older_openers().collect(),
        })
    }

    /// Out of the text `AGE-SECRET-KEY-1…`.
    ///
    /// # Errors
    /// [`SealError::BadKey`] where it is none.
    pub fn from_text(text: &str) -> Result<Self, SealError> {
        text.trim()
            .parse()
            .map(OpeningKey::alone)
            .map_err(|_| SealError::BadKey)
    }

    /// As the text `AGE-SECRET-KEY-1…`: for the one file that keeps it.
    pub fn secret_text(&self) -> String {
        self.own.to_string().expose_secret().to_owned()
    }

    /// What others seal to: the text `age1…`, as the record's members have it.
    pub fn seal(&self) -> String {
        self.own.to_public().to_string()
    }

    /// All of them, its own first.
    pub(super) fn age(&self) -> impl Iterator<Item = &dyn age::Identity> {
        std::iter::once(&self.own)
            .chain(&self.older)
            .map(|one| one as &dyn age::Identity)
    }
}

impl fmt::Debug for OpeningKey {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("OpeningKey(kept to itself)")
    }
}

/// Whether a text is a seal that can be sealed to: `age1…`, an X25519 recipient.
pub fn is_seal(text: &str) -> bool {
    text.parse::<age::x25519::Recipient>().is_ok()
}
