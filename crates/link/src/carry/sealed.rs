//! A sealed carry file: an open one inside a sealed stream. It never writes a word of the record in the clear, and never
//! leaves a byte of one that could not be opened whole.

use std::borrow::Borrow;
use std::io::{self, Read, Seek, SeekFrom, Write};

use super::frame::{self, FrameInput, MEMBERS, PASSPHRASE};
use super::{CarryError, Hash};
use crate::seal::{self, Opened, Opener, Readers, SealKind, Sealing, SigningKey, Spool, Subject};

/// How long what stands before the sealed stream is.
const FRONT: u64 = 16;
/// How long the BLAKE3 behind it is.
const DIGEST: u64 = 32;

/// Who can read a carry file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seal {
    /// Everybody.
    Open,
    /// The members of the record that it was sealed for.
    Members,
    /// Whoever knows the passphrase.
    Passphrase,
}

/// Looks who can read the carry file that begins here: by it the caller asks for a passphrase, or does not.
///
/// # Errors
/// Those of [`peek`](super::peek) up to the first page.
pub fn seal_of(file: &mut impl Read) -> Result<Seal, CarryError> {
    match FrameInput::new(file).seal()? {
        MEMBERS => Ok(Seal::Members),
        PASSPHRASE => Ok(Seal::Passphrase),
        0 => Ok(Seal::Open),
        seal => Err(CarryError::Sealed { seal }),
    }
}

/// The outside of a sealed carry file: give it to [`Writer`](super::Writer) as the stream to write to, then call
/// [`Sealed::finish`] on what comes back.
#[must_use = "a sealed carry file without its end is refused by every reader: call finish"]
pub struct Sealed<K: Borrow<SigningKey>, W: Write>(Sealing<K, Hashing<W>>);

impl<K: Borrow<SigningKey>, W: Write> Sealed<K, W> {
    /// Begins a file for these readers. Wants a buffered `out`.
    ///
    /// # Errors
    /// Those of [`Sealing::new`].
    pub fn new(out: W, sender: K, record: &str, readers: &Readers<'_>) -> Result<Self, CarryError> {
        let seal = match readers {
            Readers::Members(_) => MEMBERS,
            Readers::Passphrase(_) => PASSPHRASE,
        };
        let mut out = Hashing {
            out,
            hasher: blake3::Hasher::new(),
        };
        out.write_all(&frame::preamble(seal)).map_err(CarryError::Io)?;
        let about = Subject {
            record,
            kind: SealKind::Carry,
        };
        Ok(Sealed(Sealing::new(out, sender, &about, readers)?))
    }

    /// Ends the file; gives back `out`, flushed but not synced.
    ///
    /// # Errors
    /// Those of `out`.
    pub fn finish(self) -> Result<W, CarryError> {
        self.finish_with_sum().map(|(out, _)| out)
    }

    /// As [`finish`](Self::finish), with the sum that stands at the end of the file now.
    ///
    /// # Errors
    /// Those of `out`.
    pub fn finish_with_sum(self) -> Result<(W, Hash), CarryError> {
        let Hashing { mut out, hasher } = self.0.finish()?;
        let sum = *hasher.finalize().as_bytes();
        out.write_all(&sum)
            .and_then(|()| out.flush())
            .map_err(CarryError::Io)?;
        Ok((out, sum))
    }
}

impl<K: Borrow<SigningKey>, W: Write> Write for Sealed<K, W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

/// Opens a sealed carry file, of this record where one is given, into `spool`: what lies there then is an open carry file,
/// for [`check`](super::check) and [`read`](super::read). At most `limit` bytes of it.
///
/// # Errors
/// [`CarryError::Damaged`] and [`CarryError::Truncated`] where the file is not as its sender made it, [`CarryError::Seal`]
/// for what is wrong with a file that is. With any of them the spool is empty.
pub fn unseal<F: Read + Seek, S: Spool + ?Sized>(
    file: &mut F,
    opener: &Opener<'_>,
    record: Option<&str>,
    limit: u64,
    spool: &mut S,
) -> Result<Opened, CarryError> {
    spool.empty().map_err(CarryError::Io)?;
    file.seek(SeekFrom::Start(0))?;
    let seal = seal_of(file)?;
    let fits = matches!(
        (seal, opener),
        (Seal::Members, Opener::Device(_)) | (Seal::Passphrase, Opener::Passphrase(_))
    );
    if !fits {
        return Err(CarryError::Seal(seal::SealError::OtherWay));
    }
    let length = file.seek(SeekFrom::End(0))?;
    let inside = length.checked_sub(FRONT + DIGEST).ok_or(CarryError::Truncated)?;
    // Damage is found before anything is opened, so that a seal that does not open is no damage.
    file.seek(SeekFrom::Start(0))?;
    if !frame::unharmed(file, length)? {
        return Err(CarryError::Damaged);
    }
    file.seek(SeekFrom::Start(FRONT))?;
    Ok(seal::open(
        file.by_ref().take(inside),
        opener,
        SealKind::Carry,
        record,
        limit,
        spool,
    )?)
}

/// Which record a carry file says that it is of, as far as it can be opened; nothing of it was checked, so this tells one's
/// own file from others and no more. Without an opener only an open one is read.
///
/// # Errors
/// Those of [`peek`](super::peek) and [`unseal`].
pub fn claimed_record<F: Read + Seek>(
    file: &mut F,
    opener: Option<&Opener<'_>>,
) -> Result<String, CarryError> {
    file.seek(SeekFrom::Start(0))?;
    let seal = seal_of(file)?;
    if seal == Seal::Open {
        file.seek(SeekFrom::Start(0))?;
        return Ok(super::peek(file, &super::Limits::default())?.record);
    }
    let opener = opener.ok_or(CarryError::Seal(seal::SealError::OtherWay))?;
    let length = file.seek(SeekFrom::End(0))?;
    let inside = length.checked_sub(FRONT + DIGEST).ok_or(CarryError::Truncated)?;
    file.seek(SeekFrom::Start(FRONT))?;
    Ok(seal::claimed_record(
        file.by_ref().take(inside),
        opener,
        SealKind::Carry,
    )?)
}

/// Hashes what passes.
struct Hashing<W> {
    out: W,
    hasher: blake3::Hasher,
}

impl<W: Write> Write for Hashing<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let taken = self.out.write(bytes)?;
        self.hasher.update(bytes.get(..taken).unwrap_or_default());
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// How long a sealed file is around `content` bytes for so many members, or for a passphrase with nought of them.
pub(super) fn around(content: u64, record: &str, readers: usize) -> u64 {
    FRONT + DIGEST + seal::sealed_size(content, record, readers)
}

const _: () = assert!(size_of::<Hash>() as u64 == DIGEST);
