//! Whoever lends the notebook for one turn after the other, and does between two of them what is slow. It holds no notebook longer than
//! a turn.

use crate::notebook::Notebook;
use crate::photo::{Decoded, look_at_photo};
use crate::refusal::Refusal;

/// Whoever lends the notebook for a turn.
pub trait Turns {
    /// Does something with the notebook.
    fn turn<T>(&mut self, work: impl FnOnce(&mut Notebook) -> T) -> T;
    /// Looks at a photo between two turns.
    ///
    /// # Errors
    /// As [`look_at_photo`].
    fn look(&mut self, photo: &[u8]) -> Result<Decoded, Refusal> {
        look_at_photo(photo)
    }
}

impl Turns for Notebook {
    fn turn<T>(&mut self, work: impl FnOnce(&mut Notebook) -> T) -> T {
        work(self)
    }
}

impl<L: Turns> Turns for &mut L {
    fn turn<T>(&mut self, work: impl FnOnce(&mut Notebook) -> T) -> T {
        (**self).turn(work)
    }

    fn look(&mut self, photo: &[u8]) -> Result<Decoded, Refusal> {
        (**self).look(photo)
    }
}
