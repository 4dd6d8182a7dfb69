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
                "the original of photo {hash} is gone from the disk. It comes back with the next meeting"
            );
            found.push(Trouble::broken("photo_gone", None, says));
            continue;
        };
        let whole = length == row.length
            && (depth == Depth::Quick || store.folder.hash_photo(hash)?.as_ref() == Some(hash));
        if !whole {
            let says = format!(
                "the original of photo {hash} is not what was kept. Move its file out of the photos folder, and it \
                 comes back with the next meeting"
            );
            found.push(Trouble::broken("photo_damaged", None, says));
        }
    }
    for hash in there.keys() {
        let says =
            format!("the original {hash} was kept and never entered; it takes up room and harms nothing");
        found.push(Trouble::note("orphan", None, says));
    }
    Ok(())
}
