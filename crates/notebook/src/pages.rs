//! Where the pages were last, so that a browser finds there what was typed and not yet kept: it keeps drafts by address.
//!
//! It serves nothing; the face that does asks here.

use crate::{Notebook, Refusal};

/// The setting of this device with the port.
const PORT: &str = "pages port";

impl Notebook {
    /// The port that the pages had last.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn pages_port(&self) -> Result<Option<u16>, Refusal> {
        // A port that cannot be read is no port: another is taken, and remembered.
        Ok(self.store.setting(PORT)?.and_then(|text| text.parse().ok()))
    }

    /// Remembers the port that the pages have now; not in a folder that is left as it is, since a newer program made it.
    ///
    /// # Errors
    /// Where the folder cannot be read or written.
    pub fn keep_pages_port(&mut self, port: u16) -> Result<(), Refusal> {
        if self.may_write().is_err() || self.pages_port()? == Some(port) {
            return Ok(());
        }
        Ok(self.store.set(PORT, Some(&port.to_string()))?)
    }
}
