//! Which drops a record has: kept in one file beside the device's key, which only its owner may read, with the secrets by
//! which the places let this device in. What a page shows of them is made here, and holds no secret.

use link::drop::{Book, DropError};
use link::identity::Key;
use record::{Id, Moment};
use serde::{Deserialize, Serialize};
use zeroize::Zeroizing;

use crate::notebook::Notebook;
use crate::refusal::Refusal;
use crate::wire::{DropAheadPage, DropLine, DropPlace, DropTold, DropsPage, KnewDrop};

/// Most drops of all records of a device.
const MOST: usize = 100;

/// A drop as it is kept.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Kept {
    /// Its id on this device.
    pub id: String,
    /// Whose record meets there.
    pub record: Id,
    /// What its keeper calls it.
    pub name: String,
    /// Whether photos go through it.
    pub photos: bool,
    /// Where it lies, with what lets this device in.
    pub place: DropPlace,
}

impl Kept {
    /// Whether it is reached over a line, which may be paid by what it carries.
    #[must_use]
    pub fn by_line(&self) -> bool {
        !matches!(self.place, DropPlace::Folder { .. })
    }
}

/// The file, whole.
#[derive(Debug, Default, Serialize, Deserialize)]
struct File {
    version: u32,
    drops: Vec<Kept>,
}

const VERSION: u32 = 1;

impl Notebook {
    /// Every drop of every record, in the order in which they were added.
    ///
    /// # Errors
    /// Where the file cannot be read.
    pub fn kept_drops(&self) -> Result<Vec<Kept>, Refusal> {
        let Some(text) = self.store.places()?.map(Zeroizing::new) else {
            return Ok(Vec::new());
        };
        // Its own words would hold a secret.
        let damaged = |_| {
            Refusal::failed(
                "drops_key",
                "the file 'drops.key' in this folder cannot be read; without it, drops are added anew",
            )
        };
        let file: File = serde_json::from_str(&text).map_err(damaged)?;
        if file.version > VERSION {
            return Err(Refusal::failed(
                "drops_key",
                "the drops of this folder were written by a newer version of the program",
            ));
        }
        Ok(file.drops)
    }

    fn keep_drops(&self, drops: Vec<Kept>) -> Result<(), Refusal> {
        let file = File {
            version: VERSION,
            drops,
        };
        let text = serde_json::to_string_pretty(&file)
            .map_err(|error| Refusal::failed("json", error.to_string()))?;
        let text = Zeroizing::new(text);
        Ok(self.store.keep_places(&text)?)
    }

    /// The drop that an id or a name means.
    pub(super) fn drop_called(&self, record: &Id, called: &str) -> Result<Kept, Refusal> {
        let plain = called.to_lowercase();
        let all: Vec<Kept> = self
            .kept_drops()?
            .into_iter()
            .filter(|kept| kept.record == *record)
            .collect();
        let by_id = all.iter().find(|kept| kept.id == called);
        let found = by_id.or_else(|| all.iter().find(|kept| kept.name.to_lowercase() == plain));
        let known: Vec<&str> = all.iter().map(|kept| kept.name.as_str()).collect();
        let none = || {
            let called: String = called.chars().take(60).collect();
            Refusal::input(
                "no_drop",
                match known.as_slice() {
                    [] => format!("no drop is called '{called}': this record has none"),
                    _ => format!("no drop is called '{called}'; there is: {}", known.join(", ")),
                },
            )
        };
        found.cloned().ok_or_else(none)
    }

    pub(crate) fn drop_add(
        &mut self,
        record: &Id,
        place: DropPlace,
        name: Option<&str>,
        photos: bool,
        in_the_open: bool,
    ) -> Result<(), Refusal> {
        self.may_write()?;
        if place.is_in_the_open() && !in_the_open {
            return Err(Refusal::input(
                "in_the_open",
                "over http:// whoever is on the way can take what lets this device in, and use it: the address has to begin with https://, or you say once more that you want it so",
            ));
        }
        // Nothing is sent yet: only whether it is a place at all.
        self.places
            .can_be(&place)
            .map_err(|words| Refusal::input("drop_place", words))?;
        let mut drops = self.kept_drops()?;
        if drops.len() >= MOST {
            return Err(Refusal::input(
                "drop_place",
                format!("at most {MOST} drops are kept"),
            ));
        }
        let name = name.map(str::trim).filter(|name| !name.is_empty());
        let name = name.map_or_else(|| self.usual_name(&place), str::to_owned);
        if name.chars().count() > 100 {
            return Err(Refusal::input(
                "drop_name",
                "a drop's name has at most 100 characters",
            ));
        }
        let mut ours = drops.iter().filter(|kept| kept.record == *record);
        if ours.clone().any(|kept| kept.place == place) {
            return Err(Refusal::input(
                "drop_there",
                "this place is a drop of this record already",
            ));
        }
        if ours.any(|kept| kept.name.to_lowercase() == name.to_lowercase()) {
            let words = format!("another drop of this record is called '{name}': give it a name");
            return Err(Refusal::input("drop_name", words));
        }
        drops.push(Kept {
            id: self.fresh_id().to_string(),
            record: record.clone(),
            name,
            photos,
            place,
        });
        self.keep_drops(drops)?;
        self.drops_changed(record);
        Ok(())
    }

    /// What a drop is called where its keeper says nothing. No part of a server's address is in it.
    fn usual_name(&self, place: &DropPlace) -> String {
        match place {
            DropPlace::Folder { path } => self.places.folder_name(path),
            DropPlace::S3 { bucket, .. } => bucket.clone(),
            DropPlace::Webdav { .. } => "web folder".to_owned(),
        }
    }

    pub(crate) fn drop_remove(&mut self, record: &Id, called: &str) -> Result<(), Refusal> {
        self.may_write()?;
        let gone = self.drop_called(record, called)?;
        let mut drops = self.kept_drops()?;
        drops.retain(|kept| kept.id != gone.id);
        self.keep_drops(drops)?;
        self.store.note_drop(record, &gone.id, None)?;
        self.drops_changed(record);
        Ok(())
    }

    /// The drops of a record that a device which is met no more knew how to get into, added before that was said: by name,
    /// and whether it is sure, since it wrote there.
    pub(crate) fn drops_known(
        &mut self,
        record: &Id,
        key: Option<&Key>,
        revoked: Moment,
    ) -> Result<Vec<KnewDrop>, Refusal> {
        let mut known = Vec::new();
        for kept in self.kept_drops()? {
            let added = kept
                .id
                .parse::<Id>()
                .ok()
                .and_then(|id| id.uuid()?.get_timestamp());
            let after = added.is_some_and(|time| {
                i64::try_from(time.to_unix().0).is_ok_and(|added| added > revoked.seconds())
            });
            if kept.record != *record || after || !kept.place.has_secret() {
                continue;
            }
            let row = self.store.drop_row(record, &kept.id)?.unwrap_or_default();
            // By a book that cannot be read it only may have known, which is said too.
            let book = Book::from_bytes(&row.book).unwrap_or_else(|_| Book::new());
            known.push(KnewDrop {
                name: kept.name.clone(),
                sure: key.is_some_and(|key| book.has_written(key.as_bytes())),
            });
        }
        Ok(known)
    }

    /// Forgets what was noted of every drop: it is looked at anew.
    pub(crate) fn forget_drop_notes(&mut self) -> Result<(), Refusal> {
        for kept in self.kept_drops()? {
            self.store.note_drop(&kept.record, &kept.id, None)?;
        }
        Ok(())
    }

    fn drops_changed(&mut self, record: &Id) {
        if let Some(attended) = &self.drops {
            attended.places_changed();
        }
        self.show(record);
    }

    pub(crate) fn drop_look(&mut self, record: &Id, called: Option<&str>) -> Result<(), Refusal> {
        let meant = match called {
            Some(called) => vec![self.drop_called(record, called)?],
            None => {
                let all = self.kept_drops()?;
                all.into_iter().filter(|kept| kept.record == *record).collect()
            }
        };
        let attended = self.drops.as_ref().ok_or_else(|| self.nobody_looks())?;
        for kept in meant {
            attended.wish_look(&kept.id);
        }
        Ok(())
    }

    pub(crate) fn drop_ahead(&mut self, record: &Id, called: &str) -> Result<DropAheadPage, Refusal> {
        let kept = self.drop_called(record, called)?;
        let attended = self.drops.as_ref().ok_or_else(|| self.nobody_looks())?;
        Ok(attended.ahead(&kept.id))
    }

    pub(crate) fn drops_page(&mut self, record: &Id) -> Result<DropsPage, Refusal> {
        let mut drops = Vec::new();
        for kept in self.kept_drops()? {
            if kept.record != *record {
                continue;
            }
            let row = self.store.drop_row(record, &kept.id)?.unwrap_or_default();
            let attended = self.drops.as_ref();
            let busy = attended.is_some_and(|attended| attended.is_busy(&kept.id));
            let failed = attended.and_then(|attended| attended.failed(&kept.id));
            drops.push(DropLine {
                kind: kept.place.kind(),
                in_the_open: kept.place.is_in_the_open(),
                busy,
                failed,
                looked: row.looked,
                // What an older program noted otherwise is only not shown.
                told: serde_json::from_str::<DropTold>(&row.told).ok(),
                id: kept.id,
                name: kept.name,
                photos: kept.photos,
            });
        }
        Ok(DropsPage {
            drops,
            looking: self.drops.is_some(),
        })
    }
}

impl Notebook {
    fn nobody_looks(&self) -> Refusal {
        let nobody = Refusal::input(
            "nobody_looks",
            "this program does not look at drops: the window does, 'witnessmark serve' does, and 'witnessmark drop look'",
        );
        self.is_ready().err().unwrap_or(nobody)
    }
}

/// An error as a sentence that a page shows.
#[must_use]
pub fn plain(error: &DropError) -> String {
    error.to_string()
}
