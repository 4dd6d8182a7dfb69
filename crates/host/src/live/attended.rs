//! What the notebook knows of meetings that are looked after: it asks here how they stand and says here what changed. Nothing
//! of it waits for a network.

use std::sync::Arc;

use link::identity::Key;
use link::talk::Hash;
use notebook::wire::{PairTicket, Pairs};
use notebook::{Meets, Met, Notebook, Refusal};
use record::{Id, Moment};

use super::pairing::begin;
use super::shared::{Shared, Word};

/// Held by the notebook: when it goes, the meetings end.
pub(super) struct Attended(Arc<Shared>);

impl Attended {
    pub(super) fn of(shared: Arc<Shared>) -> Self {
        Self(shared)
    }
}

impl Drop for Attended {
    fn drop(&mut self) {
        self.0.tell(Word::Stop);
    }
}

impl Meets<Notebook> for Attended {
    fn roads_changed(&self) {
        self.0.tell(Word::Changed);
    }

    fn is_another(&self) {
        // The net runs as a device that this folder is no more: it begins anew at the next look.
        self.0.forget_roads();
        self.roads_changed();
    }

    fn photos_chosen(&self) {
        self.0.rethink();
    }

    fn photo_came(&self, record: &Id, hash: Hash) {
        self.0.brought(record, hash, None);
    }

    fn meet_now(&self) {
        self.0.meet_now();
    }

    fn is_listening(&self) -> bool {
        self.0.net().is_some()
    }

    fn meetings(&self) -> Vec<Met> {
        self.0.meetings()
    }

    fn since(&self, record: &Id, device: &Id) -> Option<Moment> {
        self.0.since(record, device)
    }

    fn ended(&self, key: &Key, record: &Id) -> Option<String> {
        self.0.ended(key, record)
    }

    fn pair_open(&self, notebook: &mut Notebook, record: &Id, voice: bool) -> Result<PairTicket, Refusal> {
        begin::open(&self.0, notebook, record, voice)
    }

    fn pair_join(
        &self,
        notebook: &mut Notebook,
        ticket: &str,
        keeper: Option<&str>,
        device: Option<&str>,
    ) -> Result<(), Refusal> {
        begin::join(&self.0, notebook, ticket, keeper, device)
    }

    fn pair_code(&self) -> Pairs {
        begin::code(&self.0)
    }

    fn pair_confirm(&self, yes: bool) -> Result<(), Refusal> {
        begin::confirm(&self.0, yes)
    }
}
