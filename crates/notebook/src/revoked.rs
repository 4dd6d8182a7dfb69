//! What a device that knows it was revoked says of itself, in one sentence for every page and for the shell: who said so and
//! when, what becomes of what is written here now, and the one way on. It stops nobody from writing: a note at a bench is
//! kept, whoever may read it.

use record::members::{Member, members};
use record::{Id, Kind, View};

use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::vouching::device_in;

/// The sentence; nothing for a device that is met.
pub(crate) fn revoked_here(view: &View, this: &Id) -> Option<String> {
    let own: Member = members(view).into_iter().find(|one| one.device == *this)?;
    let (why, stamp) = own.revoked?;
    let by = stamp
        .device
        .as_ref()
        .map_or_else(|| "another device".to_owned(), |device| device_in(view, device));
    Some(format!(
        "This device was revoked by {by} on {} ('{}'): what is written here from then on stays in this folder and reaches nobody. To go on with the others, pair this device again with an empty folder, and write there again what is to be kept.",
        stamp.at.to_string().chars().take(10).collect::<String>(),
        record::shown(&why)
    ))
}

impl Notebook {
    /// The same, of a record that is kept here.
    pub fn revoked_here(&mut self, record: &Id) -> Result<Option<String>, Refusal> {
        let this = self.device()?.id;
        let (shelf, store) = self.shelf(record);
        let view = shelf.with(store, record, &[Kind::Device, Kind::Keeper])?;
        Ok(revoked_here(view, &this))
    }
}
