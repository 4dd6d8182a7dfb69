//! The Keepers place: who, on which devices.

use std::collections::BTreeMap;

use record::entities::{Device, DeviceRef, Keeper, KeeperRef};
use record::{Id, Moment, called};

use super::lines::Reader;
use crate::wire::{DeviceLine, KeeperLine};

/// What is known of other devices: when they last met this one, and how many changes they were known to have.
pub(crate) type Peers = BTreeMap<Id, (Option<Moment>, u32)>;

/// Keepers with their devices, this device's keeper first.
pub(crate) fn keepers(
    read: &Reader<'_>,
    me: Option<&Id>,
    device: &Id,
    peers: &Peers,
    changes: u32,
) -> Vec<KeeperLine> {
    let mut keepers: Vec<KeeperRef<'_>> = read.view.each_standing::<Keeper>().collect();
    keepers.sort_by_key(|keeper| (Some(keeper.id()) != me, called(keeper.name()), keeper.id()));
    let devices_of = |keeper: &Id| {
        let theirs = read
            .view
            .each_standing::<Device>()
            .filter(|device| device.keeper() == Some(keeper.into()));
        let line = |one: DeviceRef<'_>| DeviceLine {
            name: called(one.name()),
            this: one.id() == device,
            last_met: peers.get(one.id()).and_then(|(met, _)| *met),
            lacks: peers
                .get(one.id())
                .map(|(_, knows)| changes.saturating_sub(*knows)),
            id: one.id().clone(),
        };
        let mut lines: Vec<DeviceLine> = theirs.map(line).collect();
        lines.sort_by(|a, b| (!a.this, &a.name, &a.id).cmp(&(!b.this, &b.name, &b.id)));
        lines
    };
    let line = |keeper: &KeeperRef<'_>| KeeperLine {
        id: keeper.id().clone(),
        name: called(keeper.name()),
        pattern: read.pattern(Some(keeper.id())),
        me: Some(keeper.id()) == me,
        devices: devices_of(keeper.id()),
    };
    keepers.iter().map(line).collect()
}
