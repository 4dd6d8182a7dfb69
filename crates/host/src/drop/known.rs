//! What is known of a drop from one look to the next while the program runs. It is written nowhere: after a start all of it is
//! found out again.

use std::collections::{BTreeMap, BTreeSet};

use link::drop::{Hash, HeldChange};
use notebook::drop::Resting;
use record::ChangeId;

/// What is kept from look to look while the program runs.
#[derive(Default)]
pub(super) struct Known {
    pub(super) ledgered: Ledgered,
    /// Photos that came and are none.
    pub(super) no_photos: BTreeSet<Hash>,
    /// How everything stood that a look goes by when the last one ended well.
    pub(super) rested: Option<Resting>,
}

/// The changes of a record as they are known from look to look.
#[derive(Default)]
pub(super) struct Ledgered {
    pub(super) heads: Vec<ChangeId>,
    pub(super) held: Vec<HeldChange>,
    /// Bytes of those that came into the list during this look.
    pub(super) bytes: BTreeMap<Hash, Vec<u8>>,
}
