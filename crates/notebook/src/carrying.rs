//! A carry file on its way in: its words are one turn with the notebook, each of its photos another, and what is slow about
//! those is done between the turns, so that every page goes on answering. What is in the file is judged elsewhere
//! (`meeting`, `begin`); nothing is taken in here that was not found good there.

use std::collections::BTreeSet;
use std::io::{Read, Seek};

use link::carry::{self, Limits};
use record::Id;
use serde::de::DeserializeOwned;
use serde_json::Value;

use crate::command::{CarryInFile, Command as _, JoinRecord, json};
use crate::parcel::PhotoSink;
use crate::sealing::CarryFile;
use crate::wire::Meeting;
use crate::{Handle, Notebook, Refusal};

/// A carry file whose words were taken in; its photos are still in it.
pub(crate) struct Carried {
    pub(crate) record: Id,
    /// Nothing where none of its photos are taken.
    pub(crate) file: Option<CarryFile>,
    /// The photos that were here before.
    pub(crate) before: BTreeSet<String>,
    pub(crate) meeting: Meeting,
}

/// Whoever lends the notebook for a turn.
pub(crate) trait Turns {
    fn turn<T>(&mut self, work: impl FnOnce(&mut Notebook) -> T) -> T;
}

impl Turns for &mut Notebook {
    fn turn<T>(&mut self, work: impl FnOnce(&mut Notebook) -> T) -> T {
        work(self)
    }
}

impl Turns for &Handle {
    fn turn<T>(&mut self, work: impl FnOnce(&mut Notebook) -> T) -> T {
        self.with(work)
    }
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
        let after: BTreeSet<String> = self.store.photos_here(&record)?.into_iter().collect();
        let came: Vec<String> = after.difference(&before).cloned().collect();
        self.photos_came(&record, &came);
        meeting.photos = u32::try_from(came.len()).unwrap_or(u32::MAX);
        meeting.news.extend(left_out);
        Ok(meeting)
    }
}

impl Handle {
    /// As [`Notebook::call`]; the photos of a carry file are looked at outside of it.
    ///
    /// # Errors
    /// A [`Refusal`] that says what was not done and why.
    pub fn call(&self, record: Option<&str>, name: &str, args: Value) -> Result<Value, Refusal> {
        // Arguments that do not fit are refused in the registry's words.
        if name == CarryInFile::NAME
            && let Some(asked) = read::<CarryInFile>(&args)
        {
            let mut carried = self.with(|notebook| asked.words(notebook, record))?;
            let left_out = match &mut carried.file {
                Some(file) => take_photos(self, file)?,
                None => Vec::new(),
            };
            return json(&self.with(|notebook| notebook.carried(carried, left_out))?);
        }
        if name == JoinRecord::NAME
            && let Some(asked) = read::<JoinRecord>(&args)
        {
            let (line, mut file) = self.with(|notebook| asked.words(notebook))?;
            take_photos(self, &mut file)?;
            return json(&line);
        }
        self.with(|notebook| notebook.call(record, name, args))
    }
}

/// The arguments, where they are those of a call that is done in turns. Others are refused, in words, by the registry.
fn read<T: DeserializeOwned>(args: &Value) -> Option<T> {
    serde_json::from_value(args.clone()).ok()
}

#[cfg(test)]
mod tests {
    #![allow(
        clippy::unwrap_used,
        clippy::indexing_slicing,
        reason = "a test fails by panicking"
    )]

    use std::io::Cursor;
    use std::path::Path;
    use std::sync::mpsc::channel;
    use std::time::Duration;

    use record::Moment;
    use serde_json::json;

    use crate::photo::Darkroom;
    use crate::{Handle, Notebook, Source};

    struct Plain(u64);

    impl Source for Plain {
        fn now(&mut self) -> Moment {
            self.0 += 1;
            Moment::from_seconds(1_900_000_000 + (self.0 & 0xffff) as i64)
        }

        fn random(&mut self) -> [u8; 16] {
            self.0 += 1;
            *blake3::hash(&self.0.to_le_bytes())
                .as_bytes()
                .first_chunk::<16>()
                .unwrap()
        }
    }

    fn open(dir: &Path, seed: u64) -> Notebook {
        Notebook::open(dir, "a test", Box::new(Plain(seed << 32))).unwrap()
    }

    #[test]
    fn a_page_answers_while_a_photo_of_a_carry_file_is_looked_at() {
        let dir = tempfile::tempdir().unwrap();
        let mut host = open(&dir.path().join("host"), 1);
        let start = json!({ "car": "Tern", "keeper": "Rosalind" });
        host.call(None, "start_record", start).unwrap();
        let mut picture = Cursor::new(Vec::new());
        image::RgbImage::new(40, 30)
            .write_to(&mut picture, image::ImageFormat::Png)
            .unwrap();
        let taken = host.take_photo(picture.get_ref()).unwrap();
        let photo = json!({ "hash": taken.hash, "on": "2031-03-01" });
        host.call(None, "add_photo", photo).unwrap();
        let out = host.call(None, "carry_out", json!({ "open": true })).unwrap();
        for (name, args) in [
            ("join_record", json!({ "file": out["file"], "keeper": "Wilf" })),
            ("carry_in", json!({ "file": out["file"], "welcome": true })),
        ] {
            let guest = Handle::new(open(&dir.path().join(name), 2));
            if name == "carry_in" {
                let words = json!({ "photos": false, "open": true });
                let bare = host.call(None, "carry_out", words).unwrap();
                let joined = json!({ "file": bare["file"], "keeper": "Wilf" });
                guest.call(None, "join_record", joined).unwrap();
            }
            // Nobody else's photo is looked at, so this one waits.
            let darkroom = Darkroom::enter();
            let at_work = {
                let guest = guest.clone();
                std::thread::spawn(move || guest.call(None, name, args))
            };
            // Its words come first; then every page answers.
            let asked = |what: &'static str| {
                let (told, answer) = channel();
                let guest = guest.clone();
                std::thread::spawn(move || told.send(guest.call(None, what, json!({}))));
                answer.recv_timeout(Duration::from_secs(20))
            };
            let mut waited = 0;
            while asked("car").unwrap().is_err() {
                waited += 1;
                assert!(waited < 1_000, "{name}: its words did not come");
                std::thread::sleep(Duration::from_millis(10));
            }
            std::thread::sleep(Duration::from_millis(300));
            assert!(asked("car").unwrap().is_ok());
            assert!(!at_work.is_finished(), "{name}: no photo was waited for");
            drop(darkroom);
            at_work.join().unwrap().unwrap();
            let here = guest.with(|notebook| notebook.photo(&taken.hash, crate::PhotoSize::Thumb));
            assert!(!here.unwrap().1.is_empty());
        }
    }
}
