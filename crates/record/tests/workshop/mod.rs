//! Named devices over an in-memory network, for the record's own tests: each device is a record with a seat of its
//! own, a clock of its own, and ids from one seed. No disk, no sleep.

#![allow(
    dead_code,
    unreachable_pub,
    missing_docs,
    clippy::unwrap_used,
    clippy::must_use_candidate,
    reason = "each test file uses a part of the workshop"
)]

use rand::{RngCore, SeedableRng};
use rand_chacha::ChaCha8Rng;
use record::edit::EditError;
use record::entities::*;
use record::{ChangeId, Day, Edit, Entity, Entry, Given, Id, Ids, Kind, Moment, Record, Ref, Seat, Written};

/// Ids from a seed.
pub struct Seeded(pub ChaCha8Rng);

impl Ids for Seeded {
    fn fresh(&mut self) -> uuid::Uuid {
        let mut bytes = [0_u8; 16];
        self.0.fill_bytes(&mut bytes);
        uuid::Builder::from_random_bytes(bytes).into_uuid()
    }
}

/// One device of one keeper.
pub struct Device {
    pub name: &'static str,
    pub keeper: Id,
    pub device: Id,
    pub record: Record,
    pub ids: Seeded,
    pub now: i64,
    /// Everything this device wrote or took in, as the store would have logged it.
    pub log: Vec<(ChangeId, Vec<u8>)>,
}

pub fn seeded(seed: u64) -> Seeded {
    Seeded(ChaCha8Rng::seed_from_u64(seed))
}

pub fn seat(ids: &mut Seeded) -> Seat {
    let mut run = [0_u8; 8];
    ids.0.fill_bytes(&mut run);
    Seat {
        device: ids.fresh(),
        run,
    }
}

impl Device {
    /// The first device: begins the record.
    pub fn first(name: &'static str, seed: u64) -> Self {
        let mut ids = seeded(seed);
        let seat = seat(&mut ids);
        let mut device = Self::bare(name, Record::begin(seat).unwrap(), ids, seat);
        device.add::<Car>(
            Id::car(),
            CarFields {
                name: "Tern".into(),
                ..Default::default()
            },
        );
        device.arrive();
        device
    }

    /// A further device, from everything that another has; of the same keeper if one is given.
    pub fn joining(name: &'static str, seed: u64, other: &Device, keeper: Option<Id>) -> Self {
        let mut ids = seeded(seed);
        let seat = seat(&mut ids);
        let mut device = Self::bare(name, Record::begin(seat).unwrap(), ids, seat);
        device.take(&other.record.changes_since(&[]));
        match keeper {
            Some(keeper) => device.register(keeper),
            None => device.arrive(),
        }
        device
    }

    fn bare(name: &'static str, record: Record, ids: Seeded, seat: Seat) -> Self {
        let device = Id::from_uuid(seat.device);
        Self {
            name,
            keeper: Id::car(),
            device,
            record,
            ids,
            now: 1_900_000_000,
            log: Vec::new(),
        }
    }

    fn arrive(&mut self) {
        let keeper = Id::from_uuid(self.ids.fresh());
        self.add::<Keeper>(
            keeper.clone(),
            KeeperFields {
                name: self.name.into(),
                ..Default::default()
            },
        );
        self.register(keeper);
    }

    fn register(&mut self, keeper: Id) {
        self.keeper = keeper.clone();
        let fields = DeviceFields {
            name: self.name.into(),
            keeper: Given::Put(keeper),
            ..Default::default()
        };
        self.add::<record::entities::Device>(self.device.clone(), fields);
    }

    pub fn try_edit(&mut self, edit: &Edit) -> Result<Written, EditError> {
        self.now += 60;
        let written = self
            .record
            .edit(edit, Moment::from_seconds(self.now), &mut self.ids)?;
        self.log
            .extend(written.changes.iter().map(|c| (c.id, c.bytes.clone())));
        Ok(written)
    }

    pub fn edit(&mut self, edit: &Edit) -> Vec<record::Logged> {
        self.try_edit(edit).unwrap().changes
    }

    pub fn add<E: Entity>(&mut self, id: Id, fields: E::Fields) -> Id {
        self.edit(&Edit::add::<E>(id.clone(), &fields).unwrap());
        id
    }

    pub fn make<E: Entity>(&mut self, fields: E::Fields) -> Id {
        let id = Id::from_uuid(self.ids.fresh());
        self.add::<E>(id, fields)
    }

    pub fn change<E: Entity>(&mut self, id: &Id, fields: E::Fields) {
        self.edit(&Edit::change::<E>(id.clone(), &fields).unwrap());
    }

    pub fn take(&mut self, changes: &[(ChangeId, Vec<u8>)]) {
        let bytes: Vec<Vec<u8>> = changes.iter().map(|(_, bytes)| bytes.clone()).collect();
        let written = self.record.receive(&bytes).unwrap();
        self.log
            .extend(written.changes.iter().map(|c| (c.id, c.bytes.clone())));
    }

    pub fn entry(&self, kind: Kind, id: &Id) -> &Entry {
        self.record.view().get(kind, id).unwrap()
    }

    pub fn sheet(&self, day: &str, keeper: &Id) -> String {
        let id: Id = format!("{day}_{keeper}").parse().unwrap();
        self.record
            .view()
            .get(Kind::Sheet, &id)
            .and_then(|e| e.line("text"))
            .unwrap_or_default()
            .to_owned()
    }
}

/// Each takes what the other has.
pub fn meet(one: &mut Device, two: &mut Device) {
    let (from_one, from_two) = (
        one.record.changes_since(&two.record.heads()),
        two.record.changes_since(&one.record.heads()),
    );
    one.take(&from_two);
    two.take(&from_one);
    assert_eq!(
        one.record.digest(),
        two.record.digest(),
        "{} and {} differ after meeting",
        one.name,
        two.name
    );
    assert_eq!(one.record.view(), two.record.view());
}

pub fn day(text: &str) -> Day {
    text.parse().unwrap()
}

pub fn part(id: &Id) -> Ref {
    Ref::new(Kind::Part, id.clone())
}
