//! The list of changes inside the open slices: hash, length, bytes, and so on, cut anywhere. It never makes room for a
//! length that was not yet counted.

use super::{CarryBound, CarryError, Hash, Limits};

/// Hash and length of a change.
const FRONT: usize = 36;

/// Counts changes against the limits; the same for writing and reading, so that nothing is written that would be refused.
#[derive(Debug, Default, Clone, Copy)]
pub(super) struct Tally {
    pub(super) count: u64,
    pub(super) bytes: u64,
}

impl Tally {
    /// One more change of `length` bytes.
    pub(super) fn add(&mut self, length: u64, limits: &Limits) -> Result<(), CarryError> {
        let too_large = |what, limit| Err(CarryError::TooLarge { what, limit });
        if length == 0 {
            return Err(CarryError::Malformed {
                what: "a change is empty",
            });
        }
        if length > limits.change {
            return too_large(CarryBound::Change, limits.change);
        }
        let (count, bytes) = (self.count.saturating_add(1), self.bytes.saturating_add(length));
        if count > limits.change_count {
            return too_large(CarryBound::ChangeCount, limits.change_count);
        }
        if bytes.saturating_add(count.saturating_mul(Limits::PER_CHANGE)) > limits.changes {
            return too_large(CarryBound::Changes, limits.changes);
        }
        (self.count, self.bytes) = (count, bytes);
        Ok(())
    }
}

/// Writes what stands before the bytes of a change.
pub(super) fn front(hash: &Hash, length: u32) -> [u8; FRONT] {
    let mut front = [0; FRONT];
    let (at_hash, at_length) = front.split_at_mut(32);
    at_hash.copy_from_slice(hash);
    at_length.copy_from_slice(&length.to_le_bytes());
    front
}

/// Takes the list apart as it comes.
pub(super) struct List {
    /// What has come of the next change's hash and length.
    front: Vec<u8>,
    /// The change that is under way: its hash, how many bytes are still to come, and what has come.
    under_way: Option<(Hash, usize, Vec<u8>)>,
    /// Whether the bytes of changes are kept at all; a check only counts them.
    keep: bool,
    pub(super) tally: Tally,
}

impl List {
    /// An empty list. With `keep`, room is made for a change at once: only for a file whose lengths were all checked.
    pub(super) fn new(keep: bool) -> Self {
        List {
            front: Vec::with_capacity(FRONT),
            under_way: None,
            keep,
            tally: Tally::default(),
        }
    }

    /// Takes the next bytes; each change that they complete goes to `whole`.
    pub(super) fn feed<E: From<CarryError>>(
        &mut self,
        mut bytes: &[u8],
        limits: &Limits,
        whole: &mut dyn FnMut(Hash, Vec<u8>) -> Result<(), E>,
    ) -> Result<(), E> {
        while !bytes.is_empty() {
            if let Some((hash, left, mut got)) = self.under_way.take() {
                let (now, later) = bytes.split_at_checked(left).unwrap_or((bytes, &[]));
                bytes = later;
                if self.keep {
                    got.extend_from_slice(now);
                }
                if now.len() < left {
                    self.under_way = Some((hash, left - now.len(), got));
                } else if self.keep {
                    whole(hash, got)?;
                }
                continue;
            }
            let (now, later) = bytes
                .split_at_checked(FRONT - self.front.len())
                .unwrap_or((bytes, &[]));
            bytes = later;
            self.front.extend_from_slice(now);
            if let Some((hash, &[a, b, c, d])) = self.front.split_first_chunk::<32>() {
                let length = u32::from_le_bytes([a, b, c, d]);
                self.tally.add(u64::from(length), limits)?;
                let length = length as usize;
                let room = if self.keep {
                    Vec::with_capacity(length)
                } else {
                    Vec::new()
                };
                self.under_way = Some((*hash, length, room));
                self.front.clear();
            }
        }
        Ok(())
    }

    /// Whether the last change is complete.
    pub(super) fn complete(&self) -> bool {
        self.under_way.is_none() && self.front.is_empty()
    }
}
