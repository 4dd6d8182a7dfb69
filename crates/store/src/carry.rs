//! The disk's side of carry files: where one is written, read and set down. What is in it is the frame's business.

use std::fs::File;
use std::io;
use std::path::Path;

use crate::{Outgoing, SetDown, Store};

impl Store {
    /// Begins a carry file: at a path, or under a name in the folder's own place for them.
    ///
    /// # Errors
    /// What the system said.
    pub fn outgoing(&self, path: Option<&Path>, name: &str) -> io::Result<Outgoing> {
        self.folder.outgoing(path, name)
    }

    /// Whether a path leads into a data folder, this one or another, where no carry file is written.
    #[must_use]
    pub fn is_own(&self, path: &Path) -> bool {
        self.folder.is_own(path)
    }

    /// Opens a carry file to read.
    ///
    /// # Errors
    /// What the system said.
    pub fn incoming(&self, path: &Path) -> io::Result<File> {
        self.folder.incoming(path)
    }

    /// Room for bytes that come another way, so that they can be read as a file; it is taken away when it is dropped, and
    /// where the program was killed before, at the next opening.
    ///
    /// # Errors
    /// What the system said.
    pub fn set_down(&self, name: &str) -> io::Result<SetDown> {
        self.folder.set_down(name)
    }

    /// The bytes of a carry file in the folder's own place, by its name alone.
    ///
    /// # Errors
    /// What the system said; `NotFound` for a name that leads anywhere else.
    pub fn carried(&self, name: &str) -> io::Result<Vec<u8>> {
        self.folder.carried(name)
    }
}
