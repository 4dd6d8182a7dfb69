//! The handle that several faces share: calls come one after the other, and what is slow about a photo is done between them.

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, Weak};
use std::thread::JoinHandle;

use notebook::{Ahead, Decoded, Deriving, Notebook, Refusal, Source, TakenPhoto, Turns};
use parking_lot::MutexGuard;
use store::{Folder, Opener, Store};

use crate::darkroom::Darkroom;
use crate::drop::Machine;
use crate::trace::unless;
use crate::turns::{InTurns, locked, turn};

/// Opens a data folder on this machine, or makes one. `program` is what another process is told that finds the folder in use.
///
/// # Errors
/// When another process has it open, when it is not ours, or when it is damaged.
pub fn open(dir: &Path, program: &str, source: Box<dyn Source>) -> Result<Notebook, Refusal> {
    open_telling(dir, program, source, &mut |_| {})
}

/// As [`open`], and says how far it is where another version of the program made the read tables, and they are made anew.
///
/// # Errors
/// As [`open`].
pub fn open_telling(
    dir: &Path,
    program: &str,
    mut source: Box<dyn Source>,
    told: &mut dyn FnMut(Deriving<'_>),
) -> Result<Notebook, Refusal> {
    let now = source.now();
    let store = Store::open(dir, Opener { program, now })?;
    let mut notebook = Notebook::over(store, source, told)?;
    notebook.lend_places(Box::new(Machine));
    Ok(notebook)
}

/// Opens a data folder for a program that stays, at once. What another version left is made anew by [`Handle::caught_up_then`].
///
/// # Errors
/// As [`open`].
pub fn open_to_stay(dir: &Path, program: &str, mut source: Box<dyn Source>) -> Result<Notebook, Refusal> {
    let now = source.now();
    let store = Store::open(dir, Opener { program, now })?;
    let mut notebook = Notebook::over_as_it_is(store, source)?;
    notebook.lend_places(Box::new(Machine));
    Ok(notebook)
}

/// Whether a folder is there already, so that opening it makes nothing new.
#[must_use]
pub fn is_there(dir: &Path) -> bool {
    Folder::is_in(dir)
}

/// A notebook that several faces share: calls come one after the other.
#[derive(Clone, Debug)]
pub struct Handle {
    notebook: Arc<InTurns>,
    threads: Arc<Threads>,
    /// Whether the document is to be opened once a page was answered.
    ahead: Arc<AtomicBool>,
}

/// The threads that look after it, to be waited for at their end.
#[derive(Debug, Default)]
pub(crate) struct Threads {
    meetings: Mutex<Option<JoinHandle<()>>>,
    drops: Mutex<Option<JoinHandle<()>>>,
}

impl Threads {
    pub(crate) fn meetings_begun(&self, thread: JoinHandle<()>) {
        *locked(&self.meetings) = Some(thread);
    }

    pub(crate) fn drops_begun(&self, thread: JoinHandle<()>) {
        *locked(&self.drops) = Some(thread);
    }

    /// Waits until meetings have ended, which were told to.
    pub(crate) fn meetings_end(&self) {
        wait(&self.meetings);
    }

    /// Waits until looking at drops has ended.
    pub(crate) fn drops_end(&self) {
        wait(&self.drops);
    }
}

fn wait(thread: &Mutex<Option<JoinHandle<()>>>) {
    let thread = locked(thread).take();
    if let Some(thread) = thread {
        // It has nothing to say at its end.
        let _ = thread.join();
    }
}

impl Handle {
    /// A handle on a notebook.
    #[must_use]
    pub fn new(mut notebook: Notebook) -> Self {
        notebook.lend_places(Box::new(Machine));
        Self {
            notebook: Arc::new(InTurns::new(notebook)),
            threads: Arc::default(),
            ahead: Arc::default(),
        }
    }

    /// What a thread holds that must not keep the notebook open.
    pub(crate) fn weak(&self) -> Weak<InTurns> {
        Arc::downgrade(&self.notebook)
    }

    pub(crate) fn threads(&self) -> &Threads {
        &self.threads
    }

    /// Does something with the notebook. A call that panicked before leaves nothing half done on the disk, so the
    /// next one goes on.
    pub fn with<T>(&self, work: impl FnOnce(&mut Notebook) -> T) -> T {
        work(&mut self.notebook.lock())
    }

    /// As [`with`](Self::with), for a step of long work: whoever waits has the next turn.
    pub(crate) fn with_for_a_step<T>(&self, work: impl FnOnce(&mut Notebook) -> T) -> T {
        let mut notebook = self.notebook.lock();
        let done = work(&mut notebook);
        MutexGuard::unlock_fair(notebook);
        done
    }

    /// From the first answer on the document is opened beside the pages, so that the first thing that is written does not wait for it.
    /// For a program that stays: one that answers once has nothing of it.
    pub fn open_ahead(&self) {
        self.ahead.store(true, Ordering::Relaxed);
    }

    /// Something was answered: the document is opened beside the pages now, where that was asked for.
    pub(crate) fn answered(&self) {
        // What a folder was asked about may be behind since it was said which device it is.
        let _ = unless(
            "what is behind is not caught up with",
            self.caught_up_then(|_| Ok(())),
        );
        if self.ahead.swap(false, Ordering::Relaxed) {
            self.read_ahead();
        }
    }

    fn read_ahead(&self) {
        let notebook = self.weak();
        let begun = std::thread::Builder::new()
            .name("ahead".to_owned())
            .spawn(move || {
                // Written to meanwhile, it was opened for that.
                let from = turn(&notebook, Notebook::ahead).and_then(Result::ok).flatten();
                if let Some(read) = from.and_then(Ahead::read) {
                    let kept = turn(&notebook, |notebook| notebook.opened_ahead(read));
                    let _ = kept.map(|kept| unless("a document could not be kept open", kept));
                }
            });
        // Without a thread it is opened when it is wanted.
        drop(begun);
    }

    /// As [`Notebook::take_photo`]; the photo is looked at before the notebook is asked for, so that every page goes on
    /// answering meanwhile.
    ///
    /// # Errors
    /// When it is no photo, is too large, or the disk refuses: nothing is kept then.
    pub fn take_photo(&self, bytes: &[u8]) -> Result<TakenPhoto, Refusal> {
        let hash = notebook::photo_hash(bytes);
        let here = self.with(|notebook| {
            notebook.may_write()?;
            notebook.photo_here(bytes, &hash)
        })?;
        if let Some(here) = here {
            return Ok(here);
        }
        let seen = Darkroom::enter().decode(bytes)?;
        self.with(|notebook| notebook.keep_seen(bytes, seen))
    }
}

impl Turns for &Handle {
    fn turn<T>(&mut self, work: impl FnOnce(&mut Notebook) -> T) -> T {
        self.with(work)
    }

    fn look(&mut self, photo: &[u8]) -> Result<Decoded, Refusal> {
        Darkroom::enter().decode(photo)
    }
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

    use super::Handle;
    use crate::darkroom::Darkroom;
    use notebook::{Notebook, Source};

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
        super::open(dir, "a test", Box::new(Plain(seed << 32))).unwrap()
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
            let here = guest.with(|notebook| notebook.photo(&taken.hash, notebook::PhotoSize::Thumb));
            assert!(!here.unwrap().1.is_empty());
        }
    }
}
