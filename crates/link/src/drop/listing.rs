//! A listing put in order: which copies of which file lie where. It believes no size and no name but that a name is one.

use std::collections::{BTreeMap, BTreeSet};

use super::names::{Names, Shelf, named};
use super::{Hash, MemberStanding, Seen};

/// One place where a file of some name lies.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Lying {
    /// The path below the place.
    pub(super) path: String,
    /// The length that was listed.
    pub(super) size: u64,
    /// The place's own mark.
    pub(super) mark: String,
    /// Whether its name is nothing but its hash.
    pub(super) clean: bool,
    /// In whose folder: the key of the device.
    pub(super) device: Hash,
}

/// The files of one shelf by name, the best copy of each first.
pub(super) type Files = BTreeMap<Hash, Vec<Lying>>;

/// The files of one record.
#[derive(Debug, Default)]
pub(super) struct Listing {
    /// Batches.
    pub(super) batches: Files,
    /// Photos.
    pub(super) photos: Files,
    /// Files in folders of devices that the record does not know yet.
    pub(super) unknown: usize,
    /// Files that are none of the drop's.
    pub(super) foreign: usize,
    /// Bytes of all of them, as listed.
    pub(super) bytes: u64,
}

impl Listing {
    /// Puts what a place listed in order.
    pub(super) fn of(names: &Names, devices: &BTreeMap<Hash, MemberStanding>, seen: &[Seen]) -> Self {
        let mut folders = BTreeMap::new();
        for device in devices.keys() {
            for shelf in [Shelf::Batches, Shelf::Photos] {
                folders.insert(names.folder(device, shelf), (shelf, *device));
            }
        }
        let record = names.record();
        let mut listing = Listing::default();
        for one in seen {
            let Some(path) = one
                .path
                .strip_prefix(record.as_str())
                .and_then(|path| path.strip_prefix('/'))
            else {
                continue;
            };
            listing.bytes = listing.bytes.saturating_add(one.size);
            let (folder, file) = path.split_once('/').unwrap_or_default();
            let Some((hash, clean)) = named(file).filter(|_| !file.contains('/')) else {
                listing.foreign += 1;
                continue;
            };
            let Some((shelf, device)) = folders.get(folder) else {
                let tag = folder.len() == 32 && folder.bytes().all(|b| b.is_ascii_hexdigit());
                *(if tag {
                    &mut listing.unknown
                } else {
                    &mut listing.foreign
                }) += 1;
                continue;
            };
            let files = match shelf {
                Shelf::Batches => &mut listing.batches,
                Shelf::Photos => &mut listing.photos,
            };
            files.entry(hash).or_default().push(Lying {
                path: one.path.clone(),
                size: one.size,
                mark: one.mark.clone(),
                clean,
                device: *device,
            });
        }
        for copies in listing.batches.values_mut().chain(listing.photos.values_mut()) {
            copies.sort_by(|a, b| {
                b.clean
                    .cmp(&a.clean)
                    .then(b.size.cmp(&a.size))
                    .then_with(|| a.path.cmp(&b.path))
            });
        }
        listing
    }

    /// Whether a file lies in this device's own folder under its own name, as long as it should be.
    pub(super) fn lies_whole(files: &Files, name: &Hash, device: &Hash, size: u64) -> bool {
        files.get(name).is_some_and(|copies| {
            copies
                .iter()
                .any(|copy| copy.clean && copy.device == *device && copy.size == size)
        })
    }
}

/// What changes when any copy of a file does.
pub(super) fn mark(copies: &[Lying]) -> String {
    let each = copies
        .iter()
        .map(|copy| format!("{} {} {}", copy.path, copy.size, copy.mark));
    each.collect::<Vec<_>>().join("\n")
}

/// The devices that are met.
pub(super) fn members(devices: &BTreeMap<Hash, MemberStanding>) -> BTreeSet<Hash> {
    devices
        .iter()
        .filter(|(_, standing)| **standing == MemberStanding::Member)
        .map(|(device, _)| *device)
        .collect()
}
