//! One schedule of devices in memory: two to four of them, edits in random order, partitions, carry files that come
//! late, twice, out of order or never, devices that join midway and programs that end and begin again. At the end
//! everybody meets, and everything that was written is looked for.

use std::collections::BTreeSet;

use record::rules::{FoundPoints, Rule};
use record::{BadRecord, Kind, Record, Seat};

use crate::act::Act;
use crate::device::{Content, Device, Did, Parcel};
use crate::ledger::{Found, Reckoned};
use crate::past::{self, Compared};
use crate::seed::Dice;

/// In one of so many schedules all that was ever written is read again as it was at each change: it takes as long as the schedule. Few
/// write where two values stand, so that fewer would find nothing at stake.
const HOLDS_THE_PAST: u64 = 7;

/// What happened in one schedule, or in many.
#[derive(Clone, Debug, Default)]
pub struct Told {
    /// Schedules.
    pub schedules: usize,
    /// Edits that were done.
    pub edits: usize,
    /// Edits that were refused.
    pub refused: usize,
    /// Files that were taken in, each time it was one.
    pub files: usize,
    /// Of those, real carry files.
    pub framed: usize,
    /// Files that brought nothing new.
    pub twice: usize,
    /// Files never taken in.
    pub dropped: usize,
    /// Files refused since they build on what is not there.
    pub gaps: usize,
    /// Programs ended and begun again.
    pub restarts: usize,
    /// Assemblies closed up.
    pub closings: usize,
    /// Of those, with something waived.
    pub waived: usize,
    /// Points settled.
    pub settlements: usize,
    /// Entries struck out.
    pub strikes: usize,
    /// Strikes taken back.
    pub taken_back: usize,
    /// Sheets rewritten over a text that had changed meanwhile.
    pub stale_rewrites: usize,
    /// Sheets that two devices of one keeper wrote on apart.
    pub shared_sheets: usize,
    /// Fields with two or more values at the end.
    pub conflicts: usize,
    /// Points left at the end, by rule.
    pub points: std::collections::BTreeMap<Rule, usize>,
    /// Kinds of which an entry was changed or entered.
    pub kinds: BTreeSet<Kind>,
    /// Where every value was found.
    pub found: Found,
    /// What entries read earlier, of every schedule of a few.
    pub past: Compared,
}

impl Told {
    /// Adds another's.
    pub fn add(&mut self, other: &Self) {
        for (mine, theirs) in [
            (&mut self.schedules, other.schedules),
            (&mut self.edits, other.edits),
            (&mut self.refused, other.refused),
            (&mut self.files, other.files),
            (&mut self.framed, other.framed),
            (&mut self.twice, other.twice),
            (&mut self.dropped, other.dropped),
            (&mut self.gaps, other.gaps),
            (&mut self.restarts, other.restarts),
            (&mut self.closings, other.closings),
            (&mut self.waived, other.waived),
            (&mut self.settlements, other.settlements),
            (&mut self.strikes, other.strikes),
            (&mut self.taken_back, other.taken_back),
            (&mut self.stale_rewrites, other.stale_rewrites),
            (&mut self.shared_sheets, other.shared_sheets),
            (&mut self.conflicts, other.conflicts),
        ] {
            *mine += theirs;
        }
        for (rule, count) in &other.points {
            *self.points.entry(*rule).or_default() += count;
        }
        self.kinds.extend(&other.kinds);
        self.found.add(other.found);
        self.past.add(other.past);
    }

    /// Counts an act that was done.
    pub fn count(&mut self, act: &Act, did: Did) {
        if did == Did::Refused {
            self.refused += 1;
            return;
        }
        self.edits += 1;
        match act {
            Act::Add(kind, ..) | Act::Change(kind, ..) => drop(self.kinds.insert(*kind)),
            Act::Strike(..) => self.strikes += 1,
            Act::TakeBack(..) => self.taken_back += 1,
            Act::CloseUp(_, waive) => {
                self.closings += 1;
                self.waived += usize::from(!waive.is_empty());
                self.kinds.extend((!waive.is_empty()).then_some(Kind::Waiver));
            }
            Act::Settle(..) => {
                self.settlements += 1;
                self.kinds.insert(Kind::Settlement);
            }
            Act::Note(..) | Act::Rewrite(..) | Act::Hours(..) => drop(self.kinds.insert(Kind::Sheet)),
        }
    }
}

struct World {
    dice: Dice,
    devices: Vec<Device>,
    reckoned: Reckoned,
    /// Files on their way, each with how often it was taken in.
    files: Vec<(Parcel, usize)>,
    /// Who can be reached by whom: devices with the same number.
    parted: Vec<usize>,
    tokens: u64,
    holds_the_past: bool,
    told: Told,
}

/// Runs one schedule.
///
/// # Panics
/// Where anything is not as it must be; the message says what, and the seed replays it.
#[must_use]
pub fn run(seed: u64) -> Told {
    let mut world = World {
        dice: Dice::of(seed),
        devices: Vec::new(),
        reckoned: Reckoned::default(),
        files: Vec::new(),
        parted: vec![0; 4],
        tokens: 0,
        holds_the_past: seed.is_multiple_of(HOLDS_THE_PAST),
        told: Told {
            schedules: 1,
            ..Told::default()
        },
    };
    let first = Device::first(&mut world.dice, &mut world.reckoned);
    world.devices.push(first);
    let most = 2 + world.dice.below(3);
    world.join();
    for _ in 0..20 + world.dice.below(40) {
        world.step(most);
    }
    world.meet_all();
    world.hold();
    world.told
}

impl World {
    fn join(&mut self) {
        let from = self.dice.below(self.devices.len());
        let whole = self.devices[from].parcel(None, self.dice.chance(50));
        // Two devices of one keeper come often: they write on the same sheets.
        let keeper = self.dice.chance(45).then(|| self.devices[from].keeper.clone());
        let stands = |keeper: &record::Id| {
            let entry = self.devices[from].record.view().get(Kind::Keeper, keeper);
            entry.is_some_and(record::Entry::stands)
        };
        let keeper = keeper.filter(stands);
        let device = Device::joining(&mut self.dice, &whole, keeper, &mut self.reckoned);
        self.devices.push(device);
    }

    fn step(&mut self, most: usize) {
        match self.dice.below(100) {
            0..=57 => self.edit(),
            58..=74 => self.send(),
            75..=90 => self.deliver(),
            91..=93 => {
                let at = self.dice.below(self.devices.len());
                self.devices[at].restart();
                self.told.restarts += 1;
            }
            94..=96 => {
                for at in 0..self.parted.len() {
                    self.parted[at] = self.dice.below(2);
                }
            }
            _ if self.devices.len() < most => self.join(),
            _ => self.parted.fill(0),
        }
    }

    fn edit(&mut self) {
        let at = self.dice.below(self.devices.len());
        let mut hand = std::mem::take(&mut self.devices[at].hand);
        let act = Act::any(&self.devices[at], &mut hand, &mut self.dice, &mut self.tokens);
        self.devices[at].hand = hand;
        if let Act::Rewrite(day, before, ..) = &act {
            use crate::act::Shown as _;
            self.told.stale_rewrites += usize::from(&self.devices[at].sheet(day) != before);
        }
        let did = self.devices[at].act(&act, &mut self.reckoned);
        self.told.count(&act, did);
    }

    fn send(&mut self) {
        let from = self.dice.below(self.devices.len());
        let to = self.dice.below(self.devices.len());
        let to = (to != from && self.dice.chance(70)).then(|| self.devices[to].id.clone());
        let parcel = self.devices[from].parcel(to.as_ref(), self.dice.chance(30));
        self.files.push((parcel, 0));
    }

    /// Any file that is about reaches any device that it can reach: late, twice, out of order, or the wrong one.
    fn deliver(&mut self) {
        let to = self.dice.below(self.devices.len());
        let from = |parcel: &Parcel| {
            self.devices
                .iter()
                .position(|device| device.id == parcel.from)
                .unwrap()
        };
        let about: Vec<usize> = (0..self.files.len())
            .filter(|at| {
                let from = from(&self.files[*at].0);
                from != to && self.parted[from] == self.parted[to]
            })
            .collect();
        let Some(at) = self.dice.one(&about).copied() else {
            return;
        };
        let (parcel, taken) = &mut self.files[at];
        self.told.framed += usize::from(matches!(parcel.content, Content::File(_)));
        match self.devices[to].take(parcel, &mut self.reckoned) {
            Ok(new) => {
                *taken += 1;
                self.told.files += 1;
                self.told.twice += usize::from(new == 0);
            }
            Err(BadRecord::Gap(_)) => self.told.gaps += 1,
            Err(bad) => panic!("a carry file was refused: {bad}"),
        }
        if self.dice.chance(30) {
            let (_, taken) = self.files.swap_remove(at);
            self.told.dropped += usize::from(taken == 0);
        }
    }

    /// Everybody meets everybody, once around and back.
    fn meet_all(&mut self) {
        self.told.dropped += self.files.iter().filter(|(_, taken)| *taken == 0).count();
        let count = self.devices.len();
        let around = (0..count).chain((0..count).rev());
        for (from, to) in around.clone().zip(around.skip(1)).filter(|(from, to)| from != to) {
            // What the other has is told by itself, so only what it lacks is sent.
            let heads = self.devices[to].record.heads();
            let id = self.devices[to].id.clone();
            self.devices[from].told.insert(id.clone(), heads);
            let parcel = self.devices[from].parcel(Some(&id), false);
            self.devices[to].take(&parcel, &mut self.reckoned).unwrap();
        }
    }

    fn hold(&mut self) {
        let (first, others) = self.devices.split_first().unwrap();
        let digest = first.record.digest();
        let list = first.points.list(first.record.view(), first.record.ledger());
        for device in others {
            assert_eq!(device.record.heads(), first.record.heads(), "heads differ");
            assert_eq!(device.record.digest(), digest, "digests differ");
            assert!(device.record.view() == first.record.view(), "read tables differ");
            assert_eq!(device.having, first.having, "what the files brought differs");
            assert_eq!(
                device.points.list(device.record.view(), device.record.ledger()),
                list,
                "points differ"
            );
        }
        for device in &self.devices {
            let fresh = FoundPoints::of(device.record.view(), device.record.ledger());
            assert_eq!(
                device.points, fresh,
                "points kept up are not those of the whole record"
            );
        }
        // Taken in anew, in one go and with the newest first, by a device that was never there.
        let seat = Seat {
            device: self.dice.uuid(),
            run: [0; 8],
        };
        let mut stranger = Record::begin(seat).unwrap();
        let mut all: Vec<Vec<u8>> = first
            .record
            .changes_since(&[])
            .into_iter()
            .map(|(_, bytes)| bytes)
            .collect();
        all.reverse();
        drop(stranger.receive(&all).unwrap());
        assert_eq!(stranger.digest(), digest, "all at once, the record is another");
        // The ancestry that the ledger tells is the one that the files made.
        self.told.found = self.reckoned.hold_against(&mut stranger);
        if self.holds_the_past {
            self.told.past = past::hold(&mut stranger);
        }
        for entry in stranger.view().everything() {
            self.told.conflicts += entry.fields.values().filter(|held| held.contradicts()).count();
        }
        for point in &list {
            *self.told.points.entry(point.rule).or_default() += 1;
        }
        self.told.shared_sheets = self.shared_sheets();
        let at = self.dice.below(self.devices.len());
        self.devices[at].restart();
    }

    /// Sheets whose text has writers who did not know each other.
    fn shared_sheets(&self) -> usize {
        let sheets = self
            .reckoned
            .texts
            .iter()
            .filter(|((kind, ..), _)| *kind == Kind::Sheet);
        sheets
            .filter(|(_, writes)| self.reckoned.standing(writes).len() > 1)
            .count()
    }
}
