//! One folder in several copies, as a copying program of any kind would keep them: late, in pieces, twice, in any order,
//! with files of its own beside them. Each device sees only its own copy.

use std::collections::BTreeMap;
use std::io::Write;
use std::rc::Rc;

use link::drop::{DropError, Place, Seen};
use tests::seed::Dice;

/// A file of a copy.
#[derive(Clone)]
pub(crate) struct File {
    pub(crate) path: String,
    pub(crate) bytes: Rc<Vec<u8>>,
    mark: u64,
}

/// Something on its way to a copy.
struct OnWay {
    to: usize,
    path: String,
    /// Nothing where the file is to be removed.
    bytes: Option<Rc<Vec<u8>>>,
}

/// What went wrong on the way, counted.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Mishaps {
    pub(crate) partial: usize,
    pub(crate) garbled: usize,
    pub(crate) twice: usize,
    pub(crate) moved: usize,
    pub(crate) junk: usize,
    pub(crate) late: usize,
    pub(crate) refused: usize,
}

/// All copies.
pub(crate) struct Copies {
    pub(crate) copies: Vec<Vec<File>>,
    on_way: Vec<OnWay>,
    /// Who wrote each path, and the hash of what.
    pub(crate) written: BTreeMap<String, (usize, blake3::Hash)>,
    pub(crate) removed: usize,
    pub(crate) mishaps: Mishaps,
    /// Whether anything goes wrong.
    pub(crate) rough: bool,
    pub(crate) dice: Dice,
    marks: u64,
}

impl Copies {
    pub(crate) fn of(count: usize, dice: Dice) -> Self {
        Copies {
            copies: vec![Vec::new(); count],
            on_way: Vec::new(),
            written: BTreeMap::new(),
            removed: 0,
            mishaps: Mishaps::default(),
            rough: true,
            dice,
            marks: 0,
        }
    }

    /// One more copy, of everything that the first one holds.
    pub(crate) fn join(&mut self) {
        let first = self.copies[0].clone();
        self.copies.push(first);
    }

    fn lay(&mut self, at: usize, path: &str, bytes: Rc<Vec<u8>>) {
        self.marks += 1;
        let mark = self.marks;
        let copy = &mut self.copies[at];
        match copy.iter_mut().find(|file| file.path == path) {
            Some(file) => (file.bytes, file.mark) = (bytes, mark),
            None => copy.push(File {
                path: path.to_owned(),
                bytes,
                mark,
            }),
        }
    }

    /// Something that is on its way comes to where it goes, or goes wrong on the way.
    pub(crate) fn deliver(&mut self) {
        if self.on_way.is_empty() {
            return;
        }
        let at = self.dice.below(self.on_way.len());
        let OnWay { to, path, bytes } = self.on_way.swap_remove(at);
        let Some(bytes) = bytes else {
            self.copies[to].retain(|file| file.path != path);
            return;
        };
        let again = |copies: &mut Self, bytes: &Rc<Vec<u8>>| {
            copies.on_way.push(OnWay {
                to,
                path: path.clone(),
                bytes: Some(Rc::clone(bytes)),
            });
        };
        match self.dice.below(100) {
            0..=14 if self.rough => {
                let part = self.dice.below(bytes.len());
                self.lay(to, &path, Rc::new(bytes[..part].to_vec()));
                again(self, &bytes);
                self.mishaps.partial += 1;
            }
            15..=19 if self.rough => {
                // Laid out in full length before it is filled.
                let from = self.dice.below(bytes.len()).max(8);
                let mut garbled = bytes.to_vec();
                garbled[from.min(bytes.len() - 1)..].fill(0);
                self.lay(to, &path, Rc::new(garbled));
                again(self, &bytes);
                self.mishaps.garbled += 1;
            }
            20..=27 if self.rough => {
                let words = [" (1)", ".sync-conflict-20310301-182005-QX3", " - copy", "~"];
                let word = *self.dice.pick(&words);
                let whole = self.dice.chance(60);
                let copy = if whole {
                    bytes.len()
                } else {
                    self.dice.below(bytes.len())
                };
                self.lay(to, &format!("{path}{word}"), Rc::new(bytes[..copy].to_vec()));
                self.lay(to, &path, bytes);
                self.mishaps.twice += 1;
            }
            28..=31 if self.rough => {
                // Put into another device's folder as well.
                let other = self
                    .written
                    .keys()
                    .nth(self.dice.below(self.written.len()))
                    .unwrap();
                let folder = other.rsplit_once('/').unwrap().0;
                let name = path.rsplit_once('/').unwrap().1;
                let moved = format!("{folder}/{name}");
                self.lay(to, &moved, Rc::clone(&bytes));
                self.lay(to, &path, bytes);
                self.mishaps.moved += 1;
            }
            32..=34 if self.rough => {
                let folder = path.rsplit_once('/').unwrap().0.to_owned();
                for junk in [".DS_Store", "desktop.ini", ".hidden.tmp"] {
                    self.lay(to, &format!("{folder}/{junk}"), Rc::new(vec![7; 30]));
                }
                again(self, &bytes);
                self.mishaps.junk += 1;
            }
            _ => self.lay(to, &path, bytes),
        }
    }

    /// The beginnings of all names that were written, added up.
    pub(crate) fn names(&self) -> usize {
        let beginning =
            |(_, hash): &(usize, blake3::Hash)| u32::from_le_bytes(*hash.as_bytes().first_chunk().unwrap());
        self.written.values().map(|one| beginning(one) as usize).sum()
    }

    /// Everything on its way arrives.
    pub(crate) fn arrive(&mut self) {
        while !self.on_way.is_empty() {
            self.deliver();
        }
    }

    fn send(&mut self, from: usize, path: &str, bytes: Option<&Rc<Vec<u8>>>) {
        for to in 0..self.copies.len() {
            if to != from {
                self.on_way.push(OnWay {
                    to,
                    path: path.to_owned(),
                    bytes: bytes.map(Rc::clone),
                });
            }
        }
    }
}

/// One device's copy, as a place.
pub(crate) struct At<'a> {
    pub(crate) copies: &'a mut Copies,
    pub(crate) device: usize,
}

impl At<'_> {
    fn fails(&mut self, percent: u32) -> Result<(), DropError> {
        if self.copies.rough && self.copies.dice.chance(percent) {
            self.copies.mishaps.refused += 1;
            return Err(DropError::Place("the stick was pulled out".to_owned()));
        }
        Ok(())
    }
}

impl Place for At<'_> {
    fn list(&mut self, folder: &str) -> Result<Vec<Seen>, DropError> {
        self.fails(2)?;
        let lags = self.copies.rough && self.copies.dice.chance(15);
        let mut seen = Vec::new();
        for file in &self.copies.copies[self.device] {
            if lags && self.copies.dice.chance(30) {
                self.copies.mishaps.late += 1;
                continue;
            }
            if file.path.starts_with(&format!("{folder}/")) {
                seen.push(Seen {
                    path: file.path.clone(),
                    size: file.bytes.len() as u64,
                    mark: file.mark.to_string(),
                });
            }
        }
        for at in (1..seen.len()).rev() {
            let other = self.copies.dice.below(at + 1);
            seen.swap(at, other);
        }
        Ok(seen)
    }

    fn read(&mut self, path: &str, limit: u64, into: &mut dyn Write) -> Result<(), DropError> {
        self.fails(1)?;
        let copy = &self.copies.copies[self.device];
        let file = copy
            .iter()
            .find(|file| file.path == path)
            .ok_or(DropError::Gone)?;
        if file.bytes.len() as u64 > limit {
            return Err(DropError::TooLarge { limit });
        }
        for piece in file.bytes.chunks(1_000) {
            into.write_all(piece)?;
        }
        Ok(())
    }

    fn write(&mut self, path: &str, bytes: Vec<u8>) -> Result<(), DropError> {
        self.fails(2)?;
        let hash = blake3::hash(&bytes);
        let before = self.copies.written.insert(path.to_owned(), (self.device, hash));
        assert_eq!(
            before, None,
            "a path was written twice: that is what conflicts are made of"
        );
        assert!(
            path.ends_with(hash.to_hex().as_str()),
            "a file is not named by its hash"
        );
        let bytes = Rc::new(bytes);
        self.copies.lay(self.device, path, Rc::clone(&bytes));
        self.copies.send(self.device, path, Some(&bytes));
        // Written, and the answer was lost.
        self.fails(2)
    }

    fn remove(&mut self, path: &str) -> Result<(), DropError> {
        self.fails(2)?;
        // Its own, or what was put into its own folder by the copying.
        let folder = &path[..66];
        let own = |(written, (writer, _)): (&String, &(usize, blake3::Hash))| {
            *writer == self.device && written.starts_with(folder)
        };
        assert!(
            self.copies.written.iter().any(own),
            "another device's file was removed"
        );
        self.copies.removed += 1;
        self.copies.copies[self.device].retain(|file| file.path != path);
        self.copies.send(self.device, path, None);
        Ok(())
    }
}
