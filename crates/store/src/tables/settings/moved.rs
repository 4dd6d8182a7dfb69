//! Each key of the bag, as programs wrote it, and where what stood under it stands since. Only here are those spellings known.

use std::collections::BTreeMap;
use std::str::FromStr;

use record::{ChangeId, Id, Moment, PhotoHash};
use rusqlite::Connection;
use serde::Deserialize;

use crate::tables::choices::{self, Choices};
use crate::tables::device_notes::{self, KnownOf};
use crate::tables::home::{self, Doubt, Home};
use crate::tables::noted::{self, NotKept};
use crate::tables::paired::{self, PairedRow};
use crate::tables::upkeep::{self, Gone, Lost, Upkeep};
use crate::tables::{records, roads};
use crate::{StoreError, Whereabouts};

/// The three tables of one row, as they come to be.
#[derive(Default)]
struct Rows {
    choices: Choices,
    home: home::HomeRow,
    upkeep: Upkeep,
}

/// What did not fit stays where it was; the disk's own refusals end everything.
type Fits = Result<bool, StoreError>;

/// Moves a bag, and answers the keys that were moved.
pub(super) fn all(db: &Connection, bag: &[(String, String)]) -> Result<Vec<String>, StoreError> {
    let here: Vec<Id> = records::all(db)?.into_iter().map(|row| row.id).collect();
    let is_here = |record: &Id| here.contains(record);
    let whose: BTreeMap<&str, &str> = bag
        .iter()
        .map(|(key, said)| (key.as_str(), said.as_str()))
        .collect();
    let mut rows = Rows::default();
    let mut moved = Vec::new();
    for (key, value) in bag {
        let words: Vec<&str> = key.split(' ').collect();
        let fits = match words.as_slice() {
            ["found", peer] => found(db, peer, value)?,
            ["live", "sockets"] => sockets(db, value)?,
            ["lost", record] => lost(db, record, value)?,
            // Moved with the device that it is about.
            ["paired", "as", record, device] => {
                let paired = whose.get(format!("paired {record} {device}").as_str());
                paired.is_some_and(|text| paired_of(device, text, None).is_some())
                    && record.parse().is_ok_and(|record| is_here(&record))
            }
            ["paired", record, device] => {
                let said = whose.get(format!("paired as {record} {device}").as_str());
                let row = paired_of(device, value, said.map(|said| (*said).to_owned()));
                match (record.parse(), row) {
                    (Ok(record), Some(row)) if is_here(&record) => {
                        paired::put(db, &record, &row)?;
                        true
                    }
                    _ => false,
                }
            }
            [begins @ .., record, device] if matches!(begins, ["known"] | ["photos", "left", "out"]) => {
                match (record.parse(), device.parse()) {
                    (Ok(record), Ok(device)) if is_here(&record) => {
                        of_device(db, &record, &device, value, begins)?
                    }
                    _ => false,
                }
            }
            [begins @ .., record] if OF_A_RECORD.contains(&begins) => match record.parse() {
                Ok(record) if is_here(&record) => of_record(db, &record, value, begins)?,
                _ => false,
            },
            words => rows.take(words, value),
        };
        if fits {
            moved.push(key.clone());
        }
    }
    choices::put(db, &rows.choices)?;
    home::put(db, &rows.home)?;
    upkeep::put(db, &rows.upkeep)?;
    Ok(moved)
}

impl Rows {
    /// Takes a setting of the whole folder; whether it is one, and can be read.
    fn take(&mut self, words: &[&str], value: &str) -> bool {
        let (choices, home, upkeep) = (&mut self.choices, &mut self.home, &mut self.upkeep);
        match (words, value) {
            (["current"], id) => put(&mut choices.current, id.parse().ok()),
            (["pages", "port"], port) => put(
                &mut choices.pages_port,
                port.parse().ok().filter(|port| *port > 0),
            ),
            (["live"], "off") => set(&mut choices.meets, false),
            (["live", "relay"], relay) if !relay.is_empty() => {
                put(&mut choices.relay, Some(relay.to_owned()))
            }
            (["live", "internet", "relays"], "on") => set(&mut choices.internet_relays, true),
            (["live", "photos"], "asked") => set(&mut choices.only_asked, true),
            (["live", "photos", "by"], "unmetered") => set(&mut choices.only_unmetered, true),
            (["home"], text) => put(&mut home.home, Some(home_of(text))),
            (["home", "asked"], word) => put(&mut home.asked, Doubt::read(word)),
            (["gaps"], "none") => set(&mut upkeep.whole_logs, true),
            (["rules"], number) => number.parse().is_ok_and(|number| set(&mut upkeep.rules, number)),
            (["tally", "kept"], _) => set(&mut upkeep.tally, true),
            (["tally", "gone"], word) => put(&mut upkeep.tally_gone, Gone::read(word)),
            _ => false,
        }
    }
}

fn set<T>(place: &mut T, value: T) -> bool {
    *place = value;
    true
}

/// Puts what could be read; whether anything could.
fn put<T>(place: &mut Option<T>, value: Option<T>) -> bool {
    *place = value;
    place.is_some()
}

/// `@SECONDS machine:… folder:…`; the oldest programs left the seconds out.
fn home_of(text: &str) -> Home {
    let since = text.strip_prefix('@').and_then(|rest| rest.split(' ').next());
    Home {
        since: since
            .and_then(|seconds| seconds.parse().ok())
            .map(Moment::from_seconds),
        at: Whereabouts::from_text(text),
    }
}

/// Words with a space between, each of which can be read.
fn words_of<T: FromStr>(text: &str) -> Option<Vec<T>> {
    text.split_whitespace().map(|word| word.parse().ok()).collect()
}

fn found(db: &Connection, peer: &str, value: &str) -> Fits {
    let addresses: Vec<String> = words_of(value).unwrap_or_default();
    if peer.is_empty() || addresses.is_empty() {
        return Ok(false);
    }
    roads::put_found(db, peer, &addresses)?;
    Ok(true)
}

fn sockets(db: &Connection, value: &str) -> Fits {
    let Some(sockets) = words_of(value) else {
        return Ok(false);
    };
    roads::put_sockets(db, &sockets)?;
    Ok(true)
}

fn lost(db: &Connection, record: &str, value: &str) -> Fits {
    #[derive(Deserialize)]
    struct Said {
        had: u32,
        newest: String,
        has: u32,
    }
    let (Ok(record), Ok(said)) = (record.parse(), serde_json::from_str::<Said>(value)) else {
        return Ok(false);
    };
    let Some(newest) = ChangeId::from_hex(&said.newest) else {
        return Ok(false);
    };
    let lost = Lost {
        had: said.had,
        newest,
        has: said.has,
    };
    upkeep::put_loss(db, &record, &lost)?;
    Ok(true)
}

/// The key, then addresses, `@` and the seconds of the pairing, and `met`.
fn paired_of(device: &str, text: &str, whose: Option<String>) -> Option<PairedRow> {
    let mut words = text.split(' ');
    let mut row = PairedRow {
        device: device.parse().ok()?,
        key: words.next().filter(|key| !key.is_empty())?.to_owned(),
        addresses: Vec::new(),
        since: None,
        met: false,
        whose,
    };
    for word in words {
        match word.strip_prefix('@') {
            Some(seconds) => row.since = Some(Moment::from_seconds(seconds.parse().ok()?)),
            None if word == "met" => row.met = true,
            None => row.addresses.push(word.to_owned()),
        }
    }
    Some(row)
}

/// How those begin that are about a record.
const OF_A_RECORD: [&[&str]; 4] = [
    &["whole"],
    &["aside", "not", "kept"],
    &["photos", "asked"],
    &["carry", "files"],
];

fn of_record(db: &Connection, record: &Id, value: &str, begins: &[&str]) -> Fits {
    #[derive(Deserialize)]
    struct Said {
        parcels: u32,
        last: Option<Moment>,
    }
    match begins {
        ["whole"] => noted::put_came_whole(db, record)?,
        ["aside", ..] => {
            let Ok(said) = serde_json::from_str::<Said>(value) else {
                return Ok(false);
            };
            let row = NotKept {
                parcels: said.parcels,
                last: said.last,
            };
            noted::put_not_kept(db, record, row)?;
        }
        ["photos", ..] => {
            let hashes: Option<Vec<PhotoHash>> = value.split_whitespace().map(PhotoHash::from_hex).collect();
            let Some(hashes) = hashes else { return Ok(false) };
            for hash in hashes {
                noted::ask_photo(db, record, &hash)?;
            }
        }
        _ => {
            let files: Vec<String> = value.split_whitespace().map(str::to_owned).collect();
            noted::put_carry_files(db, record, &files)?;
        }
    }
    Ok(true)
}

fn of_device(db: &Connection, record: &Id, device: &Id, value: &str, begins: &[&str]) -> Fits {
    if begins == ["known"] {
        let Some([all, own]) = words_of::<u32>(value).and_then(|both| <[u32; 2]>::try_from(both).ok()) else {
            return Ok(false);
        };
        device_notes::put_known(db, record, device, KnownOf { all, own })?;
    } else {
        let from: Option<Vec<ChangeId>> = value.split_whitespace().map(ChangeId::from_hex).collect();
        let Some(from) = from else { return Ok(false) };
        device_notes::put_left_out(db, record, device, Some(&from))?;
    }
    Ok(true)
}
