//! Whose turn it is: the most urgent first, and of equals each in turn. It holds nothing but whose turn it was, for each
//! urgency by itself: else a record that has something urgent now and then would give all turns between to one neighbour.

use crate::talk::{Tag, Urgency};

/// Whose turn it was last, by urgency.
#[derive(Debug, Default)]
pub(super) struct Order([Option<Tag>; 3]);

impl Order {
    /// Whose turn it is of those that have something, each with how urgent it is: the next after whoever was last.
    pub(super) fn next(&self, those: impl Iterator<Item = (Tag, Urgency)>) -> Option<(Tag, Urgency)> {
        let ranked = those.map(|(tag, urgency)| (urgency, self.was(urgency) >= Some(tag), tag));
        ranked.min().map(|(urgency, _, tag)| (tag, urgency))
    }

    fn was(&self, urgency: Urgency) -> Option<Tag> {
        self.0.get(urgency as usize).copied().flatten()
    }

    /// This one had its turn.
    pub(super) fn had(&mut self, tag: Tag, urgency: Urgency) {
        if let Some(last) = self.0.get_mut(urgency as usize) {
            *last = Some(tag);
        }
    }
}
