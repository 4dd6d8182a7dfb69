//! One meeting, in a thread of its own: it carries frames between the net and the conversations, one about each record
//! that both share, and lets each do what it wants in short turns on the notebook, the most urgent first. It decides
//! nothing of what is said; which records are talked about follows from who may come (`circle`) and the other's list.

mod post;
mod rests;

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::sync::atomic::Ordering;
use std::sync::{Arc, Mutex, Weak};
use std::time::{Duration, Instant};

use link::net::{Got, Meeting};
use link::talk::{Came, Event, Message, Several, Tag, Urgency, Why};
use notebook::Notebook;
use notebook::live::{Who, tag};

use rests::Rests;

use super::about::{Closed, Session};
use super::shared::{Line, Shared};
use crate::turns::{locked, turn};

/// How long a dialler may take to greet, and whoever was dialled, who may be busy with other things first.
const GREETING: Duration = Duration::from_secs(10);
const ANSWER: Duration = Duration::from_secs(60);
/// Between looks at the time while something goes on, and while nothing does.
const BUSY: Duration = Duration::from_millis(200);
const CALM: Duration = Duration::from_secs(1);
/// How long the net may take to refuse a device that was revoked in its own words.
const REFUSAL: Duration = Duration::from_secs(2);
/// What waits to be done while more is taken from the line, so that changes overtake the photos of another record.
const AHEAD: usize = 16;

/// Why the thread ends.
enum End {
    /// The notebook was let go, or nobody is to be talked with any more.
    Left,
    /// For this reason, which the other is told of.
    Why(Why),
    /// The connection is no more.
    Gone,
}

impl From<Closed> for End {
    fn from(_: Closed) -> Self {
        Self::Left
    }
}

struct Table {
    shared: Arc<Shared>,
    notebook: Weak<Mutex<Notebook>>,
    meeting: Meeting,
    line: Arc<Line>,
    several: Several,
    /// What is shared with the other, as far as is known here.
    whose: BTreeMap<Tag, Who>,
    talks: BTreeMap<Tag, Session>,
    rests: Rests,
    /// Lists, and what conversations that are over still had to say.
    words: VecDeque<Vec<u8>>,
    /// Whose turn it was to do something, and to say something.
    last: Tag,
    spoke: Tag,
    ticked: Instant,
}

/// What a record is called in a meeting about several.
fn short(who: &Who) -> Tag {
    tag(&who.record).first_chunk().copied().unwrap_or_default()
}

/// Meets until it is over.
pub(super) fn meet(shared: &Arc<Shared>, notebook: &Weak<Mutex<Notebook>>, meeting: Meeting) {
    let id = meeting.id();
    let line = Arc::new(Line::of(meeting.hand()));
    locked(&shared.lines).insert(id, Arc::clone(&line));
    let mut table = Table {
        shared: Arc::clone(shared),
        notebook: Weak::clone(notebook),
        meeting,
        line,
        several: Several::default(),
        whose: BTreeMap::new(),
        talks: BTreeMap::new(),
        rests: Rests::default(),
        words: VecDeque::new(),
        last: Tag::default(),
        spoke: Tag::default(),
        ticked: Instant::now(),
    };
    let end = table.run();
    table.end(end);
    locked(&shared.lines).remove(&id);
}

impl Table {
    fn run(&mut self) -> End {
        let patience = if self.meeting.dialled() { ANSWER } else { GREETING };
        let began = Instant::now();
        loop {
            if let Err(end) = self.go_on() {
                return end;
            }
            if !self.several.is_greeted() && began.elapsed() > patience {
                return End::Why(Why::Silent);
            }
            let to_do: usize = self
                .talks
                .values()
                .filter_map(Session::to_do)
                .map(|(_, many)| many)
                .sum();
            if to_do > AHEAD {
                continue;
            }
            let pause = if to_do > 0 { Duration::ZERO } else { self.pause() };
            match self.meeting.receive(pause) {
                Got::Frame(frame) => {
                    if let Err(end) = self.got(&frame) {
                        return end;
                    }
                }
                Got::Nothing => {}
                Got::Gone => return End::Gone,
            }
        }
    }

    fn pause(&self) -> Duration {
        if self.several.is_greeted() && self.talks.values().all(Session::is_calm) {
            CALM
        } else {
            BUSY
        }
    }

    /// Everything that is to be done between two frames.
    fn go_on(&mut self) -> Result<(), End> {
        if self.line.changed.swap(false, Ordering::SeqCst) {
            self.share()?;
        }
        self.begin_again()?;
        for talk in self.talks.values_mut() {
            if !talk.look()? {
                self.line.changed.store(true, Ordering::SeqCst);
            }
        }
        if self.line.changed.swap(false, Ordering::SeqCst) {
            self.share()?;
        }
        if self.ticked.elapsed() >= self.pause() {
            self.ticked = Instant::now();
            for talk in self.talks.values_mut() {
                talk.on(Event::Tick);
            }
        }
        let next = self.talks.iter().filter_map(|(tag, talk)| {
            let (urgency, _) = talk.to_do()?;
            Some((urgency, *tag <= self.last, *tag))
        });
        if let Some((_, _, tag)) = next.min() {
            self.last = tag;
            if let Some(talk) = self.talks.get_mut(&tag) {
                talk.work()?;
            }
            self.see_whether_over(&tag);
        }
        self.leave()?;
        if self.several.is_greeted() && self.talks.is_empty() {
            let never = self.rests.is_empty();
            return Err(if never {
                End::Why(Why::OtherRecord)
            } else {
                End::Left
            });
        }
        Ok(())
    }

    /// Says what is shared with the other now, where that is news, and talks about that alone.
    fn share(&mut self) -> Result<(), End> {
        let all = self.shared.circle().peers.remove(&self.meeting.peer());
        let all = all.unwrap_or_default();
        if all.is_empty() {
            // Of what it was refused not a byte leaves any more; the net says why, which it alone can.
            self.words.clear();
            self.part(|_| true, &Why::Leaving.to_string());
            let began = Instant::now();
            while began.elapsed() < REFUSAL && self.meeting.receive(REFUSAL) != Got::Gone {}
            return Err(End::Left);
        }
        self.whose = all.into_iter().map(|who| (short(&who), who)).collect();
        let tags: BTreeSet<Tag> = self.whose.keys().copied().collect();
        self.words.extend(self.several.share(&tags));
        for (tag, talk) in &self.talks {
            // It is known by another device's name now.
            if self.whose.get(tag).is_some_and(|who| *who != talk.who) {
                self.words.extend(self.several.anew(tag));
            }
        }
        self.join()
    }

    /// Lets conversations that failed begin anew when they have rested: whoever dialled sees to it.
    fn begin_again(&mut self) -> Result<(), End> {
        let hurry = self.line.hurry.swap(false, Ordering::SeqCst);
        if !self.meeting.dialled() && !hurry {
            return Ok(());
        }
        let due = self.rests.rested(hurry);
        for tag in &due {
            self.words.extend(self.several.anew(tag));
        }
        if due.is_empty() { Ok(()) } else { self.join() }
    }

    /// Begins what both share now, and ends what they do not.
    fn join(&mut self) -> Result<(), End> {
        let open = self.several.open();
        let stay = |tag: &Tag, number: u32| open.get(tag) == Some(&number);
        let unshared = Why::OtherRecord.to_string();
        let gone: BTreeSet<Tag> = self
            .talks
            .keys()
            .filter(|tag| !open.contains_key(*tag))
            .copied()
            .collect();
        self.part(|tag| gone.contains(tag), &unshared);
        let anew = self.talks.extract_if(.., |tag, talk| !stay(tag, talk.number));
        anew.for_each(|(_, talk)| talk.end(None));
        self.rests.keep(stay);
        for (tag, number) in open.iter().map(|(tag, number)| (*tag, *number)) {
            let Some(who) = self.whose.get(&tag) else { continue };
            if self.talks.contains_key(&tag) || self.rests.is_resting(&tag) {
                continue;
            }
            let began = Session::begin(&self.shared, &self.notebook, self.meeting.hand(), who, number);
            match began.ok_or(Closed)? {
                Ok(talk) => {
                    self.talks.insert(tag, talk);
                }
                Err(refusal) => {
                    self.shared
                        .about_ended(self.meeting.peer(), &who.record, refusal.words);
                    let bye = Message::Bye {
                        why: Why::Leaving.code(),
                    };
                    self.words.extend(self.several.about(&tag, &bye.to_bytes()));
                    self.rests.rest(tag, number);
                }
            }
        }
        let unsaid = self.whose.iter().filter(|(tag, _)| !open.contains_key(*tag));
        for (_, who) in unsaid.filter(|_| self.several.is_greeted()) {
            let peer = self.meeting.peer();
            if self.shared.about_ended(peer, &who.record, unshared.clone()) {
                // Where the notebook was let go, nobody looks.
                let _ = turn(&self.notebook, |notebook| notebook.show(&who.record));
            }
        }
        Ok(())
    }

    /// Ends conversations for a reason that their keepers read.
    fn part(&mut self, which: impl Fn(&Tag) -> bool, why: &str) {
        let parted = self.talks.extract_if(.., |tag, _| which(tag));
        parted.for_each(|(_, talk)| talk.end(Some(why.to_owned())));
    }

    /// One that is over says what it had to say, and leaves the others to go on.
    fn see_whether_over(&mut self, tag: &Tag) {
        let Some(why) = self.talks.get_mut(tag).and_then(|talk| talk.over.take()) else {
            return;
        };
        let Some(mut talk) = self.talks.remove(tag) else {
            return;
        };
        while let Some(message) = talk.next(Urgency::Changes) {
            self.words.extend(self.several.about(tag, &message));
        }
        self.rests.rest(*tag, talk.number);
        talk.end(Some(why.to_string()));
    }

    fn got(&mut self, frame: &[u8]) -> Result<(), End> {
        match self.several.got(frame).map_err(End::Why)? {
            Came::Listed => self.join()?,
            Came::About(tag, message) => {
                if let Some(talk) = self.talks.get_mut(&tag) {
                    talk.on(Event::Got(message));
                }
            }
            Came::Nothing => {}
        }
        Ok(())
    }

    /// The connection is no more, but what came before its end is here: it is done, and may say why.
    fn hear_out(&mut self) -> End {
        while let Got::Frame(frame) = self.meeting.receive(Duration::ZERO) {
            if let Err(end) = self.got(&frame) {
                return end;
            }
        }
        let tags: Vec<Tag> = self.talks.keys().copied().collect();
        for tag in tags {
            if let Some(talk) = self.talks.get_mut(&tag) {
                while talk.to_do().is_some() && talk.work().is_ok() {}
            }
            self.see_whether_over(&tag);
        }
        End::Gone
    }

    /// Every conversation is over with the meeting.
    fn end(&mut self, end: End) {
        let end = match end {
            End::Gone => self.hear_out(),
            end => end,
        };
        for frame in std::mem::take(&mut self.words) {
            // Nobody may hear it any more.
            let _ = self.meeting.send(frame);
        }
        let why = match end {
            End::Left => Why::Leaving,
            // Meetings were turned off here, or are to take other roads: no connection broke.
            End::Gone if self.shared.net().is_none() => Why::Leaving,
            End::Gone => Why::Broke,
            End::Why(why) => {
                let _ = self.meeting.send(Several::bye(&why));
                for who in self.whose.values() {
                    let words = why.to_string();
                    self.shared.about_ended(self.meeting.peer(), &who.record, words);
                }
                why
            }
        };
        self.part(|_| true, &why.to_string());
    }
}
