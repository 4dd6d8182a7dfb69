//! A carry file that is being written, however it is sealed. Dropped before its end, it leaves no file.

use std::io::Write;

use link::carry::{CarryError, Hash, Head, Sealed, Writer};
use link::seal::{Readers, SigningKey};
use link::vouch::Mark;
use record::Id;
use store::{Incoming, Outgoing};

use crate::refusal::Refusal;
use crate::sealing::Sealing;

type File = Box<dyn Outgoing>;

/// The file with what goes into it.
pub(super) enum Out {
    Open(Box<Writer<File>>),
    Sealed(Box<Writer<Sealed<SigningKey, File>>>),
}

/// The same for either.
macro_rules! each {
    ($out:expr, $writer:ident => $what:expr) => {
        match $out {
            Out::Open($writer) => $what,
            Out::Sealed($writer) => $what,
        }
    };
}

impl Out {
    /// Begins a file; a passphrase is made a key of here, which takes its second.
    pub(super) fn begin(file: File, sealing: &Sealing, record: &Id, head: Head) -> Result<Self, Refusal> {
        let (identity, readers) = match sealing {
            Sealing::Open => return Ok(Self::Open(Box::new(Writer::new(file, head)?))),
            Sealing::Members { identity, seals, .. } => (identity, Readers::Members(seals)),
            Sealing::Passphrase { identity, passphrase } => (identity, Readers::Passphrase(passphrase)),
        };
        let sealed = Sealed::new(file, SigningKey::of(identity), record.as_str(), &readers)?;
        Ok(Self::Sealed(Box::new(Writer::new(sealed, head)?)))
    }

    pub(super) fn change(&mut self, hash: &Hash, bytes: &[u8]) -> Result<(), CarryError> {
        each!(self, writer => writer.change(hash, bytes))
    }

    pub(super) fn marks(&mut self, marks: &[Mark]) -> Result<(), CarryError> {
        each!(self, writer => writer.marks(marks))
    }

    pub(super) fn begin_photo(&mut self, hash: &Hash, length: u64) -> Result<(), CarryError> {
        each!(self, writer => writer.begin_photo(hash, length))
    }

    /// The next piece of a photo; how many bytes of it are left.
    pub(super) fn photo_piece(&mut self, mut from: &mut dyn Incoming) -> Result<u64, CarryError> {
        each!(self, writer => writer.photo_piece(&mut from))
    }

    /// Ends the file, which has no name yet; with it the sum that stands at its end.
    pub(super) fn finish(self) -> Result<(File, Hash), CarryError> {
        match self {
            Self::Open(writer) => {
                let (file, contents) = writer.finish()?;
                Ok((flushed(file)?, contents.digest))
            }
            Self::Sealed(writer) => writer.finish()?.0.finish_with_sum(),
        }
    }
}

fn flushed(mut file: File) -> Result<File, CarryError> {
    file.flush().map_err(CarryError::Io)?;
    Ok(file)
}
