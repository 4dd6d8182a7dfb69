//! A device that meets by a drop: a real record in memory, keys, photos, and what it noted about the drop.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Cursor, Read};

use link::carry::Head;
use link::drop::{
    Batch, Book, DropError, DropLimits, Hash, HeldChange, MemberStanding, Mine, Names, Place, Plan, Side,
    Spools, Told, Took, ahead, look,
};
use link::seal::{OpeningKey, SigningKey};
use record::{BadRecord, ChangeId, Id, Record};
use tests::device::{Content, Device, Parcel};
use tests::ledger::Reckoned;

pub(crate) const RECORD: &str = "0198f3a2-7c11-7000-8000-00000000beef";
/// Stands for what only members have.
pub(crate) const SECRET: &[u8] = b"thirty-two bytes out of a record";

/// The keys of a device.
pub(crate) struct Keys {
    pub(crate) sign: SigningKey,
    pub(crate) open: OpeningKey,
}

impl Keys {
    pub(crate) fn of(number: u8) -> Self {
        Keys {
            sign: SigningKey::from_bytes([number; 32]),
            open: OpeningKey::generate(),
        }
    }
}

/// Who is a member, as a record would say.
#[derive(Clone, Default)]
pub(crate) struct Club {
    pub(crate) devices: BTreeMap<Hash, MemberStanding>,
    pub(crate) seals: Vec<String>,
}

impl Club {
    pub(crate) fn of<'a>(keys: impl IntoIterator<Item = &'a Keys>) -> Self {
        let mut club = Club::default();
        for keys in keys {
            club.join(keys);
        }
        club
    }

    pub(crate) fn join(&mut self, keys: &Keys) {
        self.devices.insert(keys.sign.public(), MemberStanding::Member);
        self.seals.push(keys.open.seal());
    }

    pub(crate) fn revoke(&mut self, keys: &Keys) {
        self.devices.insert(keys.sign.public(), MemberStanding::Revoked);
        self.seals.retain(|seal| *seal != keys.open.seal());
    }
}

/// Something that changes can be taken into.
pub(crate) trait Holds {
    fn record(&self) -> &Record;
    fn receive(&mut self, changes: &[Vec<u8>]) -> Result<(), BadRecord>;
}

/// A device and the ledger that all share.
pub(crate) struct Full<'a> {
    pub(crate) device: &'a mut Device,
    pub(crate) reckoned: &'a mut Reckoned,
}

impl Holds for Full<'_> {
    fn record(&self) -> &Record {
        &self.device.record
    }
    fn receive(&mut self, changes: &[Vec<u8>]) -> Result<(), BadRecord> {
        let parcel = Parcel {
            from: Id::car(),
            heads: Vec::new(),
            base: Vec::new(),
            content: Content::Plain(changes.to_vec()),
        };
        self.device.take(&parcel, self.reckoned).map(drop)
    }
}

impl Holds for Record {
    fn record(&self) -> &Record {
        self
    }
    fn receive(&mut self, changes: &[Vec<u8>]) -> Result<(), BadRecord> {
        Record::receive(self, changes).map(drop)
    }
}

/// Every change, as of these heads.
type AtHeads = (Vec<ChangeId>, Vec<(Hash, Vec<u8>)>);

/// What a device keeps beside its record.
pub(crate) struct Shelf {
    pub(crate) keys: Keys,
    pub(crate) book: Book,
    pub(crate) photos: BTreeMap<Hash, Vec<u8>>,
    pub(crate) wanted: BTreeSet<Hash>,
    /// Batches that were set aside: who wrote them, and their changes.
    pub(crate) aside: Vec<(Hash, Vec<Hash>)>,
    /// Who wrote the batches that were offered and not refused.
    pub(crate) took: Vec<Hash>,
    held: Option<AtHeads>,
}

impl Shelf {
    pub(crate) fn of(keys: Keys) -> Self {
        Shelf {
            keys,
            book: Book::new(),
            photos: BTreeMap::new(),
            wanted: BTreeSet::new(),
            aside: Vec::new(),
            took: Vec::new(),
            held: None,
        }
    }

    pub(crate) fn look(
        &mut self,
        place: &mut dyn Place,
        holds: &mut dyn Holds,
        club: &Club,
        limits: &DropLimits,
        now: i64,
    ) -> Result<Told, DropError> {
        let mut spools = Spools {
            sealed: Cursor::new(Vec::new()),
            open: Cursor::new(Vec::new()),
        };
        let told = self.with(holds, club, limits, |book, side, mine| {
            look(place, book, side, mine, &mut spools, now)
        });
        assert!(spools.sealed.get_ref().is_empty() && spools.open.get_ref().is_empty());
        told
    }

    /// What the next look would do.
    pub(crate) fn ahead(
        &mut self,
        place: &mut dyn Place,
        holds: &mut dyn Holds,
        club: &Club,
        limits: &DropLimits,
        now: i64,
    ) -> Plan {
        self.with(holds, club, limits, |book, side, mine| {
            ahead(place, book, side, mine, now).unwrap()
        })
    }

    fn with<T>(
        &mut self,
        holds: &mut dyn Holds,
        club: &Club,
        limits: &DropLimits,
        act: impl FnOnce(&mut Book, &mut dyn Side, &Mine<'_>) -> T,
    ) -> T {
        let names = Names::new(SECRET, RECORD);
        let head = Head::default();
        let Shelf {
            keys,
            book,
            photos,
            wanted,
            aside,
            took,
            held,
        } = self;
        let mine = Mine {
            record: RECORD,
            names: &names,
            sign: &keys.sign,
            open: &keys.open,
            readers: &club.seals,
            head: &head,
            limits,
        };
        let mut side = Looked {
            holds,
            club,
            photos,
            wanted,
            aside,
            took,
            held,
        };
        act(book, &mut side, &mine)
    }
}

struct Looked<'a> {
    holds: &'a mut dyn Holds,
    club: &'a Club,
    photos: &'a mut BTreeMap<Hash, Vec<u8>>,
    wanted: &'a mut BTreeSet<Hash>,
    aside: &'a mut Vec<(Hash, Vec<Hash>)>,
    took: &'a mut Vec<Hash>,
    held: &'a mut Option<AtHeads>,
}

impl Looked<'_> {
    fn all(&mut self) -> &[(Hash, Vec<u8>)] {
        let heads = self.holds.record().heads();
        if self.held.as_ref().is_none_or(|(at, _)| *at != heads) {
            let all = self.holds.record().changes_since(&[]);
            let all = all.into_iter().map(|(id, bytes)| (*id.bytes(), bytes));
            *self.held = Some((heads, all.collect()));
        }
        &self.held.as_ref().unwrap().1
    }
}

impl Side for Looked<'_> {
    fn devices(&mut self) -> Vec<(Hash, MemberStanding)> {
        self.club
            .devices
            .iter()
            .map(|(key, standing)| (*key, *standing))
            .collect()
    }

    fn held(&mut self) -> Vec<HeldChange> {
        let each = self.all().iter().map(|(hash, bytes)| HeldChange {
            hash: *hash,
            length: bytes.len() as u64,
        });
        each.collect()
    }

    fn change(&mut self, hash: &Hash) -> io::Result<Vec<u8>> {
        let found = self.all().iter().find(|(one, _)| one == hash);
        found
            .map(|(_, bytes)| bytes.clone())
            .ok_or_else(|| io::ErrorKind::NotFound.into())
    }

    fn take(&mut self, batch: &Batch) -> Took {
        if batch.aside {
            self.aside.push((batch.from[0].0, batch.hashes.clone()));
            return Took::All;
        }
        // A change carries the first four bytes of its hash as its checksum (the published format).
        assert_eq!(batch.hashes.len(), batch.changes.len());
        let mut each = batch.hashes.iter().zip(&batch.changes);
        if each.any(|(hash, bytes)| bytes.get(4..8) != Some(&hash[..4])) {
            return Took::Refused("a change is another than it is called".to_owned());
        }
        match self.holds.receive(&batch.changes) {
            Ok(()) => {
                self.took.extend(batch.from.iter().map(|(by, _)| by));
                Took::All
            }
            Err(BadRecord::Gap(_)) => Took::Waits,
            Err(bad) => Took::Refused(bad.to_string()),
        }
    }

    fn photos(&mut self) -> Vec<(Hash, u64)> {
        let each = self.photos.iter();
        each.map(|(hash, bytes)| (*hash, bytes.len() as u64)).collect()
    }

    fn photo(&mut self, hash: &Hash) -> io::Result<Box<dyn Read + '_>> {
        Ok(Box::new(Cursor::new(&self.photos[hash])))
    }

    fn wanted(&mut self) -> BTreeSet<Hash> {
        self.wanted.clone()
    }

    fn keep(&mut self, hash: &Hash, length: u64, from: &mut dyn Read) -> io::Result<()> {
        let mut bytes = Vec::new();
        from.read_to_end(&mut bytes)?;
        assert_eq!(
            (bytes.len() as u64, blake3::hash(&bytes).as_bytes()),
            (length, hash)
        );
        assert!(self.wanted.remove(hash), "a photo that was not wanted");
        self.photos.insert(*hash, bytes);
        Ok(())
    }
}
