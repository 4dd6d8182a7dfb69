//! Members: the devices that a record is kept on, with the keys that they are known by, and which of them are met no more.
//! Read from the merged record at each look. It holds no secret and opens no connection.

use crate::entities::{Device, Keeper};
use crate::entity::Entity;
use crate::entry::Stamp;
use crate::name::{Id, Kind};
use crate::shown::called;
use crate::view::View;

/// One device of the record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Member {
    /// Which device.
    pub device: Id,
    /// What it is called.
    pub name: String,
    /// Whose it is.
    pub keeper: Option<Id>,
    /// Its key, where it has said it.
    pub key: Option<String>,
    /// What files for it are sealed to.
    pub seal: Option<String>,
    /// Why it is met no more, and who said so when; nothing for one that is met.
    pub revoked: Option<(String, Stamp)>,
}

impl Member {
    /// Whether it is met.
    #[must_use]
    pub fn stands(&self) -> bool {
        self.revoked.is_none()
    }
}

/// What a keeper is called; empty for one that is not there.
#[must_use]
pub fn keeper_name(view: &View, keeper: &Id) -> String {
    called(view.one::<Keeper>(keeper).and_then(|keeper| keeper.name()))
}

/// What a device is called; empty for one that is not there.
#[must_use]
pub fn device_name(view: &View, device: &Id) -> String {
    called(view.one::<Device>(device).and_then(|device| device.name()))
}

/// Every device, in the order of their ids; those that were struck out are not among them.
#[must_use]
pub fn members(view: &View) -> Vec<Member> {
    let standing = view.standing(Kind::Device);
    let member = |entry: &crate::entry::Entry| {
        let device = Device::read(entry);
        let name = called(device.name.as_deref());
        // Whoever said it, and whatever else stands beside it: one who revokes is not overruled by one who did not know.
        let revoked = entry.fields.get(Device::revoked).and_then(|held| {
            held.claims().iter().find_map(|claim| match &claim.value {
                Some(crate::entry::Scalar::Line(why)) if !why.is_empty() => {
                    Some((why.clone(), claim.stamp.clone()))
                }
                _ => None,
            })
        });
        Member {
            device: device.id,
            name,
            keeper: device.keeper,
            key: device.key,
            seal: device.seal,
            revoked,
        }
    };
    standing.map(member).collect()
}
