//! What a device is: its secret keys, its public key, and the text in which the secret is kept.
//!
//! The caller keeps the text in a file that only the keeper may read (0600) and never puts it in an export. This
//! module opens no file, makes no randomness of its own, and never prints a secret: `Debug` shows the public key. What it
//! holds of a secret is wiped when it goes.

use std::fmt;
use std::str::FromStr;

use data_encoding::{HEXLOWER, HEXLOWER_PERMISSIVE};
use ed25519_dalek::{Signature, Signer as _, SigningKey, VerifyingKey};
use thiserror::Error;
use zeroize::Zeroizing;

/// The first line of the text form.
const HEAD: &str = "witnessmark identity";
/// The only version of the text form so far.
const VERSION: &str = "1";
/// Room for the text form, so that it never grows and leaves a half of itself behind.
const TEXT: usize = 4_096;
/// Most seals of before that are kept for reading.
const MOST_OLDER: usize = 8;

/// A secret, in one place of its own: moving it copies nothing, and it is wiped when it goes.
type Secret = Box<Zeroizing<[u8; 32]>>;

fn secret_of(bytes: &[u8]) -> Option<Secret> {
    let mut secret = Secret::default();
    if bytes.len() != secret.len() {
        return None;
    }
    secret.copy_from_slice(bytes);
    Some(secret)
}

/// A device's public key: Ed25519 (RFC 8032), 32 bytes; as text 64 hexadecimal digits. Iroh meets by this key.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key([u8; 32]);

impl Key {
    /// The key of these bytes, unless they are no point of the curve.
    #[must_use]
    pub fn from_bytes(bytes: [u8; 32]) -> Option<Self> {
        VerifyingKey::from_bytes(&bytes).ok().map(|_| Self(bytes))
    }

    /// The 32 bytes.
    #[must_use]
    pub fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// Whether the holder of this key signed exactly these bytes, by the strict reading of RFC 8032.
    #[must_use]
    pub fn signed(&self, message: &[u8], signature: &[u8; 64]) -> bool {
        VerifyingKey::from_bytes(&self.0).is_ok_and(|key| {
            key.verify_strict(message, &Signature::from_bytes(signature))
                .is_ok()
        })
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
    seed: Secret,
    seal: Secret,
    /// Seals of the device that this one is a copy of: for reading what was sealed before, and for nothing else.
    older: Vec<Secret>,
}

impl Identity {
    /// A new identity from 64 random bytes: half for each secret.
    #[must_use]
    pub fn generate(random: &[u8; 64]) -> Self {
        let (first, second) = random.split_at(32);
        Self {
            seed: secret_of(first).unwrap_or_default(),
            seal: secret_of(second).unwrap_or_default(),
            older: Vec::new(),
        }
    }

    /// The identity of a copy of this device's folder: new secrets, which still read what was sealed to this one.
    #[must_use]
    pub fn copied(&self, random: &[u8; 64]) -> Self {
        let mut copy = Self::generate(random);
        copy.older = std::iter::once(&self.seal)
            .chain(&self.older)
            .take(MOST_OLDER)
            .cloned()
            .collect();
        copy
    }

    /// A new identity in the place of one whose text is damaged: of that, the seals that can still be read go on reading
    /// what was sealed to them.
    #[must_use]
    pub fn in_place_of(damaged: &str, random: &[u8; 64]) -> Self {
        let mut new = Self::generate(random);
        let seals = damaged.lines().filter_map(|line| match line.split_once(' ') {
            Some(("seal" | "older", value)) => from_age_text(value.trim()),
            _ => None,
        });
        new.older = seals.take(MOST_OLDER).collect();
        new
    }

    /// The public key.
    #[must_use]
    pub fn key(&self) -> Key {
        Key(self.secret().verifying_key().to_bytes())
    }

    /// The age recipient to whom others seal (`age1…`).
    #[must_use]
    pub fn recipient(&self) -> Option<String> {
        Some(self.opener()?.to_public().to_string())
    }

    /// The age identity that opens what is sealed to this device.
    #[must_use]
    pub fn opener(&self) -> Option<age::x25519::Identity> {
        opener_of(&self.seal)
    }

    /// Those that open what was sealed to the devices that this one is a copy of.
    pub fn older_openers(&self) -> impl Iterator<Item = age::x25519::Identity> {
        self.older.iter().filter_map(|seal| opener_of(seal))
    }

    /// Signs bytes with the device's key (Ed25519).
    #[must_use]
    pub fn sign(&self, message: &[u8]) -> [u8; 64] {
        self.secret().sign(message).to_bytes()
    }

    /// The same, and the key that signed: asked for apart, the secret would be made ready twice, and every edit is signed.
    #[must_use]
    pub(crate) fn sign_and_say(&self, message: &[u8]) -> (Key, [u8; 64]) {
        let secret = self.secret();
        (
            Key(secret.verifying_key().to_bytes()),
            secret.sign(message).to_bytes(),
        )
    }

    /// The text to keep, with a newline at its end. It is the secret: whoever has it is this device.
    #[must_use = "the text is the only copy of the secret that outlives the program"]
    pub fn to_text(&self) -> Zeroizing<String> {
        let mut text = Zeroizing::new(String::with_capacity(TEXT));
        text.push_str(&format!("{HEAD} {VERSION}\nkey {}\nsecret ", self.key()));
        HEXLOWER.encode_append(&**self.seed, &mut text);
        text.push_str("\nseal ");
        age_text(&self.seal, &mut text);
        for older in &self.older {
            text.push_str("\nolder ");
            age_text(older, &mut text);
        }
        text.push('\n');
        text
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
            // A version is a number, and a newer one a greater number; anything else is a damaged line.
            let number = |text: &str| text.parse::<u32>().ok();
            return Err(match number(version).zip(number(VERSION)) {
                Some((theirs, ours)) if theirs > ours => IdentityError::Newer(version.to_owned()),
                _ => IdentityError::NotAnIdentity,
            });
        }
        let (mut key, mut seed, mut seal, mut older) = (None, None, None, Vec::new());
        for line in lines {
            match line.split_once(' ') {
                Some(("key", value)) => key = value.trim().parse::<Key>().ok(),
                Some(("secret", value)) => seed = secret_of_hex(value.trim()),
                Some(("seal", value)) => seal = from_age_text(value.trim()),
                Some(("older", value)) if older.len() < MOST_OLDER => {
                    older.push(from_age_text(value.trim()).ok_or(IdentityError::Line("older"))?);
                }
                _ => {}
            }
        }
        let found = Self {
            seed: seed.ok_or(IdentityError::Line("secret"))?,
            seal: seal.ok_or(IdentityError::Line("seal"))?,
            older,
        };
        if key.ok_or(IdentityError::Line("key"))? != found.key() {
            return Err(IdentityError::Apart);
        }
        Ok(found)
    }

    /// The seed where it lies.
    pub(crate) fn seed(&self) -> &[u8; 32] {
        &self.seed
    }

    fn secret(&self) -> SigningKey {
        SigningKey::from_bytes(&self.seed)
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

/// The same, where they are a secret.
fn secret_of_hex(text: &str) -> Option<Secret> {
    let mut secret = Secret::default();
    if text.len() != 2 * secret.len() {
        return None;
    }
    let slot: &mut [u8; 32] = &mut secret;
    HEXLOWER_PERMISSIVE.decode_mut(text.as_bytes(), slot).ok()?;
    Some(secret)
}

fn opener_of(seal: &[u8; 32]) -> Option<age::x25519::Identity> {
    let mut text = Zeroizing::new(String::with_capacity(TEXT));
    age_text(seal, &mut text);
    text.parse().ok()
}

/// The characters of Bech32 (BIP-173), by value.
const BECH32: &[u8; 32] = b"QPZRY9X8GF2TVDW0S3JN54KHCE6MUA7L";
/// What an age secret begins with, by age's specification (C2SP age).
const AGE: &str = "AGE-SECRET-KEY-";

/// An X25519 secret as age writes it: Bech32, upper case. `out` has the room for it.
fn age_text(secret: &[u8; 32], out: &mut String) {
    let mut data = fives(secret);
    let sum = bech32_sum(data.iter().copied().chain([0; 6])) ^ 1;
    data.extend((0..6).map(|place| (sum >> (5 * (5 - place)) & 31) as u8));
    out.push_str(AGE);
    out.push('1');
    let letters = data.iter().filter_map(|five| BECH32.get(usize::from(*five)));
    out.extend(letters.map(|byte| char::from(*byte)));
}

fn from_age_text(text: &str) -> Option<Secret> {
    let body = text.strip_prefix(AGE)?.strip_prefix('1')?;
    if body.len() != 58 {
        return None;
    }
    let mut data = Zeroizing::new(Vec::with_capacity(body.len()));
    for byte in body.bytes() {
        let place = BECH32.iter().position(|known| *known == byte)?;
        data.push(u8::try_from(place).ok()?);
    }
    if bech32_sum(data.iter().copied()) != 1 {
        return None;
    }
    let (mut bytes, mut held, mut bits) = (Zeroizing::new(Vec::with_capacity(32)), 0_u32, 0);
    for five in data.iter().take(52) {
        held = held << 5 | u32::from(*five);
        bits += 5;
        if bits >= 8 {
            bits -= 8;
            bytes.push((held >> bits & 0xff) as u8);
        }
    }
    secret_of(&bytes)
}

/// 32 bytes as 52 groups of five bits.
fn fives(bytes: &[u8; 32]) -> Zeroizing<Vec<u8>> {
    // The sum of six comes behind them.
    let (mut out, mut held, mut bits) = (Zeroizing::new(Vec::with_capacity(58)), 0_u32, 0);
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
        Identity::from_text(&format!("{}later a word of a newer program\n", *text)).unwrap();
    }

    #[test]
    fn a_copy_is_another_and_still_opens_what_was_sealed_to_the_first() {
        let (first, mut last) = (some(), some());
        for step in 1..=u8::try_from(MOST_OLDER).unwrap() + 2 {
            last = last.copied(&[step; 64]);
        }
        assert_eq!(last.older.len(), MOST_OLDER);
        let copy = first.copied(&[9; 64]);
        assert!(copy.key() != first.key() && copy.recipient() != first.recipient());
        let back = Identity::from_text(&copy.to_text()).unwrap();
        let opens: Vec<String> = back
            .older_openers()
            .map(|one| one.to_public().to_string())
            .collect();
        assert_eq!(opens, [first.recipient().unwrap()]);
        assert!(last.to_text().len() < TEXT, "{}", last.to_text().len());
        let lines = copy.to_text().replace("older AGE", "older EGA");
        assert_eq!(
            Identity::from_text(&lines).unwrap_err(),
            IdentityError::Line("older")
        );
    }

    #[test]
    fn what_is_damaged_is_named() {
        let text = some().to_text().to_string();
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
        let other = Identity::generate(&[7; 64]).to_text().to_string();
        let secret = |text: &str| text.lines().nth(2).unwrap().to_owned();
        check(
            text.replace(&secret(&text), &secret(&other)),
            IdentityError::Apart,
        );
    }

    #[test]
    fn what_can_be_read_of_a_damaged_one_still_opens() {
        let first = some();
        let text = first.to_text().replacen("secret ", "secret x", 1);
        assert_eq!(
            Identity::from_text(&text).unwrap_err(),
            IdentityError::Line("secret")
        );
        let new = Identity::in_place_of(&text, &[9; 64]);
        assert_ne!(new.key(), first.key());
        let opens: Vec<String> = new
            .older_openers()
            .map(|one| one.to_public().to_string())
            .collect();
        assert_eq!(opens, [first.recipient().unwrap()]);
        for nothing in ["", "\u{fffd}\u{fffd}", "seal AGE-SECRET-KEY-1"] {
            assert_eq!(
                Identity::in_place_of(nothing, &[9; 64]).older_openers().count(),
                0,
                "{nothing}"
            );
        }
    }

    #[test]
    fn nothing_secret_is_printed() {
        let identity = some();
        let told = format!("{identity:?} {identity:#?}");
        assert!(told.contains(&identity.key().to_string()));
        assert!(
            !told.contains(&HEXLOWER.encode(&**identity.seed))
                && !told.contains(&HEXLOWER.encode(&**identity.seal))
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
            let mut ours = String::new();
            age_text(&identity.seal, &mut ours);
            assert_eq!(opener.to_string().expose_secret(), ours);
            assert!(identity.recipient().unwrap().starts_with("age1"));
        }
    }

    /// RFC 8032, section 7.1, test 2.
    #[test]
    fn the_key_and_its_signature_are_those_of_the_standard() {
        let seed = unhex("4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb").unwrap();
        let identity = Identity {
            seed: secret_of(&seed).unwrap(),
            seal: secret_of(&[1; 32]).unwrap(),
            older: Vec::new(),
        };
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
