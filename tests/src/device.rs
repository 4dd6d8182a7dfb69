//! A device in memory: a record with a seat and a clock of its own, its points kept up from edit to edit, and what
//! it knows of the others. It keeps what a store would have logged, and can be ended and opened again from that.

use std::collections::BTreeMap;
use std::io::Cursor;

use link::carry::{self, Head, Limits, Sink, Wanted, Writer};
use record::edit::{EditError, blockers};
use record::entities as e;
use record::rules::FoundPoints;
use record::{BadRecord, ChangeId, Edit, Given, Id, Kind, Moment, Record, Ref, Scalar, Seat};

use crate::act::{Act, Hand, Shown};
use crate::ledger::{Having, Reckoned};
use crate::seed::Dice;
use crate::value::Seen;

/// One device of one keeper.
#[derive(Debug)]
pub struct Device {
    /// Whose it is.
    pub keeper: Id,
    /// Its id.
    pub id: Id,
    /// Its record.
    pub record: Record,
    /// Its points, never made anew but at opening.
    pub points: FoundPoints,
    /// Which changes it has.
    pub having: Having,
    /// What its keeper has in hand.
    pub hand: Hand,
    /// What it was last told that each other device has.
    pub told: BTreeMap<Id, Vec<ChangeId>>,
    seat: Seat,
    dice: Dice,
    now: i64,
    snapshot: Option<Vec<u8>>,
    log: Vec<Vec<u8>>,
}

/// What a carry file holds, in memory.
#[derive(Clone, Debug)]
pub struct Parcel {
    /// Who sent it.
    pub from: Id,
    /// The newest changes it had.
    pub heads: Vec<ChangeId>,
    /// What it builds on; nothing where it holds everything.
    pub base: Vec<ChangeId>,
    /// The changes; or the file they are in.
    pub content: Content,
}

/// Changes as they are, or in a real carry file.
#[derive(Clone, Debug)]
pub enum Content {
    /// As they are.
    Plain(Vec<Vec<u8>>),
    /// In the bytes of a carry file.
    File(Vec<u8>),
}

/// A device's data folder as it was copied away one day.
#[derive(Clone, Debug)]
pub struct Backup {
    snapshot: Vec<u8>,
    /// Which changes it has.
    pub having: Having,
}

/// What came of an act.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Did {
    /// It was done.
    Done,
    /// It was done, and there was nothing to change.
    Nothing,
    /// It was refused, and nothing was changed.
    Refused,
}

impl Device {
    /// The first device: it begins the record of the car.
    pub fn first(dice: &mut Dice, reckoned: &mut Reckoned) -> Self {
        let mut device = Self::bare(dice);
        let id = Id::from_uuid(device.dice.uuid());
        let car = e::CarFields {
            name: "Tern".into(),
            ..Default::default()
        };
        let begin = Edit::Together {
            message: "Began the record of 'Tern'".to_owned(),
            edits: vec![
                Edit::add::<e::Car>(Id::car(), &car).unwrap(),
                keeper_edit(&id, "keeper 0"),
            ],
        };
        device.write(&begin, reckoned).unwrap();
        device.enter(id, reckoned);
        device
    }

    /// A further device, from a parcel that holds everything; of the same keeper where one is given.
    ///
    /// # Panics
    /// Where the parcel cannot be taken in.
    pub fn joining(dice: &mut Dice, whole: &Parcel, keeper: Option<Id>, reckoned: &mut Reckoned) -> Self {
        let mut device = Self::bare(dice);
        device.take(whole, reckoned).unwrap();
        let id = keeper.unwrap_or_else(|| {
            let id = Id::from_uuid(device.dice.uuid());
            device
                .write(&keeper_edit(&id, "another keeper"), reckoned)
                .unwrap();
            id
        });
        device.enter(id, reckoned);
        device
    }

    fn bare(dice: &mut Dice) -> Self {
        let mut dice = Dice::of(u64::from(dice.number()));
        let seat = seat(dice.uuid(), &mut dice);
        let record = Record::begin(seat).unwrap();
        Self {
            keeper: Id::car(),
            id: Id::from_uuid(seat.device),
            points: FoundPoints::of(record.view(), record.ledger()),
            record,
            having: Having::default(),
            hand: Hand::default(),
            told: BTreeMap::new(),
            seat,
            // Clocks of two devices disagree by days.
            now: 1_900_000_000 + i64::from(dice.number() % 600_000),
            dice,
            snapshot: None,
            log: Vec::new(),
        }
    }

    fn enter(&mut self, keeper: Id, reckoned: &mut Reckoned) {
        self.keeper = keeper.clone();
        let fields = e::DeviceFields {
            name: "a device".into(),
            keeper: Given::Put(keeper),
            ..Default::default()
        };
        let edit = Edit::add::<e::Device>(self.id.clone(), &fields).unwrap();
        self.write(&edit, reckoned).unwrap();
    }

    fn write(&mut self, edit: &Edit, reckoned: &mut Reckoned) -> Result<Did, EditError> {
        // Now and then the clock is put back.
        self.now += if self.dice.chance(5) { -90_000 } else { 60 };
        let before = self.record.heads();
        let written = match self
            .record
            .edit(edit, Moment::from_seconds(self.now), &mut self.dice)
        {
            Ok(written) => written,
            Err(error) => {
                assert_eq!(
                    self.record.heads(),
                    before,
                    "a refused edit left something behind: {error}"
                );
                return Err(error);
            }
        };
        self.log
            .extend(written.changes.iter().map(|change| change.bytes.clone()));
        self.points
            .refresh(self.record.view(), self.record.ledger(), &written.touched);
        reckoned.wrote(self.record.view(), &written.changes, &mut self.having);
        let own = written.changes.iter().any(|change| change.device.is_some());
        Ok(if own { Did::Done } else { Did::Nothing })
    }

    /// Does an act, and sees to it that what was given is what reads back right after.
    ///
    /// # Panics
    /// Where it does not read back, or the document breaks.
    pub fn act(&mut self, act: &Act, reckoned: &mut Reckoned) -> Did {
        let Ok(edit) = act.edit(&self.keeper) else {
            return Did::Refused;
        };
        let now = match act {
            Act::Rewrite(day, ..) => self.sheet(day),
            _ => String::new(),
        };
        match self.write(&edit, reckoned) {
            Ok(did) => {
                self.reads_back(act, &now, reckoned);
                did
            }
            Err(EditError::Refused(_)) => Did::Refused,
            Err(broken) => panic!("{act:?}: {broken}"),
        }
    }

    fn reads_back(&mut self, act: &Act, was: &str, reckoned: &mut Reckoned) {
        let view = self.record.view();
        match act {
            Act::Add(kind, id, fields) | Act::Change(kind, id, fields) => {
                let entry = view.get(*kind, id).unwrap();
                for (field, value) in &fields.kept {
                    assert_eq!(entry.value(field), value.as_ref(), "{kind} {field}");
                    let held = entry.fields.get(field);
                    assert!(
                        held.is_none_or(|held| held.claims().len() == 1),
                        "{kind} {field}: {held:?}"
                    );
                }
                for (field, text) in &fields.prose {
                    assert_eq!(entry.line(field).unwrap_or_default(), text, "{kind} {field}");
                }
                for (field, wanted) in &fields.sets {
                    let mut members: Vec<&str> = entry.members(field).collect();
                    let mut wanted: Vec<&str> = wanted.iter().map(String::as_str).collect();
                    members.sort_unstable();
                    wanted.sort_unstable();
                    assert_eq!(members, wanted, "{kind} {field}");
                }
            }
            Act::Strike(name, why, _) => {
                assert_eq!(view.find(name).unwrap().struck().unwrap().0, why);
                self.hand.struck.insert(name.clone());
            }
            Act::TakeBack(name) => {
                assert!(view.find(name).unwrap().stands());
                self.hand.struck.remove(name);
            }
            Act::Note(day, text) => {
                assert!(self.sheet(day).lines().any(|line| line == text));
                reckoned.lines.push((self.sheet_id(day), text.clone()));
            }
            Act::Rewrite(day, before, after, only_in) => {
                let sheet = self.sheet_id(day);
                let text = self.sheet(day);
                if before == was {
                    assert_eq!(&text, after);
                }
                if *only_in {
                    for line in was.lines() {
                        assert!(
                            text.lines().any(|one| one == line),
                            "'{line}' of {was:?} is gone from {text:?}"
                        );
                    }
                    let fresh = after
                        .lines()
                        .filter(|line| !before.lines().any(|one| one == *line));
                    reckoned
                        .lines
                        .extend(fresh.map(|line| (sheet.clone(), line.to_owned())));
                } else {
                    reckoned.cut.insert(sheet);
                }
            }
            Act::Hours(day, hours) => {
                let hours = hours.replace(',', ".");
                let shown = view
                    .get(Kind::Sheet, &self.sheet_id(day))
                    .and_then(|entry| entry.line("hours"));
                assert_eq!(shown.unwrap_or_default(), hours);
            }
            Act::CloseUp(assembly, _) => {
                let entry = view.get(Kind::Assembly, assembly).unwrap();
                let closed = Scalar::Line("closed".to_owned());
                assert!(entry.fields["state"].is_just(Some(&closed)));
            }
            Act::Settle(point, ..) => {
                let left = self.points.list(view, self.record.ledger());
                assert!(
                    left.iter().all(|one| &one.id != point),
                    "a settled point is still there"
                );
            }
        }
    }

    fn sheet_id(&self, day: &str) -> Id {
        format!("{day}_{}", self.keeper).parse().unwrap()
    }

    /// What it would send: what that device was last said to lack, or everything.
    #[must_use]
    pub fn parcel(&self, to: Option<&Id>, as_file: bool) -> Parcel {
        let base: Vec<ChangeId> = to
            .and_then(|to| self.told.get(to))
            .into_iter()
            .flatten()
            .filter(|head| self.record.ledger().has(head))
            .copied()
            .collect();
        let changes = self.record.changes_since(&base);
        let heads = self.record.heads();
        let content = if as_file {
            Content::File(self.file(&heads, &base, &changes))
        } else {
            Content::Plain(changes.into_iter().map(|(_, bytes)| bytes).collect())
        };
        Parcel {
            from: self.id.clone(),
            heads,
            base,
            content,
        }
    }

    fn file(&self, heads: &[ChangeId], base: &[ChangeId], changes: &[(ChangeId, Vec<u8>)]) -> Vec<u8> {
        let head = Head {
            device: self.id.to_string(),
            heads: heads.iter().map(ToString::to_string).collect(),
            base: base.iter().map(ToString::to_string).collect(),
            whole: base.is_empty(),
            changes: changes.len() as u64,
            ..Head::default()
        };
        let mut writer = Writer::new(Vec::new(), head).unwrap();
        for (id, bytes) in changes {
            writer.change(id.bytes(), bytes).unwrap();
        }
        writer.finish().unwrap().0
    }

    /// Takes a parcel in, in the order it came or any other.
    ///
    /// # Errors
    /// [`BadRecord::Gap`] where it builds on what is not here: then nothing was taken in.
    ///
    /// # Panics
    /// Where the file is refused, or something was taken in all the same.
    pub fn take(&mut self, parcel: &Parcel, reckoned: &mut Reckoned) -> Result<usize, BadRecord> {
        let mut changes = match &parcel.content {
            Content::Plain(changes) => changes.clone(),
            Content::File(bytes) => unpacked(bytes),
        };
        // A reader need not hand them on in the sender's order.
        for at in (1..changes.len()).rev().filter(|_| self.now % 3 == 0) {
            changes.swap(at, (at * 7) % (at + 1));
        }
        let before = self.record.heads();
        let written = match self.record.receive(&changes) {
            Ok(written) => written,
            Err(bad) => {
                assert_eq!(
                    self.record.heads(),
                    before,
                    "what was refused left something behind"
                );
                return Err(bad);
            }
        };
        self.log
            .extend(written.changes.iter().map(|change| change.bytes.clone()));
        self.points
            .refresh(self.record.view(), self.record.ledger(), &written.touched);
        for change in &written.changes {
            let at = match change.device {
                Some(_) => reckoned.known(&change.id),
                None => reckoned.number(&change.id, &Having::default()),
            };
            self.having.add(at);
        }
        self.told.insert(parcel.from.clone(), parcel.heads.clone());
        Ok(written.changes.len())
    }

    /// Ends the program and opens it again from what a store would have kept.
    ///
    /// # Panics
    /// Where it does not read as it did.
    pub fn restart(&mut self) {
        if self.dice.chance(40) {
            self.snapshot = Some(self.record.snapshot());
            self.log.clear();
        }
        self.seat = seat(self.seat.device, &mut self.dice);
        let again = Record::open(self.snapshot.as_deref(), &self.log, self.seat).unwrap();
        assert_eq!(again.digest(), self.record.digest());
        assert!(
            again.view() == self.record.view(),
            "opened again, the record reads otherwise"
        );
        let points = FoundPoints::of(again.view(), again.ledger());
        assert_eq!(
            points, self.points,
            "points kept up are not those of the whole record"
        );
        self.record = again;
        self.points = points;
    }
}

impl Device {
    /// Copies the device away.
    #[must_use]
    pub fn backup(&self) -> Backup {
        Backup {
            snapshot: self.record.snapshot(),
            having: self.having.clone(),
        }
    }

    /// Puts the device back to how it was copied away. It writes on under a new run.
    ///
    /// # Panics
    /// Where the copy does not open.
    pub fn restore(&mut self, backup: &Backup) {
        self.seat = seat(self.seat.device, &mut self.dice);
        self.record = Record::open(Some(&backup.snapshot), &[], self.seat).unwrap();
        self.points = FoundPoints::of(self.record.view(), self.record.ledger());
        self.having = backup.having.clone();
        self.snapshot = Some(backup.snapshot.clone());
        self.log.clear();
        self.told.clear();
        self.hand = Hand::default();
    }

    /// Puts the device's clock on by so many seconds, or back.
    pub fn put_clock(&mut self, by: i64) {
        self.now += by;
    }
}

/// The same device with other random bytes, as every run of the program has them.
fn seat(device: uuid::Uuid, dice: &mut Dice) -> Seat {
    let mut run = [0_u8; 8];
    run.copy_from_slice(&dice.bytes()[..8]);
    Seat { device, run }
}

fn keeper_edit(id: &Id, name: &str) -> Edit {
    let fields = e::KeeperFields {
        name: name.into(),
        ..Default::default()
    };
    Edit::add::<e::Keeper>(id.clone(), &fields).unwrap()
}

impl Seen for Device {
    fn standing(&self, kind: Kind) -> Vec<Id> {
        self.record
            .view()
            .standing(kind)
            .map(|entry| entry.id.clone())
            .collect()
    }
}

impl Shown for Device {
    fn points(&self) -> Vec<(String, Vec<(String, bool)>)> {
        let points = self.points.list(self.record.view(), self.record.ledger());
        let each = points.into_iter().map(|point| {
            let choices = point
                .choices
                .into_iter()
                .map(|choice| (choice.key, choice.wants_why));
            (point.id, choices.collect())
        });
        each.collect()
    }

    fn sheet(&self, day: &str) -> String {
        let entry = self.record.view().get(Kind::Sheet, &self.sheet_id(day));
        entry
            .and_then(|entry| entry.line("text"))
            .unwrap_or_default()
            .to_owned()
    }

    fn blockers(&self, assembly: &Id) -> Vec<Ref> {
        let found = blockers(
            self.record.view(),
            &record::rules::points(self.record.view(), self.record.ledger()),
            assembly,
        );
        found.into_iter().map(|blocker| blocker.about).collect()
    }

    fn device(&self) -> Id {
        self.id.clone()
    }
}

/// The changes of a carry file, in its order.
///
/// # Panics
/// Where the file is refused.
#[must_use]
pub fn unpacked(bytes: &[u8]) -> Vec<Vec<u8>> {
    #[derive(Default)]
    struct Changes(Vec<Vec<u8>>);
    impl Sink for Changes {
        type Refusal = std::convert::Infallible;
        fn head(&mut self, _: &Head) -> Result<(), Self::Refusal> {
            Ok(())
        }
        fn change(&mut self, _: carry::Hash, bytes: Vec<u8>) -> Result<(), Self::Refusal> {
            self.0.push(bytes);
            Ok(())
        }
        fn photo(&mut self, _: carry::Hash, _: u64) -> Result<Wanted, Self::Refusal> {
            Ok(Wanted::No)
        }
        fn photo_piece(&mut self, _: &[u8]) -> Result<(), Self::Refusal> {
            Ok(())
        }
        fn photo_end(&mut self) -> Result<(), Self::Refusal> {
            Ok(())
        }
    }
    let mut changes = Changes::default();
    carry::read(&mut Cursor::new(bytes), &Limits::default(), &mut changes).unwrap();
    changes.0
}
