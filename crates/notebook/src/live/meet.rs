//! One meeting, in a thread of its own: it carries frames between the net and the conversation and does what the
//! conversation wants in short turns on the notebook. It decides nothing but which record the meeting is about.

use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Arc, Mutex, Weak};
use std::time::{Duration, Instant};

use link::net::{Got, Meeting};
use link::talk::{Effect, Event, Message, Mine, Phase, PhotoKey, Status, Talk, Why};
use record::{ChangeId, Moment};

use super::circle::Shared as Who;
use super::photos::{self, Piece};
use super::shared::{Row, Shared, locked, turn};
use super::turns::{hashes, tag};
use crate::{Notebook, Refusal};

/// How long a dialler may take to greet.
const GREETING: Duration = Duration::from_secs(10);
/// Between looks at the time while something goes on, and while nothing does.
const BUSY: Duration = Duration::from_millis(200);
const CALM: Duration = Duration::from_secs(1);

struct Session {
    shared: Arc<Shared>,
    notebook: Weak<Mutex<Notebook>>,
    meeting: Meeting,
    who: Who,
    talk: Talk,
    /// The newest changes that the other was told of.
    told: Vec<ChangeId>,
    status: Status,
    stale: Arc<AtomicBool>,
    /// Set where other photos are wanted than before.
    choice: Arc<AtomicBool>,
    here: Receiver<PhotoKey>,
    /// Small pictures that are on their way.
    smalls: photos::Smalls,
}

/// What follows from an effect.
enum After {
    Events(Vec<Event>),
    Over,
}

/// Meets until it is over.
pub(super) fn meet(shared: &Arc<Shared>, notebook: &Weak<Mutex<Notebook>>, meeting: Meeting) {
    let key = meeting.peer();
    let candidates = shared.circle().peers.remove(&key).unwrap_or_default();
    // Who dials says which record it is about; the other follows.
    let (who, first) = if meeting.dialled() {
        let current = turn(notebook, |notebook| notebook.which(None).ok().map(|row| row.id)).flatten();
        let chosen = candidates
            .iter()
            .find(|one| Some(&one.record) == current.as_ref());
        (chosen.or(candidates.first()).cloned(), None)
    } else {
        let Got::Frame(frame) = meeting.receive(GREETING) else {
            return;
        };
        let who = match Message::from_bytes(&frame) {
            Ok(Message::Hello(hello)) => {
                let same = candidates.iter().find(|one| tag(&one.record) == hello.record);
                same.or(candidates.first()).cloned()
            }
            // The conversation says what is wrong with it.
            _ => candidates.first().cloned(),
        };
        (who, Some(frame))
    };
    let Some(who) = who else { return };
    let began = turn(
        notebook,
        |notebook| -> Result<(Talk, Vec<ChangeId>, Moment), Refusal> {
            let told = notebook.heads_now(&who.record)?;
            let mine = Mine {
                record: tag(&who.record),
                device: notebook.device()?.id.to_string(),
                heads: hashes(&told)?,
            };
            Ok((Talk::new(mine), told, notebook.now()))
        },
    );
    let Some(Ok((talk, told, since))) = began else {
        return;
    };
    let (tell_here, here) = channel();
    let stale = Arc::new(AtomicBool::new(true));
    let choice = Arc::new(AtomicBool::new(false));
    let id = meeting.id();
    let row = Row {
        key,
        record: who.record.clone(),
        device: who.device.clone(),
        status: talk.status(),
        since,
        stale: Arc::clone(&stale),
        choice: Arc::clone(&choice),
        here: tell_here,
        hand: meeting.hand(),
    };
    locked(&shared.rows).insert(id, row);
    let mut session = Session {
        shared: Arc::clone(shared),
        notebook: Weak::clone(notebook),
        meeting,
        who,
        status: talk.status(),
        talk,
        told,
        stale,
        choice,
        here,
        smalls: photos::Smalls::default(),
    };
    let why = session.run(first);
    locked(&shared.rows).remove(&id);
    locked(&shared.ended).insert(key, why.to_string());
    // Where the notebook was let go, nobody looks.
    let _ = turn(notebook, |notebook| notebook.show(&session.who.record));
}

impl Session {
    fn run(&mut self, first: Option<Vec<u8>>) -> Why {
        let mut effects = VecDeque::from(self.on(Event::Opened));
        if let Some(frame) = first {
            effects.extend(self.on(Event::Got(frame)));
        }
        let mut ticked = Instant::now();
        loop {
            while let Some(effect) = effects.pop_front() {
                if let Effect::Close(why) = effect {
                    return why;
                }
                match self.act(effect) {
                    After::Events(events) => {
                        for event in events {
                            effects.extend(self.on(event));
                        }
                    }
                    After::Over => return Why::Leaving,
                }
            }
            let mut looks = Vec::new();
            if self.stale.swap(false, Ordering::SeqCst) {
                looks.push(self.look());
            }
            if self.choice.swap(false, Ordering::SeqCst) {
                looks.push(self.photos());
            }
            for after in looks {
                match after {
                    After::Events(events) => {
                        for event in events {
                            effects.extend(self.on(event));
                        }
                    }
                    After::Over => return Why::Leaving,
                }
            }
            while let Ok(photo) = self.here.try_recv() {
                effects.extend(self.on(Event::PhotoHere(photo)));
            }
            let pause = if self.status.phase == Phase::Live && self.status.alike {
                CALM
            } else {
                BUSY
            };
            if ticked.elapsed() >= pause {
                ticked = Instant::now();
                effects.extend(self.on(Event::Tick));
            }
            if !effects.is_empty() {
                continue;
            }
            match self.meeting.receive(pause) {
                Got::Frame(frame) => effects.extend(self.on(Event::Got(frame))),
                Got::Nothing => {}
                Got::Gone => effects.extend(self.on(Event::Broke)),
            }
        }
    }

    fn on(&mut self, event: Event) -> Vec<Effect> {
        self.talk.on(self.shared.now(), event)
    }

    /// A turn on the notebook that makes events. Where the notebook failed, the meeting ends.
    fn turn(
        &mut self,
        work: impl FnOnce(&mut Notebook, &Who, &mut Vec<ChangeId>) -> Result<Vec<Event>, Refusal>,
    ) -> After {
        let (who, told) = (&self.who, &mut self.told);
        match turn(&self.notebook, |notebook| work(notebook, who, told)) {
            Some(Ok(events)) => After::Events(events),
            Some(Err(refusal)) => After::Events(vec![Event::Leave(Why::Refused(refusal.words))]),
            None => After::Over,
        }
    }

    fn look(&mut self) -> After {
        // It may be met about another record still, so the connection alone would let it stay.
        if !self
            .shared
            .shares(&self.meeting.peer(), &self.who.record, &self.who.device)
        {
            return After::Over;
        }
        self.turn(|notebook, who, told| notebook.news(&who.record, told))
    }

    fn photos(&mut self) -> After {
        // Two meetings that bring the same photos begin at either end of the list, and so bring few of them twice.
        let backward = self.meeting.id() % 2 == 1;
        self.turn(|notebook, who, _| notebook.photos_of(&who.record, backward))
    }

    fn act(&mut self, effect: Effect) -> After {
        let none = After::Events(Vec::new());
        match effect {
            Effect::Send(frame) => match self.meeting.send(frame) {
                Ok(()) => none,
                Err(_) => After::Events(vec![Event::Broke]),
            },
            Effect::Met { device, heads } => {
                if device != self.who.device.as_str() {
                    let words = "it says that it is another device than its key says".to_owned();
                    return After::Events(vec![Event::Leave(Why::Refused(words))]);
                }
                locked(&self.shared.ended).remove(&self.meeting.peer());
                self.turn(|notebook, who, _| notebook.peer_has(who, &heads).map(|()| Vec::new()))
            }
            Effect::Has(heads) => {
                self.turn(|notebook, who, _| notebook.peer_has(who, &heads).map(|()| Vec::new()))
            }
            Effect::AskClock => self.turn(|notebook, who, told| notebook.clock_of(&who.record, told)),
            Effect::AskLacking(clock) => {
                self.turn(|notebook, who, told| notebook.lacking_of(&who.record, told, &clock))
            }
            Effect::Take(changes) => {
                self.turn(|notebook, who, told| notebook.take(&who.record, told, &changes))
            }
            Effect::AskPhotos => self.photos(),
            Effect::AskHeld(asked) => self.turn(|notebook, who, _| notebook.held_of(&who.record, &asked)),
            Effect::Holds { here, not } => self.turn(|notebook, who, _| {
                notebook.holds(who, &here, &not)?;
                Ok(Vec::new())
            }),
            Effect::Mend => self.turn(|notebook, who, _| {
                notebook.mend(&who.record)?;
                Ok(Vec::new())
            }),
            Effect::ReadPiece { key, offset, most } => {
                self.turn(|notebook, _, _| Ok(vec![notebook.piece_of(key, offset, most)]))
            }
            Effect::KeepPiece {
                key,
                offset,
                total,
                bytes,
            } => {
                let piece = Piece {
                    key,
                    offset,
                    total,
                    bytes,
                };
                let kept = photos::keep(&self.notebook, &self.who.record, &piece, &mut self.smalls);
                let Some(kept) = kept else {
                    return After::Over;
                };
                if kept == link::talk::Kept::Whole {
                    let (record, by) = (&self.who.record, Some(self.meeting.id()));
                    if key.small {
                        self.shared.tell_here(record, key, by);
                    } else {
                        self.shared.brought(record, key.hash, by);
                    }
                }
                After::Events(vec![Event::PieceKept { key, kept }])
            }
            Effect::AskDigest => self.turn(|notebook, who, told| notebook.digest_of(&who.record, told)),
            Effect::Status(status) => self.stands(status),
            Effect::Close(_) => After::Over,
        }
    }

    fn stands(&mut self, status: Status) -> After {
        let was = std::mem::replace(&mut self.status, status);
        if let Some(row) = locked(&self.shared.rows).get_mut(&self.meeting.id()) {
            row.status = status;
        }
        let shown = |status: &Status| (status.phase, status.alike, status.difference);
        if shown(&was) == shown(&status) {
            return After::Events(Vec::new());
        }
        if status.phase == Phase::Live && status.alike {
            self.compact();
        }
        self.turn(|notebook, who, _| {
            notebook.show(&who.record);
            Ok(Vec::new())
        })
    }

    /// A log that grew long by what came is seen to now that all of it is here; the slow part outside of any turn.
    fn compact(&self) {
        let record = &self.who.record;
        let due = turn(&self.notebook, |notebook| {
            notebook.snapshot_due(record).ok().flatten()
        })
        .flatten();
        if let Some(sound) = due.and_then(|due| due.read().ok()) {
            // What could not be made is made after the next change, and a check tells of whatever stands in its way.
            let _ = turn(&self.notebook, |notebook| notebook.stand_for(record, &sound));
        }
    }
}
