//! How conversations and the meeting end, and what is still said then.

use crate::talk::{Several, Tag, Urgency, Why};

use super::{Hub, HubTask, Stage};

impl Hub {
    /// A conversation is over by itself: it says what it had to say, and leaves the others to go on.
    pub(super) fn over(&mut self, tag: Tag, why: Why) {
        let Some(mut talk) = self.talks.remove(&tag) else {
            return;
        };
        while let Some(message) = talk.say(Urgency::Changes) {
            self.words.extend(self.several.about(&tag, &message));
        }
        self.rests.rest(tag, talk.number, self.time.now());
        self.note_over(tag, Some(why));
    }

    pub(super) fn note_over(&mut self, tag: Tag, why: Option<Why>) {
        self.notes.push_back(HubTask::Over { tag, why });
    }

    pub(super) fn be_refused(&mut self, until: u64) -> Option<HubTask> {
        if self.time.now() >= until {
            self.end(Why::Leaving);
            return None;
        }
        Some(HubTask::Listen {
            until: self.time.moment(until),
            below: None,
        })
    }

    /// It ends for this reason: every conversation is over with it.
    pub(super) fn end(&mut self, why: Why) {
        self.beginning.clear();
        if is_told(&why) {
            self.words.push_back(Several::bye(&why));
        }
        self.part(|_| true, &why);
        self.stage = Stage::Closing(why);
    }

    /// The last words, and then nothing.
    pub(super) fn close(&mut self, why: Why) -> HubTask {
        match self.words.pop_front() {
            Some(frame) => HubTask::Send { frame, wait: true },
            None => HubTask::End(why),
        }
    }

    /// The connection is no more, but what came before its end is here: it is done, and may say why.
    pub(super) fn hear_out(&mut self) -> Option<HubTask> {
        if self.talks.values().any(|talk| talk.many() > 0) {
            return self.work();
        }
        self.words.clear();
        self.end(Why::Broke);
        None
    }
}

/// Whether the other is told of it.
fn is_told(why: &Why) -> bool {
    !matches!(why, Why::Leaving | Why::Broke)
}
