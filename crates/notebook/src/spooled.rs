//! The store's room for a file that is being opened, as sealing asks for it. It adds nothing: neither crate may know the other.

use std::io::{self, Read, Seek, SeekFrom, Write};

use link::seal::Spool;
use store::Room;

/// A room of the store's.
pub struct Spooled(pub(crate) Box<dyn Room>);

impl std::fmt::Debug for Spooled {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Spooled")
    }
}

impl Read for Spooled {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.0.read(into)
    }
}

impl Write for Spooled {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

impl Seek for Spooled {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.0.seek(to)
    }
}

impl Spool for Spooled {
    fn empty(&mut self) -> io::Result<()> {
        self.0.empty()
    }
}
