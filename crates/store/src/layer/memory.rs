//! A layer in memory: for trying, for tests, and for a browser that lends no storage, where a keeper is told so. All of it is
//! gone with the program; it takes no lock, since nobody else can reach it.

use std::collections::BTreeMap;
use std::io::{self, Cursor, Read, Seek, SeekFrom, Write};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use record::PhotoHash;
use rusqlite::Connection;

use super::{
    Found, Incoming, Layer, Outgoing, Private, Room, SetDown, TallyFile, What, Whereabouts, careful,
};
use crate::StoreError;

/// Most bytes of photos that wait with a part of them; there is no disk that they could wait on.
const MOST_PART_BYTES: u64 = 64 << 20;

/// Files by name.
type Files = BTreeMap<String, Arc<Vec<u8>>>;
type Photos = BTreeMap<PhotoHash, Arc<Vec<u8>>>;

/// A store's surroundings in memory.
#[derive(Clone, Debug, Default)]
pub struct Memory {
    photos: Arc<Mutex<Photos>>,
    parts: Arc<Mutex<Photos>>,
    private: Arc<Mutex<BTreeMap<Private, String>>>,
    carry: Arc<Mutex<Files>>,
}

fn held<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

fn not_there() -> io::Error {
    io::ErrorKind::NotFound.into()
}

fn connection() -> Result<Connection, StoreError> {
    let db = Connection::open_in_memory()?;
    careful(&db)?;
    Ok(db)
}

impl Layer for Memory {
    fn is_there(&self) -> bool {
        false
    }

    fn database_name(&self) -> &str {
        "memory"
    }

    fn whereabouts(&self) -> Whereabouts {
        Whereabouts::default()
    }

    fn is_closed(&self) -> bool {
        true
    }

    fn lay_out(&self) -> Result<(), StoreError> {
        Ok(())
    }

    fn connect_reading(&self) -> Result<Connection, StoreError> {
        connection()
    }

    fn connect(&self) -> Result<Connection, StoreError> {
        connection()
    }

    fn again(&self) -> Box<dyn Layer> {
        Box::new(self.clone())
    }

    fn connect_beside(&self) -> Result<Option<Connection>, StoreError> {
        // What is in memory is reached by the one connection that made it.
        Ok(None)
    }

    fn tally(&self) -> Option<(Box<dyn TallyFile>, u64)> {
        None
    }

    fn keep_photo(
        &self,
        from: &mut dyn Read,
        most: u64,
        wanted: Option<&PhotoHash>,
    ) -> Result<(PhotoHash, u64), StoreError> {
        let mut bytes = Vec::new();
        from.take(most.saturating_add(1))
            .read_to_end(&mut bytes)
            .map_err(|error| StoreError::io("read the photo that was given", error))?;
        let length = bytes.len() as u64;
        if length > most {
            return Err(StoreError::PhotoTooLarge { most });
        }
        let hash = PhotoHash::from_bytes(blake3::hash(&bytes).into());
        if let Some(wanted) = wanted.filter(|wanted| **wanted != hash) {
            return Err(StoreError::WrongPhoto {
                wanted: *wanted,
                got: hash,
            });
        }
        held(&self.photos).insert(hash, Arc::new(bytes));
        Ok((hash, length))
    }

    fn has_photo(&self, hash: &PhotoHash) -> bool {
        held(&self.photos).contains_key(hash)
    }

    fn hash_photo(&self, hash: &PhotoHash) -> Result<Option<PhotoHash>, StoreError> {
        let bytes = held(&self.photos).get(hash).cloned();
        Ok(bytes.map(|bytes| PhotoHash::from_bytes(blake3::hash(&bytes).into())))
    }

    fn open_photo(&self, hash: &PhotoHash) -> Result<Box<dyn Incoming>, StoreError> {
        let bytes = held(&self.photos).get(hash).cloned();
        let bytes = bytes.ok_or_else(|| StoreError::NoPhoto(hash.to_string()))?;
        Ok(Box::new(Held(Cursor::new(bytes.to_vec()))))
    }

    fn list_photos(&self) -> Result<Vec<Found>, StoreError> {
        let found = |(hash, bytes): (&PhotoHash, &Arc<Vec<u8>>)| Found {
            name: hash.to_string(),
            what: What::Original(*hash),
            length: bytes.len() as u64,
        };
        Ok(held(&self.photos).iter().map(found).collect())
    }

    fn part_length(&self, hash: &PhotoHash) -> Result<u64, StoreError> {
        Ok(held(&self.parts).get(hash).map_or(0, |part| part.len() as u64))
    }

    fn part_add(&self, hash: &PhotoHash, bytes: &[u8]) -> Result<(), StoreError> {
        let mut parts = held(&self.parts);
        let all: u64 = parts.values().map(|part| part.len() as u64).sum();
        if all.saturating_add(bytes.len() as u64) > MOST_PART_BYTES {
            let full = io::Error::other("too many photos wait here with a part of them");
            return Err(StoreError::io("keep a part of a photo", full));
        }
        Arc::make_mut(parts.entry(*hash).or_default()).extend_from_slice(bytes);
        Ok(())
    }

    fn parts(&self) -> Result<Vec<(String, Option<PhotoHash>, u64)>, StoreError> {
        let part =
            |(hash, bytes): (&PhotoHash, &Arc<Vec<u8>>)| (hash.to_string(), Some(*hash), bytes.len() as u64);
        Ok(held(&self.parts).iter().map(part).collect())
    }

    fn part_open(&self, hash: &PhotoHash, most: u64) -> Result<Box<dyn Read + Send>, StoreError> {
        let bytes = held(&self.parts).get(hash).cloned();
        let bytes = bytes.ok_or_else(|| StoreError::io("read a part of a photo", not_there()))?;
        Ok(Box::new(Cursor::new(bytes.to_vec()).take(most)))
    }

    fn part_drop(&self, hash: &PhotoHash) -> Result<(), StoreError> {
        held(&self.parts).remove(hash);
        Ok(())
    }

    fn private(&self, which: Private) -> Result<Option<String>, StoreError> {
        Ok(held(&self.private).get(&which).cloned())
    }

    fn keep_private(&self, which: Private, text: &str) -> Result<(), StoreError> {
        held(&self.private).insert(which, text.to_owned());
        Ok(())
    }

    fn lay_private_beside(&self, which: Private) -> Result<(), StoreError> {
        held(&self.private).remove(&which);
        Ok(())
    }

    fn room(&self) -> Result<Box<dyn Room>, StoreError> {
        Ok(Box::new(Held::default()))
    }

    fn outgoing(&self, place: Option<&str>, name: &str) -> io::Result<Box<dyn Outgoing>> {
        Ok(Box::new(Written {
            files: Arc::clone(&self.carry),
            place: place.unwrap_or(name).to_owned(),
            bytes: Vec::new(),
        }))
    }

    fn part_of(&self, place: &str) -> String {
        format!("{place}.part")
    }

    fn is_own(&self, _place: &str) -> bool {
        false
    }

    fn incoming(&self, place: &str) -> io::Result<Box<dyn Incoming>> {
        Ok(Box::new(Held(Cursor::new(self.carried(place)?))))
    }

    fn set_down(&self, name: &str) -> io::Result<Box<dyn SetDown>> {
        Ok(Box::new(HandedIn {
            files: Arc::clone(&self.carry),
            place: format!(".in-{name}.carry"),
        }))
    }

    fn sweep_set_down(&self) {}

    fn carried(&self, name: &str) -> io::Result<Vec<u8>> {
        let bytes = held(&self.carry).get(name).cloned();
        bytes.map(|bytes| bytes.to_vec()).ok_or_else(not_there)
    }
}

/// Bytes that are read and written in their place.
#[derive(Default)]
struct Held(Cursor<Vec<u8>>);

impl Read for Held {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.0.read(into)
    }
}

impl Seek for Held {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.0.seek(to)
    }
}

impl Write for Held {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Incoming for Held {
    fn length(&self) -> io::Result<u64> {
        Ok(self.0.get_ref().len() as u64)
    }
}

impl Room for Held {
    fn empty(&mut self) -> io::Result<()> {
        self.0 = Cursor::default();
        Ok(())
    }
}

/// A carry file that is being written.
struct Written {
    files: Arc<Mutex<Files>>,
    place: String,
    bytes: Vec<u8>,
}

impl Write for Written {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.bytes.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Outgoing for Written {
    fn place(&self) -> &str {
        &self.place
    }

    fn name(&self) -> String {
        self.place.clone()
    }

    fn keep(self: Box<Self>) -> io::Result<u64> {
        let length = self.bytes.len() as u64;
        held(&self.files).insert(self.place, Arc::new(self.bytes));
        Ok(length)
    }
}

/// A carry file that is being handed in: read under its name while it is here.
#[derive(Debug)]
struct HandedIn {
    files: Arc<Mutex<Files>>,
    place: String,
}

impl Write for HandedIn {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut files = held(&self.files);
        Arc::make_mut(files.entry(self.place.clone()).or_default()).write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl SetDown for HandedIn {
    fn place(&self) -> &str {
        &self.place
    }
}

impl Drop for HandedIn {
    fn drop(&mut self) {
        held(&self.files).remove(&self.place);
    }
}
