//! How much a check reads: of the folder, and in one step. It reads nothing itself.

/// How much a check reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Depth {
    /// Everything but the originals of photos, of which only the length is looked at.
    Quick,
    /// Every byte.
    Whole,
}

/// What a step of a check may still do: a row, or four thousand bytes of a photo, is one.
pub(super) type Left = u32;

/// Bytes that count as one row.
pub(super) const BYTES_OF_ONE: u32 = 4 * 1024;
