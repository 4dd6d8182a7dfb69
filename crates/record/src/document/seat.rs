//! Where a run of the program writes from. It makes no randomness: that is an argument.

use automerge::ActorId;

use crate::name::Id;

/// Where this run of the program writes from: the device, and eight random bytes that no other run has.
///
/// Together they are the Automerge actor id. A folder restored from a backup or copied to another machine runs
/// with other bytes, and so never writes a second change under a number that was used before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seat {
    /// The device.
    pub device: uuid::Uuid,
    /// Random for each run.
    pub run: [u8; 8],
}

impl Seat {
    /// The actor's id, in hex.
    #[must_use]
    pub fn actor_hex(self) -> String {
        self.actor().to_hex_string()
    }

    pub(super) fn actor(self) -> ActorId {
        let mut bytes = self.device.as_bytes().to_vec();
        bytes.extend(self.run);
        ActorId::from(bytes)
    }

    /// The device that an actor id belongs to; none for what the program lays down itself.
    pub(super) fn device_of(actor: &ActorId) -> Option<Id> {
        let bytes: [u8; 24] = actor.to_bytes().try_into().ok()?;
        let device = bytes.first_chunk::<16>()?;
        Some(Id::from_uuid(uuid::Uuid::from_bytes(*device)))
    }
}
