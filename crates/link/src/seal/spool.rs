//! Where opened content waits until its signature was found good. It is the caller's; nothing here opens a file.

use std::fs::File;
use std::io::{self, Cursor, Read, Seek, SeekFrom, Write};

/// Room for content that is not yet believed: a temporary file, or memory.
pub trait Spool: Read + Write + Seek {
    /// Leaves nothing of what was written, and stands at the beginning again.
    ///
    /// # Errors
    /// Those of the file.
    fn empty(&mut self) -> io::Result<()>;
}

impl Spool for File {
    fn empty(&mut self) -> io::Result<()> {
        self.set_len(0)?;
        self.seek(SeekFrom::Start(0)).map(drop)
    }
}

impl Spool for Cursor<Vec<u8>> {
    fn empty(&mut self) -> io::Result<()> {
        self.get_mut().clear();
        self.set_position(0);
        Ok(())
    }
}

impl<S: Spool + ?Sized> Spool for &mut S {
    fn empty(&mut self) -> io::Result<()> {
        (**self).empty()
    }
}

impl<S: Spool + ?Sized> Spool for Box<S> {
    fn empty(&mut self) -> io::Result<()> {
        (**self).empty()
    }
}
