//! The name of a change as rows of the log keep it, read once for all tables that stand beside the log. It reads no table.

use record::ChangeId;

use crate::StoreError;

/// The change that a row of the log names.
pub(super) fn change_named(seq: u32, hash: &str) -> Result<ChangeId, StoreError> {
    ChangeId::from_hex(hash)
        .ok_or_else(|| StoreError::damaged(format!("row {seq} of the log has no readable hash")))
}
