//! One conversation of a meeting, with what it wants done and what it has to say. It decides nothing of when it is its turn.

use std::collections::VecDeque;

use crate::talk::{Effect, Event, Message, Mine, Phase, Talk, Urgency};

/// The conversation about one record.
#[derive(Debug)]
pub(super) struct Conversation {
    /// Which of those about it this is.
    pub(super) number: u32,
    /// The device by which the other is known in the record.
    pub(super) device: String,
    talk: Talk,
    /// What is to be done, in order.
    todo: VecDeque<Effect>,
    /// What is to be said, by how urgent it is.
    out: [VecDeque<Vec<u8>>; 3],
    /// Bytes of it.
    waiting: usize,
}

impl Conversation {
    pub(super) fn new(number: u32, device: String, mine: Mine) -> Self {
        Self {
            number,
            device,
            talk: Talk::new(mine),
            todo: VecDeque::new(),
            out: Default::default(),
            waiting: 0,
        }
    }

    pub(super) fn talk(&self) -> &Talk {
        &self.talk
    }

    /// Something happened.
    pub(super) fn on(&mut self, now: u64, event: Event) {
        for effect in self.talk.on(now, event) {
            let Effect::Send(message) = effect else {
                self.todo.push_back(effect);
                continue;
            };
            self.waiting = self.waiting.saturating_add(message.len());
            if let Some(lane) = self.out.get_mut(Message::urgency_of(&message) as usize) {
                lane.push_back(message);
            }
        }
    }

    /// The next thing that is to be done.
    pub(super) fn work(&mut self) -> Option<Effect> {
        self.todo.pop_front()
    }

    /// How urgent that is.
    pub(super) fn to_do(&self) -> Option<Urgency> {
        Some(match self.todo.front()? {
            Effect::ReadPiece { key, .. } | Effect::KeepPiece { key, .. } => Urgency::of(key.small),
            _ => Urgency::Changes,
        })
    }

    /// How much is to be done.
    pub(super) fn many(&self) -> usize {
        self.todo.len()
    }

    /// Whether it has something to say that is so urgent.
    pub(super) fn has(&self, urgency: Urgency) -> bool {
        self.out
            .get(urgency as usize)
            .is_some_and(|lane| !lane.is_empty())
    }

    /// The next message that is so urgent.
    pub(super) fn say(&mut self, urgency: Urgency) -> Option<Vec<u8>> {
        let message = self.out.get_mut(urgency as usize)?.pop_front()?;
        self.waiting = self.waiting.saturating_sub(message.len());
        Some(message)
    }

    /// Bytes that wait to be said.
    pub(super) fn waiting(&self) -> usize {
        self.waiting
    }

    /// Whether nothing is left between the two but what is new later.
    pub(super) fn is_calm(&self) -> bool {
        let status = self.talk.status();
        status.phase == Phase::Live && status.alike
    }
}
