//! Which photos are fetched: what the face knows of the connection, and the one photo that a keeper asks for. Nothing
//! is fetched here; meetings that stand are told that the choice is another.

use record::{Id, Kind, PhotoHash, Ref};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::asked::{Command, Done};
use crate::desk::Desk;
use crate::refusal::Refusal;
use crate::wire::PhotoLine;

fn line(desk: &mut Desk<'_>, photo: &Id) -> Result<PhotoLine, Refusal> {
    let found = desk.page(|read| read.view.get(Kind::Photo, photo).map(|entry| read.photo(entry)))?;
    found.ok_or_else(|| record::Refusal::Unknown(record::Ref::new(Kind::Photo, photo.clone())).into())
}

/// A photo as it stands on this device: here, or who has it.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct PhotoOf {
    /// Which.
    pub(crate) photo: Id,
}

impl Command for PhotoOf {
    type Reply = PhotoLine;
    const NAME: &'static str = "photo";
    const SAYS: &'static str = "A photo as it stands on this device: here, or who has it.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<PhotoLine, Refusal> {
        line(desk, &self.photo)
    }
}

/// The photos on which something is to be seen: those that are about it, and those that a finding names.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Pictures {
    /// Of what.
    pub(crate) about: Ref,
}

impl Command for Pictures {
    type Reply = Vec<PhotoLine>;
    const NAME: &'static str = "pictures";
    const SAYS: &'static str = "The photos on which something is to be seen: those that are about it, and those that a finding names.";
    const WRITES: bool = false;
    fn run(self, desk: &mut Desk<'_>) -> Result<Vec<PhotoLine>, Refusal> {
        desk.page(|read| read.pictures(&self.about))
    }
}

/// Asks for one original by hand. It comes as soon as a device that has it is met, or a drop that it lies in is looked at, by whatever connection.
#[derive(Clone, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct PhotoFetch {
    /// Which.
    pub(crate) photo: Id,
}

impl Command for PhotoFetch {
    type Reply = PhotoLine;
    const NAME: &'static str = "photo_fetch";
    const SAYS: &'static str = "Asks for one original by hand. It comes as soon as a device that has it is met, or a drop that it lies in is looked at, by whatever connection.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<PhotoLine, Refusal> {
        let record = desk.row()?.id;
        let hash = line(desk, &self.photo)?.hash;
        desk.notebook().may_write()?;
        // One that is no hash is nobody's to send.
        if let Some(hash) = PhotoHash::from_hex(&hash) {
            desk.notebook().ask_photo(&record, &hash)?;
        }
        desk.notebook().photos_chosen();
        line(desk, &self.photo)
    }
}

/// Says what the face knows of the network that this device is in.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema, TS)]
#[serde(deny_unknown_fields)]
pub(crate) struct Connection {
    /// Whether it is paid by what it carries. Nothing where that is not known, which is taken for no.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(crate) metered: Option<bool>,
}

impl Command for Connection {
    type Reply = Done;
    const NAME: &'static str = "connection";
    const SAYS: &'static str = "Says what the face knows of the network that this device is in.";
    const WRITES: bool = true;
    fn run(self, desk: &mut Desk<'_>) -> Result<Done, Refusal> {
        let metered = self.metered.unwrap_or(false);
        if std::mem::replace(&mut desk.notebook().metered, metered) != metered {
            desk.notebook().photos_chosen();
        }
        Ok(Done::YES)
    }
}
