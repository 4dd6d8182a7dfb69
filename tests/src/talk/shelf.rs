//! A shelf of photos in memory: what is whole, and what is kept of those that are on their way. It keeps a photo only
//! when its bytes are the ones that its hash names.

use std::collections::BTreeMap;

use link::talk::{Kept, PhotoKey};

/// All pictures there are, by their keys: what a shelf must end with.
pub type Pictures = BTreeMap<PhotoKey, Vec<u8>>;

/// One device's photos.
#[derive(Clone, Debug, Default)]
pub struct Shelf {
    whole: Pictures,
    parts: Pictures,
}

impl Shelf {
    /// Puts a photo of its own there.
    pub fn put(&mut self, key: PhotoKey, bytes: Vec<u8>) {
        self.whole.insert(key, bytes);
    }

    /// Whether it is wholly there.
    #[must_use]
    pub fn has(&self, key: &PhotoKey) -> bool {
        self.whole.contains_key(key)
    }

    /// Everything that is whole.
    pub fn whole(&self) -> impl Iterator<Item = (&PhotoKey, &Vec<u8>)> {
        self.whole.iter()
    }

    /// How many bytes of it are kept from before.
    #[must_use]
    pub fn begun(&self, key: &PhotoKey) -> u64 {
        self.parts.get(key).map_or(0, |part| part.len() as u64)
    }

    /// Bytes of the whole, and a piece; nothing where it is not there.
    #[must_use]
    pub fn read(&self, key: &PhotoKey, offset: u64, most: usize) -> Option<(u64, Vec<u8>)> {
        let bytes = self.whole.get(key)?;
        let from = usize::try_from(offset).ok().filter(|from| *from <= bytes.len())?;
        let to = bytes.len().min(from + most);
        Some((bytes.len() as u64, bytes[from..to].to_vec()))
    }

    /// Keeps a piece. Another device may have brought some of it meanwhile.
    pub fn keep(&mut self, key: PhotoKey, offset: u64, total: u64, bytes: &[u8], all: &Pictures) -> Kept {
        if self.has(&key) {
            return Kept::Whole;
        }
        let part = self.parts.entry(key).or_default();
        let from = usize::try_from(offset).unwrap();
        if from > part.len() {
            // What came before it was wrong, and is gone.
            return Kept::Gone {
                here: part.len() as u64,
            };
        }
        let known = part.len() - from;
        part.extend(bytes.iter().skip(known));
        if (part.len() as u64) < total {
            return Kept::More;
        }
        let bytes = self.parts.remove(&key).unwrap();
        // The hash of an original is its name. A small picture has none: what was made of the original is known here.
        let right = if key.small {
            all.get(&key) == Some(&bytes)
        } else {
            *blake3::hash(&bytes).as_bytes() == key.hash
        };
        if !right {
            return Kept::Wrong;
        }
        self.whole.insert(key, bytes);
        Kept::Whole
    }
}
