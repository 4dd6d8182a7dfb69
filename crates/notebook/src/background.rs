//! Whoever looks after the notebook in the background, as it knows them: traits, since threads and networks are a machine's. It
//! tells them what concerns them and asks how they stand; where nobody attends, a command says so in words.

use link::identity::Key;
use link::talk::{Hash, Status};
use record::{Id, Moment};

use crate::refusal::Refusal;
use crate::wire::{DropAheadPage, DropPlace, FailedLook, PairTicket, Pairs};

/// Who looks after the meetings of a notebook `N`. Each call returns at once, but for those that begin a pairing: they start the net.
pub trait Meets<N>: Send + Sync {
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
    fn pair_open(&self, notebook: &mut N, record: &Id, voice: bool) -> Result<PairTicket, Refusal>;
    /// Follows a ticket that another device shows, or digits that its keeper reads out.
    ///
    /// # Errors
    /// Why it cannot be followed.
    fn pair_join(
        &self,
        notebook: &mut N,
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
