//! Opens a sealed stream into a spool. It never leaves a byte in the spool unless the signature over all of it holds, and
//! never reads more than the limit, whatever the stream says of itself.

use std::io::{self, BufRead, BufReader, Read, SeekFrom};

use age::DecryptError;
use age::secrecy::SecretString;

use super::keys::holds;
use super::{OpeningKey, SealError, SealKind, Spool, WORK_MAX, front};

/// The longest header of an age file that is read: [`READERS_MAX`](super::READERS_MAX) readers of 98 bytes each, and some
/// to spare for what age adds at random.
const HEADER_MAX: usize = 32 * 1024;

/// How many lines a header may have. age's parser begins anew with each line, so their number is what a trap would use.
const HEADER_LINES: usize = 1_024;

/// A signature.
const SIGNATURE: usize = 64;

/// How much is taken out of the stream at once.
const STEP: usize = 64 * 1024;

/// What opens a stream.
pub enum Opener<'a> {
    /// This device's key.
    Device(&'a OpeningKey),
    /// A passphrase as it was typed.
    Passphrase(&'a str),
}

/// What was found in a stream. The content is in the spool.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opened {
    /// The record that it belongs to.
    pub record: String,
    /// The Ed25519 key of the device that wrote it. Whether that is a member is for the caller to say.
    pub sender: [u8; 32],
    /// Bytes of content.
    pub length: u64,
    /// BLAKE3 of the content.
    pub digest: [u8; 32],
}

/// Opens a stream of this kind, and of this record where one is given, into `spool`, which is emptied first, and stands
/// at its beginning afterwards. A newcomer does not know the record yet, and reads it out of what comes back.
///
/// # Errors
/// One for each thing that can be wrong; [`SealError::TooLarge`] beyond `limit` bytes of content. With any of them the
/// spool is empty.
pub fn open<F: Read, S: Spool + ?Sized>(
    from: F,
    opener: &Opener<'_>,
    kind: SealKind,
    record: Option<&str>,
    limit: u64,
    spool: &mut S,
) -> Result<Opened, SealError> {
    spool.empty()?;
    let opened = spooled(from, opener, kind, record, limit, spool);
    match opened {
        Ok(_) => spool.seek(SeekFrom::Start(0)).map(drop)?,
        Err(_) => spool.empty()?,
    }
    opened
}

/// Which record the front of a stream names, without reading on. Nothing is signed that far: it is good for telling one's
/// own file from others, and for nothing that is believed.
///
/// # Errors
/// Those of [`open`] up to the front.
pub fn claimed_record<F: Read>(from: F, opener: &Opener<'_>, kind: SealKind) -> Result<String, SealError> {
    Ok(front::read(&mut decrypted(from, opener)?, kind, None)?.record)
}

fn spooled<F: Read, S: Spool + ?Sized>(
    from: F,
    opener: &Opener<'_>,
    kind: SealKind,
    record: Option<&str>,
    limit: u64,
    spool: &mut S,
) -> Result<Opened, SealError> {
    let mut inside = decrypted(from, opener)?;
    let front = front::read(&mut inside, kind, record)?;
    let mut content = blake3::Hasher::new();
    // What was read and not yet spooled: the last 64 bytes of it may be the signature.
    let mut held = Vec::with_capacity(STEP + SIGNATURE);
    loop {
        let taken = (&mut inside)
            .take(STEP as u64)
            .read_to_end(&mut held)
            .map_err(front::inside)?;
        if taken == 0 {
            break;
        }
        let ready = held.len().saturating_sub(SIGNATURE);
        let (now, _) = held.split_at_checked(ready).unwrap_or_default();
        if content.count().saturating_add(now.len() as u64) > limit {
            return Err(SealError::TooLarge { limit });
        }
        content.update(now);
        spool.write_all(now)?;
        held.drain(..ready);
    }
    let signature: [u8; SIGNATURE] = held.try_into().map_err(|_| SealError::Malformed)?;
    let digest = content.finalize();
    if !holds(&front.sender, &front::signed(&front.bytes, &digest), &signature) {
        return Err(SealError::NotSigned);
    }
    spool.flush()?;
    Ok(Opened {
        record: front.record,
        sender: front.sender,
        length: content.count(),
        digest: *digest.as_bytes(),
    })
}

/// The plain bytes of an age file.
fn decrypted<F: Read>(from: F, opener: &Opener<'_>) -> Result<impl Read, SealError> {
    let mut from = BufReader::with_capacity(STEP, from);
    let header = header(&mut from)?;
    // The header as it was read, then the stream again: age reads no further than the header's own end from the first.
    let joined = io::Cursor::new(header).chain(from);
    let decryptor = age::Decryptor::new_buffered(joined).map_err(unopened)?;
    match (opener, decryptor.is_scrypt()) {
        (Opener::Device(key), false) => decryptor.decrypt(key.age()).map_err(unopened),
        (Opener::Passphrase(passphrase), true) => {
            let mut identity = age::scrypt::Identity::new(SecretString::from((*passphrase).to_owned()));
            identity.set_max_work_factor(WORK_MAX);
            decryptor
                .decrypt(std::iter::once(&identity as &dyn age::Identity))
                .map_err(unopened)
        }
        _ => Err(SealError::OtherWay),
    }
}

/// The header of an age file: its lines up to the one with the MAC.
fn header(from: &mut impl BufRead) -> Result<Vec<u8>, SealError> {
    let mut header = Vec::new();
    for _ in 0..HEADER_LINES {
        let begin = header.len();
        let room = (HEADER_MAX - begin) as u64;
        from.take(room).read_until(b'\n', &mut header)?;
        let line = header.get(begin..).unwrap_or_default();
        if line.last() != Some(&b'\n') {
            // Full, or at the end of the stream.
            return Err(if header.len() < HEADER_MAX {
                SealError::CutShort
            } else {
                SealError::Damaged
            });
        }
        if line.starts_with(b"--- ") {
            return Ok(header);
        }
        if begin == 0 && line != b"age-encryption.org/v1\n" {
            return Err(if line.starts_with(b"age-encryption.org/v") {
                SealError::Newer
            } else {
                SealError::Damaged
            });
        }
    }
    Err(SealError::Damaged)
}

fn unopened(error: DecryptError) -> SealError {
    match error {
        DecryptError::NoMatchingKeys => SealError::NotForMe,
        DecryptError::ExcessiveWork { .. } => SealError::TooMuchWork,
        // Only a passphrase's key comes to this: a device's that does not fit is passed over.
        DecryptError::DecryptionFailed | DecryptError::KeyDecryptionFailed => SealError::WrongPassphrase,
        DecryptError::Io(error) => front::inside(error),
        // The header or its MAC; that the version is the known one was seen before.
        _ => SealError::Damaged,
    }
}
