//! A place that a drop lies in: a few calls, so that the rest can be tried without any. There is no call to lock or to rename,
//! and none that writes over a file under another name. How a place puts a file down whole is its own matter.

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

/// What a place lists of a record.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Listed {
    /// Its files.
    pub files: Vec<Seen>,
    /// Whether there are more than are ever listed, so that strangers' were left out.
    pub too_long: bool,
    /// Whether even the folders that were asked for are not listed wholly: a file that is not named may be there.
    pub cut: bool,
}

/// A place to write files to and read them from.
pub trait Place {
    /// Every file two folders deep below `folder`. One that is not there holds nothing.
    ///
    /// # Errors
    /// [`DropError::Place`] where the place cannot be asked.
    fn list(&mut self, folder: &str) -> Result<Vec<Seen>, DropError>;

    /// As [`Place::list`]. Where there are more files than are ever listed, those in these folders below `folder` are listed
    /// and no others: whoever fills a folder of their own must not hide anybody else's.
    ///
    /// # Errors
    /// [`DropError::Place`] where the place cannot be asked.
    fn list_known(&mut self, folder: &str, known: &[String]) -> Result<Listed, DropError> {
        let _ = known;
        let files = self.list(folder)?;
        Ok(Listed {
            files,
            ..Listed::default()
        })
    }

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
