//! With whom a meeting is, and about which record.

use record::Id;

/// A record that is shared with a device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shared {
    /// Which record.
    pub record: Id,
    /// The device, as the record names it.
    pub device: Id,
}
