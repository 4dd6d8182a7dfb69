//! What goes into a carry file, worked out of one moment of a record: what a device is not known to have, or everything.

use std::collections::{BTreeMap, BTreeSet, HashSet};

use link::carry::Head;
use link::identity::Identity;
use link::vouch::Mark;
use record::document::SCHEMA;
use record::entities::{Keeper, Photo};
use record::{ChangeId, Id, Moment, PhotoHash};

use super::moment::RecordThen;
use crate::meeting::PHOTOS_MISSING;
use crate::vouching::worth_of;

/// Most letters of a name on a file's first page: another program may give the car one that fills it.
const MOST_OF_A_NAME: usize = 200;

fn first_of(name: &str) -> String {
    name.chars().take(MOST_OF_A_NAME).collect()
}

/// Most heads that a file's first page names of either kind, so that it stays within its bound: somebody may write thousands of
/// changes that stand on nothing. Naming fewer says of less that it is here, and more is sent next time.
const MOST_HEADS: usize = 400;

fn named(heads: &[ChangeId]) -> Vec<String> {
    heads.iter().take(MOST_HEADS).map(ToString::to_string).collect()
}

/// What goes into a carry file.
pub(super) struct Packed {
    pub(super) head: Head,
    pub(super) changes: Vec<(ChangeId, Vec<u8>)>,
    pub(super) marks: Vec<Mark>,
    pub(super) photos: Vec<PhotoHash>,
}

impl Packed {
    /// Of a moment, with its photos or without; the first page is signed where there is who signs.
    pub(super) fn of(moment: &RecordThen, with_photos: bool, signer: Option<&Identity>) -> Self {
        let document = &moment.document;
        let ledger = document.ledger();
        let mut base: Vec<ChangeId> = moment
            .peer
            .as_ref()
            .map(|peer| peer.heads.clone())
            .unwrap_or_default();
        base.retain(|head| ledger.has(head));
        let changes = document.changes_since(&base);
        let photos = if with_photos {
            photos_for(moment, &base)
        } else {
            Vec::new()
        };
        let signed: HashSet<ChangeId> = moment.signatures.iter().map(|one| one.change).collect();
        let sent: HashSet<ChangeId> = changes.iter().map(|(id, _)| *id).collect();
        let marks = worth_of(document, &moment.signatures, &sent, &signed);
        let mut head = head_of(moment, &base);
        head.changes = changes.len() as u64;
        head.photos = photos.len() as u64;
        if let Some(identity) = signer {
            link::vouch::sign_heads(identity, &mut head);
        }
        Self {
            head,
            changes,
            marks,
            photos,
        }
    }
}

/// The photos that are here and that the device is not known to have.
fn photos_for(moment: &RecordThen, base: &[ChangeId]) -> Vec<PhotoHash> {
    // Photos that a file before this one left out are lacking from there on.
    let photo_base = moment.left_out.as_deref().unwrap_or(base);
    let known = moment.document.ledger().under(photo_base);
    let there = moment.peer.as_ref().map(|peer| &peer.photos);
    let wanted: BTreeSet<PhotoHash> = moment
        .document
        .view()
        .each::<Photo>()
        .filter(|photo| !known.has(&photo.entry().made.change))
        .filter_map(|photo| photo.original())
        .filter(|hash| there.is_none_or(|there| !there.contains(hash)))
        .collect();
    let here = wanted.into_iter().filter(|hash| moment.here.contains(hash));
    here.collect()
}

/// A file's first page, with nothing promised yet.
fn head_of(moment: &RecordThen, base: &[ChangeId]) -> Head {
    let row = &moment.row;
    let keeper = row.keeper.clone().unwrap_or_else(Id::car);
    Head {
        record: row.id.to_string(),
        car: first_of(&row.car),
        device: moment.this.id.to_string(),
        keeper: row.keeper.as_ref().map(ToString::to_string).unwrap_or_default(),
        keeper_name: moment
            .document
            .view()
            .one::<Keeper>(&keeper)
            .and_then(|keeper| keeper.name())
            .map_or_else(String::new, first_of),
        sent: moment.now.to_string(),
        heads: named(&moment.document.heads()),
        whole: base.is_empty(),
        base: named(base),
        changes: 0,
        photos: 0,
        schema: SCHEMA,
        extra: BTreeMap::from([(PHOTOS_MISSING.to_owned(), moment.missing.into())]),
    }
}

/// Most bytes of the car's name in the name of a file.
const MOST_OF_A_FILE_NAME: usize = 160;

/// `Tern 2031-03-01 18.20.05.carry`: a name that every file system takes.
pub(super) fn carry_name(car: &str, now: Moment) -> String {
    let plain: String = car
        .chars()
        .map(|c| if c.is_alphanumeric() || c == '-' { c } else { ' ' })
        .collect();
    let stamp = now
        .to_string()
        .replace('T', " ")
        .replace(':', ".")
        .replace('Z', "");
    // 255 bytes is what most file systems take for a name, and Japanese letters have three each.
    let mut car = String::new();
    for letter in plain.trim().chars() {
        if car.len().saturating_add(letter.len_utf8()) > MOST_OF_A_FILE_NAME {
            break;
        }
        car.push(letter);
    }
    format!("{} {stamp}.{}", car.trim_end(), link::carry::EXTENSION)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_carry_files_name_is_one_that_every_file_system_takes() {
        let now = Moment::from_seconds(1_930_000_000);
        assert_eq!(carry_name("Tern", now), "Tern 2031-02-27 23.06.40.carry");
        let long = carry_name(&"\u{685c}".repeat(100), now);
        // 255 bytes, and room for what is put after it while it is written.
        assert!(long.len() <= 200, "{} bytes", long.len());
        assert!(long.ends_with(" 2031-02-27 23.06.40.carry"), "{long}");
        assert!(long.starts_with(&"\u{685c}".repeat(50)), "{long}");
    }
}
