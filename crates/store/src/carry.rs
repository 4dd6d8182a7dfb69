//! Carry files: where one is written, read and set down. What is in it is the frame's business.

use std::io;

use crate::{Incoming, Outgoing, SetDown, Store};

impl Store {
    /// Begins a carry file: at a place that was named, or under a name of its own among the carry files here.
    ///
    /// # Errors
    /// What the system said.
    pub fn outgoing(&self, place: Option<&str>, name: &str) -> io::Result<Box<dyn Outgoing>> {
        self.folder.outgoing(place, name)
    }

    /// What a carry file at a place is called until it is whole.
    #[must_use]
    pub fn part_of(&self, place: &str) -> String {
        self.folder.part_of(place)
    }

    /// Whether a place is inside a data folder, this one or another, where no carry file is written.
    #[must_use]
    pub fn is_own(&self, place: &str) -> bool {
        self.folder.is_own(place)
    }

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
