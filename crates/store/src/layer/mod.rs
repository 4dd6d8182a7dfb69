//! The file layer: all that differs between a disk with folders and a browser's own storage, as one trait. A layer lends a
//! database with durable settings (the journal mode is the layer's own), photos by their hash, a few files of words, and
//! room for what is on its way; the one-writer lock is taken where a layer is made. Nothing outside this module touches a
//! file, and nothing in it knows a table.

mod memory;
#[cfg(not(target_family = "wasm"))]
mod native;
mod tally;
mod whereabouts;

use std::fmt;
use std::io::{self, Read, Seek, Write};

use record::PhotoHash;
use rusqlite::Connection;
use rusqlite::config::DbConfig;

use crate::StoreError;

pub use memory::Memory;
#[cfg(not(target_family = "wasm"))]
pub use native::Folder;
pub use tally::TallyFile;
pub(crate) use tally::{Stood, Tally};
pub use whereabouts::Whereabouts;

/// What a machine lends a store. Names are the layer's own: on a disk a path, in memory a word.
pub trait Layer: fmt::Debug + Send {
    /// Whether there is a database, so that opening it makes nothing new.
    fn is_there(&self) -> bool;
    /// What the database is called, for a sentence.
    fn database_name(&self) -> &str;
    /// Where it lies, as far as the machine tells.
    fn whereabouts(&self) -> Whereabouts;
    /// Whether nobody but its owner may look into it, as far as the machine says.
    fn is_closed(&self) -> bool;
    /// Makes what is missing of its inner places, and clears what was on its way when an earlier run was stopped.
    ///
    /// # Errors
    /// What the machine said.
    fn lay_out(&self) -> Result<(), StoreError>;
    /// A connection that cannot write.
    ///
    /// # Errors
    /// What the database or the machine said.
    fn connect_reading(&self) -> Result<Connection, StoreError>;
    /// The one connection that writes: whatever it has committed is as durable as the layer can make it.
    ///
    /// # Errors
    /// What the database or the machine said.
    fn connect(&self) -> Result<Connection, StoreError>;
    /// The same place once more, for whoever reads, and writes carry files, beside the store; a lock that was taken stays as long as
    /// either of them.
    fn again(&self) -> Box<dyn Layer>;
    /// A further connection that reads of one moment while the first one writes; none where the layer has one connection and no
    /// more, so that whoever reads takes turns with whoever writes.
    ///
    /// # Errors
    /// What the database or the machine said.
    fn connect_beside(&self) -> Result<Option<Connection>, StoreError>;
    /// Where it is written how far each log had come, and its length; none where nothing can be kept of it.
    fn tally(&self) -> Option<(Box<dyn TallyFile>, u64)>;

    /// Keeps what a reader yields as a photo, at most `most` bytes of it; gives its hash and length. `wanted` is the hash that it
    /// was announced under, where it was.
    ///
    /// # Errors
    /// Nothing of it is kept then, under any name.
    fn keep_photo(
        &self,
        from: &mut dyn Read,
        most: u64,
        wanted: Option<&PhotoHash>,
    ) -> Result<(PhotoHash, u64), StoreError>;
    /// Whether there is an original for this hash.
    fn has_photo(&self, hash: &PhotoHash) -> bool;
    /// The hash of an original as it reads now; none where there is none.
    ///
    /// # Errors
    /// Where it cannot be read.
    fn hash_photo(&self, hash: &PhotoHash) -> Result<Option<PhotoHash>, StoreError>;
    /// Opens an original.
    ///
    /// # Errors
    /// [`StoreError::NoPhoto`], or where it cannot be read.
    fn open_photo(&self, hash: &PhotoHash) -> Result<Box<dyn Incoming>, StoreError>;
    /// Everything that lies among the photos, by name.
    ///
    /// # Errors
    /// Where they cannot be listed.
    fn list_photos(&self) -> Result<Vec<Found>, StoreError>;

    /// How many bytes of a photo wait for the rest.
    ///
    /// # Errors
    /// What the machine said.
    fn part_length(&self, hash: &PhotoHash) -> Result<u64, StoreError>;
    /// Adds bytes to the end of what waits of a photo.
    ///
    /// # Errors
    /// As [`part_length`](Self::part_length), and where too much waits already.
    fn part_add(&self, hash: &PhotoHash, bytes: &[u8]) -> Result<(), StoreError>;
    /// What waits in parts: each one's name, the photo that it names, and its length.
    ///
    /// # Errors
    /// Where they cannot be listed.
    fn parts(&self) -> Result<Vec<(String, Option<PhotoHash>, u64)>, StoreError>;
    /// What waits of a photo, at most `most` bytes, to read.
    ///
    /// # Errors
    /// Where it cannot be read.
    fn part_open(&self, hash: &PhotoHash, most: u64) -> Result<Box<dyn Read + Send>, StoreError>;
    /// Gives up what waits of a photo.
    ///
    /// # Errors
    /// What the machine said.
    fn part_drop(&self, hash: &PhotoHash) -> Result<(), StoreError>;

    /// The words of a file that its owner alone may read; none where there is none.
    ///
    /// # Errors
    /// Where it cannot be read.
    fn private(&self, which: Private) -> Result<Option<String>, StoreError>;
    /// Keeps such words, in place of those before.
    ///
    /// # Errors
    /// Those before stay then.
    fn keep_private(&self, which: Private, text: &str) -> Result<(), StoreError>;
    /// Lays such words that are damaged beside, under another name: whoever can mend them may.
    ///
    /// # Errors
    /// They stay where they are then.
    fn lay_private_beside(&self, which: Private) -> Result<(), StoreError>;

    /// An empty file without a name, for something that is being opened.
    ///
    /// # Errors
    /// What the machine said.
    fn room(&self) -> Result<Box<dyn Room>, StoreError>;

    /// Begins a carry file: at a place that was named, or under a name of its own among the carry files here.
    ///
    /// # Errors
    /// What the machine said; `InvalidInput` for a place inside a data folder.
    fn outgoing(&self, place: Option<&str>, name: &str) -> io::Result<Box<dyn Outgoing>>;
    /// What a carry file at a place is called until it is whole.
    fn part_of(&self, place: &str) -> String;
    /// Whether a place is inside a data folder, where no carry file is written.
    fn is_own(&self, place: &str) -> bool;
    /// Opens a carry file to read.
    ///
    /// # Errors
    /// What the machine said.
    fn incoming(&self, place: &str) -> io::Result<Box<dyn Incoming>>;
    /// Room for a carry file that comes another way, so that it can be read as one.
    ///
    /// # Errors
    /// What the machine said.
    fn set_down(&self, name: &str) -> io::Result<Box<dyn SetDown>>;
    /// Takes away what a program that was killed had set down.
    fn sweep_set_down(&self);
    /// The bytes of a carry file here, by its name alone.
    ///
    /// # Errors
    /// What the machine said; `NotFound` for a name that leads anywhere else.
    fn carried(&self, name: &str) -> io::Result<Vec<u8>>;
}

/// Words that their owner alone may read, and that go out by no road.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Private {
    /// The device's secret.
    DeviceKey,
    /// The places of its drops, with theirs.
    DropPlaces,
    /// What a folder of the demo shows round of itself; empty once that was left. No other folder has one.
    Tour,
}

impl Private {
    /// What such a file is called.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::DeviceKey => "device.key",
            Self::DropPlaces => "drops.key",
            Self::Tour => "tour.json",
        }
    }
}

/// A file that is read from wherever one likes.
pub trait Incoming: Read + Seek + Send {
    /// Its length in bytes.
    ///
    /// # Errors
    /// What the machine said.
    fn length(&self) -> io::Result<u64>;
}

/// A file that is written, read and emptied, and gone when it is dropped.
pub trait Room: Incoming + Write {
    /// Leaves nothing of what was written, and stands at the beginning again.
    ///
    /// # Errors
    /// What the machine said.
    fn empty(&mut self) -> io::Result<()>;
}

/// A carry file that is being written; dropped before it is kept, it leaves nothing.
pub trait Outgoing: Write + Send {
    /// Where it will be.
    fn place(&self) -> &str;
    /// What it is called there.
    fn name(&self) -> String;
    /// Gives it its name, whole and as durable as the layer can make it; answers its length in bytes.
    ///
    /// # Errors
    /// What the machine said; nothing is left under its name then.
    fn keep(self: Box<Self>) -> io::Result<u64>;
}

/// A carry file that is being handed in; dropped, it is gone.
pub trait SetDown: Write + Send + Sync + fmt::Debug {
    /// Where it lies.
    fn place(&self) -> &str;
}

/// A file found among the photos.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Found {
    /// Its name among the photos.
    pub name: String,
    /// What it is.
    pub what: What,
    /// Its length in bytes.
    pub length: u64,
}

/// What a file among the photos is, by its name and place.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// An original; the hash is its name.
    Original(PhotoHash),
    /// One that was on its way in when something stopped.
    Arriving,
    /// Nothing of ours.
    Stranger,
}

/// What every connection is set to: references hold, and a hostile file has no say.
fn careful(db: &Connection) -> Result<(), StoreError> {
    db.pragma_update(None, "foreign_keys", true)?;
    db.pragma_update(None, "trusted_schema", false)?;
    db.pragma_update(None, "cell_size_check", true)?;
    // Sorting needs no room on a disk that may have none.
    db.pragma_update(None, "temp_store", "memory")?;
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    db.set_prepared_statement_cache_capacity(64);
    Ok(())
}
