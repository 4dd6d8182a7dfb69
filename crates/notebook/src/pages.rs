//! Where the pages were last, so that a browser finds there what was typed and not yet kept: it keeps drafts by address.
//!
//! It serves nothing; the face that does asks here.

use store::Choices;

use crate::notebook::Notebook;
use crate::refusal::Refusal;

impl Notebook {
    /// The port that the pages had last.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn pages_port(&self) -> Result<Option<u16>, Refusal> {
        Ok(self.store.choices()?.pages_port)
    }

    /// Remembers the port that the pages have now; not in a folder that is left as it is, since a newer program made it.
    ///
    /// # Errors
    /// Where the folder cannot be read or written.
    pub fn keep_pages_port(&mut self, port: u16) -> Result<(), Refusal> {
        if self.may_write().is_err() || self.pages_port()? == Some(port) {
            return Ok(());
        }
        let choices = Choices {
            pages_port: Some(port),
            ..self.store.choices()?
        };
        Ok(self.store.choose(&choices)?)
    }
}
