//! Changes on their way from the other: parts in their order, put together, given to the record one part at a time.
//! It believes no number and never holds more than a few parts and one change.

use std::collections::VecDeque;

use super::pack::Unpacker;
use super::sending::PARTS_OUT;
use crate::vouch::Mark;

/// The incoming half.
#[derive(Debug, Default)]
pub(super) struct Taking {
    unpacker: Unpacker,
    /// The last part that came.
    came: u64,
    taken: u64,
    /// Parts that the record is taking in, or is to take: whether there is anything in them, their changes, and the
    /// exchange that ends with each.
    parts: VecDeque<(bool, usize, u32)>,
    /// The last exchange whose end was taken in.
    ended: u32,
    /// Changes that follow, as the other says.
    pub(super) left: u32,
    /// Changes taken in.
    pub(super) changes_taken: u64,
}

/// What a part was.
pub(super) enum PartCame {
    /// One that came before.
    Again,
    /// Changes to take in; none where the part only goes on with one.
    Changes(Vec<Vec<u8>>),
    /// It breaks the conversation.
    Bad(&'static str),
}

/// A part as the message has it.
pub(super) struct Incoming<'a> {
    pub(super) number: u64,
    pub(super) ends: u32,
    pub(super) left: u32,
    pub(super) open: u32,
    pub(super) packed: bool,
    pub(super) bytes: &'a [u8],
}

impl Taking {
    pub(super) fn came(&mut self, part: &Incoming) -> PartCame {
        if part.number <= self.came {
            return PartCame::Again;
        }
        if part.number != self.came.saturating_add(1) {
            return PartCame::Bad("a part of its changes is missing");
        }
        if self.parts.len() >= PARTS_OUT {
            return PartCame::Bad("it does not wait for its changes to be taken");
        }
        let Some(changes) = self.unpacker.open(part.open, part.packed, part.bytes) else {
            return PartCame::Bad("a part of its changes cannot be opened");
        };
        self.came = part.number;
        self.left = part.left;
        let count = changes.iter().filter(|one| !Mark::is(one)).count();
        self.parts.push_back((!changes.is_empty(), count, part.ends));
        PartCame::Changes(changes)
    }

    /// The record took the oldest part in. Whether there was one.
    pub(super) fn took(&mut self) -> bool {
        let Some((_, changes, ends)) = self.parts.pop_front() else {
            return false;
        };
        self.taken = self.taken.saturating_add(1);
        self.changes_taken = self.changes_taken.saturating_add(changes as u64);
        self.ended = self.ended.max(ends);
        true
    }

    /// Whether the oldest part only goes on with a change, so that there is nothing to take in.
    pub(super) fn nothing_to_take(&self) -> bool {
        matches!(self.parts.front(), Some((false, ..)))
    }

    /// Parts taken in.
    pub(super) fn taken(&self) -> u64 {
        self.taken
    }

    /// Changes that are still to be taken in, as far as is known.
    pub(super) fn lacking(&self) -> u64 {
        let here: usize = self.parts.iter().map(|(_, changes, _)| changes).sum();
        u64::from(self.left).saturating_add(here as u64)
    }

    /// Whether everything that came was taken in, this exchange's end too.
    pub(super) fn is_done(&self, round: u32) -> bool {
        self.parts.is_empty() && self.ended >= round
    }
}
