//! What makes a name in a folder last. It writes nothing itself.

use std::fs::File;
use std::path::Path;

use crate::StoreError;

/// Makes a new name in a folder survive a power cut. Where a folder cannot be opened as a file, the system does
/// that by itself.
pub(super) fn sync_folder(dir: &Path) -> Result<(), StoreError> {
    if cfg!(unix) {
        let synced = File::open(dir).and_then(|folder| folder.sync_all());
        synced.map_err(|e| StoreError::io("sync a folder", e))?;
    }
    Ok(())
}
