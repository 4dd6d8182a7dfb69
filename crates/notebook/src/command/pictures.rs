//! Many photos entered as one act, and that act taken back. Their bytes were handed in before, each by itself; a picture that the record
//! has is not entered again.

use std::collections::BTreeMap;

use record::entities::{Photo, PhotoFields};
use record::{Edit, Id, Kind, PhotoHash, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::{Command, Done};
use crate::desk::Desk;
use crate::refusal::Refusal;

/// Most that are entered by one change: it stays far below what a change may hold, and a step that long is not felt.
const MOST_AT_ONCE: usize = 100;

fn bounded(many: usize) -> Result<(), Refusal> {
    if (1..=MOST_AT_ONCE).contains(&many) {
        return Ok(());
    }
    Err(Refusal::input(
        "photos",
        format!("from 1 to {MOST_AT_ONCE} photos are taken at once, and there are {many}"),
    ))
}

/// Photos whose bytes this device has taken.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct AddPhotos {
    /// Each, as one photo is entered.
    pub(crate) photos: Vec<PhotoFields>,
}

/// One of many photos that were entered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub(crate) struct PhotoMade {
    /// The photo.
    pub(crate) id: Id,
    /// Whether the record had this picture before, so that it was not entered again.
    pub(crate) was_here: bool,
}

/// Many photos that were entered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, TS)]
pub(crate) struct PhotosMade {
    /// Each, in the order in which they were given.
    pub(crate) photos: Vec<PhotoMade>,
}

impl Command for AddPhotos {
    type Reply = PhotosMade;
    const NAME: &'static str = "add_photos";
    const SAYS: &'static str = "Enters many photos whose bytes this device has taken, as one change; a picture that the record has is not entered again.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<PhotosMade, Refusal> {
        bounded(self.photos.len())?;
        let record = desk.row()?.id;
        let mut entered: BTreeMap<PhotoHash, Id> = BTreeMap::new();
        let mut edits = Vec::new();
        let mut photos = Vec::new();
        for fields in self.photos {
            let hash = fields.hash.put().and_then(|hash| PhotoHash::from_hex(hash));
            let original = hash.ok_or_else(super::kinds::no_bytes)?;
            let before = match entered.get(&original) {
                Some(id) => Some(id.clone()),
                None => desk.notebook().store.entered_as(&record, &original)?,
            };
            if let Some(id) = before {
                photos.push(PhotoMade { id, was_here: true });
                continue;
            }
            super::kinds::bytes_are_here(desk, Some(&original))?;
            let id = desk.notebook().fresh_id();
            edits.push(Edit::add::<Photo>(id.clone(), &fields)?);
            entered.insert(original, id.clone());
            photos.push(PhotoMade { id, was_here: false });
        }
        let message = match edits.len() {
            0 => return Ok(PhotosMade { photos }),
            1 => "Added a photo".to_owned(),
            many => format!("Added {many} photos"),
        };
        desk.write(&Edit::Together { message, edits })?;
        Ok(PhotosMade { photos })
    }
}

/// Photos that are struck out by one change.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct StrikePhotos {
    /// Which.
    pub(crate) photos: Vec<Id>,
    /// Why.
    pub(crate) why: String,
}

impl Command for StrikePhotos {
    type Reply = Done;
    const NAME: &'static str = "strike_photos";
    const SAYS: &'static str =
        "Strikes many photos out as one change, such as pictures that were taken in by a slip.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Done, Refusal> {
        bounded(self.photos.len())?;
        let strike = |id: &Id| Edit::Strike {
            name: Ref::new(Kind::Photo, id.clone()),
            why: self.why.clone(),
            inside: None,
            into: None,
        };
        let message = format!("Struck out {} photos", self.photos.len());
        let edits = self.photos.iter().map(strike).collect();
        desk.write(&Edit::Together { message, edits })?;
        Ok(Done::YES)
    }
}
