//! A carry file on its way in: its words are one turn with the notebook, each of its photos another, and what is slow about
//! those is done between the turns, so that every page goes on answering. What is in the file is judged elsewhere
//! (`meeting`, `begin`); nothing is taken in here that was not found good there.

use std::collections::BTreeSet;
use std::io::{Read, Seek};

use link::carry::{self, Limits};
use record::{Id, PhotoHash};

use crate::notebook::Notebook;
use crate::parcel::PhotoSink;
use crate::refusal::Refusal;
use crate::sealing::CarryFile;
use crate::turns::Turns;
use crate::wire::Meeting;

/// A carry file whose words were taken in; its photos are still in it.
pub(crate) struct Carried {
    pub(crate) record: Id,
    /// Nothing where none of its photos are taken.
    pub(crate) file: Option<CarryFile>,
    /// The photos that were here before.
    pub(crate) before: BTreeSet<PhotoHash>,
    pub(crate) meeting: Meeting,
}

/// Keeps the photos of a carry file that are not here yet. What is no photo is left out and said.
pub(crate) fn take_photos(turns: impl Turns, file: &mut (impl Read + Seek)) -> Result<Vec<String>, Refusal> {
    let mut sink = PhotoSink::new(turns);
    carry::read(file, &Limits::default(), &mut sink).map_err(|stopped| {
        let refusal = Refusal::from(stopped);
        let words = format!(
            "the entries were taken in, but not all photos: {}; carry the file in again",
            refusal.words
        );
        Refusal { words, ..refusal }
    })?;
    Ok(sink.refused)
}

impl Notebook {
    /// What came of a carry file, once its photos are in their places.
    pub(crate) fn carried(&mut self, carried: Carried, left_out: Vec<String>) -> Result<Meeting, Refusal> {
        let Carried {
            record,
            before,
            mut meeting,
            ..
        } = carried;
        let after: BTreeSet<PhotoHash> = self.store.photos_here(&record)?.into_iter().collect();
        let came: Vec<PhotoHash> = after.difference(&before).copied().collect();
        self.photos_came(&record, &came);
        meeting.photos = u32::try_from(came.len()).unwrap_or(u32::MAX);
        meeting.news.extend(left_out);
        if let Some(coming) = meeting.coming {
            let told = self.told_of(&record, coming)?;
            meeting.news.extend(told);
        }
        Ok(meeting)
    }
}
