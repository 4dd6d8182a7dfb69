//! Carry files: where one is read and set down; one goes out by what is lent (`lent`). What is in it is the frame's business.

use std::io;

use crate::{Incoming, SetDown, Store};

impl Store {
    /// Opens a carry file to read.
    ///
    /// # Errors
    /// What the system said.
    pub fn incoming(&self, place: &str) -> io::Result<Box<dyn Incoming>> {
        self.folder.incoming(place)
    }

    /// Room for bytes that come another way, so that they can be read as a file; it is taken away when it is dropped, and
    /// where the program was killed before, at the next opening.
    ///
    /// # Errors
    /// What the system said.
    pub fn set_down(&self, name: &str) -> io::Result<Box<dyn SetDown>> {
        self.folder.set_down(name)
    }

    /// The bytes of a carry file here, by its name alone.
    ///
    /// # Errors
    /// What the system said; `NotFound` for a name that leads anywhere else.
    pub fn carried(&self, name: &str) -> io::Result<Vec<u8>> {
        self.folder.carried(name)
    }
}
