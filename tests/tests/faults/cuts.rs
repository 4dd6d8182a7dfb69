//! Power cuts. What a keeper's process wrote, synced, made, renamed and took away is written down in order; then the disk is
//! made as it may be after a cut at any place of it: what was synced is there, and of everything else each file has a part or
//! nothing, in pieces of a sector, and each folder the names up to some moment. A name counts as safe only when its folder was
//! synced, which is less than most file systems give.

use std::collections::BTreeMap;
use std::path::Path;

use tests::seed::Dice;

use crate::rig::{Fault, holds, kept, room, run, seed, wanted};

/// What a disk writes whole.
const SECTOR: usize = 512;

/// One thing that was done, as the library wrote it down.
#[derive(Debug)]
struct Event {
    letter: u8,
    place: usize,
    path: String,
    bytes: Vec<u8>,
}

fn events(bytes: &[u8]) -> Vec<Event> {
    let (mut all, mut at) = (Vec::new(), 0);
    while at < bytes.len() {
        let mut take = |count: usize| {
            let piece = &bytes[at..at + count];
            at += count;
            piece
        };
        let letter = take(1)[0];
        let place = u64::from_le_bytes(take(8).try_into().unwrap()) as usize;
        let length = u32::from_le_bytes(take(4).try_into().unwrap()) as usize;
        let count = u64::from_le_bytes(take(8).try_into().unwrap()) as usize;
        all.push(Event {
            letter,
            place,
            path: String::from_utf8(take(length).to_vec()).unwrap(),
            bytes: take(count).to_vec(),
        });
    }
    all
}

#[derive(Clone, Debug)]
enum Change {
    Write(usize, Vec<u8>),
    Cut(usize),
}

fn done(bytes: &mut Vec<u8>, change: &Change) {
    match change {
        Change::Write(place, new) => {
            if bytes.len() < place + new.len() {
                bytes.resize(place + new.len(), 0);
            }
            bytes[*place..place + new.len()].copy_from_slice(new);
        }
        Change::Cut(length) => bytes.resize(*length, 0),
    }
}

/// A file: what is safe, and what was done since.
#[derive(Clone, Debug, Default)]
struct Inode {
    safe: Vec<u8>,
    since: Vec<Change>,
}

/// A name that came or went.
#[derive(Clone, Debug)]
enum Naming {
    Is(String, usize),
    Gone(String),
}

fn name(names: &mut BTreeMap<String, usize>, naming: &Naming) {
    match naming {
        Naming::Is(path, file) => drop(names.insert(path.clone(), *file)),
        Naming::Gone(path) => drop(names.remove(path)),
    }
}

#[derive(Clone, Debug, Default)]
struct Disk {
    files: Vec<Inode>,
    /// The names as the program sees them.
    live: BTreeMap<String, usize>,
    /// The names that are safe.
    safe: BTreeMap<String, usize>,
    /// By folder, what was done to its names since it was synced.
    since: BTreeMap<String, Vec<Naming>>,
}

impl Disk {
    fn naming(&mut self, naming: Naming) {
        name(&mut self.live, &naming);
        let (Naming::Is(path, _) | Naming::Gone(path)) = &naming;
        let folder = Path::new(path).parent().unwrap().to_str().unwrap().to_owned();
        self.since.entry(folder).or_default().push(naming);
    }

    /// A file by its name; one that has none any more is nobody's.
    fn changed(&mut self, path: &str, change: Change) {
        if let Some(file) = self.live.get(path) {
            self.files[*file].since.push(change);
        }
    }

    fn apply(&mut self, event: &Event) {
        let path = event.path.as_str();
        match event.letter {
            b'C' => {
                self.files.push(Inode::default());
                self.naming(Naming::Is(path.to_owned(), self.files.len() - 1));
            }
            b'W' => self.changed(path, Change::Write(event.place, event.bytes.clone())),
            b'T' => self.changed(path, Change::Cut(event.place)),
            b'S' => {
                if let Some(file) = self.live.get(path) {
                    let file = &mut self.files[*file];
                    for change in std::mem::take(&mut file.since) {
                        done(&mut file.safe, &change);
                    }
                } else {
                    for naming in self.since.remove(path).unwrap_or_default() {
                        name(&mut self.safe, &naming);
                    }
                }
            }
            b'R' => {
                let to = String::from_utf8(event.bytes.clone()).unwrap();
                if let Some(file) = self.live.get(path).copied() {
                    self.naming(Naming::Is(to, file));
                    self.naming(Naming::Gone(path.to_owned()));
                }
            }
            b'U' => self.naming(Naming::Gone(path.to_owned())),
            // A folder is there with whatever is safe in it.
            _ => {}
        }
    }

    /// The disk as a cut may leave it.
    fn cut(&self, dice: &mut Dice) -> BTreeMap<String, Vec<u8>> {
        let mut names = self.safe.clone();
        for since in self.since.values() {
            for naming in since.iter().take(dice.below(since.len() + 1)) {
                name(&mut names, naming);
            }
        }
        let mut left = BTreeMap::new();
        for (path, file) in names {
            let file = &self.files[file];
            let mut bytes = file.safe.clone();
            let percent = [0, 50, 90, 100][dice.below(4)];
            for change in &file.since {
                match change {
                    Change::Cut(_) if dice.chance(percent) => done(&mut bytes, change),
                    Change::Cut(_) => {}
                    Change::Write(place, new) => {
                        for (number, piece) in new.chunks(SECTOR).enumerate() {
                            if dice.chance(percent) {
                                done(
                                    &mut bytes,
                                    &Change::Write(place + number * SECTOR, piece.to_vec()),
                                );
                            }
                        }
                    }
                }
            }
            left.insert(path, bytes);
        }
        left
    }
}

/// Sets down what a cut left, but for what is made anew: the index of the write-ahead log, and the lock.
fn set_down(left: BTreeMap<String, Vec<u8>>, from: &str, to: &Path) {
    std::fs::create_dir(to).unwrap();
    for (path, bytes) in left {
        let inner = path.strip_prefix(from).unwrap().trim_start_matches('/');
        if inner.is_empty() || inner.ends_with("-shm") || inner.starts_with("writer.") {
            continue;
        }
        let path = to.join(inner);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
    }
}

#[test]
fn a_power_cut_at_any_moment_loses_nothing_that_was_kept() {
    let root = room();
    let (folder, trace) = (root.path().join("folder"), root.path().join("trace"));
    std::fs::create_dir(&folder).unwrap();
    // Twice, so that a database that was closed, and its log emptied, is opened again.
    for (run_seed, count) in [(1, 24), (2, 16)] {
        let said = run(&folder, run_seed, count, Fault::default(), Some(&trace));
        assert_eq!(
            said.kept().len() as u64,
            count + u64::from(run_seed == 1),
            "{:#?}",
            said.lines
        );
    }
    let events = events(&std::fs::read(&trace).unwrap());
    let (from, points) = (seed(), wanted("WITNESSMARK_POINTS", 60));
    let mut cuts: Vec<(usize, u64)> = (from..from + points)
        .map(|number| (Dice::of(number).below(events.len() + 1), number))
        .collect();
    cuts.sort_unstable();
    println!("{} events, {points} cuts from seed {from}", events.len());
    let (mut lines, mut disk, mut at) = (String::new(), Disk::default(), 0);
    for (upto, number) in cuts {
        for event in &events[at..upto] {
            if event.letter == b'A' {
                lines.push_str(std::str::from_utf8(&event.bytes).unwrap());
            } else {
                disk.apply(event);
            }
        }
        at = upto;
        let left = disk.cut(&mut Dice::of(number.wrapping_mul(0x9e37_79b9)));
        let trial = root.path().join("trial");
        set_down(left, folder.to_str().unwrap(), &trial);
        let whole = lines.rsplit_once('\n').map_or("", |(whole, _)| whole);
        let said: Vec<String> = whole.lines().map(str::to_owned).collect();
        let told = format!("seed {number}, a cut after {upto} of {}", events.len());
        holds(&trial, &kept(&said), &told);
        std::fs::remove_dir_all(&trial).unwrap();
    }
}
