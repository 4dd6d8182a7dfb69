//! Where one photo at a time is looked at, whichever road it came by: what one may cost is bounded, and so is what all cost that
//! come at once. Whoever reads a photo into memory to have it looked at goes in before, and never with a notebook in hand.

use std::sync::{Mutex, MutexGuard, PoisonError};

use notebook::{Decoded, Refusal};

/// Held while a photo is looked at.
pub(crate) struct Darkroom {
    _one: MutexGuard<'static, ()>,
}

impl Darkroom {
    pub(crate) fn enter() -> Self {
        static ONE: Mutex<()> = Mutex::new(());
        Self {
            _one: ONE.lock().unwrap_or_else(PoisonError::into_inner),
        }
    }

    /// Looks at a photo, and makes its small picture.
    pub(crate) fn decode(&self, bytes: &[u8]) -> Result<Decoded, Refusal> {
        notebook::look_at_photo(bytes)
    }
}
