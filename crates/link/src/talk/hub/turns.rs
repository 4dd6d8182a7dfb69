//! What is done between two frames, and in which order: one thing that a conversation wants, all words that there is room for, and
//! then it is listened for the next frame or for the time.

use crate::talk::{Effect, Event, MOST_ON_THE_WAY, Urgency, Why};

use super::conversation::Conversation;
use super::{AHEAD, ANSWER, BUSY, CALM, GREETING, Hub, HubTask, PHOTOS_BELOW, SMALLS_BELOW};

/// Changes, and everything else, leave while fewer bytes than this wait to: a way's other half is the other end's.
const WORDS_BELOW: usize = MOST_ON_THE_WAY / 2;

const LANES: [(Urgency, usize); 3] = [
    (Urgency::Changes, WORDS_BELOW),
    (Urgency::Smalls, SMALLS_BELOW),
    (Urgency::Photos, PHOTOS_BELOW),
];

impl Hub {
    pub(super) fn patience(&self) -> u64 {
        if self.dialled { ANSWER } else { GREETING }
    }

    pub(super) fn pause(&self) -> u64 {
        let calm = self.several.is_greeted() && self.talks.values().all(Conversation::is_calm);
        if calm { CALM } else { BUSY }
    }

    pub(super) fn tick(&mut self, now: u64) {
        if self.time.now() >= self.ticked.saturating_add(self.pause()) {
            self.ticked = self.time.now();
            for talk in self.talks.values_mut() {
                talk.on(now, Event::Tick);
            }
        }
    }

    /// The next thing that a conversation wants.
    pub(super) fn work(&mut self) -> Option<HubTask> {
        let wanting = self
            .talks
            .iter()
            .filter_map(|(tag, talk)| Some((*tag, talk.to_do()?)));
        let (tag, urgency) = self.worked.next(wanting)?;
        self.worked.had(tag, urgency);
        let effect = self.talks.get_mut(&tag)?.work()?;
        if let Effect::Close(why) = effect {
            self.over(tag, why);
            return None;
        }
        Some(HubTask::Do { tag, effect })
    }

    /// The next frame, the most urgent first, of each record in turn, where there is room for it.
    pub(super) fn speak(&mut self, waiting: usize) -> Option<HubTask> {
        let wait = self.piles_up();
        let (urgency, below) = self.lane()?;
        if !wait && waiting >= below {
            return None;
        }
        let send = |frame| HubTask::Send { frame, wait };
        let Some(urgency) = urgency else {
            return self.words.pop_front().map(send);
        };
        loop {
            let speaking = self.talks.iter().filter(|(_, talk)| talk.has(urgency));
            let (tag, _) = self.spoke.next(speaking.map(|(tag, _)| (*tag, urgency)))?;
            self.spoke.had(tag, urgency);
            let message = self.talks.get_mut(&tag)?.say(urgency)?;
            // Nobody is told what is not shared any more.
            if let Some(frame) = self.several.about(&tag, &message) {
                return Some(send(frame));
            }
        }
    }

    /// What is said next: words about the meeting, or something so urgent; and below how many bytes.
    pub(super) fn lane(&self) -> Option<(Option<Urgency>, usize)> {
        if !self.words.is_empty() {
            return Some((None, WORDS_BELOW));
        }
        let mut lanes = LANES.into_iter();
        let lane = lanes.find(|(urgency, _)| self.talks.values().any(|talk| talk.has(*urgency)));
        lane.map(|(urgency, below)| (Some(urgency), below))
    }

    /// Whether more piled up than a conversation that goes by the rules ever has on its way.
    pub(super) fn piles_up(&self) -> bool {
        let words: usize = self.words.iter().map(Vec::len).sum();
        words > MOST_ON_THE_WAY || self.talks.values().any(|talk| talk.waiting() > MOST_ON_THE_WAY)
    }

    /// Listens, unless too much waits to be done; ends where nothing is left to be talked about.
    pub(super) fn listen(&mut self) -> Option<HubTask> {
        if self.several.is_greeted() && self.talks.is_empty() {
            let never = self.rests.is_empty();
            self.end(if never { Why::OtherRecord } else { Why::Leaving });
            return None;
        }
        let many: usize = self.talks.values().map(Conversation::many).sum();
        if many > AHEAD {
            return None;
        }
        let due = if many > 0 { self.time.now() } else { self.due() };
        Some(HubTask::Listen {
            until: self.time.moment(due),
            below: self.lane().map(|(_, below)| below),
        })
    }

    /// When the time alone makes something happen.
    pub(super) fn due(&self) -> u64 {
        let tick = self.ticked.saturating_add(self.pause());
        let rested = self.rests.first().filter(|_| self.dialled);
        let silent = self.patience().saturating_add(1);
        let silent = (!self.several.is_greeted()).then_some(silent);
        tick.min(rested.unwrap_or(u64::MAX))
            .min(silent.unwrap_or(u64::MAX))
    }
}
