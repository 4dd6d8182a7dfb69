//! A place that a drop lies in: a few calls, so that the rest can be tried without any. It never locks, never renames,
//! and never writes over a file under another name.

use std::io::Write;

use super::DropError;

/// A file as a place lists it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seen {
    /// Its path below the place, with `/`.
    pub path: String,
    /// Its length in bytes, as the place says.
    pub size: u64,
    /// What changes when the file does: a tag or a moment of the place's own. Compared, never read.
    pub mark: String,
}

/// A place to write files to and read them from.
pub trait Place {
    /// Every file two folders deep below `folder`. One that is not there holds nothing.
    ///
    /// # Errors
    /// [`DropError::Place`] where the place cannot be asked.
    fn list(&mut self, folder: &str) -> Result<Vec<Seen>, DropError>;

    /// The file's bytes into `into`, as they come.
    ///
    /// # Errors
    /// [`DropError::Gone`] where it is not there, [`DropError::TooLarge`] beyond `limit` bytes, [`DropError::Place`].
    fn read(&mut self, path: &str, limit: u64, into: &mut dyn Write) -> Result<(), DropError>;

    /// Writes a whole file.
    ///
    /// # Errors
    /// [`DropError::Place`].
    fn write(&mut self, path: &str, bytes: Vec<u8>) -> Result<(), DropError>;

    /// Removes a file. One that is not there is removed.
    ///
    /// # Errors
    /// [`DropError::Place`].
    fn remove(&mut self, path: &str) -> Result<(), DropError>;
}
