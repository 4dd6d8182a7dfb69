//! What a conversation wants of the record, one short turn each. Before each answer stands whatever is new in the
//! record since the last turn, so that the other is told of every change once and of none twice.

use std::collections::BTreeSet;

use link::talk::{Digest, Event, Hash, Hashes, PhotoKey, Wanted};
use link::vouch::{MOST_MARKS, Mark};
use record::members::{Member, keeper_name};
use record::{ChangeId, Clock, Id, Kind, PhotoHash, Ref, View};
use store::{Batch, Peer, RecordRow};

use super::who::Shared as Who;
use crate::marks;
use crate::notebook::Notebook;
use crate::parcel::bytes_of;
use crate::peers::{had_now, known_of};
use crate::refusal::Refusal;
use crate::spooled::Spooled;
use crate::vouching::{MOST_WAITING, Said};
use crate::wire::{AsideBy, Patch};

/// Photos that are asked for at a time; the next ones are asked for when these are here.
const MOST_WANTED: usize = 10_000;
/// A device that is known to have the same as before is written down again after this many seconds.
const MET_EVERY: i64 = 60;

/// Changes that wait for the signature which vouches for them.
#[derive(Debug, Default)]
pub struct Waiting {
    changes: Vec<Vec<u8>>,
    /// Signatures whose change has not come yet.
    marks: Vec<Mark>,
    /// Why they wait, for whoever is told that they were not taken in.
    words: String,
}

impl Waiting {
    /// What is to be said where nothing more comes; nothing where nothing waits.
    pub fn left(&self) -> Option<&str> {
        (!self.changes.is_empty()).then_some(self.words.as_str())
    }
}

/// The newest changes as the wire has them.
pub fn hashes(heads: &[ChangeId]) -> Vec<Hash> {
    heads.iter().map(|head| *head.bytes()).collect()
}

/// What a record is called among its devices: nobody who has no part in it can tell its id from it.
pub fn tag(record: &Id) -> Hash {
    blake3::derive_key(
        "witnessmark 2026 the record of a meeting",
        record.as_str().as_bytes(),
    )
}

impl Notebook {
    /// An empty file for something that is being opened.
    ///
    /// # Errors
    /// What the machine said.
    pub fn room(&self) -> Result<Spooled, Refusal> {
        Ok(Spooled(self.store.room()?))
    }

    /// What the keepers call these devices: whose they are, and their names.
    ///
    /// # Errors
    /// Where the record cannot be read.
    pub fn called(&mut self, record: &Id, members: &[Member]) -> Result<Vec<String>, Refusal> {
        let (shelf, store) = self.shelf(record);
        let view = shelf.with(store, record, &[Kind::Device, Kind::Keeper])?;
        let name =
            |keeper: &Option<Id>| Some(keeper_name(view, keeper.as_ref()?)).filter(|name| !name.is_empty());
        let called = |one: &Member| match name(&one.keeper) {
            Some(keeper) => crate::page::whose(&keeper, &one.name),
            None => one.name.clone(),
        };
        Ok(members.iter().map(called).collect())
    }

    /// The newest changes of a record.
    pub fn heads_now(&mut self, record: &Id) -> Result<Vec<ChangeId>, Refusal> {
        Ok(self.document(record)?.record.heads())
    }

    /// What is new since the other was told last.
    pub fn news(&mut self, record: &Id, told: &mut Vec<ChangeId>) -> Result<Vec<Event>, Refusal> {
        let document = &self.document(record)?.record;
        let heads = document.heads();
        if heads == *told {
            return Ok(Vec::new());
        }
        let changes = document.changes_since(told);
        let event = Event::Local {
            changes: self.with_marks(record, changes, false)?,
            heads: hashes(&heads),
        };
        *told = heads;
        Ok(vec![event])
    }

    /// The record's clock.
    pub fn clock_of(&mut self, record: &Id, told: &mut Vec<ChangeId>) -> Result<Vec<Event>, Refusal> {
        let mut events = self.news(record, told)?;
        events.push(Event::Clock(self.document(record)?.record.clock().to_bytes()));
        Ok(events)
    }

    /// What a device with this clock lacks.
    pub fn lacking_of(
        &mut self,
        record: &Id,
        told: &mut Vec<ChangeId>,
        clock: &[u8],
    ) -> Result<Vec<Event>, Refusal> {
        let mut events = self.news(record, told)?;
        let lacking = match Clock::from_bytes(clock) {
            Ok(clock) => {
                let lacking = self.document(record)?.record.lacking(&clock);
                Ok(self.with_marks(record, lacking, true)?)
            }
            Err(bad) => Err(bad.to_string()),
        };
        events.push(Event::Lacking(lacking));
        Ok(events)
    }

    /// Takes changes in, with those that waited for a signature: judged by the record, and on the disk when it answers.
    /// What no signature vouches for yet waits on.
    pub fn take(
        &mut self,
        record: &Id,
        told: &mut Vec<ChangeId>,
        waiting: &mut Waiting,
        stream: Vec<Vec<u8>>,
        from: &Id,
    ) -> Result<Vec<Event>, Refusal> {
        let mut events = self.news(record, told)?;
        let taken = self.take_in(record, waiting, stream, AsideBy::Meeting, Some(from));
        events.push(Event::Taken(match taken {
            Ok(_) => {
                // All that is new now came from the other.
                *told = self.heads_now(record)?;
                Ok(hashes(told))
            }
            Err(refusal) => Err(refusal.words),
        }));
        Ok(events)
    }

    /// Takes in a part of what another device sends, and what of earlier parts it vouches for now. What the gate refused of it is
    /// set aside, whoever brought it: a sentence for each writer of it.
    pub fn take_in(
        &mut self,
        record: &Id,
        waiting: &mut Waiting,
        stream: Vec<Vec<u8>>,
        by: AsideBy,
        from: Option<&Id>,
    ) -> Result<Vec<String>, Refusal> {
        self.may_write()?;
        let Waiting {
            mut changes,
            mut marks,
            ..
        } = std::mem::take(waiting);
        for one in stream {
            if Mark::is(&one) {
                marks.extend(Mark::from_bytes(&one));
            } else {
                changes.push(one);
            }
        }
        // Whoever only comes in has nothing that it could hold against the host's word, and confirmed the host's digits.
        let coming_in = self.store.record(record)?.keeper.is_none();
        let said = if coming_in { Said::Welcome } else { Said::Nothing };
        let (pending, mut received) = self.receive(record, &changes, &marks, said)?;
        // A long log is seen to when all of it is here (`meet`).
        let came = self.came_by(record, by, from, coming_in)?;
        let batch = Batch {
            came: Some(came),
            ..Batch::default()
        };
        let written = self.enter_received(pending, &received, &batch)?;
        let said = self.set_aside_refused(record, by, &written.refused)?;
        let ledger = self.document(record)?.record.ledger();
        marks.retain(|mark| !ledger.has(&ChangeId::from_bytes(mark.change)));
        let words = if received.sifted.unsigned.is_empty() {
            String::new()
        } else {
            self.unsigned_words(record, &received.sifted, &received.other_keys)?
        };
        changes = std::mem::take(&mut received.sifted.waits);
        let bytes: usize = changes.iter().map(Vec::len).sum();
        if bytes > MOST_WAITING || marks.len() > MOST_MARKS {
            return Err(Refusal::input("unsigned", words));
        }
        *waiting = Waiting {
            changes,
            marks,
            words,
        };
        self.settle_keeper(record)?;
        Ok(said)
    }

    /// Whose device this is, where the record was only just joined and says so now.
    fn settle_keeper(&mut self, record: &Id) -> Result<(), Refusal> {
        let row = self.store.record(record)?;
        if row.keeper.is_some() {
            return Ok(());
        }
        let this = self.device()?.id;
        let own = self.members(record)?.into_iter().find(|one| one.device == this);
        let Some(keeper) = own.and_then(|own| own.keeper) else {
            return Ok(());
        };
        let row = RecordRow {
            keeper: Some(keeper),
            ..row
        };
        let batch = Batch {
            row: Some(&row),
            ..Batch::default()
        };
        self.store.commit(record, &batch)?;
        let touched = vec![Ref::new(Kind::Device, this)];
        self.tell(&Patch {
            record: record.clone(),
            marks: marks::changed(&View::default(), &touched, false),
            touched,
            points: false,
            underway: None,
        });
        Ok(())
    }

    /// The other has these newest changes: what "saved where" and the Keepers place say comes from here.
    pub fn peer_has(&mut self, who: &Who, heads: &[Hash]) -> Result<(), Refusal> {
        let now = self.now();
        let this = self.device()?.id;
        let was = self.peer(&who.record, &who.device)?;
        let keeper = {
            let (shelf, store) = self.shelf(&who.record);
            let view = shelf.with(store, &who.record, &[Kind::Device, Kind::Keeper])?;
            let keeper = view.keeper_of(&who.device);
            keeper.map_or_else(String::new, |keeper| keeper_name(view, &keeper))
        };
        let heads: Vec<ChangeId> = heads.iter().map(|hash| ChangeId::from_bytes(*hash)).collect();
        let document = &self.document(&who.record)?.record;
        let before = was.as_ref().map(|was| was.heads.as_slice()).unwrap_or_default();
        let heads = had_now(document, before, heads);
        let same = before == heads.as_slice();
        let met = was.as_ref().and_then(|was| was.met);
        if same && met.is_some_and(|met| now.seconds().saturating_sub(met.seconds()) < MET_EVERY) {
            return Ok(());
        }
        let known = (who.device.clone(), known_of(document, &heads, &this));
        let peer = Peer {
            device: who.device.clone(),
            name: keeper,
            heads,
            met: Some(now),
            photos: BTreeSet::new(),
        };
        let batch = Batch {
            peers: std::slice::from_ref(&peer),
            known: &[known],
            ..Batch::default()
        };
        self.store.commit(&who.record, &batch)?;
        self.show(&who.record);
        Ok(())
    }

    /// Something other than an entry is to be shown anew.
    pub fn show(&mut self, record: &Id) {
        self.tell(&Patch {
            record: record.clone(),
            touched: Vec::new(),
            marks: vec![marks::ELSEWHERE.to_owned()],
            points: false,
            underway: None,
        });
    }

    /// What is missing of the record's photos, and what of it is wanted now: small pictures, and the originals that the
    /// keeper lets come, with how much of each is here.
    pub fn photos_of(&mut self, record: &Id, backward: bool) -> Result<Vec<Event>, Refusal> {
        let missing = self.store.photos_wanted(record)?;
        let smalls = self.store.smalls_wanted(record)?;
        let asked = if self.photos_wait()? {
            Some(self.photos_asked(record)?)
        } else {
            None
        };
        let mut wanted = Vec::new();
        for hash in smalls.iter().take(MOST_WANTED) {
            let hash = *hash.bytes();
            let key = PhotoKey { hash, small: true };
            wanted.push(Wanted { key, from: 0 });
        }
        let originals = missing
            .iter()
            .filter(|hash| asked.as_ref().is_none_or(|asked| asked.contains(*hash)));
        let mut originals: Vec<&PhotoHash> = originals.collect();
        if backward {
            originals.reverse();
        }
        for name in originals.into_iter().take(MOST_WANTED) {
            let hash = *name.bytes();
            wanted.push(Wanted {
                key: PhotoKey { hash, small: false },
                from: self.store.part_length(name)?,
            });
        }
        let missing = missing.iter().map(|hash| *hash.bytes()).collect();
        Ok(vec![Event::Missing(missing), Event::Photos(wanted)])
    }

    /// Which of these originals of the record are here.
    pub fn held_of(&mut self, record: &Id, asked: &[Hash]) -> Result<Vec<Event>, Refusal> {
        let here: BTreeSet<PhotoHash> = self.store.photos_here(record)?.into_iter().collect();
        let here = asked
            .iter()
            .filter(|hash| here.contains(&PhotoHash::from_bytes(**hash)));
        Ok(vec![Event::Held(here.copied().collect())])
    }

    /// The other says which photos it has.
    pub fn holds(&mut self, who: &Who, here: &[Hash], not: &[Hash]) -> Result<(), Refusal> {
        let names = |hashes: &[Hash]| -> Vec<PhotoHash> {
            hashes.iter().copied().map(PhotoHash::from_bytes).collect()
        };
        self.store
            .keep_holdings(&who.record, &who.device, &names(here), &names(not))?;
        self.show(&who.record);
        Ok(())
    }

    /// The two do not read the same: the document is read from the log again, and the read tables are made anew where
    /// they do not say what it says.
    pub fn mend(&mut self, record: &Id) -> Result<(), Refusal> {
        self.forget(record);
        let view = self.store.view(record);
        let right = view.is_ok_and(|view| {
            self.document(record)
                .is_ok_and(|opened| opened.record.view() == &view)
        });
        if !right {
            self.rebuild(record)?;
            self.show(record);
        }
        Ok(())
    }

    /// What the record holds, in few bytes. Its entries are those of the read tables, which every page is made from: a
    /// table that does not say what the document says differs from the other's.
    pub fn digest_of(&mut self, record: &Id, told: &mut Vec<ChangeId>) -> Result<Vec<Event>, Refusal> {
        let mut events = self.news(record, told)?;
        let view = match self.store.view(record) {
            Ok(view) => view,
            // What cannot be read at all needs nobody else's word for it.
            Err(_) => {
                self.rebuild(record)?;
                self.store.view(record)?
            }
        };
        let inner = self.document(record)?.record.digest_over(&view);
        let mut photos = blake3::Hasher::new();
        for hash in self.store.photos_here(record)? {
            photos.update(hash.hex().as_bytes());
        }
        events.push(Event::Mine(Digest {
            heads: Hashes(hashes(&inner.heads)),
            changes: u64::from(inner.changes),
            entries: bytes_of(&inner.digest)?,
            photos: *photos.finalize().as_bytes(),
            photos_missing: self.store.photos_wanted(record)?.len() as u64,
        }));
        Ok(events)
    }
}
