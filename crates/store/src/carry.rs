//! The disk's side of carry files: where one is written, read and set down. What is in it is the frame's business.

use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};

use crate::{Outgoing, Store};

impl Store {
    /// Begins a carry file: at a path, or under a name in the folder's own place for them.
    ///
    /// # Errors
    /// What the system said.
    pub fn outgoing(&self, path: Option<&Path>, name: &str) -> io::Result<Outgoing> {
        self.folder.outgoing(path, name)
    }

    /// Opens a carry file to read.
    ///
    /// # Errors
    /// What the system said.
    pub fn incoming(&self, path: &Path) -> io::Result<File> {
        self.folder.incoming(path)
    }

    /// Sets down bytes that came another way, so that they can be read as a file.
    ///
    /// # Errors
    /// What the system said.
    pub fn set_down(&self, name: &str, bytes: &[u8]) -> io::Result<PathBuf> {
        self.folder.set_down(name, bytes)
    }

    /// Takes away a file that was set down.
    ///
    /// # Errors
    /// What the system said.
    pub fn clear_away(&self, path: &Path) -> io::Result<()> {
        self.folder.clear_away(path)
    }

    /// The bytes of a carry file in the folder's own place, by its name alone.
    ///
    /// # Errors
    /// What the system said; `NotFound` for a name that leads anywhere else.
    pub fn carried(&self, name: &str) -> io::Result<Vec<u8>> {
        self.folder.carried(name)
    }
}
