//! What a device is: its secret keys, its public key, and the text in which the secret is kept.
//!
//! The caller keeps the text in a file that only the keeper may read (0600) and never puts it in an export. This
//! module opens no file, makes no randomness of its own, and never prints a secret: `Debug` shows the public key.

use std::fmt;
use std::str::FromStr;

use data_encoding::{HEXLOWER, HEXLOWER_PERMISSIVE};
use iroh::{PublicKey, SecretKey, Signature};
use thiserror::Error;

/// The first line of the text form.
const HEAD: &str = "witnessmark identity";
/// The only version of the text form so far.
const VERSION: &str = "1";

/// A device's public key: Ed25519 (RFC 8032), 32 bytes; as text 64 hexadecimal digits. Iroh meets by this key.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key([u8; 32]);

impl Key {
    /// The key of these bytes, unless they are no point of the curve.
    #[must_use]
    pub fn from_bytes(bytes: [u8; 32]) -> Option<Self> {
        PublicKey::from_bytes(&bytes).ok().map(|_| Self(bytes))
    }

    /// The 32 bytes.
    #[must_use]
    pub fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// Whether the holder of this key signed exactly these bytes.
    #[must_use]
    pub fn signed(&self, message: &[u8], signature: &[u8; 64]) -> bool {
        PublicKey::from_bytes(&self.0)
            .is_ok_and(|key| key.verify(message, &Signature::from_bytes(signature)).is_ok())
    }
}

impl fmt::Display for Key {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}", HEXLOWER.encode(&self.0))
    }
}

impl fmt::Debug for Key {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = HEXLOWER.encode(&self.0);
        write!(out, "Key({}…)", text.get(..10).unwrap_or_default())
    }
}

impl FromStr for Key {
    type Err = IdentityError;

    fn from_str(text: &str) -> Result<Self, IdentityError> {
        unhex(text)
            .and_then(Self::from_bytes)
            .ok_or(IdentityError::NotAKey)
    }
}

/// Why a text is no identity, or no key.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum IdentityError {
    /// It does not begin as an identity does.
    #[error("this is no identity of a device")]
    NotAnIdentity,
    /// A newer program wrote it.
    #[error("this identity has version {0}, which this program does not know")]
    Newer(String),
    /// A line is missing, or cannot be read.
    #[error("the identity's line `{0}` is missing or damaged")]
    Line(&'static str),
    /// The secret does not belong to the key beside it.
    #[error("the identity's secret and its key do not belong together: the file is damaged")]
    Apart,
    /// Not 64 hexadecimal digits that are a key.
    #[error("a device's key is 64 hexadecimal digits, and these are none")]
    NotAKey,
}

/// A device's secrets: the Ed25519 seed by which it meets and signs, and the X25519 secret that opens what is
/// sealed to it (age). New after a restore; never in an export.
#[derive(Clone)]
pub struct Identity {
    seed: [u8; 32],
    seal: [u8; 32],
}

impl Identity {
    /// A new identity from 64 random bytes: half for each secret.
    #[must_use]
    pub fn generate(random: &[u8; 64]) -> Self {
        let (mut seed, mut seal) = ([0; 32], [0; 32]);
        let (first, second) = random.split_at(32);
        seed.copy_from_slice(first);
        seal.copy_from_slice(second);
        Self { seed, seal }
    }

    /// The public key.
    #[must_use]
    pub fn key(&self) -> Key {
        Key(*self.secret().public().as_bytes())
    }

    /// The age recipient to whom others seal (`age1…`).
    #[must_use]
    pub fn recipient(&self) -> Option<String> {
        Some(self.opener()?.to_public().to_string())
    }

    /// The age identity that opens what is sealed to this device.
    #[must_use]
    pub fn opener(&self) -> Option<age::x25519::Identity> {
        age_text(&self.seal).parse().ok()
    }

    /// Signs bytes with the device's key (Ed25519).
    #[must_use]
    pub fn sign(&self, message: &[u8]) -> [u8; 64] {
        self.secret().sign(message).to_bytes()
    }

    /// The text to keep, with a newline at its end. It is the secret: whoever has it is this device.
    #[must_use = "the text is the only copy of the secret that outlives the program"]
    pub fn to_text(&self) -> String {
        format!(
            "{HEAD} {VERSION}\nkey {}\nsecret {}\nseal {}\n",
            self.key(),
            HEXLOWER.encode(&self.seed),
            age_text(&self.seal)
        )
    }

    /// Reads the text form. Lines that it does not know are left alone, for a newer program's sake.
    ///
    /// # Errors
    /// [`IdentityError`]: not an identity, of a newer version, a line missing or damaged, secret and key apart.
    pub fn from_text(text: &str) -> Result<Self, IdentityError> {
        let mut lines = text.lines();
        let version = lines
            .next()
            .and_then(|line| line.strip_prefix(HEAD))
            .map(str::trim)
            .ok_or(IdentityError::NotAnIdentity)?;
        if version != VERSION {
            return Err(IdentityError::Newer(version.chars().take(20).collect()));
        }
        let (mut key, mut seed, mut seal) = (None, None, None);
        for line in lines {
            match line.split_once(' ') {
                Some(("key", value)) => key = value.trim().parse::<Key>().ok(),
                Some(("secret", value)) => seed = unhex(value.trim()),
                Some(("seal", value)) => seal = from_age_text(value.trim()),
                _ => {}
            }
        }
        let found = Self {
            seed: seed.ok_or(IdentityError::Line("secret"))?,
            seal: seal.ok_or(IdentityError::Line("seal"))?,
        };
        if key.ok_or(IdentityError::Line("key"))? != found.key() {
            return Err(IdentityError::Apart);
        }
        Ok(found)
    }

    /// Iroh's form of the seed.
    pub(crate) fn secret(&self) -> SecretKey {
        SecretKey::from_bytes(&self.seed)
    }
}

impl fmt::Debug for Identity {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "Identity({})", self.key())
    }
}

/// 64 hex digits, large or small.
fn unhex(text: &str) -> Option<[u8; 32]> {
    let bytes = HEXLOWER_PERMISSIVE.decode(text.as_bytes()).ok()?;
    bytes.try_into().ok()
}

/// The characters of Bech32 (BIP-173), by value.
const BECH32: &[u8; 32] = b"QPZRY9X8GF2TVDW0S3JN54KHCE6MUA7L";
/// What an age secret begins with, by age's specification (C2SP age).
const AGE: &str = "AGE-SECRET-KEY-";

/// An X25519 secret as age writes it: Bech32, upper case.
fn age_text(secret: &[u8; 32]) -> String {
    let mut data = fives(secret);
    let sum = bech32_sum(data.iter().copied().chain([0; 6])) ^ 1;
    data.extend((0..6).map(|place| (sum >> (5 * (5 - place)) & 31) as u8));
    let body: String = data
        .iter()
        .filter_map(|five| BECH32.get(usize::from(*five)))
        .map(|byte| char::from(*byte))
        .collect();
    format!("{AGE}1{body}")
}

fn from_age_text(text: &str) -> Option<[u8; 32]> {
    let body = text.strip_prefix(AGE)?.strip_prefix('1')?;
    let data: Vec<u8> = body
        .bytes()
        .map(|byte| BECH32.iter().position(|known| *known == byte))
        .map(|place| place.and_then(|place| u8::try_from(place).ok()))
        .collect::<Option<_>>()?;
    if data.len() != 58 || bech32_sum(data.iter().copied()) != 1 {
        return None;
    }
    let (mut bytes, mut held, mut bits) = (Vec::new(), 0_u32, 0);
    for five in data.iter().take(52) {
        held = held << 5 | u32::from(*five);
        bits += 5;
        if bits >= 8 {
            bits -= 8;
            bytes.push((held >> bits & 0xff) as u8);
        }
    }
    bytes.try_into().ok()
}

/// 32 bytes as 52 groups of five bits.
fn fives(bytes: &[u8; 32]) -> Vec<u8> {
    let (mut out, mut held, mut bits) = (Vec::new(), 0_u32, 0);
    for byte in bytes {
        held = held << 8 | u32::from(*byte);
        bits += 8;
        while bits >= 5 {
            bits -= 5;
            out.push((held >> bits & 31) as u8);
        }
    }
    out.push((held << (5 - bits) & 31) as u8);
    out
}

/// Bech32's checksum over the prefix (in lower case) and these values.
fn bech32_sum(values: impl Iterator<Item = u8>) -> u32 {
    const STEPS: [u32; 5] = [0x3b6a_57b2, 0x2650_8e6d, 0x1ea1_19fa, 0x3d42_33dd, 0x2a14_62b3];
    let prefix = || AGE.bytes().map(|byte| byte.to_ascii_lowercase());
    let all = prefix()
        .map(|byte| byte >> 5)
        .chain([0])
        .chain(prefix().map(|byte| byte & 31))
        .chain(values);
    all.fold(1, |sum, value| {
        let mut next = (sum & 0x01ff_ffff) << 5 ^ u32::from(value);
        for (place, step) in STEPS.iter().enumerate() {
            if sum >> 25 >> place & 1 == 1 {
                next ^= step;
            }
        }
        next
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn some() -> Identity {
        let mut random = [0; 64];
        for (place, byte) in random.iter_mut().enumerate() {
            *byte = u8::try_from(place * 3 % 251).unwrap();
        }
        Identity::generate(&random)
    }

    #[test]
    fn the_text_comes_back_and_says_its_version() {
        let identity = some();
        let text = identity.to_text();
        assert!(text.starts_with("witnessmark identity 1\n"));
        let back = Identity::from_text(&text).unwrap();
        assert_eq!(back.key(), identity.key());
        assert_eq!(back.recipient(), identity.recipient());
        assert_eq!(back.to_text(), text);
        Identity::from_text(&format!("{text}later a word of a newer program\n")).unwrap();
    }

    #[test]
    fn what_is_damaged_is_named() {
        let text = some().to_text();
        let check = |text: String, expected: IdentityError| {
            assert_eq!(Identity::from_text(&text).unwrap_err(), expected, "{text}");
        };
        check(String::new(), IdentityError::NotAnIdentity);
        check("something else".to_owned(), IdentityError::NotAnIdentity);
        check(
            text.replacen("identity 1", "identity 7", 1),
            IdentityError::Newer("7".to_owned()),
        );
        check(
            text.lines().take(2).collect::<Vec<_>>().join("\n"),
            IdentityError::Line("secret"),
        );
        check(text.replacen("key ", "lock ", 1), IdentityError::Line("key"));
        let end = text.len() - 2;
        let changed = if text.as_bytes()[end] == b'Q' {
            "P\n"
        } else {
            "Q\n"
        };
        check(format!("{}{changed}", &text[..end]), IdentityError::Line("seal"));
        let other = Identity::generate(&[7; 64]).to_text();
        let secret = |text: &str| text.lines().nth(2).unwrap().to_owned();
        check(
            text.replace(&secret(&text), &secret(&other)),
            IdentityError::Apart,
        );
    }

    #[test]
    fn nothing_secret_is_printed() {
        let identity = some();
        let told = format!("{identity:?} {identity:#?}");
        assert!(told.contains(&identity.key().to_string()));
        assert!(
            !told.contains(&HEXLOWER.encode(&identity.seed))
                && !told.contains(&HEXLOWER.encode(&identity.seal))
        );
        assert!(!told.contains("AGE-SECRET"));
    }

    /// The age crate itself reads what is written here, and writes the same: a check from outside of our Bech32.
    #[test]
    fn age_reads_the_seal() {
        use age::secrecy::ExposeSecret;
        for first in [0, 1, 127, 255] {
            let mut random = [first; 64];
            random[40] = 5;
            let identity = Identity::generate(&random);
            let opener = identity.opener().unwrap();
            assert_eq!(opener.to_string().expose_secret(), age_text(&identity.seal));
            assert!(identity.recipient().unwrap().starts_with("age1"));
        }
    }

    /// RFC 8032, section 7.1, test 2.
    #[test]
    fn the_key_and_its_signature_are_those_of_the_standard() {
        let seed = unhex("4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb").unwrap();
        let identity = Identity { seed, seal: [1; 32] };
        let key = "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c";
        assert_eq!(identity.key().to_string(), key);
        let signature = identity.sign(&[0x72]);
        assert_eq!(
            HEXLOWER.encode(&signature),
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da\
             085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
        );
        let key: Key = key.parse().unwrap();
        assert!(key.signed(&[0x72], &signature));
        assert!(!key.signed(&[0x73], &signature));
    }
}
