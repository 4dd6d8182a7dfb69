//! Which photos this device fetches, and where those are that are not here: the keeper's choice, what was asked for by
//! hand, and what other devices said they have. It fetches nothing itself and opens no document.

use std::collections::BTreeSet;

use record::{Id, PhotoHash};

use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::stands::{Here, Missing, Photos, Stands};
use crate::wire::{PhotosBy, PhotosWanted};

/// Most originals that are remembered as asked for by hand.
const MOST_ASKED: usize = 10_000;

/// Whether originals take a road at all, and whether all of them are fetched by it: a meeting, or a drop.
fn through(photos: bool, paid: bool, by: PhotosBy, wanted: PhotosWanted) -> (bool, bool) {
    let goes = photos && (!paid || by == PhotosBy::Always);
    (goes, goes && wanted == PhotosWanted::All)
}

impl Notebook {
    /// The keeper's choice.
    pub(crate) fn photos_wanted(&self) -> Result<PhotosWanted, Refusal> {
        Ok(match self.store.choices()?.only_asked {
            true => PhotosWanted::Asked,
            false => PhotosWanted::All,
        })
    }

    /// The keeper's choice of connections.
    pub(crate) fn photos_by(&self) -> Result<PhotosBy, Refusal> {
        Ok(match self.store.choices()?.only_unmetered {
            true => PhotosBy::Unmetered,
            false => PhotosBy::Always,
        })
    }

    /// Whether originals wait until they are asked for: by choice, or because the connection is metered now.
    pub(crate) fn photos_wait(&self) -> Result<bool, Refusal> {
        let (_, all) = through(true, self.metered, self.photos_by()?, self.photos_wanted()?);
        Ok(!all)
    }

    /// Whether the originals here may be put into a drop, and which are fetched from it. `photos` is the keeper's choice for
    /// that drop, `line` says that it is reached over one. What was asked for by hand comes by any road.
    pub fn photos_through(
        &self,
        record: &Id,
        photos: bool,
        line: bool,
    ) -> Result<(bool, BTreeSet<PhotoHash>), Refusal> {
        let paid = line && self.metered;
        let (puts, all) = through(photos, paid, self.photos_by()?, self.photos_wanted()?);
        let mut missing: BTreeSet<PhotoHash> = self.store.photos_wanted(record)?.into_iter().collect();
        if !all {
            let asked = self.photos_asked(record)?;
            missing.retain(|hash| asked.contains(hash));
        }
        Ok((puts, missing))
    }

    /// The originals that were asked for by hand.
    pub(crate) fn photos_asked(&self, record: &Id) -> Result<BTreeSet<PhotoHash>, Refusal> {
        Ok(self.store.photos_asked(record)?)
    }

    /// Asks for one original by hand; it is fetched from whoever has it, as soon as they meet.
    pub(crate) fn ask_photo(&mut self, record: &Id, hash: &PhotoHash) -> Result<(), Refusal> {
        let missing: BTreeSet<PhotoHash> = self.store.photos_wanted(record)?.into_iter().collect();
        let asked = self.photos_asked(record)?;
        // What came meanwhile is asked for no more.
        let came: Vec<PhotoHash> = asked.difference(&missing).copied().collect();
        let hash = Some(hash).filter(|hash| missing.contains(hash));
        if hash.is_some() && asked.len().saturating_sub(came.len()) >= MOST_ASKED {
            return Err(Refusal::input(
                "too_many_asked",
                format!("{MOST_ASKED} photos are asked for already; fetch all of them instead"),
            ));
        }
        Ok(self.store.ask_photo(record, hash, &came)?)
    }

    /// Another choice holds from now on: meetings that stand go by it, and the next looks at drops.
    pub(crate) fn photos_chosen(&mut self) {
        if let Some(live) = &self.live {
            live.photos_chosen();
        }
        if let Some(drops) = &self.drops {
            drops.photos_chosen();
        }
    }

    /// Originals came other than by a meeting: those that are met now are told.
    pub fn photos_came(&mut self, record: &Id, hashes: &[PhotoHash]) {
        if let Some(live) = &self.live {
            for hash in hashes {
                live.photo_came(record, *hash.bytes());
            }
        }
    }

    /// How photos stand in general, with none known yet.
    pub(crate) fn photos_standing(&self) -> Result<Photos, Refusal> {
        let this = self.store.device()?.map(|this| this.id);
        Ok(Photos::of(self.photos_wait()?, this))
    }

    /// How one photo of a record stands here.
    pub(crate) fn photo_stands(&self, record: &Id, hash: &PhotoHash) -> Result<Stands, Refusal> {
        if let Some(row) = self.store.photo(hash)?.filter(|_| self.store.has_photo(hash)) {
            return Ok(Stands::Here(Here::of(&row)));
        }
        let said = self.store.holdings_of(record, hash)?.into_iter();
        Ok(Stands::Missing(Missing {
            asked: self.store.is_photo_asked(record, hash)?,
            small: self.store.has_small(hash)?,
            said: said
                .filter_map(|(device, held)| Some((device.parse().ok()?, held)))
                .collect(),
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::PhotosBy::{Always, Unmetered};
    use super::PhotosWanted::{All, Asked};
    use super::through;

    #[test]
    fn originals_go_through_a_drop_as_the_keeper_chose() {
        for (photos, paid, by, wanted, goes) in [
            (true, false, Unmetered, All, (true, true)),
            (true, true, Always, All, (true, true)),
            // A connection that is paid by what it carries.
            (true, true, Unmetered, All, (false, false)),
            // Those that were asked for alone; what is here is put for the others all the same.
            (true, false, Always, Asked, (true, false)),
            // They stay out of this drop.
            (false, false, Always, All, (false, false)),
        ] {
            assert_eq!(
                through(photos, paid, by, wanted),
                goes,
                "{photos} {paid} {by:?} {wanted:?}"
            );
        }
    }
}
