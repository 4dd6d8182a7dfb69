//! The file layer: all that differs between a disk with folders and a browser's private storage. Each layer has a
//! `Folder` with the methods of the native one: the one-writer lock, connections with durable settings (the
//! journal mode is the layer's own), and photos by hash. Nothing outside this module touches a file, and
//! nothing in it knows a table.

#[cfg(not(target_family = "wasm"))]
mod native;
#[cfg(not(target_family = "wasm"))]
pub(crate) use native::{Folder, Stood, Tally};
#[cfg(not(target_family = "wasm"))]
pub use native::{Outgoing, SetDown, Whereabouts};

/// A file found among the photos.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Found {
    /// Its name below the photos folder.
    pub(crate) name: String,
    /// What it is.
    pub(crate) what: What,
    /// Its length in bytes.
    pub(crate) length: u64,
}

/// What a file among the photos is, by its name and place.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum What {
    /// An original; the hash is its name.
    Original(String),
    /// One that was on its way in when something stopped.
    Arriving,
    /// Nothing of ours.
    Stranger,
}

/// Whether a text is a BLAKE3 hash as we write it: 64 hex digits, small letters.
pub(crate) fn is_hash(text: &str) -> bool {
    text.len() == 64
        && text
            .bytes()
            .all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
}
