//! Which of the photos that are missing on one side the other has, whether or not they are wanted now: one question at a
//! time, of bounded length, answered exactly. It fetches nothing.

use std::collections::{BTreeSet, VecDeque};

use super::event::Effect;
use super::message::Message;
use super::wire::{Hash, Hashes};

/// Photos in one question: 128 KiB of hashes.
pub const ASKED_ABOUT: usize = 4_096;

/// Most photos that are asked about in a meeting.
const MOST_ASKED: usize = 100_000;

/// What was asked, and what is to be answered.
#[derive(Debug, Default)]
pub(super) struct Holding {
    waiting: VecDeque<Hash>,
    /// Everything that was or will be asked about.
    asked: BTreeSet<Hash>,
    /// The question that is out.
    out: Option<(u64, Vec<Hash>)>,
    last: u64,
    /// The other's question that the host is to answer.
    theirs: Option<(u64, Vec<Hash>)>,
    their_last: u64,
}

impl Holding {
    /// These are missing here.
    pub(super) fn missing(&mut self, hashes: Vec<Hash>) {
        for hash in hashes {
            if self.asked.len() < MOST_ASKED && self.asked.insert(hash) {
                self.waiting.push_back(hash);
            }
        }
    }

    /// The next question, where none is out.
    pub(super) fn go(&mut self) -> Option<Message> {
        if self.out.is_some() || self.waiting.is_empty() {
            return None;
        }
        let many = self.waiting.len().min(ASKED_ABOUT);
        let hashes: Vec<Hash> = self.waiting.drain(..many).collect();
        self.last = self.last.saturating_add(1);
        self.out = Some((self.last, hashes.clone()));
        Some(Message::Who {
            number: self.last,
            hashes: Hashes(hashes),
        })
    }

    /// Whether it was asked about.
    pub(super) fn is_asked(&self, hash: &Hash) -> bool {
        self.asked.contains(hash)
    }

    /// The other asks. One that was asked before is passed over.
    ///
    /// # Errors
    /// What is wrong, where it breaks the conversation.
    pub(super) fn who(&mut self, number: u64, hashes: Vec<Hash>) -> Result<Option<Effect>, &'static str> {
        if number <= self.their_last {
            return Ok(None);
        }
        if self.theirs.is_some() || number != self.their_last.saturating_add(1) {
            return Err("it asks who has photos without waiting for an answer");
        }
        if hashes.len() > ASKED_ABOUT {
            return Err("it asks who has more photos than may be asked about at a time");
        }
        self.their_last = number;
        self.theirs = Some((number, hashes.clone()));
        Ok(Some(Effect::AskHeld(hashes)))
    }

    /// The host's answer to that: what is to be said, and what was asked about and is not here.
    pub(super) fn held(&mut self, here: &[Hash]) -> Option<(Message, Vec<Hash>)> {
        let (number, asked) = self.theirs.take()?;
        let here: BTreeSet<&Hash> = here.iter().collect();
        let (here, lacking): (Vec<Hash>, Vec<Hash>) = asked.into_iter().partition(|hash| here.contains(hash));
        let hashes = Hashes(here);
        Some((Message::Holds { number, hashes }, lacking))
    }

    /// The other's answer. One that was not asked for is passed over.
    pub(super) fn holds(&mut self, number: u64, hashes: &[Hash]) -> Option<Effect> {
        let (_, asked) = self.out.take_if(|(out, _)| *out == number)?;
        let held: BTreeSet<&Hash> = hashes.iter().collect();
        let (here, not) = asked.into_iter().partition(|hash| held.contains(hash));
        Some(Effect::Holds { here, not })
    }
}
