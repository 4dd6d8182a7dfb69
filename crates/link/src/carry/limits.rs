//! How much a reader takes, and a writer writes, of each thing. It never grows with what a file says of itself.

/// Upper limits. The defaults take an honest record four times the size of ten years' evenings, and keep a trap
/// small.
///
/// The sizes come from a measured record of ten years: 31,000 changes, about 10 MB of open change bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct Limits {
    /// Bytes of the head. 64 KiB hold some 900 heads; a record has about as many heads as devices.
    pub head: u64,
    /// Bytes of one change, open. A change is one edit of one keeper; 16 MiB is a very long day sheet.
    pub change: u64,
    /// Bytes of all changes, open, with [`Limits::PER_CHANGE`] added for each. 48 MiB: four ten-year records
    /// (124,000 changes of 40 MB, together 48 MB) go through, and a taker that collects them all before it applies
    /// the first stays below 64 MB.
    pub changes: u64,
    /// Number of changes: sixteen ten-year records.
    pub change_count: u64,
    /// Bytes of one photo. 64 MiB is more than a phone's raw picture. Photos are never packed, so their sum cannot
    /// exceed the file's own length and needs no limit.
    pub photo: u64,
    /// Number of photos: 27 for each day of ten years.
    pub photo_count: u64,
}

impl Limits {
    /// What one change costs beside its bytes: its hash, its length and the room a taker needs to hold it.
    pub const PER_CHANGE: u64 = 64;
}

impl Default for Limits {
    fn default() -> Self {
        const KIB: u64 = 1024;
        const MIB: u64 = 1024 * KIB;
        Limits {
            head: 64 * KIB,
            change: 16 * MIB,
            changes: 48 * MIB,
            change_count: 500_000,
            photo: 64 * MIB,
            photo_count: 100_000,
        }
    }
}
