//! Two sides of a conversation over records that are no more than sets of changes, and what runs them to their rest.

#![allow(
    dead_code,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking, and each test file uses a part of this"
)]

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use link::talk::{Digest, Effect, Event, Hash, Hashes, Kept, Message, Mine, PhotoKey, Talk, Wanted, Why};

/// A device whose record is a set of changes, in the order they came, and whose clock is their hashes.
pub(crate) struct Side {
    pub(crate) talk: Talk,
    pub(crate) changes: Vec<Vec<u8>>,
    pub(crate) photos: BTreeMap<PhotoKey, Vec<u8>>,
    /// What is wanted, with what is here of it.
    pub(crate) parts: BTreeMap<PhotoKey, Vec<u8>>,
    /// The order in which photos became whole.
    pub(crate) whole: Vec<PhotoKey>,
    pub(crate) out: VecDeque<Vec<u8>>,
    pub(crate) todo: VecDeque<Effect>,
    pub(crate) closed: Option<Why>,
    /// Heads that it says it has, whatever it has.
    pub(crate) lie: Option<Vec<Hash>>,
    pub(crate) taken: Vec<usize>,
    pub(crate) now: u64,
    pub(crate) met: Option<String>,
    /// Whether it asks who has what is missing here.
    pub(crate) asks_who: bool,
    /// What is missing here and the other is known to have.
    pub(crate) there: BTreeSet<Hash>,
    /// Whether what it derived from its changes is wrong.
    pub(crate) bent: bool,
    /// How often it made that anew.
    pub(crate) mended: usize,
}

/// The record of two that meet about one.
const RECORD: Hash = [7; 32];

pub(crate) fn hash(bytes: &[u8]) -> Hash {
    *blake3::hash(bytes).as_bytes()
}

impl Side {
    pub(crate) fn of(device: &str, changes: &[&str]) -> Self {
        let changes: Vec<Vec<u8>> = changes.iter().map(|text| text.as_bytes().to_vec()).collect();
        let mine = Mine {
            record: RECORD,
            device: device.into(),
            heads: changes.iter().map(|change| hash(change)).collect(),
        };
        Self {
            talk: Talk::new(mine),
            changes,
            photos: BTreeMap::new(),
            parts: BTreeMap::new(),
            whole: Vec::new(),
            out: VecDeque::new(),
            todo: VecDeque::new(),
            closed: None,
            lie: None,
            taken: Vec::new(),
            now: 0,
            met: None,
            asks_who: false,
            there: BTreeSet::new(),
            bent: false,
            mended: 0,
        }
    }

    pub(crate) fn lying(mut self, heads: Vec<Hash>) -> Self {
        let mine = Mine {
            record: RECORD,
            device: "liar".into(),
            heads: heads.clone(),
        };
        self.talk = Talk::new(mine);
        self.lie = Some(heads);
        self
    }

    pub(crate) fn heads(&self) -> Vec<Hash> {
        let all = self.changes.iter().map(|change| hash(change)).collect();
        self.lie.clone().unwrap_or(all)
    }

    /// What is wanted, with how much of it is here.
    pub(crate) fn wanted(&self) -> Vec<Wanted> {
        let one = |(key, part): (&PhotoKey, &Vec<u8>)| Wanted {
            key: *key,
            from: part.len() as u64,
        };
        self.parts.iter().map(one).collect()
    }

    pub(crate) fn tell(&mut self, event: Event) {
        for effect in self.talk.on(self.now, event) {
            match effect {
                Effect::Send(frame) => self.out.push_back(frame),
                Effect::Close(why) => {
                    self.closed = Some(why);
                    self.todo.clear();
                }
                Effect::Met { device, .. } => self.met = Some(device),
                Effect::Status(_) | Effect::Has(_) => {}
                other => self.todo.push_back(other),
            }
        }
    }

    pub(crate) fn write(&mut self, text: &str) {
        self.changes.push(text.as_bytes().to_vec());
        let event = Event::Local {
            changes: vec![text.as_bytes().to_vec()],
            heads: self.heads(),
        };
        self.tell(event);
    }

    pub(crate) fn perform(&mut self) -> bool {
        let Some(effect) = self.todo.pop_front() else {
            return false;
        };
        for event in self.done(effect) {
            self.tell(event);
        }
        true
    }

    /// Does what a conversation wants: what it is to be told.
    #[expect(clippy::too_many_lines, reason = "an effect a line: what a side does of each")]
    pub(crate) fn done(&mut self, effect: Effect) -> Vec<Event> {
        let mut events = Vec::new();
        let event = match effect {
            Effect::AskClock => Event::Clock(self.changes.iter().flat_map(|change| hash(change)).collect()),
            Effect::AskLacking(clock) => {
                let theirs: BTreeSet<&[u8]> = clock.chunks(32).collect();
                let lacks = |change: &&Vec<u8>| !theirs.contains(hash(change).as_slice());
                Event::Lacking(Ok(self.changes.iter().filter(lacks).cloned().collect()))
            }
            Effect::Take(changes) => {
                self.taken.push(changes.len());
                for change in changes {
                    if !self.changes.contains(&change) {
                        self.changes.push(change);
                    }
                }
                Event::Taken(Ok(self.heads()))
            }
            Effect::AskPhotos => {
                let missing = self.parts.keys().filter(|key| !key.small).map(|key| key.hash);
                if self.asks_who {
                    events.push(Event::Missing(missing.collect()));
                }
                Event::Photos(self.wanted())
            }
            Effect::AskHeld(asked) => {
                let here = |hash: &Hash| {
                    self.photos.contains_key(&PhotoKey {
                        hash: *hash,
                        small: false,
                    })
                };
                Event::Held(asked.into_iter().filter(here).collect())
            }
            Effect::Holds { here, not } => {
                for hash in not {
                    self.there.remove(&hash);
                }
                self.there.extend(here);
                return events;
            }
            Effect::Mend => {
                self.mended += 1;
                self.bent = false;
                return events;
            }
            Effect::ReadPiece { key, offset, most } => {
                let piece = self.photos.get(&key).map(|bytes| {
                    let from = offset as usize;
                    let to = bytes.len().min(from + most);
                    (bytes.len() as u64, bytes[from..to].to_vec())
                });
                Event::PieceRead { key, offset, piece }
            }
            Effect::KeepPiece {
                key,
                offset,
                total,
                bytes,
            } => {
                let part = self.parts.entry(key).or_default();
                if (part.len() as u64) < offset {
                    let here = part.len() as u64;
                    return vec![Event::PieceKept {
                        key,
                        kept: Kept::Gone { here },
                    }];
                }
                // As every host does: of a piece only what is not here yet is kept.
                part.extend(bytes.iter().skip(part.len() - offset as usize));
                let kept = if (part.len() as u64) < total {
                    Kept::More
                } else if key.small || hash(part) == key.hash {
                    self.whole.push(key);
                    self.photos.insert(key, self.parts.remove(&key).unwrap());
                    Kept::Whole
                } else {
                    part.clear();
                    Kept::Wrong
                };
                Event::PieceKept { key, kept }
            }
            Effect::AskDigest => {
                let mut all: Vec<&Vec<u8>> = self.changes.iter().collect();
                all.sort();
                let mut entries: Vec<u8> = all.into_iter().flatten().copied().collect();
                if self.bent {
                    entries.push(b'!');
                }
                Event::Mine(Digest {
                    heads: Hashes(self.heads()),
                    changes: self.changes.len() as u64,
                    entries: hash(&entries),
                    photos: hash(&[]),
                    photos_missing: self.parts.len() as u64,
                })
            }
            other => panic!("no host does {other:?}"),
        };
        events.push(event);
        events
    }
}

/// Lets everything arrive and be done; gives back the messages in the order they arrived, with who sent them.
pub(crate) fn run_out(one: &mut Side, other: &mut Side) -> Vec<(usize, Message)> {
    let mut said = Vec::new();
    loop {
        let mut busy = false;
        for at in 0..2 {
            let (from, to) = if at == 0 {
                (&mut *one, &mut *other)
            } else {
                (&mut *other, &mut *one)
            };
            if let Some(frame) = from.out.pop_front() {
                said.push((at, Message::from_bytes(&frame).unwrap()));
                to.tell(Event::Got(frame));
                busy = true;
            }
            busy |= from.perform();
        }
        if !busy {
            return said;
        }
    }
}

pub(crate) fn open(one: &mut Side, other: &mut Side) -> Vec<(usize, Message)> {
    one.tell(Event::Opened);
    other.tell(Event::Opened);
    run_out(one, other)
}

pub(crate) fn tick(one: &mut Side, other: &mut Side, by: u64) -> Vec<(usize, Message)> {
    for side in [&mut *one, &mut *other] {
        side.now += by;
        side.tell(Event::Tick);
    }
    run_out(one, other)
}

pub(crate) fn same(one: &Side, other: &Side) {
    let set = |side: &Side| -> BTreeSet<Vec<u8>> { side.changes.iter().cloned().collect() };
    assert_eq!(set(one), set(other));
}
