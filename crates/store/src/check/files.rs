//! The photos' part of a check: every row's original is there and whole, and nothing else lies among them.

use std::collections::BTreeMap;

use rusqlite::Connection;

use super::{Depth, Trouble};
use crate::layer::What;
use crate::tables::photos as table;
use crate::{Store, StoreError};

pub(super) fn photos(
    store: &Store,
    db: &Connection,
    depth: Depth,
    found: &mut Vec<Trouble>,
) -> Result<(), StoreError> {
    let mut there = BTreeMap::new();
    for file in store.folder.list_photos()? {
        match file.what {
            What::Original(hash) => {
                there.insert(hash, file.length);
            }
            What::Arriving => {
                let says = format!(
                    "'{}' is a photo that did not arrive whole; it is cleared at the next opening",
                    file.name
                );
                found.push(Trouble::note("arriving", None, says));
            }
            What::Stranger => {
                let says = format!(
                    "'{}' lies among the photos and is none of theirs; it is left alone",
                    file.name
                );
                found.push(Trouble::note("stranger", None, says));
            }
        }
    }
    for row in table::all(db)? {
        let hash = &row.hash;
        let Some(length) = there.remove(hash) else {
            let says = format!(
                "the original of photo {hash} is gone from the disk. It comes back where it is kept elsewhere: put its file back, or meet a device that has it"
            );
            found.push(Trouble::broken("photo_gone", None, says));
            continue;
        };
        let whole = length == row.length
            && (depth == Depth::Quick || store.folder.hash_photo(hash)?.as_ref() == Some(hash));
        if !whole {
            let says = format!(
                "the original of photo {hash} is not what was kept. Keep its file all the same, for it may show almost all \
                 of the picture: moved out of the photos folder to another place, it comes back from a device that has it, where one has"
            );
            found.push(Trouble::broken("photo_damaged", None, says));
        }
    }
    parts(store, found)?;
    for hash in there.keys() {
        let says =
            format!("the original {hash} was kept and never entered; it takes up room and harms nothing");
        found.push(Trouble::note("orphan", None, says));
    }
    Ok(())
}

/// Parts of photos: those that are waited for, those that are not, and what is none.
fn parts(store: &Store, found: &mut Vec<Trouble>) -> Result<(), StoreError> {
    let (mut awaited, mut bytes) = (0_usize, 0_u64);
    for (name, hash, length) in store.folder.parts()? {
        let Some(hash) = hash else {
            let says =
                format!("'{name}' lies among the parts of photos and is none of theirs; it is left alone");
            found.push(Trouble::note("stranger", None, says));
            continue;
        };
        if store.is_awaited(&hash)? {
            awaited = awaited.saturating_add(1);
            bytes = bytes.saturating_add(length);
        } else {
            let says = format!(
                "a part of photo {name} is here that nobody waits for; it is cleared at the next opening"
            );
            found.push(Trouble::note("part_left", None, says));
        }
    }
    if awaited > 0 {
        let photos = if awaited == 1 { "photo is" } else { "photos are" };
        let says =
            format!("{awaited} {photos} here in part ({bytes} bytes); the rest comes with the next meeting");
        found.push(Trouble::note("parts", None, says));
    }
    Ok(())
}
