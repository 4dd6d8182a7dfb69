//! A turn with the notebook, for a thread that must not keep it open.

use std::sync::{Mutex, MutexGuard, PoisonError, Weak};

use notebook::Notebook;

/// The notebook, which is asked for one turn at a time. Its lock serves whoever waits before whoever comes again, at the latest
/// after half a millisecond, and remembers no call that panicked, since that leaves nothing half done.
pub(crate) type InTurns = parking_lot::Mutex<Notebook>;

/// What a lock guards, also where whoever held it before failed.
pub(crate) fn locked<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Does something with the notebook, if it is still open.
pub(crate) fn turn<T>(notebook: &Weak<InTurns>, work: impl FnOnce(&mut Notebook) -> T) -> Option<T> {
    let notebook = notebook.upgrade()?;
    let mut notebook = notebook.lock();
    Some(work(&mut notebook))
}
