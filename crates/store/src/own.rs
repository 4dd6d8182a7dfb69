//! What this device keeps for itself and no record has, to be read and to be written: each writing is one transaction. What goes
//! with a command is written with it instead ([`Batch`](crate::Batch)).

use std::collections::{BTreeMap, BTreeSet};
use std::net::SocketAddr;

use record::{ChangeId, Id, PhotoHash};
use rusqlite::Transaction;

use crate::tables::{choices, device_notes, home, noted, paired, roads, upkeep};
use crate::{Choices, Doubt, Home, KnownOf, NotKept, PairedRow, Store, StoreError};

impl Store {
    /// One transaction around what is written.
    fn keep(
        &mut self,
        write: impl FnOnce(&Transaction<'_>) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let tx = self.writing()?;
        write(&tx)?;
        Ok(tx.commit()?)
    }

    /// What the keeper chose on this device.
    ///
    /// # Errors
    /// Where the folder cannot be read, as with all that is read here.
    pub fn choices(&self) -> Result<Choices, StoreError> {
        choices::get(&self.db)
    }

    /// Chooses otherwise.
    ///
    /// # Errors
    /// Nothing was written then, as with all that is written here.
    pub fn choose(&mut self, choices: &Choices) -> Result<(), StoreError> {
        self.keep(|tx| choices::put(tx, choices))
    }

    /// Where the key is at home; nothing where it never was.
    pub fn home(&self) -> Result<Option<Home>, StoreError> {
        Ok(home::get(&self.db)?.home)
    }

    /// The key is at home there from now on.
    pub fn settle(&mut self, home: Home) -> Result<(), StoreError> {
        let home = Some(home);
        self.keep(|tx| {
            let asked = home::get(tx)?.asked;
            home::put(tx, &home::HomeRow { home, asked })
        })
    }

    /// Why the keeper is asked whether this is the same folder; nothing where nobody is.
    pub fn asked(&self) -> Result<Option<Doubt>, StoreError> {
        Ok(home::get(&self.db)?.asked)
    }

    /// Asks, or asks no more.
    pub fn ask(&mut self, asked: Option<Doubt>) -> Result<(), StoreError> {
        self.keep(|tx| {
            let home = home::get(tx)?.home;
            home::put(tx, &home::HomeRow { home, asked })
        })
    }

    /// Whether no change of the folder's logs stands on one that is not in them.
    pub fn has_whole_logs(&self) -> Result<bool, StoreError> {
        Ok(upkeep::get(&self.db)?.whole_logs)
    }

    /// From now on none does: the log refuses such a change.
    pub fn logs_are_whole(&mut self) -> Result<(), StoreError> {
        self.keep(|tx| {
            let row = upkeep::get(tx)?;
            upkeep::put(
                tx,
                &upkeep::Upkeep {
                    whole_logs: true,
                    ..row
                },
            )
        })
    }

    /// By which rules the points were found that are kept; 0 where that is not known.
    pub fn rules(&self) -> Result<u32, StoreError> {
        Ok(upkeep::get(&self.db)?.rules)
    }

    /// They were found by these.
    pub fn found_by_rules(&mut self, rules: u32) -> Result<(), StoreError> {
        self.keep(|tx| {
            let row = upkeep::get(tx)?;
            upkeep::put(tx, &upkeep::Upkeep { rules, ..row })
        })
    }

    /// The sockets that this device listened on last.
    pub fn sockets(&self) -> Result<Vec<SocketAddr>, StoreError> {
        roads::sockets(&self.db)
    }

    /// It listens on these.
    pub fn keep_sockets(&mut self, sockets: &[SocketAddr]) -> Result<(), StoreError> {
        self.keep(|tx| roads::put_sockets(tx, sockets))
    }

    /// By key, where devices were found, the newest first.
    pub fn found(&self) -> Result<BTreeMap<String, Vec<String>>, StoreError> {
        roads::found(&self.db)
    }

    /// Each was found there, in place of what was known; one that was found nowhere is forgotten.
    pub fn keep_found(&mut self, found: &[(String, Vec<String>)]) -> Result<(), StoreError> {
        self.keep(|tx| {
            found
                .iter()
                .try_for_each(|(key, at)| roads::put_found(tx, key, at))
        })
    }

    /// The devices that were paired for a record.
    pub fn paired(&self, record: &Id) -> Result<Vec<PairedRow>, StoreError> {
        paired::all(&self.db, record)
    }

    /// Remembers one, in place of what was remembered of it.
    pub fn keep_paired(&mut self, record: &Id, row: &PairedRow) -> Result<(), StoreError> {
        self.keep(|tx| paired::put(tx, record, row))
    }

    /// Remembers it no more.
    pub fn forget_paired(&mut self, record: &Id, device: &Id) -> Result<(), StoreError> {
        self.keep(|tx| paired::remove(tx, record, device))
    }

    /// Whether a record that was joined has come whole.
    pub fn came_whole(&self, record: &Id) -> Result<bool, StoreError> {
        noted::came_whole(&self.db, record)
    }

    /// It has.
    pub fn keep_came_whole(&mut self, record: &Id) -> Result<(), StoreError> {
        self.keep(|tx| noted::put_came_whole(tx, record))
    }

    /// What came and could not be kept aside.
    pub fn not_kept(&self, record: &Id) -> Result<NotKept, StoreError> {
        noted::not_kept(&self.db, record)
    }

    /// So much did by now.
    pub fn keep_not_kept(&mut self, record: &Id, row: NotKept) -> Result<(), StoreError> {
        self.keep(|tx| noted::put_not_kept(tx, record, row))
    }

    /// The originals that were asked for by hand.
    pub fn photos_asked(&self, record: &Id) -> Result<BTreeSet<PhotoHash>, StoreError> {
        noted::photos_asked(&self.db, record)
    }

    /// Whether this one was.
    pub fn is_photo_asked(&self, record: &Id, hash: &PhotoHash) -> Result<bool, StoreError> {
        noted::is_photo_asked(&self.db, record, hash)
    }

    /// Asks for an original; those that came are asked for no more.
    pub fn ask_photo(
        &mut self,
        record: &Id,
        hash: Option<&PhotoHash>,
        came: &[PhotoHash],
    ) -> Result<(), StoreError> {
        self.keep(|tx| {
            for came in came {
                noted::ask_photo_no_more(tx, record, came)?;
            }
            hash.map_or(Ok(()), |hash| noted::ask_photo(tx, record, hash))
        })
    }

    /// The sealed files that were written or taken in here, the newest first.
    pub fn carry_files(&self, record: &Id) -> Result<Vec<String>, StoreError> {
        noted::carry_files(&self.db, record)
    }

    /// It is these.
    pub fn keep_carry_files(&mut self, record: &Id, files: &[String]) -> Result<(), StoreError> {
        self.keep(|tx| noted::put_carry_files(tx, record, files))
    }

    /// How many changes a device is known to have; none where nothing is known of it.
    pub fn known(&self, record: &Id, device: &Id) -> Result<KnownOf, StoreError> {
        device_notes::known(&self.db, record, device)
    }

    /// From which changes on a device was sent no photos, none of them for the beginning; nothing where it was sent them all.
    pub fn left_out(&self, record: &Id, device: &Id) -> Result<Option<Vec<ChangeId>>, StoreError> {
        device_notes::left_out(&self.db, record, device)
    }

    /// It is sent none from these on.
    pub fn keep_left_out(&mut self, record: &Id, device: &Id, from: &[ChangeId]) -> Result<(), StoreError> {
        self.keep(|tx| device_notes::put_left_out(tx, record, device, Some(from)))
    }
}
