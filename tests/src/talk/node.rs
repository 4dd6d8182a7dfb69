//! A device with a shelf of photos, as the host of its conversations: it does what one of them wants, one thing at a time.

use std::collections::BTreeSet;

use link::talk::{Digest, Effect, Event, Hash, Hashes, Mine, PhotoKey, Wanted};
use record::{ChangeId, Clock, Kind, Record};

use crate::device::{Backup, Content, Device, Parcel};
use crate::ledger::{Having, Reckoned};
use crate::talk::shelf::{Pictures, Shelf};

/// One device.
#[derive(Debug)]
pub struct Node {
    /// Its record.
    pub device: Device,
    /// Its photos.
    pub shelf: Shelf,
    /// The clock that its conversations are told, in milliseconds.
    pub now: u64,
    /// How far its other clock was put, in seconds.
    pub put: i64,
    /// Whether originals wait until they are asked for.
    pub waits: bool,
    /// A copy of a day before.
    pub backup: Option<(Backup, Shelf)>,
}

/// What came of doing something.
#[derive(Debug, Default)]
pub struct Done {
    /// What the conversation is to be told.
    pub events: Vec<Event>,
    /// Changes that are new here, for the other conversations.
    pub fresh: Vec<Vec<u8>>,
    /// A photo that is whole now, for the other conversations.
    pub photo: Option<PhotoKey>,
}

/// The heads as the wire has them.
#[must_use]
pub fn heads(record: &Record) -> Vec<Hash> {
    record.heads().iter().map(hash).collect()
}

/// A change's hash as the wire has it.
#[must_use]
pub fn hash(id: &ChangeId) -> Hash {
    *id.bytes()
}

/// Changes that came since.
#[must_use]
pub fn since(record: &Record, before: &[ChangeId]) -> Vec<Vec<u8>> {
    let changes = record.changes_since(before);
    changes.into_iter().map(|(_, bytes)| bytes).collect()
}

impl Node {
    /// A device with an empty shelf.
    #[must_use]
    pub fn new(device: Device, now: u64) -> Self {
        Self {
            device,
            shelf: Shelf::default(),
            now,
            put: 0,
            waits: false,
            backup: None,
        }
    }

    /// What it brings to a meeting.
    #[must_use]
    pub fn mine(&self) -> Mine {
        Mine {
            record: [7; 32],
            device: self.device.id.to_string(),
            heads: heads(&self.device.record),
        }
    }

    /// The pictures that the record names, of those that there are.
    #[must_use]
    pub fn named(&self, all: &Pictures) -> BTreeSet<PhotoKey> {
        let entries = self.device.record.view().all(Kind::Photo);
        let hashes: BTreeSet<String> = entries
            .filter_map(|entry| entry.line("hash").map(str::to_owned))
            .collect();
        all.keys()
            .filter(|key| hashes.contains(blake3::Hash::from(key.hash).to_hex().as_str()))
            .copied()
            .collect()
    }

    /// What is missing, and what of it is wanted.
    #[must_use]
    pub fn photos(&self, all: &Pictures) -> Vec<Event> {
        let missing: Vec<PhotoKey> = self
            .named(all)
            .into_iter()
            .filter(|key| !self.shelf.has(key))
            .collect();
        let originals = missing.iter().filter(|key| !key.small).map(|key| key.hash);
        let wanted = missing.iter().filter(|key| key.small || !self.waits);
        let wanted = wanted.map(|key| Wanted {
            key: *key,
            from: self.shelf.begun(key),
        });
        vec![
            Event::Missing(originals.collect()),
            Event::Photos(wanted.collect()),
        ]
    }

    /// What the record and the shelf hold.
    #[must_use]
    pub fn digest(&self, all: &Pictures) -> Digest {
        let whole = self.device.record.digest();
        let named = self.named(all);
        let mut photos = blake3::Hasher::new();
        let here: Vec<&PhotoKey> = named.iter().filter(|key| self.shelf.has(key)).collect();
        for key in &here {
            photos.update(&key.hash).update(&[u8::from(key.small)]);
        }
        Digest {
            heads: Hashes(whole.heads.iter().map(hash).collect()),
            changes: u64::from(whole.changes),
            entries: *blake3::Hash::from_hex(&whole.digest).unwrap().as_bytes(),
            photos: *photos.finalize().as_bytes(),
            photos_missing: (named.len() - here.len()) as u64,
        }
    }

    /// Does what a conversation wants; `rot` bends a byte of an original that is read.
    ///
    /// # Panics
    /// Where it wants what a host does not do.
    pub fn perform(&mut self, effect: Effect, all: &Pictures, reckoned: &mut Reckoned, rot: bool) -> Done {
        let mut done = Done::default();
        let event = match effect {
            Effect::AskClock => Event::Clock(self.device.record.clock().to_bytes()),
            Effect::AskLacking(clock) => Event::Lacking(match Clock::from_bytes(&clock) {
                Ok(clock) => {
                    let lacking = self.device.record.lacking(&clock);
                    Ok(lacking.into_iter().map(|(_, bytes)| bytes).collect())
                }
                Err(bad) => Err(bad.to_string()),
            }),
            Effect::Take(changes) => {
                let before = self.device.record.heads();
                let parcel = Parcel {
                    from: self.device.id.clone(),
                    heads: Vec::new(),
                    base: Vec::new(),
                    content: Content::Plain(changes),
                };
                let taken = self.device.take(&parcel, reckoned);
                done.fresh = since(&self.device.record, &before);
                Event::Taken(match taken {
                    Ok(_) => Ok(heads(&self.device.record)),
                    Err(bad) => Err(bad.to_string()),
                })
            }
            Effect::AskPhotos => {
                done.events = self.photos(all);
                return done;
            }
            // What is derived in memory cannot be wrong: it is made anew all the same.
            Effect::Mend => {
                self.device.restart();
                return done;
            }
            Effect::ReadPiece { key, offset, most } => {
                let mut piece = self.shelf.read(&key, offset, most);
                if let Some((_, bytes)) = piece.as_mut().filter(|_| rot && !key.small)
                    && let Some(byte) = bytes.first_mut()
                {
                    *byte ^= 1;
                }
                Event::PieceRead { key, offset, piece }
            }
            Effect::KeepPiece {
                key,
                offset,
                total,
                bytes,
            } => {
                let had = self.shelf.has(&key);
                let kept = self.shelf.keep(key, offset, total, &bytes, all);
                done.photo = (!had && self.shelf.has(&key)).then_some(key);
                Event::PieceKept { key, kept }
            }
            Effect::AskHeld(asked) => {
                let has = |hash: &Hash| {
                    self.shelf.has(&PhotoKey {
                        hash: *hash,
                        small: false,
                    })
                };
                Event::Held(asked.into_iter().filter(has).collect())
            }
            Effect::AskDigest => Event::Mine(self.digest(all)),
            other => panic!("no host does {other:?}"),
        };
        done.events.push(event);
        done
    }

    /// Whether the copy can be put back and nothing be gone from everywhere: the others have what came since.
    #[must_use]
    pub fn may_restore(&self, others: &[&Node]) -> bool {
        let Some((backup, shelf)) = &self.backup else {
            return false;
        };
        let mut safe: Having = backup.having.clone();
        for other in others {
            safe.join(&other.device.having);
        }
        let photos = self
            .shelf
            .whole()
            .all(|(key, _)| shelf.has(key) || others.iter().any(|other| other.shelf.has(key)));
        photos && safe.covers(&self.device.having)
    }
}
