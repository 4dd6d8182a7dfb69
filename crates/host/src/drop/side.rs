//! What a look asks of the record: each answer is one short turn with the notebook, and nothing of it is held while the
//! place is asked. Once the program is ending every answer is what was known before, and nothing more is taken.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Read, Seek, SeekFrom};
use std::sync::Weak;
use std::sync::atomic::{AtomicBool, Ordering};

use link::carry::Head;
use link::drop::{Batch, Hash, HeldChange, MemberStanding, Side, Took};
use link::identity::Key;
use link::vouch::Mark;
use record::document::SCHEMA;
use record::entities::Device;
use record::{ChangeId, Id, Kind, PhotoHash};

use notebook::drop::Kept;
use notebook::live::{Waiting, Who};
use notebook::wire::AsideBy;
use notebook::{Fault, Notebook, Refusal, bytes_of, heads_of, hex};

use super::known::{Known, Ledgered};
use crate::darkroom::Darkroom;
use crate::trace::unless;
use crate::turns::{InTurns, turn};

/// Bytes of changes that are taken in one turn, and how many: some tens of milliseconds.
const SLICE_BYTES: usize = 256 * 1024;
const SLICE_CHANGES: usize = 256;

/// The record, for one look.
pub(super) struct Joined<'a> {
    notebook: &'a Weak<InTurns>,
    record: Id,
    /// Whether photos go through this drop, and whether it is reached over a line.
    photos: bool,
    line: bool,
    known: &'a mut Known,
    stopping: &'a AtomicBool,
    devices: Vec<(Hash, MemberStanding)>,
    by_key: BTreeMap<Hash, (Id, String)>,
    put: Vec<(Hash, u64)>,
    wanted: BTreeSet<Hash>,
    faults: Vec<String>,
    /// What files of whom wait for, in words: told only where they still wait when the look ends.
    waits: BTreeSet<String>,
}

impl<'a> Joined<'a> {
    pub(super) fn new(
        notebook: &'a Weak<InTurns>,
        kept: &Kept,
        known: &'a mut Known,
        stopping: &'a AtomicBool,
    ) -> Self {
        Self {
            notebook,
            record: kept.record.clone(),
            photos: kept.photos,
            line: kept.by_line(),
            known,
            stopping,
            devices: Vec::new(),
            by_key: BTreeMap::new(),
            put: Vec::new(),
            wanted: BTreeSet::new(),
            faults: Vec::new(),
            waits: BTreeSet::new(),
        }
    }

    /// Lets go of what only this look needed; what was wrong, and where files still wait, for what.
    pub(super) fn finish(self, waiting: usize) -> Vec<String> {
        self.known.ledgered.bytes.clear();
        let mut faults = self.faults;
        if waiting > 0 {
            faults.extend(self.waits);
        }
        faults
    }

    /// A batch builds on what lies in no file there, or what vouches for it does. That is nobody's fault: a file may have
    /// gone with the disk, or lag.
    fn builds_on_missing(&mut self, batch: &Batch, what: &str) {
        let keys = batch.from.iter().map(|(key, _)| *key).collect();
        let names = self.names_of(&keys);
        let whose = if names.is_empty() {
            "a device".to_owned()
        } else {
            names.join(" and ")
        };
        self.waits.insert(format!(
            "what {whose} wrote there waits for {what} that are in no file here: one has gone, or has not come yet. Whoever has them puts them there again at their next look"
        ));
    }

    /// The devices of these keys, as the record names them.
    pub(super) fn names_of(&self, keys: &BTreeSet<Hash>) -> Vec<String> {
        let named = keys.iter().filter_map(|key| self.by_key.get(key));
        named.map(|(_, name)| name.clone()).collect()
    }

    fn turn<T>(&self, work: impl FnOnce(&mut Notebook) -> Result<T, Refusal>) -> Result<T, Refusal> {
        let gone = || Refusal::failed("closed", "the notebook was closed");
        if self.stopping.load(Ordering::SeqCst) {
            return Err(gone());
        }
        turn(self.notebook, work).unwrap_or_else(|| Err(gone()))
    }

    fn see_changes(&mut self) -> Result<(), Refusal> {
        let heads = self.known.ledgered.heads.clone();
        let record = self.record.clone();
        let (new, now) = self.turn(|notebook| {
            let document = notebook.document_of(&record)?;
            let now = document.heads();
            // A record that was opened anew from an older state than was known: begin the list anew.
            let anew = heads.iter().any(|head| !document.ledger().has(head));
            if now == heads {
                return Ok((Some(Vec::new()), now));
            }
            Ok(((!anew).then(|| document.changes_since(&heads)), now))
        })?;
        let new = match new {
            Some(new) => new,
            None => {
                self.known.ledgered = Ledgered::default();
                return self.see_changes();
            }
        };
        for (id, bytes) in new {
            let hash = *id.bytes();
            self.known.ledgered.held.push(HeldChange {
                hash,
                length: bytes.len() as u64,
            });
            self.known.ledgered.bytes.insert(hash, bytes);
        }
        self.known.ledgered.heads = now;
        Ok(())
    }

    fn see_devices(&mut self) -> Result<(), Refusal> {
        let record = self.record.clone();
        let (members, names) = self.turn(|notebook| {
            let members = notebook.members(&record)?;
            let names = notebook.called(&record, &members)?;
            Ok((members, names))
        })?;
        let mut standing: BTreeMap<Hash, MemberStanding> = BTreeMap::new();
        self.by_key.clear();
        for (one, name) in members.into_iter().zip(names) {
            let Some(key) = one.key.as_deref().and_then(|key| key.parse::<Key>().ok()) else {
                continue;
            };
            let key = *key.as_bytes();
            let says = if one.stands() {
                MemberStanding::Member
            } else {
                MemberStanding::Revoked
            };
            // A key that was revoked does not stand again under another name.
            let was = standing.get(&key).copied();
            if was.is_none_or(|was| was < says) {
                standing.insert(key, says);
                self.by_key.insert(key, (one.device, name));
            }
        }
        self.devices = standing.into_iter().collect();
        Ok(())
    }

    fn see_photos(&mut self) -> Result<(), Refusal> {
        let (record, photos, line) = (self.record.clone(), self.photos, self.line);
        let (put, wanted) = self.turn(|notebook| {
            let (may_put, wanted) = notebook.photos_through(&record, photos, line)?;
            let mut put = Vec::new();
            let here = if may_put {
                notebook.store().photos_here(&record)?
            } else {
                Vec::new()
            };
            for hash in here {
                if let Some(row) = notebook.store().photo(&hash)? {
                    put.push((*hash.bytes(), row.length));
                }
            }
            let wanted: BTreeSet<Hash> = wanted.iter().map(|hash| *hash.bytes()).collect();
            Ok((put, wanted))
        })?;
        self.put = put;
        self.wanted = wanted.difference(&self.known.no_photos).copied().collect();
        Ok(())
    }

    #[expect(clippy::too_many_lines, reason = "to be split when a file comes in by steps")]
    fn take_batch(&mut self, batch: &Batch) -> Result<Took, Refusal> {
        let record = self.record.clone();
        if batch.aside {
            for (key, _) in &batch.from {
                let Some((device, _)) = self.by_key.get(key).cloned() else {
                    continue;
                };
                let aside = self
                    .turn(|notebook| notebook.set_aside(&record, &device, AsideBy::Drop, &batch.changes))?;
                if !aside.kept {
                    let words = "a file of a device that is met no more is not kept: as much is set aside as this device keeps";
                    self.faults.push(words.to_owned());
                }
            }
            return Ok(Took::All);
        }
        if batch.from.iter().any(|(_, head)| head.schema > SCHEMA) {
            let words = "a file was written by a newer version of the program: bring this device up to date";
            self.faults.push(words.to_owned());
            return Ok(Took::Waits);
        }
        let mut rest = batch.changes.as_slice();
        let mut hashes = batch.hashes.iter();
        let mut marks: BTreeMap<Hash, Vec<u8>> = batch
            .marks
            .iter()
            .map(|mark| (mark.change, mark.to_bytes()))
            .collect();
        let mut waiting = Waiting::default();
        while !rest.is_empty() {
            let mut bytes = 0_usize;
            let fits = |change: &&Vec<u8>| {
                bytes = bytes.saturating_add(change.len());
                bytes <= SLICE_BYTES
            };
            let count = rest.iter().take(SLICE_CHANGES).take_while(fits).count().max(1);
            let (now, later) = rest.split_at_checked(count).unwrap_or((rest, &[]));
            let mut stream = Vec::with_capacity(now.len());
            for change in now {
                stream.push(change.clone());
                stream.extend(hashes.next().and_then(|hash| marks.remove(hash)));
            }
            if later.is_empty() {
                stream.extend(std::mem::take(&mut marks).into_values());
            }
            let from = match batch.from.as_slice() {
                [(key, _)] => self.by_key.get(key).map(|(device, _)| device.clone()),
                _ => None,
            };
            let taken = self.turn(|notebook| {
                notebook.take_in(&record, &mut waiting, stream, AsideBy::Drop, from.as_ref())
            });
            match taken {
                Ok(said) => self.faults.extend(said),
                Err(refusal) if refusal.code == "gap" => {
                    self.builds_on_missing(batch, "earlier changes");
                    return Ok(Took::Waits);
                }
                Err(refusal) if refusal.fault == Fault::Program => return Ok(Took::Waits),
                Err(refusal) => return Ok(Took::Refused(refusal.words)),
            }
            rest = later;
        }
        if waiting.left().is_some() {
            // The signature may lie in another file, or come by another road.
            self.builds_on_missing(batch, "signatures");
            return Ok(Took::Waits);
        }
        let from: Vec<(Id, Vec<Hash>)> = batch
            .from
            .iter()
            .filter_map(|(key, head)| {
                let heads = head.heads.iter().filter_map(|head| bytes_of(head).ok());
                Some((self.by_key.get(key)?.0.clone(), heads.collect()))
            })
            .collect();
        self.turn(|notebook| {
            let document = notebook.document_of(&record)?;
            let held = |hash: &Hash| {
                let id = ChangeId::from_bytes(*hash);
                document.ledger().has(&id) || document.was_refused(&id)
            };
            if !batch.hashes.iter().all(held) {
                return Ok(Took::Refused("a change is another than it is called".to_owned()));
            }
            let this = notebook.device()?.id;
            for (device, heads) in from {
                if device != this {
                    let record = record.clone();
                    notebook.peer_has(&Who { record, device }, &heads)?;
                }
            }
            Ok(Took::All)
        })
    }
}

impl Side for Joined<'_> {
    fn devices(&mut self) -> Vec<(Hash, MemberStanding)> {
        // What cannot be read now is as it was; the look ends at the next thing that cannot.
        let seen = self.see_devices();
        let _ = unless("the devices of a record could not be seen", seen);
        self.devices.clone()
    }

    fn held(&mut self) -> Vec<HeldChange> {
        let seen = self.see_changes();
        let _ = unless("the changes of a record could not be seen", seen);
        self.known.ledgered.held.clone()
    }

    fn readers(&mut self) -> Option<Vec<String>> {
        let record = self.record.clone();
        let members = self.turn(|notebook| notebook.members(&record)).ok()?;
        let standing = members.into_iter().filter(|one| one.stands());
        Some(standing.filter_map(|one| one.seal).collect())
    }

    fn knew_all(&mut self, head: &Head, changes: &[Hash]) -> bool {
        let record = self.record.clone();
        // What it had beyond that may not be here yet; it had at least what it put down, and all that this stands on.
        let mut heads = heads_of(head);
        heads.extend(changes.iter().map(|hash| ChangeId::from_bytes(*hash)));
        let knew = self.turn(|notebook| {
            let members = notebook.members(&record)?;
            let document = notebook.document_of(&record)?;
            let under = document.ledger().under(&heads);
            let known = |device: &Id| {
                let entry = document.view().get(Kind::Device, device);
                let seal = entry.and_then(|entry| entry.fields.get(Device::seal));
                seal.is_none_or(|seal| seal.claims().iter().all(|claim| under.has(&claim.stamp.change)))
            };
            Ok(members
                .iter()
                .filter(|one| one.stands())
                .all(|one| known(&one.device)))
        });
        // What cannot be read now is asked no further: the next look begins with whatever can.
        knew.unwrap_or(true)
    }

    fn change(&mut self, hash: &Hash) -> io::Result<Vec<u8>> {
        if let Some(bytes) = self.known.ledgered.bytes.get(hash) {
            return Ok(bytes.clone());
        }
        let record = self.record.clone();
        let found = self.turn(|notebook| {
            let document = notebook.document_of(&record)?;
            Ok(document.change(&ChangeId::from_bytes(*hash)))
        });
        found
            .map_err(|refusal| io::Error::other(refusal.words))?
            .ok_or_else(|| io::ErrorKind::NotFound.into())
    }

    fn marks(&mut self, changes: &[Hash]) -> io::Result<Vec<Mark>> {
        let record = self.record.clone();
        let ids: Vec<ChangeId> = changes.iter().map(|hash| ChangeId::from_bytes(*hash)).collect();
        let found = self.turn(|notebook| notebook.marks_for(&record, &ids, true));
        found.map_err(|refusal| io::Error::other(refusal.words))
    }

    fn take(&mut self, batch: &Batch) -> Took {
        // What the disk would not take now is taken later.
        self.take_batch(batch).unwrap_or(Took::Waits)
    }

    fn photos(&mut self) -> Vec<(Hash, u64)> {
        let seen = self.see_photos();
        let _ = unless("the photos of a record could not be seen", seen);
        self.put.clone()
    }

    fn photo(&mut self, hash: &Hash) -> io::Result<Box<dyn Read + '_>> {
        let opened = self.turn(|notebook| Ok(notebook.store().open_photo(&PhotoHash::from_bytes(*hash))?));
        let opened = opened.map_err(|refusal| io::Error::other(refusal.words))?;
        Ok(Box::new(opened))
    }

    fn wanted(&mut self) -> BTreeSet<Hash> {
        let seen = self.see_photos();
        let _ = unless("the photos of a record could not be seen", seen);
        self.wanted.clone()
    }

    fn keep(&mut self, hash: &Hash, _: u64, from: &mut dyn Read) -> io::Result<()> {
        // Slow, and so outside of a turn; what is read into memory for it is gone again before the next.
        let room = self.turn(|notebook| notebook.room());
        let mut room = room.map_err(|refusal| io::Error::other(refusal.words))?;
        io::copy(from, &mut room)?;
        room.seek(SeekFrom::Start(0))?;
        let seen = {
            let darkroom = Darkroom::enter();
            let mut bytes = Vec::new();
            room.read_to_end(&mut bytes)?;
            darkroom.decode(&bytes)
        };
        let Ok(seen) = seen else {
            self.known.no_photos.insert(*hash);
            let short: String = hex(hash).chars().take(12).collect();
            self.faults.push(format!("left out {short}…, which is no photo"));
            return Ok(());
        };
        room.seek(SeekFrom::Start(0))?;
        let record = self.record.clone();
        let came = PhotoHash::from_bytes(*hash);
        self.turn(|notebook| {
            notebook.put_in_place(&record, &came, &mut room, seen)?;
            // Whoever is met right now may still lack it.
            notebook.photos_came(&record, &[came]);
            Ok(())
        })
        .map_err(|refusal| io::Error::other(refusal.words))
    }
}
