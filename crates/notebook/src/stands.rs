//! How photos stand on this device, as a page shows them: here, or missing and who has them. It asks nobody: whoever makes a page is told
//! which of them were looked for and are not known.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use record::{Id, PhotoHash};

/// How photos stand on this device, as far as they were asked about; those that were and are not known are said to whoever can look.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Photos {
    known: BTreeMap<PhotoHash, Stands>,
    lacking: RefCell<BTreeSet<PhotoHash>>,
    /// Whether originals wait until they are asked for.
    pub(crate) wait: bool,
    /// This device.
    pub(crate) this: Option<Id>,
}

impl Photos {
    /// None known yet.
    pub(crate) fn of(wait: bool, this: Option<Id>) -> Self {
        Self {
            wait,
            this,
            ..Self::default()
        }
    }

    /// How a photo stands; as one that nobody has said anything of, while that is not known.
    pub(crate) fn stands(&self, hash: PhotoHash) -> Stands {
        self.known.get(&hash).cloned().unwrap_or_else(|| {
            self.lacking.borrow_mut().insert(hash);
            Stands::Missing(Missing::default())
        })
    }

    /// Those that were asked about and are not known.
    pub(crate) fn lacking(&self) -> BTreeSet<PhotoHash> {
        self.lacking.take()
    }

    pub(crate) fn put(&mut self, hash: PhotoHash, stands: Stands) {
        self.known.insert(hash, stands);
    }
}

/// How one photo stands on this device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Stands {
    /// Its original is here.
    Here(Here),
    /// It is not.
    Missing(Missing),
}

/// A photo whose original is here.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Here {
    /// Size in pixels.
    pub(crate) width: u32,
    pub(crate) height: u32,
    /// Whether a small picture was made of it.
    pub(crate) small: bool,
}

impl Here {
    pub(crate) fn of(row: &store::PhotoRow) -> Self {
        Self {
            width: row.meta.width,
            height: row.meta.height,
            small: row.small,
        }
    }
}

/// A photo whose original is not here.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Missing {
    /// Whether it was asked for by hand.
    pub(crate) asked: bool,
    /// Whether a small picture of it is here.
    pub(crate) small: bool,
    /// What the other devices said when they were asked whether they have it.
    pub(crate) said: BTreeMap<Id, bool>,
}
