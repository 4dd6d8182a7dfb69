//! Changes on their way to the other: what it lacks, then what is new here, in one stream and in parts, a few of them
//! unanswered at a time. It decides which changes come after which, and never which are to be sent.

use std::collections::VecDeque;

use super::message::Message;
use super::pack::Packer;
use super::wire::Bytes;

/// Parts that may be on their way unanswered.
pub const PARTS_OUT: usize = 4;

/// What is known of what the other lacks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Lacks {
    /// Nothing yet, and both greeted alike or not: what is new here is kept for the case that they did.
    #[default]
    Greeting,
    /// The other's clock is awaited. What is new here will be among what it lacks.
    Awaited,
    /// The record was asked. What is new here may be among its answer or not, so it follows it.
    Asked,
    /// Everything is queued.
    Known,
}

/// The outgoing half.
#[derive(Debug, Default)]
pub(super) struct Sending {
    lacks: Lacks,
    early: Vec<Vec<u8>>,
    packer: Packer,
    /// Changes that end in each part on its way.
    out: VecDeque<u32>,
    sent: u64,
    taken: u64,
    /// Changes taken by the other.
    pub(super) changes_taken: u64,
    /// The last exchange whose end was pushed.
    ended: u32,
}

impl Sending {
    /// Both greeted with the same heads.
    pub(super) fn greeted_alike(&mut self) {
        self.lacks = Lacks::Known;
        self.queue_early();
    }

    /// An exchange begins.
    pub(super) fn await_clock(&mut self) {
        self.lacks = Lacks::Awaited;
        self.early.clear();
    }

    /// The other's clock is here and the record is asked.
    pub(super) fn asked(&mut self) {
        self.lacks = Lacks::Asked;
    }

    /// Everything that the other lacks. Whether it was asked for.
    pub(super) fn lacking(&mut self, changes: Vec<Vec<u8>>, round: u32) -> bool {
        if self.lacks != Lacks::Asked {
            return false;
        }
        for change in changes {
            self.packer.push(change);
        }
        self.packer.end(round);
        self.ended = round;
        self.lacks = Lacks::Known;
        self.queue_early();
        true
    }

    /// What is new here.
    pub(super) fn local(&mut self, changes: Vec<Vec<u8>>) {
        match self.lacks {
            Lacks::Greeting | Lacks::Asked => self.early.extend(changes),
            Lacks::Awaited => {}
            Lacks::Known => changes.into_iter().for_each(|change| self.packer.push(change)),
        }
    }

    fn queue_early(&mut self) {
        for change in std::mem::take(&mut self.early) {
            self.packer.push(change);
        }
    }

    /// The next parts that may go.
    pub(super) fn go(&mut self, say: &mut impl FnMut(Message)) {
        while self.out.len() < PARTS_OUT {
            let Some(part) = self.packer.next() else { return };
            self.sent = self.sent.saturating_add(1);
            self.out.push_back(part.changes);
            say(Message::Changes {
                number: self.sent,
                ends: part.ends,
                left: u32::try_from(self.packer.changes()).unwrap_or(u32::MAX),
                open: part.open,
                packed: part.packed,
                part: Bytes(part.bytes),
            });
        }
    }

    /// The other took all parts up to this one. Whether that many were sent.
    pub(super) fn took(&mut self, parts: u64) -> bool {
        if parts > self.sent {
            return false;
        }
        while self.taken < parts {
            let changes = self.out.pop_front().unwrap_or_default();
            self.changes_taken = self.changes_taken.saturating_add(u64::from(changes));
            self.taken = self.taken.saturating_add(1);
        }
        true
    }

    /// Parts sent.
    pub(super) fn sent(&self) -> u64 {
        self.sent
    }

    /// Changes that the other is still to take.
    pub(super) fn left(&self) -> u64 {
        let out: u64 = self.out.iter().map(|changes| u64::from(*changes)).sum();
        out.saturating_add(self.packer.changes() as u64)
    }

    /// Whether everything was sent and taken, this exchange's end too.
    pub(super) fn is_done(&self, round: u32) -> bool {
        self.lacks == Lacks::Known && self.packer.is_empty() && self.out.is_empty() && self.ended >= round
    }
}
