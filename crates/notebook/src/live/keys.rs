//! Who this device is: secrets that lie beside the database and leave the folder by no road, and what the record says
//! of them. A folder that was restored or copied without them is given new ones, and says so in the record.

use link::identity::{Identity, IdentityError};
use record::entities::{Device, DeviceFields};
use record::members::{Member, members};
use record::{Edit, Given, Id, Kind};
use zeroize::Zeroizing;

use crate::notebook::Notebook;
use crate::refusal::Refusal;

/// What a device entry says of an identity: its key, and what is sealed to it.
pub(crate) fn said_of(identity: &Identity) -> (Option<String>, Option<String>) {
    (Some(identity.key().to_string()), identity.recipient())
}

impl Notebook {
    /// This device's secrets; made when there are none and the source of randomness lends some.
    ///
    /// # Errors
    /// When what is kept cannot be read, or what is new cannot be kept.
    pub fn identity(&mut self) -> Result<Option<Identity>, Refusal> {
        self.is_itself()?;
        if let Some(text) = self.store.secret()?.map(Zeroizing::new) {
            self.at_home()?;
            let unread = |error: IdentityError| {
                let what = match &error {
                    IdentityError::Newer(_) => {
                        "bring the program up to date; till then this folder is read here, and not written"
                    }
                    _ => "'witnessmark folder' says what can be done",
                };
                Refusal::failed(
                    "device_key",
                    format!("this device's key cannot be read: {error}; {what}"),
                )
            };
            return Identity::from_text(&text).map(Some).map_err(unread);
        }
        self.may_write()?;
        let Some(random) = self.source.secret().map(Zeroizing::new) else {
            return Ok(None);
        };
        self.came_without_key()?;
        let identity = Identity::generate(&random);
        self.store.keep_secret(&identity.to_text())?;
        self.at_home()?;
        Ok(Some(identity))
    }

    /// Gives this folder keys of its own; with those of the device that it is a copy of, what was sealed to that one can
    /// still be read.
    pub(crate) fn renew_identity(&mut self) -> Result<(), Refusal> {
        let Some(random) = self.source.secret().map(Zeroizing::new) else {
            return Ok(());
        };
        let identity = match self.store.secret()?.map(Zeroizing::new) {
            None => Identity::generate(&random),
            Some(text) => match Identity::from_text(&text) {
                Ok(was) => was.copied(&random),
                Err(error @ IdentityError::Newer(_)) => {
                    return Err(Refusal::failed("device_key", error.to_string()));
                }
                Err(_) => {
                    let identity = Identity::in_place_of(&text, &random);
                    self.store.lay_secret_beside()?;
                    identity
                }
            },
        };
        self.signing = None;
        Ok(self.store.keep_secret(&identity.to_text())?)
    }

    /// Every device of a record.
    pub fn members(&mut self, record: &Id) -> Result<Vec<Member>, Refusal> {
        let (shelf, store) = self.shelf(record);
        Ok(members(shelf.with(store, record, &[Kind::Device])?))
    }

    /// Says in every record what this device is known by, where it does not stand there yet: one edit each.
    pub fn enter_key(&mut self, identity: &Identity) -> Result<(), Refusal> {
        let Some(this) = self.store.device()? else {
            return Ok(());
        };
        let (key, seal) = said_of(identity);
        for row in self.store.records()? {
            let own = self
                .members(&row.id)?
                .into_iter()
                .find(|one| one.device == this.id);
            let Some(own) = own.filter(Member::stands) else {
                continue;
            };
            if own.key == key && own.seal == seal {
                continue;
            }
            let fields = DeviceFields {
                key: key.clone().map_or(Given::Leave, Given::Put),
                seal: seal.clone().map_or(Given::Leave, Given::Put),
                ..Default::default()
            };
            self.write(&row.id, &Edit::change::<Device>(this.id.clone(), &fields)?)?;
        }
        Ok(())
    }
}
