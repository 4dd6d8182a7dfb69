//! Whose a device is, and that one which was revoked stays so: what no later word about a device may change. Everything
//! that a device wrote is its keeper's by the device's entry alone, so whoever puts another keeper there would move all of it.
//! Here the entry is read so that it says what it said when the device was entered; what anybody wrote over it stands beside
//! it, as a contradiction that is shown. So are its key and its seal, which are its own to say. It changes no document.

use automerge::{Automerge, ObjId, ROOT, ReadDoc};

use super::claims::{claims, stamp_of};
use super::ledger::Ledger;
use super::named::change_hash;
use crate::entities::Device;
use crate::entry::{Claim, Entry, Held, STRUCK, Scalar};
use crate::name::{Id, Kind};

/// The field that says whose a device is.
pub(crate) const KEEPER: &str = Device::keeper;
const REVOKED: &str = Device::revoked;

/// What a device is known by, and what goes to it is sealed with: its own word counts, and no other's over it.
pub(crate) const OWN: [&str; 2] = [Device::key, Device::seal];
/// As many words of others are looked behind for a device's own.
const FARTHEST: usize = 200;

/// Reads a device's entry as it was entered, where a later word would make another's of it, let it in again, give what is
/// sealed to it to somebody else, or take it out of the list: a device is revoked, never struck out.
pub(super) fn as_entered(doc: &Automerge, ledger: &Ledger, entry: &mut Entry) {
    let maps = maps(doc, &entry.id);
    still_revoked(doc, ledger, &maps, entry);
    never_struck(entry);
    for field in OWN {
        own_word(doc, ledger, &maps, entry, field);
    }
    let here = entry.fields.get(KEEPER).map_or(&[][..], Held::claims);
    let as_made = |claim: &Claim| claim.stamp.change == entry.made.change;
    if maps.len() <= 1 && !here.is_empty() && here.iter().all(as_made) {
        return;
    }
    if let Some(first) = entered(doc, ledger, &maps, &entry.id) {
        first_of_all(entry, KEEPER, first);
    }
}

/// What says that a device is struck out stands beside its standing, as a contradiction: it is neither believed nor passed over.
fn never_struck(entry: &mut Entry) {
    if entry.struck().is_some() {
        let stands = Claim {
            value: None,
            stamp: entry.made.clone(),
        };
        first_of_all(entry, STRUCK, stands);
    }
}

/// Puts a claim before all others of its field, unless what shows says the same.
fn first_of_all(entry: &mut Entry, field: &str, first: Claim) {
    let here = entry.fields.get(field).map_or(&[][..], Held::claims);
    if here.first().is_some_and(|shown| shown.value == first.value) {
        return;
    }
    let others = here.iter().filter(|claim| **claim != first).cloned();
    let all = std::iter::once(first.clone()).chain(others).collect();
    entry.fields.insert(field.to_owned(), Held::new(all));
}

/// The newest word of the device itself, else the one with which it was entered; where there is neither, whatever stands.
fn own_word(doc: &Automerge, ledger: &Ledger, maps: &[ObjId], entry: &mut Entry, field: &str) {
    let itself = |claim: &Claim| claim.stamp.device.as_ref() == Some(&entry.id);
    let here = entry.fields.get(field).map_or(&[][..], Held::claims);
    if maps.len() <= 1
        && here
            .iter()
            .all(|claim| itself(claim) || claim.stamp.change == entry.made.change)
    {
        return;
    }
    let found = maps.iter().filter_map(|map| {
        let made = stamp_of(doc, ledger, map).change;
        behind(doc, ledger, map, field, |claim| {
            itself(claim) || claim.stamp.change == made
        })
    });
    if let Some(said) = found.min_by_key(|claim| !itself(claim)) {
        first_of_all(entry, field, said);
    }
}

/// Looks behind what others wrote over a field for a word of the device's own.
fn behind(
    doc: &Automerge,
    ledger: &Ledger,
    map: &ObjId,
    field: &str,
    own: impl Fn(&Claim) -> bool,
) -> Option<Claim> {
    let mut found = claims(doc, ledger, map, field, None);
    for _ in 0..FARTHEST {
        if let Some(claim) = found.iter().find(|claim| own(claim)) {
            return Some(claim.clone());
        }
        let change = change_hash(&found.first()?.stamp.change);
        let before = doc.get_change_by_hash(&change)?.deps().to_vec();
        found = claims(doc, ledger, map, field, Some(&before));
    }
    None
}

/// Every map that a device was entered as, in the order of their making: two devices may each have entered it.
fn maps(doc: &Automerge, device: &Id) -> Vec<ObjId> {
    let Ok(Some((_, many))) = doc.get(ROOT, Kind::Device.root()) else {
        return Vec::new();
    };
    let found = doc.get_all(&many, device.as_str()).unwrap_or_default();
    let maps = found.into_iter().filter(|(value, _)| value.is_object());
    maps.map(|(_, map)| map).collect()
}

/// Whose the device was when it was entered. Of several maps the one that the device made itself counts, then one that it had
/// when it first wrote, then the first.
fn entered(doc: &Automerge, ledger: &Ledger, maps: &[ObjId], device: &Id) -> Option<Claim> {
    let began = ledger.first_of(device);
    let rank = |map: &&ObjId| {
        let made = stamp_of(doc, ledger, map);
        let knew = began.is_some_and(|began| ledger.knew(began, &made.change));
        (made.device.as_ref() != Some(device), !knew)
    };
    let map = maps.iter().min_by_key(rank)?;
    let made = stamp_of(doc, ledger, map).change;
    let claims = claims(doc, ledger, map, KEEPER, Some(&[change_hash(&made)]));
    claims
        .into_iter()
        .find(|claim| matches!(&claim.value, Some(Scalar::Line(keeper)) if !keeper.is_empty()))
}

/// Whoever was revoked in one of the maps is revoked, whichever map shows.
fn still_revoked(doc: &Automerge, ledger: &Ledger, maps: &[ObjId], entry: &mut Entry) {
    let said = |claim: &Claim| matches!(&claim.value, Some(Scalar::Line(why)) if !why.is_empty());
    let shown = entry.fields.get(REVOKED).map_or(&[][..], Held::claims);
    if maps.len() <= 1 || shown.iter().any(said) {
        return;
    }
    let all = maps
        .iter()
        .flat_map(|map| claims(doc, ledger, map, REVOKED, None));
    let found: Vec<Claim> = all.filter(said).collect();
    if !found.is_empty() {
        let all = found.into_iter().chain(shown.iter().cloned()).collect();
        entry.fields.insert(REVOKED.to_owned(), Held::new(all));
    }
}
