//! What a folder says of itself, held against the record: which device it is, whose, and what the car is called. It is kept
//! beside the record so that no page need open it for that, and a digit that turns there is seen by nobody until somebody
//! asks here. It never changes a record.

use link::identity::Identity;
use record::entities::{Car, Device};
use record::{Id, Kind, View};
use store::{Batch, RecordRow, ThisDevice};

use crate::notebook::Notebook;
use crate::refusal::Refusal;

/// What a folder's own rows are to say by the record; nothing where they do, or where the record does not say.
#[derive(Debug, Default)]
pub(crate) struct Otherwise {
    device: Option<ThisDevice>,
    row: Option<RecordRow>,
    /// In words, each thing that is otherwise.
    pub(crate) says: Vec<String>,
}

impl Notebook {
    /// Holds a folder's own rows against a record.
    pub(crate) fn otherwise(&self, row: &RecordRow, view: &View) -> Result<Otherwise, Refusal> {
        let mut found = Otherwise::default();
        let mut this = self.device()?;
        // Whoever was just let in has no keeper until the record comes, with the device in it.
        if row.keeper.is_some() && view.get(Kind::Device, &this.id).is_none() {
            let by_key = self.device_by_key(view);
            let then = by_key.as_ref().map_or_else(
                || "Bring back a backup of the folder, or join anew with another folder".to_owned(),
                |(_, name)| format!("By its key it is '{name}'; rebuild puts that right"),
            );
            found.says.push(format!(
                "this folder takes itself for a device that the record of '{}' does not know, and nothing is written as \
                 that one. {then}",
                row.car
            ));
            if let Some((id, _)) = by_key {
                this.id = id;
                found.device = Some(this.clone());
            }
        }
        let mut right = row.clone();
        if let Some(name) = view.one::<Car>(&Id::car()).and_then(|car| car.name())
            && name != row.car
        {
            found.says.push(format!(
                "the folder calls the car '{}', and the record '{name}'; rebuild puts that right",
                row.car
            ));
            name.clone_into(&mut right.car);
        }
        // A keeper whom the record knows is one that was chosen here: another device's word on whose this is changes nothing.
        let chosen = row.keeper.as_ref();
        let known = chosen.is_some_and(|keeper| view.get(Kind::Keeper, keeper).is_some());
        if let Some(keeper) = view.keeper_of(&this.id)
            && !known
            && chosen != Some(&keeper)
        {
            found.says.push(
                "the folder names another keeper as its own than the record does; rebuild puts that right"
                    .to_owned(),
            );
            right.keeper = Some(keeper);
        }
        found.row = (&right != row).then_some(right);
        Ok(found)
    }

    /// The device of a record that has this folder's key, and what it is called.
    fn device_by_key(&self, view: &View) -> Option<(Id, String)> {
        // A key that cannot be read is told as such (`doubt_now`); nothing follows from it here.
        let secret = self.store.secret().ok().flatten()?;
        let key = Identity::from_text(&secret).ok()?.key().to_string();
        let mut with_it = view
            .each_standing::<Device>()
            .filter(|device| device.key() == Some(key.as_str()));
        let device = with_it.next()?;
        // A key that two devices name says nothing.
        let alone = with_it.next().is_none();
        alone.then(|| {
            let name = device.name().unwrap_or_default();
            (device.id().clone(), name.to_owned())
        })
    }

    /// Puts the folder's own rows right where the record says otherwise; whether it did.
    pub(crate) fn put_right(&mut self, row: &RecordRow, view: &View) -> Result<bool, Refusal> {
        let Otherwise {
            device, row: right, ..
        } = self.otherwise(row, view)?;
        let differs = device.is_some() || right.is_some();
        if differs {
            let batch = Batch {
                device: device.as_ref(),
                row: right.as_ref(),
                ..Batch::default()
            };
            self.store.commit(&row.id, &batch)?;
        }
        Ok(differs)
    }

    /// Refuses to write as a device that the record does not know: nobody could tell whose entry it is.
    pub(crate) fn knows_itself(&self, row: &RecordRow, view: &View) -> Result<(), Refusal> {
        let this = self.device()?;
        if row.keeper.is_none() || view.get(Kind::Device, &this.id).is_some() {
            return Ok(());
        }
        Err(Refusal::failed(
            "device_unknown",
            format!(
                "this folder takes itself for a device that the record of '{}' does not know. Nothing was written. A check \
                 says more",
                row.car
            ),
        ))
    }
}
