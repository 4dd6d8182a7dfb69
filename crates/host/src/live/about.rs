//! One record of a meeting: what its conversation with the other wants of the notebook, done in short turns, and what is new
//! here for it. It holds no conversation, sends nothing and decides nothing of when it is its turn: the hub of the meeting does.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Arc, Weak};

use link::net::Hand;
use link::talk::{Effect, Event, Mine, Phase, PhotoKey, Status, Why};
use record::{ChangeId, Moment};

use notebook::live::{Piece, Smalls, Waiting, Who, hashes, tag};
use notebook::{Notebook, Refusal};

use super::photos;
use super::shared::{Row, Shared};
use crate::trace::unless;
use crate::turns::{InTurns, locked, turn};

/// The notebook was let go: nothing of the meeting goes on.
pub(super) struct Closed;

/// What the conversation about one record wants of this device.
pub(super) struct Session {
    shared: Arc<Shared>,
    notebook: Weak<InTurns>,
    hand: Hand,
    who: Who,
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
}

fn leave(words: String) -> Vec<Event> {
    vec![Event::Leave(Why::Refused(words))]
}

impl Session {
    /// Begins to talk about a record, with what this side brings to it. Nothing where the notebook was let go.
    pub(super) fn begin(
        shared: &Arc<Shared>,
        notebook: &Weak<InTurns>,
        hand: Hand,
        who: &Who,
    ) -> Option<Result<(Self, Mine), Refusal>> {
        let began = turn(
            notebook,
            |notebook| -> Result<(Mine, Vec<ChangeId>, Moment), Refusal> {
                let told = notebook.heads_now(&who.record)?;
                let mine = Mine {
                    record: tag(&who.record),
                    device: notebook.device()?.id.to_string(),
                    heads: hashes(&told),
                };
                Ok((mine, told, notebook.now()))
            },
        )?;
        let (mine, told, since) = match began {
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
            status: Status::default(),
            since,
            stale: Arc::clone(&stale),
            choice: Arc::clone(&choice),
            here: tell_here,
            hand: hand.clone(),
        };
        locked(&shared.rows).insert((hand.id(), who.record.clone()), row);
        let session = Self {
            shared: Arc::clone(shared),
            notebook: Weak::clone(notebook),
            hand,
            who: who.clone(),
            told,
            unvouched: Waiting::default(),
            status: Status::default(),
            stale,
            choice,
            here,
            smalls: Smalls::default(),
        };
        Some(Ok((session, mine)))
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

    /// Looks after what others have told of the record: what the conversation is to hear. Nothing where it is shared with
    /// the other no more.
    pub(super) fn look(&mut self) -> Result<Option<Vec<Event>>, Closed> {
        let mut events = Vec::new();
        if self.stale.swap(false, Ordering::SeqCst) {
            let Who { record, device } = &self.who;
            if !self.shared.shares(&self.hand.peer(), record, device) {
                return Ok(None);
            }
            events.extend(self.turn(|notebook, who, told| notebook.news(&who.record, told))?);
        }
        if self.choice.swap(false, Ordering::SeqCst) {
            events.extend(self.photos()?);
        }
        events.extend(self.here.try_iter().map(Event::PhotoHere));
        Ok(Some(events))
    }

    /// A turn on the notebook that makes events. Where the notebook failed, the conversation ends.
    fn turn(
        &mut self,
        work: impl FnOnce(&mut Notebook, &Who, &mut Vec<ChangeId>) -> Result<Vec<Event>, Refusal>,
    ) -> Result<Vec<Event>, Closed> {
        let (who, told) = (&self.who, &mut self.told);
        match turn(&self.notebook, |notebook| work(notebook, who, told)) {
            Some(Ok(events)) => Ok(events),
            Some(Err(refusal)) => {
                tracing::warn!(code = refusal.code, "a turn of a meeting was refused");
                Ok(leave(refusal.words))
            }
            None => Err(Closed),
        }
    }

    fn photos(&mut self) -> Result<Vec<Event>, Closed> {
        // Two meetings that bring the same photos begin at either end of the list, and so bring few of them twice.
        let backward = self.hand.id() % 2 == 1;
        self.turn(|notebook, who, _| notebook.photos_of(&who.record, backward))
    }

    /// Does what the conversation wants: what came of it.
    pub(super) fn act(&mut self, effect: Effect) -> Result<Vec<Event>, Closed> {
        match effect {
            // The hub sends and ends by itself.
            Effect::Send(_) | Effect::Close(_) => Ok(Vec::new()),
            Effect::Met { device, heads } => {
                if device != self.who.device.as_str() {
                    let words = "it says that it is another device than its key says".to_owned();
                    return Ok(leave(words));
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
                let taken = self.turn(|notebook, who, told| {
                    notebook.take(&who.record, told, &mut waiting, stream, &who.device)
                });
                self.unvouched = waiting;
                taken
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
                Ok(leave(format!("{words}; carry a file")))
            }
            Effect::AskDigest => self.turn(|notebook, who, told| notebook.digest_of(&who.record, told)),
            Effect::Status(status) => self.stands(status),
        }
    }

    fn keep(&mut self, piece: &Piece) -> Result<Vec<Event>, Closed> {
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
        Ok(vec![Event::PieceKept { key, kept }])
    }

    fn stands(&mut self, status: Status) -> Result<Vec<Event>, Closed> {
        let was = std::mem::replace(&mut self.status, status);
        let key = (self.hand.id(), self.who.record.clone());
        if let Some(row) = locked(&self.shared.rows).get_mut(&key) {
            row.status = status;
        }
        let shown = |status: &Status| (status.phase, status.alike, status.difference);
        if shown(&was) == shown(&status) {
            return Ok(Vec::new());
        }
        let mut events = Vec::new();
        if status.phase == Phase::Live && status.alike {
            self.compact();
            events = self.turn(|notebook, who, _| notebook.was_met(who).map(|()| Vec::new()))?;
        }
        events.extend(self.turn(|notebook, who, _| {
            notebook.show(&who.record);
            Ok(Vec::new())
        })?);
        Ok(events)
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
