//! The comparison of what both hold, made when nothing is on its way. A digest says how many parts its side had sent and
//! taken; two are held against each other only when each side had taken all that the other had sent, for only then must
//! they be the same. It mends nothing itself.

use std::collections::BTreeSet;

use super::message::Digest;
use super::wire::Hash;

/// How many parts a side had sent and taken.
pub(super) type Counts = (u64, u64);

/// What came of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Compared {
    /// Nothing could be said yet.
    Open,
    /// Both hold the same.
    Alike,
    /// They differ, for the first time.
    Differ {
        /// Both have the same changes and do not read the same: what was derived is wrong on one side.
        derived: bool,
    },
    /// They differ after everything was gone through again.
    StillDiffer,
}

/// The state of comparing.
#[derive(Debug, Default)]
pub(super) struct Compare {
    due: bool,
    asked: Option<Counts>,
    mine: Option<(Counts, Digest)>,
    theirs: Option<(Counts, Digest)>,
    /// Whether everything is being, or was, gone through again.
    pub(super) again: bool,
}

impl Compare {
    /// A comparison is due as soon as nothing is on its way.
    pub(super) fn due(&mut self) {
        self.due = true;
    }

    /// Whether to ask the record now; `quiet` says that nothing is on its way.
    pub(super) fn ask(&mut self, quiet: bool, counts: Counts) -> bool {
        let ask = self.due && quiet && self.asked.is_none();
        if ask {
            self.asked = Some(counts);
        }
        ask
    }

    /// The record answered. Whether the answer is to be sent; it is not where something came between.
    pub(super) fn mine(&mut self, digest: &Digest, quiet: bool, counts: Counts) -> bool {
        let stands = self.asked.take() == Some(counts) && quiet;
        if stands {
            self.due = false;
            self.mine = Some((counts, digest.clone()));
        }
        stands
    }

    /// The other's came.
    pub(super) fn theirs(&mut self, counts: Counts, digest: Digest, mine_now: Counts) {
        self.theirs = Some((counts, digest));
        if self.mine.as_ref().map(|(counts, _)| *counts) != Some(mine_now) {
            self.due = true;
        }
    }

    /// An exchange begins: what was said before says nothing any more.
    pub(super) fn forget(&mut self) {
        self.due = false;
        self.mine = None;
        self.theirs = None;
    }

    /// Holds one against the other, once for each digest of the other.
    pub(super) fn found(&mut self) -> Compared {
        let (Some((mine, my_digest)), Some((theirs, their_digest))) = (&self.mine, &self.theirs) else {
            return Compared::Open;
        };
        if *mine != (theirs.1, theirs.0) {
            return Compared::Open;
        }
        let alike = same(my_digest, their_digest);
        let derived = same_changes(my_digest, their_digest);
        self.theirs = None;
        match (alike, self.again) {
            (true, _) => {
                self.again = false;
                Compared::Alike
            }
            (false, false) => Compared::Differ { derived },
            (false, true) => Compared::StillDiffer,
        }
    }
}

/// Whether two digests say the same. Photos may lie on one device only, where the other does not want them all: they
/// are compared where both say that none is missing.
fn same(one: &Digest, other: &Digest) -> bool {
    let whole = one.photos_missing == 0 && other.photos_missing == 0;
    same_changes(one, other) && one.entries == other.entries && (!whole || one.photos == other.photos)
}

fn same_changes(one: &Digest, other: &Digest) -> bool {
    let heads = |digest: &Digest| -> BTreeSet<Hash> { digest.heads.0.iter().copied().collect() };
    heads(one) == heads(other) && one.changes == other.changes
}
