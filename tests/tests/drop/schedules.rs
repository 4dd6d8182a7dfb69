//! Three devices through copies of one folder that lag, come in pieces, twice and out of order: they end alike, nothing is
//! lost, nothing comes into conflict, and the folder alone gives the whole record back.

use link::drop::{Book, DropError, DropLimits};
use link::seal::SealError;
use record::{Record, Seat};
use tests::act::Act;
use tests::device::Device;
use tests::ledger::Reckoned;
use tests::seed::{self, Dice};

use crate::copies::{At, Copies, Mishaps};
use crate::party::{Club, Full, Keys, Shelf};

const DAY: i64 = 86_400;

/// What happened in one schedule, or in many.
#[derive(Clone, Copy, Debug, Default)]
struct Happened {
    schedules: usize,
    edits: usize,
    looks: usize,
    written: usize,
    removed: usize,
    waited: usize,
    unfinished: usize,
    photos: usize,
    joined: usize,
    books_lost: usize,
    wrong_told: usize,
    not_for_me: usize,
    stopped: usize,
    /// The beginnings of all names that were written, added up: a replay has the same.
    names: usize,
    mishaps: Mishaps,
}

impl Happened {
    fn add(&mut self, other: &Self) {
        for (mine, theirs) in [
            (&mut self.schedules, other.schedules),
            (&mut self.edits, other.edits),
            (&mut self.looks, other.looks),
            (&mut self.written, other.written),
            (&mut self.removed, other.removed),
            (&mut self.waited, other.waited),
            (&mut self.unfinished, other.unfinished),
            (&mut self.photos, other.photos),
            (&mut self.joined, other.joined),
            (&mut self.books_lost, other.books_lost),
            (&mut self.wrong_told, other.wrong_told),
            (&mut self.not_for_me, other.not_for_me),
            (&mut self.stopped, other.stopped),
            (&mut self.names, other.names),
            (&mut self.mishaps.partial, other.mishaps.partial),
            (&mut self.mishaps.garbled, other.mishaps.garbled),
            (&mut self.mishaps.twice, other.mishaps.twice),
            (&mut self.mishaps.moved, other.mishaps.moved),
            (&mut self.mishaps.junk, other.mishaps.junk),
            (&mut self.mishaps.late, other.mishaps.late),
            (&mut self.mishaps.refused, other.mishaps.refused),
        ] {
            *mine += theirs;
        }
    }
}

struct World {
    dice: Dice,
    devices: Vec<Device>,
    shelves: Vec<Shelf>,
    club: Club,
    reckoned: Reckoned,
    copies: Copies,
    limits: DropLimits,
    now: i64,
    tokens: u64,
    old_books: Vec<Vec<u8>>,
    /// Whether a device joins after others have written.
    late: bool,
    happened: Happened,
}

fn run(seed: u64) -> Happened {
    let mut dice = Dice::of(seed);
    let mut reckoned = Reckoned::default();
    let first = Device::first(&mut dice, &mut reckoned);
    let copies = Copies::of(1, Dice::of(seed ^ 0x5EA1));
    let mut limits = DropLimits::default();
    // Few enough that a short schedule comes to them.
    limits.batches = 2 + dice.below(4);
    limits.batch = [300, 2_000, 16 << 20][dice.below(3)];
    let mut world = World {
        dice,
        devices: vec![first],
        shelves: vec![Shelf::of(Keys::of(1))],
        club: Club::default(),
        reckoned,
        copies,
        limits,
        now: 1_930_000_000,
        tokens: 0,
        old_books: Vec::new(),
        late: true,
        happened: Happened {
            schedules: 1,
            ..Happened::default()
        },
    };
    let keys = &world.shelves[0].keys;
    world.club.join(keys);
    world.join();
    let late = world.dice.chance(40);
    world.late = late;
    if !late {
        world.join();
    }
    let steps = 40 + world.dice.below(50);
    for step in 0..steps {
        if late && step == steps / 2 {
            world.join();
        }
        world.step();
    }
    world.end();
    world.happened.mishaps = world.copies.mishaps;
    world.happened.removed = world.copies.removed;
    world.happened.names = world.copies.names();
    world.happened
}

impl World {
    /// A device joins with everything that the first one has, and its copy of the folder begins.
    fn join(&mut self) {
        let number = u8::try_from(self.devices.len() + 1).unwrap();
        let whole = self.devices[0].parcel(None, false);
        let device = Device::joining(&mut self.dice, &whole, None, &mut self.reckoned);
        let mut shelf = Shelf::of(Keys::of(number));
        shelf.wanted = self
            .shelves
            .iter()
            .flat_map(|other| other.photos.keys().chain(&other.wanted))
            .copied()
            .collect();
        self.club.join(&shelf.keys);
        self.devices.push(device);
        self.shelves.push(shelf);
        self.copies.join();
        self.happened.joined += 1;
    }

    fn step(&mut self) {
        let at = self.dice.below(self.devices.len());
        match self.dice.below(100) {
            0..=39 => self.edit(at),
            40..=64 => self.look(at),
            65..=89 => self.copies.deliver(),
            90..=92 => self.photo(at),
            93..=94 => self.devices[at].restart(),
            95..=96 => self.book(at),
            _ => self.now += DAY / 2 * i64::try_from(self.dice.below(6)).unwrap(),
        }
        self.now += 60;
    }

    fn edit(&mut self, at: usize) {
        let device = &mut self.devices[at];
        let mut hand = std::mem::take(&mut device.hand);
        let act = Act::any(device, &mut hand, &mut self.dice, &mut self.tokens);
        device.hand = hand;
        device.act(&act, &mut self.reckoned);
        self.happened.edits += 1;
    }

    /// A photo is taken; every other device wants it, and comes to know of it with the record.
    fn photo(&mut self, at: usize) {
        let length = 1 + self.dice.below(3_000);
        let bytes: Vec<u8> = std::iter::repeat_with(|| self.dice.bytes())
            .take(length / 16 + 1)
            .flatten()
            .collect();
        let hash = *blake3::hash(&bytes).as_bytes();
        for (other, shelf) in self.shelves.iter_mut().enumerate() {
            if other == at {
                shelf.photos.insert(hash, bytes.clone());
            } else {
                shelf.wanted.insert(hash);
            }
        }
        self.happened.photos += 1;
    }

    /// What was noted about the drop is lost, or comes out of an old backup.
    fn book(&mut self, at: usize) {
        if at == 0 && self.dice.chance(50) {
            self.old_books.push(self.shelves[0].book.to_bytes().unwrap());
            return;
        }
        self.shelves[at].book = match self.old_books.first().filter(|_| at == 0) {
            Some(old) => Book::from_bytes(old).unwrap(),
            None => Book::new(),
        };
        self.happened.books_lost += 1;
    }

    fn look(&mut self, at: usize) {
        let mut full = Full {
            device: &mut self.devices[at],
            reckoned: &mut self.reckoned,
        };
        let mut place = At {
            copies: &mut self.copies,
            device: at,
        };
        let told = self.shelves[at].look(&mut place, &mut full, &self.club, &self.limits, self.now);
        self.happened.looks += 1;
        let told = match told {
            Ok(told) => told,
            Err(DropError::Place(_)) if self.copies.rough => {
                self.happened.stopped += 1;
                return;
            }
            Err(error) => panic!("{error}"),
        };
        for fault in &told.faults {
            match &fault.what {
                // Only what was garbled and looked at twice before it was filled.
                DropError::Wrong if self.copies.mishaps.garbled > 0 => self.happened.wrong_told += 1,
                // A photo in a folder of batches.
                DropError::Seal(SealError::OtherKind) if self.copies.mishaps.moved > 0 => {}
                what => panic!("{what}"),
            }
        }
        assert!(self.late || told.not_for_me == 0, "{told:?}");
        self.happened.not_for_me += told.not_for_me;
        assert!(self.copies.rough || told.stopped.is_none(), "{told:?}");
        self.happened.stopped += usize::from(told.stopped.is_some());
        self.happened.written += told.written;
        self.happened.waited += told.waiting;
        self.happened.unfinished += told.unfinished;
        // What is kept between two runs of the program.
        let bytes = self.shelves[at].book.to_bytes().unwrap();
        assert_eq!(Book::from_bytes(&bytes).unwrap(), self.shelves[at].book);
    }

    /// Everything arrives, everybody looks until nothing happens any more, days pass.
    fn end(&mut self) {
        self.copies.rough = false;
        for round in 0.. {
            self.copies.arrive();
            let before = (self.copies.written.len(), self.copies.removed);
            for at in 0..self.devices.len() {
                self.look(at);
                self.copies.arrive();
            }
            self.now += DAY;
            // Twice the looks after which a file that is missing is written anew.
            if round > 12 && before == (self.copies.written.len(), self.copies.removed) {
                break;
            }
            assert!(round < 60, "they write and remove for ever");
        }
        let (first, others) = self.devices.split_first().unwrap();
        for device in others {
            assert_eq!(device.record.heads(), first.record.heads(), "heads differ");
            assert_eq!(device.record.digest(), first.record.digest(), "digests differ");
            assert!(device.record.view() == first.record.view(), "read tables differ");
            assert_eq!(device.having, first.having, "what the files brought differs");
        }
        for (at, shelf) in self.shelves.iter().enumerate() {
            if let Some(photo) = shelf.wanted.first() {
                // Who is said to have it is what a person would be told, and where to begin to look.
                let lying = shelf.book.lying();
                let who = |other: &Shelf| {
                    let its = lying.get(&other.keys.sign.public());
                    its.is_some_and(|its| its.contains(photo))
                };
                let who: Vec<usize> = (0..)
                    .zip(&self.shelves)
                    .filter(|(_, other)| who(other))
                    .map(|(at, _)| at)
                    .collect();
                panic!("a photo never came to {at}; put by {who:?}, as their batches say");
            }
            assert_eq!(shelf.photos.len(), self.happened.photos);
        }
        // Nothing that anybody wrote is lost.
        let mut stranger = self.nobody();
        let all: Vec<Vec<u8>> = first
            .record
            .changes_since(&[])
            .into_iter()
            .map(|(_, bytes)| bytes)
            .collect();
        drop(stranger.receive(&all).unwrap());
        self.reckoned.hold_against(&mut stranger);
        self.folder_alone(&stranger);
    }

    fn nobody(&self) -> Record {
        let seat = Seat {
            device: self.dice.clone().uuid(),
            run: [0; 8],
        };
        Record::begin(seat).unwrap()
    }

    /// A device that has lost all but its keys gets everything out of its copy of the folder.
    fn folder_alone(&mut self, whole: &Record) {
        let mut empty = self.nobody();
        let last = self.shelves.len() - 1;
        let shelf = &mut self.shelves[last];
        let photos = std::mem::take(&mut shelf.photos);
        shelf.wanted = photos.keys().copied().collect();
        // Those that it put itself are announced by itself alone, and are its own to lose.
        let others: usize = self.happened.photos;
        shelf.book = Book::new();
        let mut place = At {
            copies: &mut self.copies,
            device: last,
        };
        for _ in 0..3 {
            shelf
                .look(&mut place, &mut empty, &self.club, &self.limits, self.now)
                .unwrap();
        }
        assert_eq!(
            empty.digest(),
            whole.digest(),
            "the folder does not hold the whole record"
        );
        assert_eq!(shelf.photos.len(), others, "the folder does not hold every photo");
    }
}

#[test]
fn three_devices_end_alike_through_copies_of_one_folder() {
    let seeds = seed::seeds("WITNESSMARK_SCHEDULES", 60, 1);
    let all = seed::all("drop", &seeds, run, Happened::add);
    // A run in which nothing went wrong proves nothing.
    if seeds.len() >= 50 {
        let Mishaps {
            partial,
            garbled,
            twice,
            moved,
            junk,
            late,
            refused,
        } = all.mishaps;
        for count in [partial, garbled, twice, moved, junk, late, refused] {
            assert!(count > 0, "{all:?}");
        }
        for count in [
            all.removed,
            all.waited,
            all.unfinished,
            all.photos,
            all.books_lost,
            all.stopped,
        ] {
            assert!(count > 0, "{all:?}");
        }
    }
}
