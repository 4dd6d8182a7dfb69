//! A device whose record is a heap of made-up changes: each is the hashes of those it builds on, a count of them before, and
//! some bytes behind. Its hash is its BLAKE3.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Cursor, Read};

use link::carry::Head;
use link::drop::{
    Batch, Book, DropError, DropLimits, Hash, HeldChange, MemberStanding, Mine, Names, Place, Plan, Side,
    Spools, Store, Told, Took, ahead, look,
};
use link::seal::{OpeningKey, SigningKey};

pub(crate) const RECORD: &str = "0198f3a2-0000-7000-8000-000000000001";
pub(crate) const DAY: i64 = 86_400;

/// A change that builds on others.
pub(crate) fn change(on: &[Hash], content: &[u8]) -> (Hash, Vec<u8>) {
    let mut bytes = vec![u8::try_from(on.len()).unwrap()];
    bytes.extend(on.iter().flatten());
    bytes.extend(content);
    (*blake3::hash(&bytes).as_bytes(), bytes)
}

pub(crate) struct Device {
    pub(crate) sign: SigningKey,
    pub(crate) open: OpeningKey,
    pub(crate) book: Book,
    pub(crate) limits: DropLimits,
    /// In the order in which they came to be held.
    pub(crate) order: Vec<Hash>,
    pub(crate) changes: BTreeMap<Hash, Vec<u8>>,
    pub(crate) photos: BTreeMap<Hash, Vec<u8>>,
    pub(crate) wanted: BTreeSet<Hash>,
    /// How often something was offered, and how often it had to wait.
    pub(crate) offered: usize,
    pub(crate) waited: usize,
}

impl Device {
    pub(crate) fn new(number: u8) -> Self {
        Device {
            sign: SigningKey::from_bytes([number; 32]),
            open: OpeningKey::generate(),
            book: Book::new(),
            limits: DropLimits::default(),
            order: Vec::new(),
            changes: BTreeMap::new(),
            photos: BTreeMap::new(),
            wanted: BTreeSet::new(),
            offered: 0,
            waited: 0,
        }
    }

    /// Writes a change on top of the newest.
    pub(crate) fn write(&mut self, content: &[u8]) -> Hash {
        let on: Vec<Hash> = self.order.last().copied().into_iter().collect();
        let (hash, bytes) = change(&on, content);
        self.hold(hash, bytes);
        hash
    }

    pub(crate) fn hold(&mut self, hash: Hash, bytes: Vec<u8>) {
        if self.changes.insert(hash, bytes).is_none() {
            self.order.push(hash);
        }
    }

    pub(crate) fn look(
        &mut self,
        place: &mut dyn Place,
        members: &[(Hash, String)],
        now: i64,
    ) -> Result<Told, DropError> {
        let mut spools = Spools {
            sealed: Cursor::new(Vec::new()),
            open: Cursor::new(Vec::new()),
        };
        self.with(members, |book, side, mine| {
            look(place, book, side, mine, &mut spools, now)
        })
    }

    pub(crate) fn ahead(&mut self, place: &mut dyn Place, members: &[(Hash, String)], now: i64) -> Plan {
        self.with(members, |book, side, mine| {
            ahead(place, book, side, mine, now).unwrap()
        })
    }

    fn with<T>(
        &mut self,
        members: &[(Hash, String)],
        act: impl FnOnce(&mut Book, &mut dyn Side, &Mine<'_>) -> T,
    ) -> T {
        let names = Names::new(b"what only members have", RECORD);
        let readers: Vec<String> = members.iter().map(|(_, seal)| seal.clone()).collect();
        let Device {
            sign,
            open,
            book,
            limits,
            order,
            changes,
            photos,
            wanted,
            offered,
            waited,
        } = self;
        let mine = Mine {
            record: RECORD,
            names: &names,
            sign,
            open,
            readers: &readers,
            head: &Head::default(),
            limits,
        };
        let mut side = Heap {
            members,
            order,
            changes,
            photos,
            wanted,
            offered,
            waited,
        };
        act(book, &mut side, &mine)
    }
}

/// These devices as members.
pub(crate) fn members(devices: &[&Device]) -> Vec<(Hash, String)> {
    devices
        .iter()
        .map(|device| (device.sign.public(), device.open.seal()))
        .collect()
}

pub(crate) fn memory() -> Store {
    Store::memory().unwrap()
}

/// Paths below the record's folder.
pub(crate) fn paths(place: &mut Store) -> BTreeSet<String> {
    let record = Names::new(b"what only members have", RECORD).record();
    place
        .list(&record)
        .unwrap()
        .into_iter()
        .map(|seen| seen.path)
        .collect()
}

struct Heap<'a> {
    members: &'a [(Hash, String)],
    order: &'a mut Vec<Hash>,
    changes: &'a mut BTreeMap<Hash, Vec<u8>>,
    photos: &'a mut BTreeMap<Hash, Vec<u8>>,
    wanted: &'a mut BTreeSet<Hash>,
    offered: &'a mut usize,
    waited: &'a mut usize,
}

impl Side for Heap<'_> {
    fn devices(&mut self) -> Vec<(Hash, MemberStanding)> {
        self.members
            .iter()
            .map(|(key, _)| (*key, MemberStanding::Member))
            .collect()
    }
    fn held(&mut self) -> Vec<HeldChange> {
        self.order
            .iter()
            .map(|hash| HeldChange {
                hash: *hash,
                length: self.changes[hash].len() as u64,
            })
            .collect()
    }
    fn change(&mut self, hash: &Hash) -> io::Result<Vec<u8>> {
        Ok(self.changes[hash].clone())
    }
    fn take(&mut self, batch: &Batch) -> Took {
        *self.offered += 1;
        let mut new: BTreeMap<Hash, &Vec<u8>> = BTreeMap::new();
        for (hash, bytes) in batch.hashes.iter().zip(&batch.changes) {
            if blake3::hash(bytes).as_bytes() != hash {
                return Took::Refused("another change".into());
            }
            new.insert(*hash, bytes);
        }
        let there = |hash: &[u8]| {
            let hash: Hash = hash.try_into().unwrap();
            self.changes.contains_key(&hash) || new.contains_key(&hash)
        };
        let stands = |bytes: &&Vec<u8>| bytes[1..=32 * usize::from(bytes[0])].chunks(32).all(there);
        if !new.values().all(stands) {
            *self.waited += 1;
            return Took::Waits;
        }
        for (hash, bytes) in batch.hashes.iter().zip(&batch.changes) {
            if self.changes.insert(*hash, bytes.clone()).is_none() {
                self.order.push(*hash);
            }
        }
        Took::All
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
    fn keep(&mut self, hash: &Hash, _: u64, from: &mut dyn Read) -> io::Result<()> {
        let mut bytes = Vec::new();
        from.read_to_end(&mut bytes)?;
        assert_eq!(blake3::hash(&bytes).as_bytes(), hash);
        assert!(self.wanted.remove(hash), "a photo that was not wanted");
        self.photos.insert(*hash, bytes);
        Ok(())
    }
}
