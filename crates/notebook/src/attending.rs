//! Whoever looks after the notebook in the background, as it knows them: traits, since threads and networks are a machine's. It
//! tells them what concerns them and asks how they stand; where nobody attends, a command says so in words.

use std::sync::Arc;

use link::identity::Key;
use link::talk::{Hash, Status};
use record::{Id, Moment};

use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::wire::{DropAheadPage, DropPlace, FailedLook, PairTicket, Pairs};

/// Who looks after meetings. Each call returns at once, but for those that begin a pairing: they start the net.
pub trait Meets: Send + Sync {
    /// The keeper chose other roads, or who may come may have changed.
    fn roads_changed(&self);
    /// This folder is another device now.
    fn is_another(&self);
    /// Other photos are to be fetched from now on.
    fn photos_chosen(&self);
    /// An original came other than by a meeting.
    fn photo_came(&self, record: &Id, hash: Hash);
    /// Everybody is looked for at once.
    fn meet_now(&self);
    /// Whether the net runs.
    fn is_listening(&self) -> bool;
    /// How the meetings stand.
    fn meetings(&self) -> Vec<Met>;
    /// Since when a device is here to meet about a record, if it is.
    fn since(&self, record: &Id, device: &Id) -> Option<Moment>;
    /// Why the last meeting with a device about a record ended, if one did, or why it lets this one in no more.
    fn ended(&self, key: &Key, record: &Id) -> Option<String>;
    /// Opens a ticket for a record, or digits to speak.
    ///
    /// # Errors
    /// Why nobody can be paired now.
    fn pair_open(&self, notebook: &mut Notebook, record: &Id, voice: bool) -> Result<PairTicket, Refusal>;
    /// Follows a ticket that another device shows, or digits that its keeper reads out.
    ///
    /// # Errors
    /// Why it cannot be followed.
    fn pair_join(
        &self,
        notebook: &mut Notebook,
        ticket: &str,
        keeper: Option<&str>,
        device: Option<&str>,
    ) -> Result<(), Refusal>;
    /// How pairing stands.
    fn pair_code(&self) -> Pairs;
    /// The keeper's word: both devices show the same digits, or they do not.
    ///
    /// # Errors
    /// Where there is nothing to say yes to.
    fn pair_confirm(&self, yes: bool) -> Result<(), Refusal>;
}

/// A conversation with another device about a record, as it stands.
#[derive(Clone, Debug)]
pub struct Met {
    /// The other's key.
    pub key: Key,
    /// What it is about.
    pub record: Id,
    /// The other, as the record names it.
    pub device: Id,
    /// How far it is.
    pub status: Status,
}

/// Who looks at drops. Each call returns at once.
pub trait LooksAtDrops: Send + Sync {
    /// There are other drops now.
    fn places_changed(&self);
    /// Other photos are to be fetched from now on.
    fn photos_chosen(&self);
    /// A look is wished for now.
    fn wish_look(&self, drop: &str);
    /// Whether a drop is looked at.
    fn is_busy(&self, drop: &str) -> bool;
    /// The last look at a drop, where it failed and could not be noted.
    fn failed(&self, drop: &str) -> Option<FailedLook>;
    /// The sizes of the next look: those that were worked out, once, or word that they are being worked out.
    fn ahead(&self, drop: &str) -> DropAheadPage;
}

/// What a machine knows of the places that drops may lie in. Nothing is sent.
pub trait Places: Send {
    /// Whether it can be a drop's place at all, as far as this machine tells.
    ///
    /// # Errors
    /// Why not, in words.
    fn can_be(&self, place: &DropPlace) -> Result<(), String>;
    /// What a folder is called where its keeper gives it no name.
    fn folder_name(&self, path: &str) -> String;
}

/// A machine that lends no places, as a browser.
pub(crate) struct NoPlaces;

impl Places for NoPlaces {
    fn can_be(&self, _: &DropPlace) -> Result<(), String> {
        Err(
            "no drop can be reached from here: the window, 'witnessmark serve' and the shell reach them"
                .to_owned(),
        )
    }

    fn folder_name(&self, path: &str) -> String {
        path.to_owned()
    }
}

impl Notebook {
    /// Somebody looks after meetings from now on, or nobody does any more; whoever did so far is handed back.
    pub fn attend_meetings(&mut self, by: Option<Arc<dyn Meets>>) -> Option<Arc<dyn Meets>> {
        std::mem::replace(&mut self.live, by)
    }

    /// Whether somebody looks after meetings.
    #[must_use]
    pub fn has_meetings_attended(&self) -> bool {
        self.live.is_some()
    }

    /// Somebody looks at drops from now on, or nobody does any more; whoever did so far is handed back.
    pub fn attend_drops(&mut self, by: Option<Arc<dyn LooksAtDrops>>) -> Option<Arc<dyn LooksAtDrops>> {
        std::mem::replace(&mut self.drops, by)
    }

    /// Whether somebody looks at drops.
    #[must_use]
    pub fn has_drops_attended(&self) -> bool {
        self.drops.is_some()
    }

    /// A machine lends the places that drops may lie in.
    pub fn lend_places(&mut self, places: Box<dyn Places>) {
        self.places = places;
    }

    /// The meetings that are looked after here; refused where nobody does.
    pub(crate) fn attended(&self) -> Result<Arc<dyn Meets>, Refusal> {
        let none = || {
            Refusal::input(
                "not_attended",
                "no other device can be met from here: open the window or serve, or pair from the shell",
            )
        };
        self.live.clone().ok_or_else(none)
    }
}
