//! A turn with the notebook, for a thread that must not keep it open.

use std::sync::{Mutex, MutexGuard, PoisonError, Weak};

use notebook::Notebook;

/// What a lock guards, also where whoever held it before failed: a notebook's call that panicked leaves nothing half done.
pub(crate) fn locked<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Does something with the notebook, if it is still open.
pub(crate) fn turn<T>(notebook: &Weak<Mutex<Notebook>>, work: impl FnOnce(&mut Notebook) -> T) -> Option<T> {
    let notebook = notebook.upgrade()?;
    let mut notebook = locked(&notebook);
    Some(work(&mut notebook))
}
