//! What the tests share: two devices, and a forge that lays down sealed streams by the documented layout with no check at
//! all. The forge never calls the crate's writer, so it also checks the layout.

use std::io::{Cursor, Write};

use age::secrecy::SecretString;
use ed25519_dalek::Signer;
use link::seal::{
    self, Opened, Opener, OpeningKey, Readers, SealError, SealKind, Sealing, SigningKey, Subject,
};

pub(crate) const RECORD: &str = "0198f3a2-0000-7000-8000-000000000001";
pub(crate) const SECRET: [u8; 32] = [7; 32];

/// Bytes that do not pack, the same on every machine.
pub(crate) fn noise(length: usize) -> Vec<u8> {
    let mut bytes = vec![0; length];
    blake3::Hasher::new()
        .update(b"noise")
        .finalize_xof()
        .fill(&mut bytes);
    bytes
}

pub(crate) fn about() -> Subject<'static> {
    Subject {
        record: RECORD,
        kind: SealKind::Carry,
    }
}

pub(crate) fn sealed(content: &[u8], readers: &Readers<'_>) -> Vec<u8> {
    let sign = SigningKey::from_bytes(SECRET);
    let mut sealing = Sealing::new(Vec::new(), &sign, &about(), readers).unwrap();
    sealing.write_all(content).unwrap();
    sealing.finish().unwrap()
}

pub(crate) fn for_device(content: &[u8], device: &OpeningKey) -> Vec<u8> {
    sealed(content, &Readers::Members(&[device.seal()]))
}

/// Opens with a generous limit. Whatever is refused must leave nothing in the spool.
pub(crate) fn opened(sealed: &[u8], opener: &Opener<'_>) -> Result<(Opened, Vec<u8>), SealError> {
    opened_as(sealed, opener, Some(RECORD), 1 << 30)
}

pub(crate) fn opened_as(
    sealed: &[u8],
    opener: &Opener<'_>,
    record: Option<&str>,
    limit: u64,
) -> Result<(Opened, Vec<u8>), SealError> {
    // Something of an earlier file, which must not stay either.
    let mut spool = Cursor::new(vec![1, 2, 3]);
    let result = seal::open(sealed, opener, SealKind::Carry, record, limit, &mut spool);
    match result {
        Ok(opened) => {
            assert_eq!(spool.position(), 0);
            Ok((opened, spool.into_inner()))
        }
        Err(error) => {
            assert_eq!(spool.into_inner(), b"", "something was left: {error}");
            Err(error)
        }
    }
}

/// Encrypts anything at all for a device.
pub(crate) fn encrypted(plain: &[u8], device: &OpeningKey) -> Vec<u8> {
    let seal: age::x25519::Recipient = device.seal().parse().unwrap();
    let encryptor = age::Encryptor::with_recipients(std::iter::once(&seal as &dyn age::Recipient)).unwrap();
    let mut out = encryptor.wrap_output(Vec::new()).unwrap();
    out.write_all(plain).unwrap();
    out.finish().unwrap()
}

/// Encrypts anything at all to a passphrase, with so much work.
pub(crate) fn encrypted_to(plain: &[u8], passphrase: &str, work: u8) -> Vec<u8> {
    let mut recipient = age::scrypt::Recipient::new(SecretString::from(passphrase.to_owned()));
    recipient.set_work_factor(work);
    let encryptor =
        age::Encryptor::with_recipients(std::iter::once(&recipient as &dyn age::Recipient)).unwrap();
    let mut out = encryptor.wrap_output(Vec::new()).unwrap();
    out.write_all(plain).unwrap();
    out.finish().unwrap()
}

/// The inside by the documented layout: `layout`, kind, record, what is said to be the sender, content, signature.
pub(crate) struct Inside<'a> {
    pub(crate) magic: &'a [u8],
    pub(crate) layout: u16,
    pub(crate) kind: u8,
    pub(crate) record: &'a str,
    pub(crate) content: &'a [u8],
    /// Who signs; it names the device of [`SECRET`] all the same.
    pub(crate) signs: [u8; 32],
    pub(crate) words: &'a [u8],
}

impl Default for Inside<'_> {
    fn default() -> Self {
        Inside {
            magic: b"wmseal",
            layout: 1,
            kind: 1,
            record: RECORD,
            content: b"the content",
            signs: SECRET,
            words: b"witnessmark sealed content 1\0",
        }
    }
}

impl Inside<'_> {
    pub(crate) fn bytes(&self) -> Vec<u8> {
        let named = ed25519_dalek::SigningKey::from_bytes(&SECRET);
        let mut front = vec![self.kind, u8::try_from(self.record.len()).unwrap()];
        front.extend(self.record.as_bytes());
        front.extend(named.verifying_key().to_bytes());
        let mut signed = self.words.to_vec();
        signed.extend(&front);
        signed.extend(blake3::hash(self.content).as_bytes());
        let signature = ed25519_dalek::SigningKey::from_bytes(&self.signs).sign(&signed);
        [
            self.magic,
            &self.layout.to_le_bytes(),
            &front,
            self.content,
            &signature.to_bytes(),
        ]
        .concat()
    }
}
