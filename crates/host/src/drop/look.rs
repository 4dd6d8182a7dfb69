//! One look at one drop: what is needed of the notebook is fetched in short turns, the place is asked without it, and what
//! came of it is noted. It decides nothing of what changes mean.

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, Weak};

use link::drop::{Book, DropError, DropLimits, Mine, Plan, Spools, Told, ahead, look};
use link::seal::{OpeningKey, SigningKey};
use notebook::Refusal;
use notebook::drop::{Kept, Not, Ready, plain, told_of};
use notebook::wire::{DropAheadPage, DropPlace, DropSizes, DropTold};
use store::DropRow;

use super::known::Known;
use super::places::opened;
use super::side::Joined;
use crate::trace::{last, unless};
use crate::turns::{InTurns, locked, turn};

/// LookWhy a drop is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum LookWhy {
    /// The keeper asked.
    Wished,
    /// Something may have been written here.
    Edited,
    /// It is time again.
    Time,
}

/// What came of a look, for the one that sees when the next one is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ended {
    Done,
    /// A folder that is not there.
    NotThere,
    Failed,
}

/// What became of a look.
pub(super) struct Looked {
    pub(super) ended: Ended,
    /// Whether there was one: a place where nothing is new is not asked, and a silent device asks none.
    pub(super) asked: bool,
    /// LookWhy it failed, where nothing of it could be kept: the page knows it from here alone.
    pub(super) unnoted: Option<String>,
}

impl Looked {
    const fn not_at_all(ended: Ended) -> Self {
        Self {
            ended,
            asked: false,
            unnoted: None,
        }
    }

    pub(super) const fn unnoted(words: String) -> Self {
        Self {
            ended: Ended::Failed,
            asked: true,
            unnoted: Some(words),
        }
    }

    /// As it ended, unless it could not be noted; `words` say why it failed, where that is known.
    fn noted(
        ended: Ended,
        what: &'static str,
        words: Option<String>,
        noted: Option<Result<(), Refusal>>,
    ) -> Self {
        let kept = match noted {
            // The notebook is closed: nobody is left to be told.
            None => return Self::not_at_all(Ended::Failed),
            Some(kept) => kept,
        };
        let not_kept = kept.as_ref().err().map(|refusal| refusal.words.clone());
        match unless(what, kept) {
            Some(()) => Self {
                ended,
                asked: true,
                unnoted: None,
            },
            None => Self::unnoted(words.or(not_kept).unwrap_or_default()),
        }
    }
}

/// A folder that is not there, or not the one it was. The keeper's own wish goes on where only its contents are gone.
fn away(ready: &Ready, why: LookWhy) -> Option<String> {
    let DropPlace::Folder { path } = &ready.kept.place else {
        return None;
    };
    let path = Path::new(path);
    if !path.is_dir() {
        return Some(
            "The folder is not there. If it is on a stick, put the stick in; if it is on another machine, see that it can be reached."
                .to_owned(),
        );
    }
    // Of a drop that was not looked at yet nothing is told.
    let told: Option<DropTold> = serde_json::from_str(&ready.row.told).ok();
    let was_there = told.is_some_and(|told| told.bytes_there > 0 || told.bytes_written > 0);
    // An empty place to hang a stick on must not be taken for the stick.
    if why != LookWhy::Wished && was_there && !path.join(ready.names.record()).is_dir() {
        return Some(
            "The folder is there, but nothing of this record lies in it any more: is it the right stick? Look at this drop by hand to begin there anew."
                .to_owned(),
        );
    }
    None
}

/// Everything that both a look and its sizes need; nothing where the drop or the notebook is gone.
fn ready(notebook: &Weak<InTurns>, drop: &str) -> Option<Result<Ready, (Kept, Not)>> {
    let found = turn(notebook, |notebook| {
        let kept = notebook.drop_of(drop).ok().flatten()?;
        Some(notebook.ready_to_look(kept.clone()).map_err(|not| (kept, not)))
    });
    found.flatten()
}

/// Notes that there was no look.
fn stopped(
    notebook: &Weak<InTurns>,
    kept: &Kept,
    row: Option<&DropRow>,
    words: String,
    ended: Ended,
) -> Looked {
    tracing::info!(drop = last(&kept.id), ?ended, "there was no look");
    let said = words.clone();
    let noted = turn(notebook, |notebook| notebook.note_stopped(kept, row, words));
    Looked::noted(
        ended,
        "that there was no look could not be noted",
        Some(said),
        noted,
    )
}

/// Looks, and notes what came of it. `begin` is told when the place is really asked.
pub(super) fn look_at(
    notebook: &Weak<InTurns>,
    drop: &str,
    why: LookWhy,
    known: &Mutex<Known>,
    stopping: &AtomicBool,
    begin: &dyn Fn(bool),
) -> Looked {
    let ready = match ready(notebook, drop) {
        None => return Looked::not_at_all(Ended::Failed),
        Some(Err((kept, not))) => return stopped(notebook, &kept, None, not.words(), Ended::Failed),
        Some(Ok(ready)) => ready,
    };
    // Where its keeper turned meetings off, this device is silent on the network but for what is asked by hand.
    if why != LookWhy::Wished && ready.kept.by_line() {
        match turn(notebook, |notebook| notebook.meetings_are_on()) {
            None => return Looked::not_at_all(Ended::Failed),
            Some(Ok(false)) => return Looked::not_at_all(Ended::Done),
            Some(Ok(true)) => {}
            // Whether they are off cannot be told: then it is silent too.
            Some(Err(refusal)) => {
                return stopped(
                    notebook,
                    &ready.kept,
                    Some(&ready.row),
                    refusal.words,
                    Ended::Failed,
                );
            }
        }
    }
    if let Some(words) = away(&ready, why) {
        return stopped(notebook, &ready.kept, Some(&ready.row), words, Ended::NotThere);
    }
    // A look under way and the sizes of one never share what they know.
    let mut known = locked(known);
    let here = || turn(notebook, |notebook| notebook.resting(&ready.kept)).and_then(Result::ok);
    if why == LookWhy::Edited && known.rested.is_some() && known.rested == here() {
        return Looked::not_at_all(Ended::Done);
    }
    begin(true);
    // A book that cannot be read, or that is not there yet, is written anew out of what lies there.
    let mut book = Book::from_bytes(&ready.row.book).unwrap_or_else(|_| Book::new());
    let mut side = Joined::new(notebook, &ready.kept, &mut known, stopping);
    let done = asked(notebook, &ready, &mut book, &mut side);
    let mut faults = side.finish(done.as_ref().map_or(0, |told| told.waiting));
    if done.as_ref().is_ok_and(|told| told.too_long) {
        let words = "more files lie there than are ever listed: only those of this car's own devices were looked at. Something else fills the folder";
        faults.push(words.to_owned());
    }
    let told = match done {
        Ok(told) => told_of(told, faults),
        Err(error) => DropTold {
            faults,
            stopped: Some(plain(&error)),
            ..DropTold::default()
        },
    };
    if stopping.load(Ordering::SeqCst) {
        // Whatever was written or taken is noted all the same; what broke off here is nobody's fault.
        let noted = turn(notebook, |notebook| notebook.note_look(&ready, &book, None));
        let _ = noted.map(|noted| unless("what a look found could not be noted", noted));
        return Looked::not_at_all(Ended::Done);
    }
    let failed = told.stopped.is_some();
    let noted = turn(notebook, |notebook| {
        notebook.note_look(&ready, &book, Some(&told))
    });
    let ended = if failed { Ended::Failed } else { Ended::Done };
    let looked = Looked::noted(
        ended,
        "what a look found could not be noted",
        told.stopped.clone(),
        noted,
    );
    tracing::info!(
        drop = last(drop),
        failed = looked.ended == Ended::Failed,
        changes = told.changes,
        written = told.written,
        "a look is over"
    );
    known.rested = if failed { None } else { here() };
    looked
}

fn asked(
    notebook: &Weak<InTurns>,
    ready: &Ready,
    book: &mut Book,
    side: &mut Joined<'_>,
) -> Result<Told, DropError> {
    let gone = || DropError::Place("the notebook was closed".to_owned());
    let mut place = opened(&ready.kept.place)?;
    let room = || -> Result<_, DropError> {
        let made = turn(notebook, |notebook| notebook.room()).ok_or_else(gone)?;
        made.map_err(|refusal| DropError::Room(std::io::Error::other(refusal.words)))
    };
    let mut spools = Spools {
        sealed: room()?,
        open: room()?,
    };
    with_mine(ready, |mine| {
        look(&mut place, book, side, mine, &mut spools, ready.now)
    })?
}

fn with_mine<T>(ready: &Ready, act: impl FnOnce(&Mine<'_>) -> T) -> Result<T, DropError> {
    let sign = SigningKey::of(&ready.identity);
    let open = OpeningKey::of(&ready.identity)?;
    Ok(act(&Mine {
        record: ready.kept.record.as_str(),
        names: &ready.names,
        sign: &sign,
        open: &open,
        readers: &ready.readers,
        head: &ready.head,
        limits: &DropLimits::default(),
    }))
}

/// The sizes of the next look.
pub(super) fn ahead_of(
    notebook: &Weak<InTurns>,
    drop: &str,
    known: &Mutex<Known>,
    stopping: &AtomicBool,
) -> DropAheadPage {
    let cannot = |words: String| DropAheadPage {
        stopped: Some(words),
        ..DropAheadPage::default()
    };
    let ready = match ready(notebook, drop) {
        None => return cannot("this drop is gone".to_owned()),
        Some(Err((_, not))) => return cannot(not.words()),
        Some(Ok(ready)) => ready,
    };
    if let Some(words) = away(&ready, LookWhy::Wished) {
        return cannot(words);
    }
    let mut known = locked(known);
    let book = Book::from_bytes(&ready.row.book).unwrap_or_else(|_| Book::new());
    let mut side = Joined::new(notebook, &ready.kept, &mut known, stopping);
    let planned = opened(&ready.kept.place).and_then(|mut place| {
        with_mine(&ready, |mine| {
            ahead(&mut place, &book, &mut side, mine, ready.now)
        })?
    });
    let names = planned
        .as_ref()
        .map(|plan| side.names_of(&plan.news_from()))
        .unwrap_or_default();
    let _ = side.finish(0);
    match planned {
        Err(error) => cannot(plain(&error)),
        Ok(plan) => DropAheadPage {
            sizes: Some(sizes(&plan, names)),
            ..DropAheadPage::default()
        },
    }
}

fn sizes(plan: &Plan, news_from: Vec<String>) -> DropSizes {
    let ((read, bytes_read), (fetch, bytes_fetch)) = (plan.to_read(), plan.to_fetch());
    let ((write, bytes_write), (put, bytes_put)) = (plan.to_write(), plan.to_put());
    DropSizes {
        read: small(read),
        bytes_read,
        photos_fetch: small(fetch),
        bytes_fetch,
        write: small(write),
        bytes_write,
        photos_put: small(put),
        bytes_put,
        bytes_there: plan.bytes_there(),
        news_from,
    }
}

fn small(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}
