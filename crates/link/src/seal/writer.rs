//! Seals a stream as it is written. It never holds more of it than age's own piece of 64 KiB, and what was written
//! without [`Sealing::finish`] can be opened by nobody.

use std::borrow::Borrow;
use std::io::{self, Write};

use age::secrecy::SecretString;
use age::stream::StreamWriter;

use super::{READERS_MAX, SealError, SigningKey, Subject, WORK, front};

/// Who can open what is sealed.
pub enum Readers<'a> {
    /// The devices with these seals (`age1…`), at most [`READERS_MAX`]. The sender's own among them, where it is to
    /// read it again.
    Members(&'a [String]),
    /// Whoever knows the passphrase: for a newcomer. Best one that the program thought of.
    Passphrase(&'a str),
}

/// A stream that is being sealed: what is written into it is the content. The sender's key is borrowed or owned.
#[must_use = "a sealed stream without its end is refused by every reader: call finish"]
pub struct Sealing<K: Borrow<SigningKey>, W: Write> {
    out: StreamWriter<W>,
    sender: K,
    front: Vec<u8>,
    content: blake3::Hasher,
}

impl<K: Borrow<SigningKey>, W: Write> Sealing<K, W> {
    /// Begins a stream into `out`, which had better be buffered.
    ///
    /// # Errors
    /// [`SealError::Readers`] for nobody or too many, [`SealError::BadSeal`], [`SealError::BadRecord`], and those of
    /// `out`.
    pub fn new(out: W, sender: K, about: &Subject<'_>, readers: &Readers<'_>) -> Result<Self, SealError> {
        let front = front::write(about, &sender.borrow().public())?;
        let mut out = match readers {
            Readers::Members(seals) => {
                if seals.is_empty() || seals.len() > READERS_MAX {
                    return Err(SealError::Readers);
                }
                let seals = seals
                    .iter()
                    .map(|seal| seal.parse().map_err(|_| SealError::BadSeal))
                    .collect::<Result<Vec<age::x25519::Recipient>, _>>()?;
                begun(seals.iter().map(|seal| seal as &dyn age::Recipient), out)?
            }
            Readers::Passphrase(passphrase) => {
                let mut recipient = age::scrypt::Recipient::new(SecretString::from((*passphrase).to_owned()));
                recipient.set_work_factor(WORK);
                begun(std::iter::once(&recipient as &dyn age::Recipient), out)?
            }
        };
        out.write_all(&front)?;
        Ok(Sealing {
            out,
            sender,
            front,
            content: blake3::Hasher::new(),
        })
    }

    /// Signs and ends the stream; gives back `out`, flushed but not synced.
    ///
    /// # Errors
    /// Those of `out`.
    pub fn finish(mut self) -> Result<W, SealError> {
        let signed = front::signed(&self.front, &self.content.finalize());
        self.out.write_all(&self.sender.borrow().sign(&signed))?;
        let mut out = self.out.finish()?;
        out.flush()?;
        Ok(out)
    }
}

fn begun<'r, W: Write>(
    readers: impl Iterator<Item = &'r dyn age::Recipient>,
    out: W,
) -> Result<StreamWriter<W>, SealError> {
    let encryptor = age::Encryptor::with_recipients(readers).map_err(|_| SealError::Readers)?;
    Ok(encryptor.wrap_output(out)?)
}

impl<K: Borrow<SigningKey>, W: Write> Write for Sealing<K, W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let taken = self.out.write(bytes)?;
        self.content.update(bytes.get(..taken).unwrap_or_default());
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}
