//! The stream of changes, in parts: each change as its length (4 bytes, little-endian) and its bytes, one after the
//! other, cut into parts of at most [`PART_OPEN`] bytes, each packed by itself. A change may cross parts.
//!
//! It never opens a part further than it says and than a part may be, and never looks into a change. A change's hash
//! does not cross: whoever takes the change in computes it. Signatures over changes ([`crate::vouch::Mark`]) stand in
//! the same stream, each behind its change, and count as no change.
//!
//! Source: DEFLATE is RFC 1951. The stream is our own.

use std::collections::VecDeque;
use std::io::Write;

use crate::vouch::Mark;

use flate2::write::DeflateEncoder;
use flate2::{Compression, Decompress, FlushDecompress, Status};

/// Most bytes of a part, open.
pub const PART_OPEN: usize = 256 * 1024;

/// Most bytes of one change: as much as the record's gate takes.
pub const CHANGE_MAX: usize = 4 << 20;

/// How many times longer than its packed bytes an open part may be, as in a carry file.
const SWELL_MAX: usize = 32;

/// A part on its way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Part {
    pub(super) open: u32,
    pub(super) packed: bool,
    pub(super) bytes: Vec<u8>,
    /// Changes that end in it.
    pub(super) changes: u32,
    /// The exchange that ends with it; 0 for none.
    pub(super) ends: u32,
}

/// What is still to be sent.
#[derive(Debug, Default)]
pub(super) struct Packer {
    /// The bytes of a change that did not fit, and where they go on.
    begun: Vec<u8>,
    /// Whether what did not fit is a change.
    begun_change: bool,
    queue: VecDeque<Item>,
    changes: usize,
}

#[derive(Debug)]
enum Item {
    Change(Vec<u8>),
    End(u32),
}

impl Packer {
    pub(super) fn push(&mut self, change: Vec<u8>) {
        if !Mark::is(&change) {
            self.changes = self.changes.saturating_add(1);
        }
        self.queue.push_back(Item::Change(change));
    }

    /// The exchange of this number ends with what was pushed so far.
    pub(super) fn end(&mut self, round: u32) {
        self.queue.push_back(Item::End(round));
    }

    pub(super) fn is_empty(&self) -> bool {
        self.begun.is_empty() && self.queue.is_empty()
    }

    /// Changes of which no byte, or not the last one, was sent.
    pub(super) fn changes(&self) -> usize {
        self.changes
    }

    /// The next part; nothing where nothing is left.
    pub(super) fn next(&mut self) -> Option<Part> {
        if self.is_empty() {
            return None;
        }
        let (mut open, mut ended, mut ends) = (std::mem::take(&mut self.begun), 0_usize, 0);
        if !open.is_empty() && open.len() <= PART_OPEN {
            ended = usize::from(self.begun_change);
        }
        while open.len() < PART_OPEN {
            match self.queue.pop_front() {
                Some(Item::Change(change)) => {
                    open.extend_from_slice(&u32::try_from(change.len()).unwrap_or(u32::MAX).to_le_bytes());
                    open.extend_from_slice(&change);
                    self.begun_change = !Mark::is(&change);
                    ended = ended.saturating_add(usize::from(self.begun_change && open.len() <= PART_OPEN));
                }
                Some(Item::End(round)) => {
                    ends = round;
                    break;
                }
                None => break,
            }
        }
        if open.len() > PART_OPEN {
            self.begun = open.split_off(PART_OPEN);
        } else if open.len() == PART_OPEN && matches!(self.queue.front(), Some(Item::End(_))) {
            // An end that would make a part of its own.
            if let Some(Item::End(round)) = self.queue.pop_front() {
                ends = round;
            }
        }
        self.changes = self.changes.saturating_sub(ended);
        let (packed, bytes) = pack(&open);
        Some(Part {
            open: u32::try_from(open.len()).unwrap_or(u32::MAX),
            packed,
            bytes,
            changes: u32::try_from(ended).unwrap_or(u32::MAX),
            ends,
        })
    }
}

/// Packed, where that gains something and no more than a reader believes; otherwise as it is.
fn pack(open: &[u8]) -> (bool, Vec<u8>) {
    // A live edit of a few bytes gains nothing worth the while.
    if open.len() > 512 {
        let mut encoder = DeflateEncoder::new(Vec::new(), Compression::fast());
        let packed = encoder.write_all(open).and_then(|()| encoder.finish());
        if let Ok(packed) = packed
            && packed.len() < open.len()
            && open.len() <= packed.len().saturating_mul(SWELL_MAX)
        {
            return (true, packed);
        }
    }
    (false, open.to_vec())
}

/// Puts the changes together again.
#[derive(Debug, Default)]
pub(super) struct Unpacker {
    begun: Vec<u8>,
}

impl Unpacker {
    /// The changes that end in this part; nothing where the part cannot be opened or a change is longer than any.
    pub(super) fn open(&mut self, open: u32, packed: bool, bytes: &[u8]) -> Option<Vec<Vec<u8>>> {
        let length = usize::try_from(open).ok().filter(|length| *length <= PART_OPEN)?;
        if packed {
            if length > bytes.len().saturating_mul(SWELL_MAX) {
                return None;
            }
            // One byte more than said: a stream that holds more shows itself by filling it.
            let mut room = Vec::with_capacity(length.saturating_add(1));
            let mut inflate = Decompress::new(false);
            let status = inflate.decompress_vec(bytes, &mut room, FlushDecompress::Finish);
            let whole = matches!(status, Ok(Status::StreamEnd)) && inflate.total_in() == bytes.len() as u64;
            if !whole || room.len() != length {
                return None;
            }
            self.begun.extend_from_slice(&room);
        } else if bytes.len() == length {
            self.begun.extend_from_slice(bytes);
        } else {
            return None;
        }
        let mut changes = Vec::new();
        let mut rest = self.begun.as_slice();
        while let Some((said, after)) = rest.split_first_chunk::<4>() {
            let length = usize::try_from(u32::from_le_bytes(*said)).ok()?;
            if length == 0 || length > CHANGE_MAX {
                return None;
            }
            let Some((change, after)) = after.split_at_checked(length) else {
                break;
            };
            changes.push(change.to_vec());
            rest = after;
        }
        self.begun = rest.to_vec();
        Some(changes)
    }
}
