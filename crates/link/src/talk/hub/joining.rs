//! What two sides talk about, as either names more or fewer records, and as what failed begins anew.

use std::collections::{BTreeMap, BTreeSet};

use crate::talk::{Tag, Why};

use super::{Hub, HubTask, REFUSAL, Stage};

impl Hub {
    /// Says what is shared with the other now, where that is news, and talks about that alone.
    pub(super) fn share(&mut self, shared: BTreeMap<Tag, String>) {
        self.shared = shared;
        if self.shared.is_empty() {
            // Of what it was refused not a byte leaves any more; the net says why, which it alone can.
            self.words.clear();
            self.part(|_| true, &Why::Leaving);
            self.stage = Stage::Refused(self.time.now().saturating_add(REFUSAL));
            return;
        }
        let tags: BTreeSet<Tag> = self.shared.keys().copied().collect();
        self.words.extend(self.several.share(&tags));
        for (tag, talk) in &self.talks {
            if self.shared.get(tag).is_some_and(|device| *device != talk.device) {
                self.words.extend(self.several.anew(tag));
            }
        }
        self.join();
    }

    /// Conversations that failed begin anew: those that have rested, or all where there is a hurry.
    pub(super) fn begin_again(&mut self, hurry: bool) {
        let due = self.rests.rested(self.time.now(), hurry);
        for tag in &due {
            self.words.extend(self.several.anew(tag));
        }
        if !due.is_empty() {
            self.join();
        }
    }

    /// Begins what both share now, and ends what they do not.
    pub(super) fn join(&mut self) {
        let open = self.several.open();
        self.part(|tag| !open.contains_key(tag), &Why::OtherRecord);
        let stays = |tag: &Tag, number: u32| open.get(tag) == Some(&number);
        let anew = self.talks.extract_if(.., |tag, talk| !stays(tag, talk.number));
        let anew: Vec<Tag> = anew.map(|(tag, _)| tag).collect();
        for tag in anew {
            self.note_over(tag, None);
        }
        self.rests.keep(stays);
        let unshared = self.shared.keys().filter(|tag| !open.contains_key(*tag));
        if self.several.is_greeted() {
            self.notes
                .extend(unshared.map(|tag| HubTask::Unshared { tag: *tag }));
        }
        let begins = |tag: &Tag| !self.talks.contains_key(tag) && !self.rests.is_resting(tag);
        self.beginning = open.into_iter().filter(|(tag, _)| begins(tag)).collect();
    }

    /// Ends conversations for a reason that their keepers read.
    pub(super) fn part(&mut self, which: impl Fn(&Tag) -> bool, why: &Why) {
        let parted = self.talks.extract_if(.., |tag, _| which(tag));
        let parted: Vec<Tag> = parted.map(|(tag, _)| tag).collect();
        for tag in parted {
            self.note_over(tag, Some(why.clone()));
        }
    }
}
