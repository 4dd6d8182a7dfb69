//! Sees when each drop is looked at: as the program begins, a little after something was written here, every few
//! minutes, when the keeper asks, and rarely while a place cannot be reached. Each look has a thread of its own, so that a
//! slow server keeps nobody else waiting. It waits for words and does nothing in between.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex, Weak};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use record::Id;

use notebook::wire::{DropAheadPage, FailedLook};
use notebook::{LooksAtDrops, Notebook, Refusal};

use super::known::Known;
use super::look::{Ended, LookWhy, Looked, ahead_of, look_at};
use crate::handle::Handle;
use crate::trace::last;
use crate::turns::{InTurns, locked, turn};

/// After the last edit, how long until what was written is put into the drops.
const PAUSE: Duration = Duration::from_secs(5);
/// How long edits that follow one another may put that off.
const LONGEST_PAUSE: Duration = Duration::from_secs(60);
/// How often a drop is looked at where nothing happens here.
const EVERY: Duration = Duration::from_secs(5 * 60);
/// How long a place that could not be reached is left alone at first; twice as long after each further time.
const LEFT_ALONE: Duration = Duration::from_secs(60);
/// The longest that it is left alone.
const LONGEST_ALONE: Duration = Duration::from_secs(60 * 60);
/// How often it is seen whether a folder that was not there is there: the stick was put in.
const STICK: Duration = Duration::from_secs(15);
/// How long the end waits for looks that are under way.
const FAREWELL: Duration = Duration::from_secs(3);

enum Word {
    /// Something was written in a record, or came into it.
    Edited(Id),
    /// Other photos are to be fetched.
    Photos,
    /// The keeper asks for a look.
    Look(String),
    /// The keeper asks for the sizes of the next one.
    Ahead(String),
    /// There are other drops now.
    Places,
    /// A look has ended.
    Ended(String, Ended),
    Stop,
}

/// What is shown of a drop while the program runs.
#[derive(Default)]
struct MemberStanding {
    busy: bool,
    ahead: DropAheadPage,
    failed: Option<FailedLook>,
}

/// What the threads share.
struct Drops {
    tell: Mutex<Sender<Word>>,
    standing: Mutex<BTreeMap<String, MemberStanding>>,
    stopping: Arc<AtomicBool>,
    by_itself: bool,
}

/// HeldChange by the notebook: when it goes, looking ends.
struct Attended(Arc<Drops>);

impl Drop for Attended {
    fn drop(&mut self) {
        self.0.stopping.store(true, Ordering::SeqCst);
        self.0.say(Word::Stop);
    }
}

impl Drops {
    fn say(&self, word: Word) {
        // Nobody listens any more only while all of it is ending.
        let _ = locked(&self.tell).send(word);
    }

    fn set_busy(&self, drop: &str, busy: bool) {
        locked(&self.standing).entry(drop.to_owned()).or_default().busy = busy;
    }

    fn set_failed(&self, drop: &str, failed: Option<FailedLook>) {
        locked(&self.standing).entry(drop.to_owned()).or_default().failed = failed;
    }

    fn measured(&self, drop: &str, page: DropAheadPage) {
        locked(&self.standing).entry(drop.to_owned()).or_default().ahead = page;
    }
}

impl LooksAtDrops for Attended {
    fn places_changed(&self) {
        self.0.say(Word::Places);
    }

    fn photos_chosen(&self) {
        if self.0.by_itself {
            self.0.say(Word::Photos);
        }
    }

    fn wish_look(&self, drop: &str) {
        locked(&self.0.standing).entry(drop.to_owned()).or_default().busy = true;
        self.0.say(Word::Look(drop.to_owned()));
    }

    fn is_busy(&self, drop: &str) -> bool {
        locked(&self.0.standing).get(drop).is_some_and(|one| one.busy)
    }

    fn failed(&self, drop: &str) -> Option<FailedLook> {
        locked(&self.0.standing).get(drop)?.failed.clone()
    }

    fn ahead(&self, drop: &str) -> DropAheadPage {
        let mut standing = locked(&self.0.standing);
        let one = standing.entry(drop.to_owned()).or_default();
        if !one.ahead.busy {
            if one.ahead != DropAheadPage::default() {
                return std::mem::take(&mut one.ahead);
            }
            one.ahead.busy = true;
            self.0.say(Word::Ahead(drop.to_owned()));
        }
        one.ahead.clone()
    }
}

impl Handle {
    /// Looks at the records' drops in the background from now on, until [`Handle::leave_drops`], or until the notebook
    /// is let go. Doing it again changes nothing. [`Handle::attend`] does this too.
    ///
    /// # Errors
    /// When no thread can be had.
    pub fn attend_drops(&self) -> Result<(), Refusal> {
        self.look_after_drops(true)
    }

    /// As [`Handle::attend_drops`], but a drop is looked at only when `drop_look` asks for it.
    ///
    /// # Errors
    /// When no thread can be had.
    pub fn attend_drops_when_asked(&self) -> Result<(), Refusal> {
        self.look_after_drops(false)
    }

    fn look_after_drops(&self, by_itself: bool) -> Result<(), Refusal> {
        let weak = self.weak();
        self.with(|notebook| {
            if notebook.has_drops_attended() {
                return Ok(());
            }
            let (tell, words) = channel();
            let shared = Arc::new(Drops {
                tell: Mutex::new(tell),
                standing: Mutex::default(),
                stopping: Arc::default(),
                by_itself,
            });
            let listening = Arc::downgrade(&shared);
            notebook.watch(move |patch| {
                let Some(shared) = listening.upgrade() else {
                    return false;
                };
                // A patch about nothing is one of ours, or of a meeting.
                if by_itself && !patch.touched.is_empty() {
                    shared.say(Word::Edited(patch.record.clone()));
                }
                true
            });
            let host = Host {
                shared: Arc::clone(&shared),
                notebook: weak,
                drops: BTreeMap::new(),
                threads: Vec::new(),
            };
            let thread = thread::Builder::new()
                .name("drops host".to_owned())
                .spawn(move || host.attend(&words))
                .map_err(|error| Refusal::failed("thread", error.to_string()))?;
            self.threads().drops_begun(thread);
            notebook.attend_drops(Some(Arc::new(Attended(shared))));
            Ok(())
        })
    }

    /// Ends looking at drops and waits until it has ended: some seconds at most. What a look has begun is gone on with at
    /// the next.
    pub fn leave_drops(&self) {
        let Some(attended) = self.with(|notebook| notebook.attend_drops(None)) else {
            return;
        };
        drop(attended);
        self.threads().drops_end();
    }
}

/// A drop as the host has it.
struct Watched {
    record: Id,
    /// When it is looked at next.
    due: Option<Instant>,
    why: LookWhy,
    /// When the first edit came that it does not have.
    edited: Option<Instant>,
    running: bool,
    /// How often in a row it could not be reached.
    failed: u32,
    /// What is kept from look to look.
    known: Arc<Mutex<Known>>,
}

struct Host {
    shared: Arc<Drops>,
    notebook: Weak<InTurns>,
    drops: BTreeMap<String, Watched>,
    threads: Vec<JoinHandle<()>>,
}

impl Host {
    fn attend(mut self, words: &Receiver<Word>) {
        self.see_places();
        loop {
            let due = self
                .drops
                .values()
                .filter(|one| !one.running)
                .filter_map(|one| one.due)
                .min();
            let word = match due {
                None => words.recv().map_err(|_| RecvTimeoutError::Disconnected),
                Some(due) => words.recv_timeout(due.saturating_duration_since(Instant::now())),
            };
            match word {
                Ok(Word::Stop) | Err(RecvTimeoutError::Disconnected) => break,
                Ok(Word::Places) => self.see_places(),
                Ok(Word::Edited(record)) => self.edited(|one| one.record == record),
                Ok(Word::Photos) => self.edited(|_| true),
                Ok(Word::Look(drop)) => self.wished(&drop),
                Ok(Word::Ahead(drop)) => self.measure(drop),
                Ok(Word::Ended(drop, ended)) => self.ended(&drop, ended),
                Err(RecvTimeoutError::Timeout) => self.start_due(),
            }
        }
        let until = Instant::now() + FAREWELL;
        while self.threads.iter().any(|thread| !thread.is_finished()) && Instant::now() < until {
            // One that waits for a server ends when the server answers, and finds the notebook closed.
            thread::sleep(Duration::from_millis(5));
        }
    }

    /// Sees which drops there are.
    fn see_places(&mut self) {
        let found = turn(&self.notebook, |notebook| {
            if notebook.newer().is_some() {
                return Ok(Vec::new());
            }
            notebook.kept_drops()
        });
        // A file that cannot be read is told of by the page.
        let Some(Ok(found)) = found else { return };
        self.drops.retain(|id, _| found.iter().any(|kept| kept.id == *id));
        for kept in found {
            let by_itself = self.shared.by_itself;
            self.drops.entry(kept.id).or_insert_with(|| Watched {
                record: kept.record,
                due: by_itself.then(Instant::now),
                why: LookWhy::Time,
                edited: None,
                running: false,
                failed: 0,
                known: Arc::default(),
            });
        }
    }

    /// Something is new for some of the drops.
    fn edited(&mut self, which: impl Fn(&Watched) -> bool) {
        let now = Instant::now();
        for one in self.drops.values_mut().filter(|one| which(one)) {
            let first = *one.edited.get_or_insert(now);
            // A place that cannot be reached is not asked more often because much is written.
            if one.failed == 0 {
                let due = (now + PAUSE).min(first + LONGEST_PAUSE);
                if one.due.is_none_or(|was| due < was || one.why == LookWhy::Edited) {
                    (one.due, one.why) = (Some(due), LookWhy::Edited);
                }
            }
        }
    }

    fn wished(&mut self, drop: &str) {
        if !self.drops.contains_key(drop) {
            self.see_places();
        }
        match self.drops.get_mut(drop) {
            Some(one) => {
                (one.due, one.why) = (Some(Instant::now()), LookWhy::Wished);
                self.start_due();
            }
            None => self.shared.set_busy(drop, false),
        }
    }

    fn start_due(&mut self) {
        let now = Instant::now();
        let due: Vec<String> = self
            .drops
            .iter()
            .filter(|(_, one)| !one.running && one.due.is_some_and(|due| due <= now))
            .map(|(id, _)| id.clone())
            .collect();
        for id in due {
            let Some(one) = self.drops.get_mut(&id) else {
                continue;
            };
            one.due = None;
            one.edited = None;
            let (why, known) = (one.why, Arc::clone(&one.known));
            let (shared, notebook) = (Arc::clone(&self.shared), Weak::clone(&self.notebook));
            let drop = id.clone();
            let stopping = Arc::clone(&self.shared.stopping);
            // Shown as busy only when the place is really asked, so that a stick that is away makes no unrest.
            let begun = thread::Builder::new()
                .name("a look at a drop".to_owned())
                .spawn(move || {
                    let begin = |busy| shared.set_busy(&drop, busy);
                    // A look that stopped in a library of others is over, too: else it would be waited for until the program ends.
                    let look = AssertUnwindSafe(|| look_at(&notebook, &drop, why, &known, &stopping, &begin));
                    let looked = catch_unwind(look).unwrap_or_else(|_| {
                        tracing::error!(drop = last(&drop), "a look stopped in the middle");
                        Looked::unnoted("the program failed at this".to_owned())
                    });
                    let ended = looked.ended;
                    if looked.asked {
                        let at = turn(&notebook, Notebook::now);
                        let failed = looked.unnoted.zip(at).map(|(words, at)| FailedLook { words, at });
                        shared.set_failed(&drop, failed);
                    }
                    shared.say(Word::Ended(drop, ended));
                });
            match begun {
                Ok(thread) => {
                    one.running = true;
                    self.threads.push(thread);
                }
                Err(_) => {
                    one.due = Some(now + LEFT_ALONE);
                    self.shared.set_busy(&id, false);
                }
            }
        }
        self.threads.retain(|thread| !thread.is_finished());
    }

    fn ended(&mut self, drop: &str, ended: Ended) {
        let Some(one) = self.drops.get_mut(drop) else {
            self.shared.set_busy(drop, false);
            return;
        };
        one.running = false;
        let now = Instant::now();
        one.failed = match ended {
            Ended::Done => 0,
            Ended::NotThere | Ended::Failed => one.failed.saturating_add(1),
        };
        if one.due.is_some() && one.why == LookWhy::Wished {
            // Asked for again meanwhile.
            self.start_due();
            return;
        }
        if self.shared.by_itself {
            let alone = LEFT_ALONE
                .saturating_mul(1 << one.failed.saturating_sub(1).min(10))
                .min(LONGEST_ALONE);
            let next = match ended {
                Ended::Done if one.edited.is_some() => (PAUSE, LookWhy::Edited),
                Ended::Done => (EVERY, LookWhy::Time),
                Ended::NotThere => (STICK, LookWhy::Time),
                Ended::Failed => (alone, LookWhy::Time),
            };
            (one.due, one.why) = (Some(now + next.0), next.1);
        }
        self.shared.set_busy(drop, false);
        let record = one.record.clone();
        // Nobody to show it to is no harm.
        let _ = turn(&self.notebook, |notebook| notebook.show(&record));
    }

    fn measure(&mut self, drop: String) {
        if !self.drops.contains_key(&drop) {
            self.see_places();
        }
        let Some(one) = self.drops.get(&drop) else {
            self.shared.measured(&drop, DropAheadPage::default());
            return;
        };
        let (shared, notebook) = (Arc::clone(&self.shared), Weak::clone(&self.notebook));
        let (known, stopping) = (Arc::clone(&one.known), Arc::clone(&self.shared.stopping));
        let named = drop.clone();
        let begun = thread::Builder::new()
            .name("sizes of a drop".to_owned())
            .spawn(move || {
                let sizes = AssertUnwindSafe(|| ahead_of(&notebook, &named, &known, &stopping));
                let page = catch_unwind(sizes).unwrap_or_else(|_| DropAheadPage {
                    stopped: Some("the program failed at this".to_owned()),
                    ..DropAheadPage::default()
                });
                shared.measured(&named, page);
            });
        match begun {
            Ok(thread) => self.threads.push(thread),
            Err(error) => self.shared.measured(
                &drop,
                DropAheadPage {
                    stopped: Some(error.to_string()),
                    ..DropAheadPage::default()
                },
            ),
        }
    }
}
