//! Files beside the database that go into no carry file and no drop: the device's secret (`device.key`)
//! and the places of its drops with theirs (`drops.key`), both for their owner's eyes only, photos that a meeting has
//! brought a part of (`partial/`), and room for a file that is being opened (`room/`).
//! What a secret says is never looked at here, and a part of a photo is never taken for one.

use std::fs::{self, File};
use std::io::{self, ErrorKind, Read, Write};
use std::path::PathBuf;
use std::time::{Duration, SystemTime};

use record::PhotoHash;

use super::Folder;
use super::owner;
use super::sync::sync_folder;
use crate::StoreError;
use crate::layer::Private;

/// Where parts of photos wait.
const PARTIAL: &str = "partial";
/// Most parts that wait, and most bytes of all of them: some twenty meetings at once ask for no more. Another waits until
/// one is whole, or takes the place of one to which nothing was added for long.
const MOST_PARTS: usize = 256;
const MOST_PART_BYTES: u64 = 512 << 20;
const LONG: Duration = Duration::from_secs(600);
/// Where files are opened.
const ROOM: &str = "room";

/// What such words are, for a sentence.
const fn said_of(which: Private) -> &'static str {
    match which {
        Private::DeviceKey => "the device's key",
        Private::DropPlaces => "the drops' places",
        Private::Tour => "the tour",
    }
}

/// Most bytes of them that are read: a secret has some three hundred, and some hundred places fit in a MiB.
const fn most_of(which: Private) -> u64 {
    match which {
        Private::DeviceKey => 4_096,
        Private::DropPlaces => 1 << 20,
        Private::Tour => 64 << 10,
    }
}

impl Folder {
    /// The words of a file that its owner alone may read, where there is one.
    pub(super) fn private(&self, which: Private) -> Result<Option<String>, StoreError> {
        self.kept(which.name(), most_of(which))
            .map_err(|error| StoreError::io(format!("read {}", said_of(which)), error))
    }

    /// Keeps such words: nobody but their owner may read them, from the first byte on.
    pub(super) fn keep_private(&self, which: Private, text: &str) -> Result<(), StoreError> {
        self.keep(which.name(), text)
            .map_err(|error| StoreError::io(format!("keep {}", said_of(which)), error))?;
        sync_folder(self.dir())
    }

    /// Lays them beside, under another name.
    pub(super) fn lay_private_beside(&self, which: Private) -> Result<(), StoreError> {
        let beside = self.dir().join(format!("{}.damaged", which.name()));
        fs::rename(self.dir().join(which.name()), beside).map_err(|error| {
            StoreError::io(format!("lay {} beside, which is damaged", said_of(which)), error)
        })?;
        sync_folder(self.dir())
    }

    fn kept(&self, name: &str, most: u64) -> io::Result<Option<String>> {
        match File::open(self.dir().join(name)) {
            Ok(file) => {
                let mut bytes = Vec::new();
                file.take(most).read_to_end(&mut bytes)?;
                // What is no text is damaged, and whoever reads it says so.
                let text = String::from_utf8(bytes);
                Ok(Some(text.unwrap_or_else(|error| {
                    String::from_utf8_lossy(error.as_bytes()).into_owned()
                })))
            }
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error),
        }
    }

    fn keep(&self, name: &str, text: &str) -> io::Result<()> {
        let fresh = self.dir().join(format!("{name}.new"));
        match fs::remove_file(&fresh) {
            Err(error) if error.kind() != ErrorKind::NotFound => return Err(error),
            _ => {}
        }
        let mut file = owner::new_file(&fresh)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        fs::rename(&fresh, self.dir().join(name))
    }

    /// An empty file without a name. Where a file that is open cannot lose its name, it keeps one, and is taken away
    /// when room is wanted again and nobody has it open any more.
    pub(super) fn room(&self) -> Result<File, StoreError> {
        let make = || -> io::Result<File> {
            let room = self.dir().join(ROOM);
            owner::make_folder(&room)?;
            for left in fs::read_dir(&room)?.flatten() {
                // One that is still open somewhere stays, where the system says so.
                let _ = fs::remove_file(left.path());
            }
            for number in 0..1_000_u32 {
                let path = room.join(number.to_string());
                match owner::writing().create_new(true).read(true).open(&path) {
                    Ok(file) => {
                        let _ = fs::remove_file(&path);
                        return Ok(file);
                    }
                    Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
                    Err(error) => return Err(error),
                }
            }
            Err(ErrorKind::AlreadyExists.into())
        };
        make().map_err(|error| StoreError::io("make room for a file that is opened", error))
    }

    fn part(&self, hash: &PhotoHash) -> PathBuf {
        self.dir().join(PARTIAL).join(hash.hex().as_str())
    }

    /// How many bytes of a photo wait here.
    pub(super) fn part_length(&self, hash: &PhotoHash) -> Result<u64, StoreError> {
        match fs::metadata(self.part(hash)) {
            Ok(meta) => Ok(meta.len()),
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(0),
            Err(error) => Err(StoreError::io("look for a part of a photo", error)),
        }
    }

    /// Adds bytes to the end of what waits of a photo.
    pub(super) fn part_add(&self, hash: &PhotoHash, bytes: &[u8]) -> Result<(), StoreError> {
        let path = self.part(hash);
        let add = || -> io::Result<()> {
            owner::make_folder(&self.dir().join(PARTIAL))?;
            let mut file = owner::writing().append(true).create(true).open(&path)?;
            let now = file.metadata()?.modified()?;
            self.part_room(hash, now, bytes.len() as u64)?;
            file.write_all(bytes)
        };
        add().map_err(|error| StoreError::io("keep a part of a photo", error))
    }

    /// Makes room for more of a part; those to which nothing was added for long go first, the oldest first. `now` is by the
    /// disk's own clock.
    fn part_room(&self, hash: &PhotoHash, now: SystemTime, more: u64) -> io::Result<()> {
        let mut others = Vec::new();
        let (mut count, mut bytes) = (0_usize, more);
        for entry in fs::read_dir(self.dir().join(PARTIAL))? {
            let entry = entry?;
            let meta = entry.metadata()?;
            count = count.saturating_add(1);
            bytes = bytes.saturating_add(meta.len());
            if entry.file_name() != hash.hex().as_str() {
                others.push((meta.modified()?, meta.len(), entry.path()));
            }
        }
        others.sort();
        for (at, length, path) in others {
            if count <= MOST_PARTS && bytes <= MOST_PART_BYTES {
                break;
            }
            if now.duration_since(at).is_ok_and(|since| since >= LONG) {
                fs::remove_file(path)?;
                count = count.saturating_sub(1);
                bytes = bytes.saturating_sub(length);
            }
        }
        if count <= MOST_PARTS && bytes <= MOST_PART_BYTES {
            return Ok(());
        }
        if self.part_length(hash).is_ok_and(|length| length == 0) {
            // Nothing of it is here, and nothing will be now.
            let _ = fs::remove_file(self.part(hash));
        }
        Err(io::Error::other("too many photos wait here with a part of them"))
    }

    /// What waits in parts: each file's name, the photo that it names, and its length.
    pub(super) fn parts(&self) -> Result<Vec<(String, Option<PhotoHash>, u64)>, StoreError> {
        let doing = |error| StoreError::io("list the parts of photos", error);
        let dir = self.dir().join(PARTIAL);
        if !dir.is_dir() {
            return Ok(Vec::new());
        }
        let mut parts = Vec::new();
        for entry in fs::read_dir(dir).map_err(doing)? {
            let entry = entry.map_err(doing)?;
            let meta = entry.metadata().map_err(doing)?;
            let name = entry.file_name().to_string_lossy().into_owned();
            let hash = PhotoHash::from_hex(&name).filter(|_| meta.is_file());
            parts.push((name, hash, meta.len()));
        }
        parts.sort();
        Ok(parts)
    }

    /// What waits of a photo, at most `most` bytes, to read.
    pub(super) fn part_open(
        &self,
        hash: &PhotoHash,
        most: u64,
    ) -> Result<impl Read + Send + use<>, StoreError> {
        File::open(self.part(hash))
            .map(|file| file.take(most))
            .map_err(|error| StoreError::io("read a part of a photo", error))
    }

    /// Gives up what waits of a photo.
    pub(super) fn part_drop(&self, hash: &PhotoHash) -> Result<(), StoreError> {
        match fs::remove_file(self.part(hash)) {
            Err(error) if error.kind() != ErrorKind::NotFound => {
                Err(StoreError::io("clear a part of a photo away", error))
            }
            _ => Ok(()),
        }
    }
}
