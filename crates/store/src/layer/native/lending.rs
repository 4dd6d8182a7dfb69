//! A data folder as a layer: each call handed to the file that knows how.

use std::fs::File;
use std::io::{self, Read, Seek as _, SeekFrom};
use std::path::Path;

use record::PhotoHash;
use rusqlite::Connection;

use super::{DATABASE, Folder, TALLY, carry, owner, place};
use crate::StoreError;
use crate::layer::{Found, Incoming, Layer, Outgoing, Private, Room, SetDown, TallyFile, Whereabouts};

impl Layer for Folder {
    fn is_there(&self) -> bool {
        Self::is_in(self.dir())
    }

    fn database_name(&self) -> &str {
        DATABASE
    }

    fn whereabouts(&self) -> Whereabouts {
        place::of(self.dir())
    }

    fn is_closed(&self) -> bool {
        owner::is_closed(self.dir())
    }

    fn lay_out(&self) -> Result<(), StoreError> {
        self.lay_out()
    }

    fn connect_reading(&self) -> Result<Connection, StoreError> {
        self.connect_reading()
    }

    fn connect(&self) -> Result<Connection, StoreError> {
        self.connect()
    }

    fn again(&self) -> Box<dyn Layer> {
        Box::new(self.clone())
    }

    fn connect_beside(&self) -> Result<Option<Connection>, StoreError> {
        // Where the index of the write-ahead log is in the memory of the first connection, as on a full disk, no other can read.
        Ok(self.reading(false).ok())
    }

    fn tally(&self) -> Option<(Box<dyn TallyFile>, u64)> {
        // Nothing where there is no room for the file: the database does not depend on it.
        let mut options = owner::writing();
        let opened = options.read(true).create(true).truncate(false);
        let file = opened.open(self.dir().join(TALLY)).ok()?;
        let length = file.metadata().map_or(0, |meta| meta.len());
        Some((Box::new(file), length))
    }

    fn keep_photo(
        &self,
        from: &mut dyn Read,
        most: u64,
        wanted: Option<&PhotoHash>,
    ) -> Result<(PhotoHash, u64), StoreError> {
        self.keep_photo(from, most, wanted)
    }

    fn has_photo(&self, hash: &PhotoHash) -> bool {
        self.has_photo(hash)
    }

    fn hash_photo(&self, hash: &PhotoHash) -> Result<Option<PhotoHash>, StoreError> {
        self.hash_photo(hash)
    }

    fn open_photo(&self, hash: &PhotoHash) -> Result<Box<dyn Incoming>, StoreError> {
        Ok(Box::new(self.open_photo(hash)?))
    }

    fn list_photos(&self) -> Result<Vec<Found>, StoreError> {
        self.list_photos()
    }

    fn part_length(&self, hash: &PhotoHash) -> Result<u64, StoreError> {
        self.part_length(hash)
    }

    fn part_add(&self, hash: &PhotoHash, bytes: &[u8]) -> Result<(), StoreError> {
        self.part_add(hash, bytes)
    }

    fn parts(&self) -> Result<Vec<(String, Option<PhotoHash>, u64)>, StoreError> {
        self.parts()
    }

    fn part_open(&self, hash: &PhotoHash, most: u64) -> Result<Box<dyn Read + Send>, StoreError> {
        Ok(Box::new(self.part_open(hash, most)?))
    }

    fn part_drop(&self, hash: &PhotoHash) -> Result<(), StoreError> {
        self.part_drop(hash)
    }

    fn private(&self, which: Private) -> Result<Option<String>, StoreError> {
        self.private(which)
    }

    fn keep_private(&self, which: Private, text: &str) -> Result<(), StoreError> {
        self.keep_private(which, text)
    }

    fn lay_private_beside(&self, which: Private) -> Result<(), StoreError> {
        self.lay_private_beside(which)
    }

    fn room(&self) -> Result<Box<dyn Room>, StoreError> {
        Ok(Box::new(self.room()?))
    }

    fn outgoing(&self, place: Option<&str>, name: &str) -> io::Result<Box<dyn Outgoing>> {
        Ok(Box::new(self.outgoing(place.map(Path::new), name)?))
    }

    fn part_of(&self, place: &str) -> String {
        carry::part_of(Path::new(place)).to_string_lossy().into_owned()
    }

    fn is_own(&self, place: &str) -> bool {
        carry::within_a_folder(Path::new(place))
    }

    fn incoming(&self, place: &str) -> io::Result<Box<dyn Incoming>> {
        Ok(Box::new(self.incoming(Path::new(place))?))
    }

    fn set_down(&self, name: &str) -> io::Result<Box<dyn SetDown>> {
        Ok(Box::new(self.set_down(name)?))
    }

    fn sweep_set_down(&self) {
        self.sweep_set_down();
    }

    fn carried(&self, name: &str) -> io::Result<Vec<u8>> {
        self.carried(name)
    }
}

impl Incoming for File {
    fn length(&self) -> io::Result<u64> {
        Ok(self.metadata()?.len())
    }
}

impl Room for File {
    fn empty(&mut self) -> io::Result<()> {
        self.set_len(0)?;
        self.seek(SeekFrom::Start(0)).map(drop)
    }
}
