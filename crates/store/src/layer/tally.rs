//! The tally: a small file beside the database that says how far the log of each record had come when this device last
//! answered for it. A bit that turns in the write-ahead log takes everything after it along, and the database that is left
//! is whole and says nothing; the tally does. It is written after the database is on the disk and never synced, so it can
//! only lag, never claim too much. Two slots in turn, so that a stop in the middle of one leaves the other.

use std::collections::BTreeMap;
use std::fmt;
use std::io::{Read, Seek, SeekFrom, Write};

use serde::{Deserialize, Serialize};

/// Bytes of a slot: some six hundred records.
const SLOT: usize = 64 * 1024;

/// How far a log had come: the number of its newest change and its name.
pub(crate) type End = (u32, String);

/// What is in a slot.
#[derive(Debug, Default, Serialize, Deserialize)]
struct Said {
    turn: u64,
    ends: BTreeMap<String, End>,
}

/// What a tally is written to.
pub trait TallyFile: Read + Write + Seek + Send + fmt::Debug {}

impl<F: Read + Write + Seek + Send + fmt::Debug> TallyFile for F {}

/// The open file, and what it says.
#[derive(Debug)]
pub(crate) struct Tally {
    file: Box<dyn TallyFile>,
    said: Said,
    /// Whether it was there, and could be read.
    stood: Stood,
}

/// How the tally was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Stood {
    /// As it was last written.
    Whole,
    /// Not at all, or with nothing in it.
    Missing,
    /// With neither of its slots whole.
    Damaged,
}

impl Tally {
    /// What a file says, or nothing.
    pub(crate) fn of((mut file, length): (Box<dyn TallyFile>, u64)) -> Self {
        let slots = [slot(&mut file, 0), slot(&mut file, 1)];
        let said = slots.into_iter().flatten().max_by_key(|said| said.turn);
        let stood = match (&said, length) {
            (Some(_), _) => Stood::Whole,
            (None, 0) => Stood::Missing,
            (None, _) => Stood::Damaged,
        };
        Self {
            file,
            said: said.unwrap_or_default(),
            stood,
        }
    }

    /// How far each log had come.
    pub(crate) fn ends(&self) -> &BTreeMap<String, End> {
        &self.said.ends
    }

    /// How it was found.
    pub(crate) fn stood(&self) -> Stood {
        self.stood
    }

    /// Says no more of a record: what it told of is written down elsewhere.
    pub(crate) fn forget(&mut self, record: &str) {
        self.said.ends.remove(record);
        self.write();
    }

    /// Writes down how far a log has come. That it cannot be written says nothing about what it tells of.
    pub(crate) fn put(&mut self, record: &str, end: End) {
        self.said.ends.insert(record.to_owned(), end);
        self.write();
    }

    fn write(&mut self) {
        self.said.turn = self.said.turn.wrapping_add(1);
        let Ok(text) = serde_json::to_vec(&self.said) else {
            return;
        };
        let Ok(length) = u32::try_from(text.len()) else {
            return;
        };
        let mut bytes = length.to_le_bytes().to_vec();
        bytes.extend(&text);
        bytes.extend(blake3::hash(&text).as_bytes());
        if bytes.len() > SLOT {
            return;
        }
        let at = place(self.said.turn);
        // A slot that was torn has no sum of its own, and the other one counts.
        let _ = self
            .file
            .seek(SeekFrom::Start(at))
            .and_then(|_| self.file.write_all(&bytes));
    }
}

fn place(turn: u64) -> u64 {
    (turn % 2).saturating_mul(SLOT as u64)
}

fn slot(file: &mut impl TallyFile, turn: u64) -> Option<Said> {
    file.seek(SeekFrom::Start(place(turn))).ok()?;
    let mut length = [0; 4];
    file.read_exact(&mut length).ok()?;
    let length = usize::try_from(u32::from_le_bytes(length)).ok()?;
    if length > SLOT {
        return None;
    }
    let mut text = vec![0; length];
    let mut sum = [0; 32];
    file.read_exact(&mut text).ok()?;
    file.read_exact(&mut sum).ok()?;
    if blake3::hash(&text).as_bytes() != &sum {
        return None;
    }
    serde_json::from_slice(&text).ok()
}
