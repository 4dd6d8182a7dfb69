//! Originals of photos as files named by their BLAKE3 hash: written under another name, synced, read back,
//! renamed, and the folder synced. A file under its hash is whole, or the disk has failed. It never looks into
//! a picture.

use std::fs::{self, File};
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use record::PhotoHash;

use super::sync::sync_folder;
use super::{Folder, owner};
use crate::StoreError;
use crate::layer::{Found, What};

/// How the name of a file on its way in begins.
const ARRIVING: &str = "arriving-";

/// Bytes read at a time.
const STEP: usize = 64 * 1024;

static NEXT: AtomicU64 = AtomicU64::new(0);

/// A file on its way in; gone when dropped, unless it was renamed.
struct Arriving(PathBuf);

impl Drop for Arriving {
    fn drop(&mut self) {
        // What cannot be removed now is swept at the next opening.
        let _ = fs::remove_file(&self.0);
    }
}

impl Folder {
    fn photos(&self) -> PathBuf {
        self.dir().join("photos")
    }

    /// Where the original with this hash is, or would be.
    fn photo_path(&self, hash: &PhotoHash) -> PathBuf {
        let name = hash.hex();
        self.photos()
            .join(name.get(..2).unwrap_or_default())
            .join(name.as_str())
    }

    /// Keeps what a reader yields, at most `most` bytes of it; gives its hash and length.
    pub(super) fn keep_photo(
        &self,
        from: &mut dyn Read,
        most: u64,
        wanted: Option<&PhotoHash>,
    ) -> Result<(PhotoHash, u64), StoreError> {
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        let arriving = Arriving(
            self.photos()
                .join(format!("{ARRIVING}{}-{number}", std::process::id())),
        );
        let (hash, length) = write_and_sync(from, &arriving.0, most)?;
        if let Some(wanted) = wanted.filter(|wanted| **wanted != hash) {
            return Err(StoreError::WrongPhoto {
                wanted: *wanted,
                got: hash,
            });
        }
        if hash_of(&arriving.0)? != hash {
            return Err(StoreError::damaged("a photo did not read back as it was written"));
        }
        let path = self.photo_path(&hash);
        let whole = path.exists() && hash_of(&path)? == hash;
        if !whole {
            let parent = path.parent().map_or_else(|| self.photos(), Path::to_path_buf);
            owner::make_folder(&parent).map_err(|e| StoreError::io("make a folder for a photo", e))?;
            // Over a damaged one of the same name too: that is how a photo heals.
            fs::rename(&arriving.0, &path).map_err(|e| StoreError::io("put a photo in its place", e))?;
            sync_folder(&parent)?;
            sync_folder(&self.photos())?;
        }
        Ok((hash, length))
    }

    /// Whether there is a file for this hash.
    pub(super) fn has_photo(&self, hash: &PhotoHash) -> bool {
        self.photo_path(hash).is_file()
    }

    /// The hash of an original as it is on the disk now; nothing where there is none.
    pub(super) fn hash_photo(&self, hash: &PhotoHash) -> Result<Option<PhotoHash>, StoreError> {
        let path = self.photo_path(hash);
        if path.exists() {
            hash_of(&path).map(Some)
        } else {
            Ok(None)
        }
    }

    /// Opens an original.
    pub(super) fn open_photo(&self, hash: &PhotoHash) -> Result<File, StoreError> {
        File::open(self.photo_path(hash)).map_err(|e| match e.kind() {
            ErrorKind::NotFound => StoreError::NoPhoto(hash.to_string()),
            _ => StoreError::io("open a photo", e),
        })
    }

    /// Everything in the photos folder, by name.
    pub(super) fn list_photos(&self) -> Result<Vec<Found>, StoreError> {
        let mut found = Vec::new();
        let photos = self.photos();
        if !photos.is_dir() {
            return Ok(found);
        }
        for (name, path, is_dir) in listing(&photos)? {
            if !is_dir {
                let what = if name.starts_with(ARRIVING) {
                    What::Arriving
                } else {
                    What::Stranger
                };
                found.push(Found {
                    length: length_of(&path),
                    name,
                    what,
                });
                continue;
            }
            for (inner, path, is_dir) in listing(&path)? {
                let ours = !is_dir && inner.starts_with(&name) && name.len() == 2;
                let hash = PhotoHash::from_hex(&inner).filter(|_| ours);
                found.push(Found {
                    name: format!("{name}/{inner}"),
                    what: hash.map_or(What::Stranger, What::Original),
                    length: length_of(&path),
                });
            }
        }
        found.sort();
        Ok(found)
    }

    pub(super) fn sweep_photos(&self) -> Result<(), StoreError> {
        for (name, path, is_dir) in listing(&self.photos())? {
            if !is_dir && name.starts_with(ARRIVING) {
                fs::remove_file(path).map_err(|e| StoreError::io("clear a photo that never arrived", e))?;
            }
        }
        Ok(())
    }
}

fn listing(dir: &Path) -> Result<Vec<(String, PathBuf, bool)>, StoreError> {
    let doing = |e| StoreError::io("list the photos", e);
    let mut all = Vec::new();
    for entry in fs::read_dir(dir).map_err(doing)? {
        let entry = entry.map_err(doing)?;
        let is_dir = entry.file_type().map_err(doing)?.is_dir();
        all.push((
            entry.file_name().to_string_lossy().into_owned(),
            entry.path(),
            is_dir,
        ));
    }
    all.sort();
    Ok(all)
}

fn length_of(path: &Path) -> u64 {
    fs::metadata(path).map_or(0, |meta| meta.len())
}

fn write_and_sync(from: &mut dyn Read, path: &Path, most: u64) -> Result<(PhotoHash, u64), StoreError> {
    let mut file = owner::new_file(path).map_err(|e| StoreError::io("write a photo", e))?;
    let mut hasher = blake3::Hasher::new();
    let mut length = 0_u64;
    let mut buffer = vec![0_u8; STEP];
    loop {
        let got = match from.read(&mut buffer) {
            Ok(0) => break,
            Ok(got) => got,
            Err(e) if e.kind() == ErrorKind::Interrupted => continue,
            Err(e) => return Err(StoreError::io("read the photo that was given", e)),
        };
        let piece = buffer.get(..got).unwrap_or_default();
        length = length.saturating_add(piece.len() as u64);
        if length > most {
            return Err(StoreError::PhotoTooLarge { most });
        }
        hasher.update(piece);
        file.write_all(piece)
            .map_err(|e| StoreError::io("write a photo", e))?;
    }
    file.sync_all().map_err(|e| StoreError::io("write a photo", e))?;
    Ok((PhotoHash::from_bytes(hasher.finalize().into()), length))
}

fn hash_of(path: &Path) -> Result<PhotoHash, StoreError> {
    let mut hasher = blake3::Hasher::new();
    let file = File::open(path).map_err(|e| StoreError::io("read a photo", e))?;
    hasher
        .update_reader(file)
        .map_err(|e| StoreError::io("read a photo", e))?;
    Ok(PhotoHash::from_bytes(hasher.finalize().into()))
}
