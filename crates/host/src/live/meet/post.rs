//! What leaves a meeting, and in which order: words about the meeting itself first, then what is most urgent of each record
//! in turn. It waits for no room but where the other side would have to break the rules for it.

use link::talk::{MOST_ON_THE_WAY, Tag, Urgency};

use super::{End, Table};

/// Bytes that wait to leave before something of this urgency follows. What left this thread is not overtaken any more.
const LANES: [(Urgency, usize); 3] = [
    (Urgency::Changes, usize::MAX),
    (Urgency::Smalls, 256 * 1024),
    (Urgency::Photos, 128 * 1024),
];

impl Table {
    /// Sends what there is room for, the most urgent first, of each record in turn. It waits for room only where more
    /// piled up than a conversation that goes by the rules ever has on its way.
    pub(super) fn leave(&mut self) -> Result<(), End> {
        let words: usize = self.words.iter().map(Vec::len).sum();
        let waits =
            words > MOST_ON_THE_WAY || self.talks.values().any(|talk| talk.waiting() > MOST_ON_THE_WAY);
        while let Some(frame) = self.words.pop_front() {
            if let Some(frame) = self.send(frame, usize::MAX, waits)? {
                self.words.push_front(frame);
                return Ok(());
            }
        }
        for (urgency, below) in LANES {
            let mut some = true;
            while std::mem::take(&mut some) {
                let mut tags: Vec<Tag> = self.talks.keys().copied().collect();
                tags.sort_by_key(|tag| *tag <= self.spoke);
                for tag in tags {
                    let Some(message) = self.talks.get_mut(&tag).and_then(|talk| talk.next(urgency)) else {
                        continue;
                    };
                    some = true;
                    let Some(frame) = self.several.about(&tag, &message) else {
                        continue;
                    };
                    if self.send(frame, below, waits)?.is_some() {
                        if let Some(talk) = self.talks.get_mut(&tag) {
                            talk.wait(urgency, message);
                        }
                        return Ok(());
                    }
                    self.spoke = tag;
                }
            }
        }
        Ok(())
    }

    /// Sends a frame; gives it back where there is no room and it does not wait for it.
    fn send(&self, frame: Vec<u8>, below: usize, waits: bool) -> Result<Option<Vec<u8>>, End> {
        if waits {
            return self.meeting.send(frame).map(|()| None).map_err(|_| End::Gone);
        }
        self.meeting.offer(frame, below).map_err(|_| End::Gone)
    }
}
