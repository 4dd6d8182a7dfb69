//! Photos on their way from the other: small pictures first, a few at a time, each from where it was left. It does not
//! know whether a photo is right: whoever keeps it holds it against its hash.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use super::event::{Effect, Kept, Wanted};
use super::message::{Message, PhotoKey};
use super::serving::{PHOTO_MAX, PIECE};

/// Photos asked for at a time.
pub const ASKED_OUT: usize = 8;

/// Most photos remembered of those that the other did not have.
const MOST_DENIED: usize = 100_000;

/// Times that a photo is gone on with from elsewhere because what was here of it is gone, or the other has it no further.
const MOST_TURNS: u8 = 8;

#[derive(Clone, Copy, Debug, Default)]
struct Progress {
    /// Where the next piece begins.
    next: u64,
    total: Option<u64>,
    /// Whether it came wrong once. What was kept from an earlier meeting may have been the wrong part of it, so once
    /// says nothing of the other. Nothing else counts here: a photo that was begun anew for another reason still has
    /// that wrong part at its beginning.
    wrong: bool,
    /// Times that it was gone on with from elsewhere.
    turns: u8,
}

/// What is wanted of the other.
#[derive(Debug, Default)]
pub(super) struct Asking {
    small: VecDeque<Wanted>,
    large: VecDeque<Wanted>,
    waiting: BTreeSet<PhotoKey>,
    asked: BTreeMap<PhotoKey, Progress>,
    /// Pieces that are being kept, with where each ends; those of a photo that was begun anew since end nowhere.
    keeping: VecDeque<(PhotoKey, Option<u64>)>,
    /// What the other did not have.
    denied: BTreeSet<PhotoKey>,
    /// What came wrong twice.
    given_up: BTreeSet<PhotoKey>,
    /// No more in this meeting.
    stopped: bool,
    pub(super) wrong: u64,
}

impl Asking {
    /// These are wanted, and no others: what was wanted before and is not named any more is given up.
    pub(super) fn want(&mut self, wanted: Vec<Wanted>, say: &mut impl FnMut(Message)) {
        let named: BTreeSet<PhotoKey> = wanted.iter().map(|one| one.key).collect();
        self.asked.retain(|key, _| {
            let stays = named.contains(key);
            if !stays {
                say(Message::Kept {
                    key: *key,
                    to: u64::MAX,
                });
            }
            stays
        });
        self.small.clear();
        self.large.clear();
        self.waiting.clear();
        for one in wanted {
            let key = one.key;
            if self.asked.contains_key(&key) || self.denied.contains(&key) || self.given_up.contains(&key) {
                continue;
            }
            if self.waiting.insert(key) {
                let queue = if key.small {
                    &mut self.small
                } else {
                    &mut self.large
                };
                queue.push_back(one);
            }
        }
    }

    /// Asks for the next ones.
    pub(super) fn go(&mut self, say: &mut impl FnMut(Message)) {
        while !self.stopped && self.asked.len() < ASKED_OUT {
            let Some(one) = self.small.pop_front().or_else(|| self.large.pop_front()) else {
                return;
            };
            self.waiting.remove(&one.key);
            let progress = Progress {
                next: one.from,
                ..Progress::default()
            };
            self.asked.insert(one.key, progress);
            say(Message::Want {
                key: one.key,
                from: one.from,
            });
        }
    }

    /// Whether it was asked for and more of it is to come.
    pub(super) fn is_asked(&self, key: &PhotoKey) -> bool {
        self.asked.contains_key(key)
    }

    /// A piece came. A piece that was not asked for, or not here, is passed over: it may be one of before a photo was
    /// begun anew.
    ///
    /// # Errors
    /// What is wrong, where it breaks the conversation.
    pub(super) fn piece(
        &mut self,
        key: PhotoKey,
        offset: u64,
        total: u64,
        bytes: Vec<u8>,
    ) -> Result<Option<Effect>, &'static str> {
        let end = offset.saturating_add(bytes.len() as u64);
        if total > PHOTO_MAX || end > total || bytes.len() > PIECE {
            return Err("a piece of a photo is longer than it may be");
        }
        // Nothing but the end of what is here already may be empty.
        if bytes.is_empty() && offset != total {
            return Err("a piece of a photo is empty");
        }
        let Some(progress) = self.asked.get_mut(&key) else {
            return Ok(None);
        };
        if progress.next != offset {
            return Ok(None);
        }
        if progress.total.is_some_and(|said| said != total) {
            return Err("a photo has two lengths");
        }
        progress.total = Some(total);
        progress.next = end;
        self.keeping.push_back((key, Some(end)));
        Ok(Some(Effect::KeepPiece {
            key,
            offset,
            total,
            bytes,
        }))
    }

    /// The oldest piece was kept, or not. Whether it was the one that was to be kept.
    pub(super) fn kept(&mut self, key: PhotoKey, kept: Kept, say: &mut impl FnMut(Message)) -> bool {
        let Some((about, end)) = self.keeping.pop_front() else {
            return false;
        };
        if about != key {
            return false;
        }
        let (Some(end), Some(progress)) = (end, self.asked.get_mut(&key)) else {
            return true;
        };
        match kept {
            Kept::More => say(Message::Kept { key, to: end }),
            // It may be whole before its last piece, where another device brought the rest.
            Kept::Whole => {
                say(Message::Kept { key, to: u64::MAX });
                self.asked.remove(&key);
            }
            Kept::Gone { here } if progress.turns < MOST_TURNS => {
                *progress = Progress {
                    next: here,
                    total: None,
                    turns: progress.turns.saturating_add(1),
                    ..*progress
                };
                self.begun_anew(key);
                say(Message::Want { key, from: here });
            }
            Kept::Wrong if !progress.wrong => {
                *progress = Progress {
                    next: 0,
                    total: None,
                    wrong: true,
                    ..*progress
                };
                self.begun_anew(key);
                say(Message::Want { key, from: 0 });
            }
            Kept::Wrong | Kept::Gone { .. } => {
                self.asked.remove(&key);
                self.given_up.insert(key);
                self.wrong = self.wrong.saturating_add(1);
                say(Message::Kept { key, to: u64::MAX });
            }
            Kept::Cannot => {
                for key in std::mem::take(&mut self.asked).into_keys() {
                    say(Message::Kept { key, to: u64::MAX });
                }
                self.stopped = true;
            }
        }
        true
    }

    /// What is being kept of it belongs to a beginning that is no more.
    fn begun_anew(&mut self, key: PhotoKey) {
        for (_, end) in self.keeping.iter_mut().filter(|(other, _)| *other == key) {
            *end = None;
        }
    }

    /// The other does not have it, or not as far as it was asked for from: then it is asked for from its beginning.
    pub(super) fn denied(&mut self, key: PhotoKey, at: u64, say: &mut impl FnMut(Message)) {
        if self.asked.get(&key).is_some_and(|progress| progress.next != at) {
            // Of before it was begun anew.
            return;
        }
        if let Some(progress) = self.asked.get_mut(&key)
            && progress.next > 0
            && progress.turns < MOST_TURNS
        {
            *progress = Progress {
                next: 0,
                total: None,
                turns: progress.turns.saturating_add(1),
                ..*progress
            };
            self.begun_anew(key);
            say(Message::Want { key, from: 0 });
        } else if self.asked.remove(&key).is_some() && self.denied.len() < MOST_DENIED {
            self.denied.insert(key);
        }
    }

    /// The other has it now. Whether it was wanted.
    pub(super) fn here_now(&mut self, key: PhotoKey) -> bool {
        self.denied.remove(&key)
    }

    /// It came from elsewhere.
    pub(super) fn got_elsewhere(&mut self, key: PhotoKey, say: &mut impl FnMut(Message)) {
        self.denied.remove(&key);
        if self.asked.remove(&key).is_some() {
            say(Message::Kept { key, to: u64::MAX });
        }
        if self.waiting.remove(&key) {
            self.small.retain(|one| one.key != key);
            self.large.retain(|one| one.key != key);
        }
    }

    /// How many are wanted and may still come.
    pub(super) fn left(&self) -> u64 {
        if self.stopped {
            return 0;
        }
        (self.waiting.len() as u64).saturating_add(self.asked.len() as u64)
    }
}
