//! One record of a meeting: its conversation with the other, what that wants of the notebook in short turns, and what it
//! has to say. It sends nothing by itself and decides nothing of when it is its turn.

use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Arc, Mutex, Weak};

use link::net::Hand;
use link::talk::{Effect, Event, Message, Mine, Phase, PhotoKey, Status, Talk, Urgency, Why};
use record::{ChangeId, Moment};

use notebook::live::{Piece, Smalls, Waiting, Who, hashes, tag};
use notebook::{Notebook, Refusal};

use super::photos;
use super::shared::{Row, Shared};
use crate::trace::unless;
use crate::turns::{locked, turn};

/// The notebook was let go: nothing of the meeting goes on.
pub(super) struct Closed;

/// The conversation about one record.
pub(super) struct Session {
    shared: Arc<Shared>,
    notebook: Weak<Mutex<Notebook>>,
    hand: Hand,
    pub(super) who: Who,
    /// Which of the conversations about it this is.
    pub(super) number: u32,
    talk: Talk,
    /// The newest changes that the other was told of.
    told: Vec<ChangeId>,
    /// What came before the signature that vouches for it.
    unvouched: Waiting,
    status: Status,
    stale: Arc<AtomicBool>,
    /// Set where other photos are wanted than before.
    choice: Arc<AtomicBool>,
    here: Receiver<PhotoKey>,
    /// Small pictures that are on their way.
    smalls: Smalls,
    /// What is to be done, in order.
    todo: VecDeque<Effect>,
    /// What is to be said, by how urgent it is.
    out: [VecDeque<Vec<u8>>; 3],
    /// Bytes of it.
    waiting: usize,
    pub(super) over: Option<Why>,
}

impl Session {
    /// Begins to talk about a record. Nothing where the notebook was let go.
    pub(super) fn begin(
        shared: &Arc<Shared>,
        notebook: &Weak<Mutex<Notebook>>,
        hand: Hand,
        who: &Who,
        number: u32,
    ) -> Option<Result<Self, Refusal>> {
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
        )?;
        let (talk, told, since) = match began {
            Ok(began) => began,
            Err(refusal) => return Some(Err(refusal)),
        };
        let (tell_here, here) = channel();
        let stale = Arc::new(AtomicBool::new(true));
        let choice = Arc::new(AtomicBool::new(false));
        let row = Row {
            key: hand.peer(),
            record: who.record.clone(),
            device: who.device.clone(),
            status: talk.status(),
            since,
            stale: Arc::clone(&stale),
            choice: Arc::clone(&choice),
            here: tell_here,
            hand: hand.clone(),
        };
        locked(&shared.rows).insert((hand.id(), who.record.clone()), row);
        let mut session = Self {
            shared: Arc::clone(shared),
            notebook: Weak::clone(notebook),
            hand,
            who: who.clone(),
            number,
            status: talk.status(),
            talk,
            told,
            unvouched: Waiting::default(),
            stale,
            choice,
            here,
            smalls: Smalls::default(),
            todo: VecDeque::new(),
            out: Default::default(),
            waiting: 0,
            over: None,
        };
        session.on(Event::Opened);
        Some(Ok(session))
    }

    /// Nobody talks about it any more here: why, where that is to be known.
    pub(super) fn end(self, why: Option<String>) {
        let record = self.who.record;
        locked(&self.shared.rows).remove(&(self.hand.id(), record.clone()));
        if let Some(why) = why {
            locked(&self.shared.ended_about).insert((self.hand.peer(), record.clone()), why);
        }
        // Where the notebook was let go, nobody looks.
        let _ = turn(&self.notebook, |notebook| notebook.show(&record));
    }

    /// Something happened.
    pub(super) fn on(&mut self, event: Event) {
        for effect in self.talk.on(self.shared.ticks(), event) {
            let Effect::Send(message) = effect else {
                self.todo.push_back(effect);
                continue;
            };
            self.waiting = self.waiting.saturating_add(message.len());
            if let Some(lane) = self.out.get_mut(Message::urgency_of(&message) as usize) {
                lane.push_back(message);
            }
        }
    }

    /// The next message that is so urgent.
    pub(super) fn next(&mut self, urgency: Urgency) -> Option<Vec<u8>> {
        let message = self.out.get_mut(urgency as usize)?.pop_front()?;
        self.waiting = self.waiting.saturating_sub(message.len());
        Some(message)
    }

    /// There was no room for it yet.
    pub(super) fn wait(&mut self, urgency: Urgency, message: Vec<u8>) {
        self.waiting = self.waiting.saturating_add(message.len());
        if let Some(lane) = self.out.get_mut(urgency as usize) {
            lane.push_front(message);
        }
    }

    /// Bytes that wait to be said.
    pub(super) fn waiting(&self) -> usize {
        self.waiting
    }

    /// How much is to be done, and how urgent the next of it is.
    pub(super) fn to_do(&self) -> Option<(Urgency, usize)> {
        let urgency = match self.todo.front()? {
            Effect::ReadPiece { key, .. } | Effect::KeepPiece { key, .. } => Urgency::of(key.small),
            _ => Urgency::Changes,
        };
        Some((urgency, self.todo.len()))
    }

    /// Whether nothing is left between the two but what is new later.
    pub(super) fn is_calm(&self) -> bool {
        self.status.phase == Phase::Live && self.status.alike
    }

    /// Looks after what others have told of the record. Whether it is still shared with the other.
    pub(super) fn look(&mut self) -> Result<bool, Closed> {
        if self.stale.swap(false, Ordering::SeqCst) {
            let Who { record, device } = &self.who;
            if !self.shared.shares(&self.hand.peer(), record, device) {
                return Ok(false);
            }
            self.turn(|notebook, who, told| notebook.news(&who.record, told))?;
        }
        if self.choice.swap(false, Ordering::SeqCst) {
            self.photos()?;
        }
        while let Ok(photo) = self.here.try_recv() {
            self.on(Event::PhotoHere(photo));
        }
        Ok(true)
    }

    /// Does the next thing that is to be done.
    pub(super) fn work(&mut self) -> Result<(), Closed> {
        match self.todo.pop_front() {
            Some(effect) => self.act(effect),
            None => Ok(()),
        }
    }

    /// A turn on the notebook that makes events. Where the notebook failed, the conversation ends.
    fn turn(
        &mut self,
        work: impl FnOnce(&mut Notebook, &Who, &mut Vec<ChangeId>) -> Result<Vec<Event>, Refusal>,
    ) -> Result<(), Closed> {
        let (who, told) = (&self.who, &mut self.told);
        match turn(&self.notebook, |notebook| work(notebook, who, told)) {
            Some(Ok(events)) => {
                for event in events {
                    self.on(event);
                }
            }
            Some(Err(refusal)) => {
                tracing::warn!(code = refusal.code, "a turn of a meeting was refused");
                self.on(Event::Leave(Why::Refused(refusal.words)));
            }
            None => return Err(Closed),
        }
        Ok(())
    }

    fn photos(&mut self) -> Result<(), Closed> {
        // Two meetings that bring the same photos begin at either end of the list, and so bring few of them twice.
        let backward = self.hand.id() % 2 == 1;
        self.turn(|notebook, who, _| notebook.photos_of(&who.record, backward))
    }

    fn act(&mut self, effect: Effect) -> Result<(), Closed> {
        match effect {
            // It is taken down as soon as it is wanted.
            Effect::Send(_) => Ok(()),
            Effect::Met { device, heads } => {
                if device != self.who.device.as_str() {
                    let words = "it says that it is another device than its key says".to_owned();
                    self.on(Event::Leave(Why::Refused(words)));
                    return Ok(());
                }
                self.shared.met(self.hand.peer(), &self.who.record);
                self.turn(|notebook, who, _| notebook.peer_has(who, &heads).map(|()| Vec::new()))
            }
            Effect::Has(heads) => {
                self.turn(|notebook, who, _| notebook.peer_has(who, &heads).map(|()| Vec::new()))
            }
            Effect::AskClock => self.turn(|notebook, who, told| notebook.clock_of(&who.record, told)),
            Effect::AskLacking(clock) => {
                self.turn(|notebook, who, told| notebook.lacking_of(&who.record, told, &clock))
            }
            Effect::Take(stream) => {
                let mut waiting = std::mem::take(&mut self.unvouched);
                self.turn(|notebook, who, told| {
                    notebook.take(&who.record, told, &mut waiting, stream, &who.device)
                })?;
                self.unvouched = waiting;
                Ok(())
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
                self.turn(|notebook, who, _| Ok(vec![notebook.piece_of(&who.record, key, offset, most)]))
            }
            Effect::KeepPiece {
                key,
                offset,
                total,
                bytes,
            } => self.keep(&Piece {
                key,
                offset,
                total,
                bytes,
            }),
            // All of the other's changes are across: what no signature vouches for now never was vouched for.
            Effect::AskDigest if self.unvouched.left().is_some() => {
                let words = self.unvouched.left().unwrap_or_default();
                let words = format!("{words}; carry a file");
                self.on(Event::Leave(Why::Refused(words)));
                Ok(())
            }
            Effect::AskDigest => self.turn(|notebook, who, told| notebook.digest_of(&who.record, told)),
            Effect::Status(status) => self.stands(status),
            Effect::Close(why) => {
                self.over = Some(why);
                Ok(())
            }
        }
    }

    fn keep(&mut self, piece: &Piece) -> Result<(), Closed> {
        let key = piece.key;
        let record = &self.who.record;
        let kept = photos::keep(&self.notebook, record, piece, &mut self.smalls).ok_or(Closed)?;
        if kept == link::talk::Kept::Whole {
            let by = Some(self.hand.id());
            if key.small {
                self.shared.tell_here(record, key, by);
            } else {
                self.shared.brought(record, key.hash, by);
            }
        }
        self.on(Event::PieceKept { key, kept });
        Ok(())
    }

    fn stands(&mut self, status: Status) -> Result<(), Closed> {
        let was = std::mem::replace(&mut self.status, status);
        let key = (self.hand.id(), self.who.record.clone());
        if let Some(row) = locked(&self.shared.rows).get_mut(&key) {
            row.status = status;
        }
        let shown = |status: &Status| (status.phase, status.alike, status.difference);
        if shown(&was) == shown(&status) {
            return Ok(());
        }
        if self.is_calm() {
            self.compact();
            self.turn(|notebook, who, _| notebook.was_met(who).map(|()| Vec::new()))?;
        }
        self.turn(|notebook, who, _| {
            notebook.show(&who.record);
            Ok(Vec::new())
        })
    }

    /// A log that grew long by what came is seen to now that all of it is here; the slow part outside of any turn.
    fn compact(&self) {
        let record = &self.who.record;
        let due = turn(&self.notebook, |notebook| notebook.snapshot_due(record));
        let due = due
            .and_then(|due| unless("a snapshot could not be taken", due))
            .flatten();
        // What could not be made is made after the next change, and a check tells of whatever stands in its way.
        if let Some(sound) = due.and_then(|due| unless("a snapshot did not read as the record", due.read())) {
            let stands = turn(&self.notebook, |notebook| notebook.stand_for(record, &sound));
            let _ = stands.map(|stands| unless("a snapshot could not be kept", stands));
        }
    }
}
