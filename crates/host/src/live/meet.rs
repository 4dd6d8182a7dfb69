//! One meeting, in a thread of its own: it carries frames between the net and the hub of the meeting ([`link::talk::hub`]),
//! and does what that wants in short turns on the notebook. It decides nothing of whose turn it is, what is said or when;
//! which records are shared follows from who may come (`circle`).

use std::collections::BTreeMap;
use std::sync::atomic::Ordering;
use std::sync::{Arc, Weak};
use std::time::Duration;

use link::net::{Got, Meeting};
use link::talk::hub::{Hub, HubEvent, HubTask};
use link::talk::{Event, Tag, Why};
use notebook::live::{Who, tag};

use super::about::{Closed, Session};
use super::shared::{PeerLine, Shared};
use crate::turns::{InTurns, locked, turn};

struct Thread {
    shared: Arc<Shared>,
    notebook: Weak<InTurns>,
    meeting: Meeting,
    line: Arc<PeerLine>,
    hub: Hub,
    /// What is shared with the other, as far as is known here.
    whose: BTreeMap<Tag, Who>,
    sessions: BTreeMap<Tag, Session>,
}

/// What a record is called in a meeting about several.
fn short(who: &Who) -> Tag {
    tag(&who.record).first_chunk().copied().unwrap_or_default()
}

/// Meets until it is over.
pub(super) fn meet(shared: &Arc<Shared>, notebook: &Weak<InTurns>, meeting: Meeting) {
    let id = meeting.id();
    let line = Arc::new(PeerLine::of(meeting.hand()));
    locked(&shared.lines).insert(id, Arc::clone(&line));
    let mut thread = Thread {
        shared: Arc::clone(shared),
        notebook: Weak::clone(notebook),
        hub: Hub::new(meeting.dialled()),
        meeting,
        line,
        whose: BTreeMap::new(),
        sessions: BTreeMap::new(),
    };
    thread.run();
    locked(&shared.lines).remove(&id);
}

impl Thread {
    fn run(&mut self) {
        loop {
            if self.look().is_err() {
                self.on(HubEvent::Leave);
            }
            let task = self.hub.next(self.shared.ticks(), self.meeting.waiting());
            if let HubTask::End(why) = task {
                return self.end(&why);
            }
            if self.perform(task).is_err() {
                self.on(HubEvent::Leave);
            }
        }
    }

    fn on(&mut self, event: HubEvent) {
        self.hub.on(self.shared.ticks(), event);
    }

    fn tell(&mut self, tag: &Tag, events: Vec<Event>) {
        for event in events {
            self.hub.tell(self.shared.ticks(), tag, event);
        }
    }

    /// Looks after what others have told.
    fn look(&mut self) -> Result<(), Closed> {
        if self.line.changed.swap(false, Ordering::SeqCst) {
            self.share();
        }
        if self.line.hurry.swap(false, Ordering::SeqCst) {
            self.on(HubEvent::Hurry);
        }
        let mut news = Vec::new();
        for (tag, session) in &mut self.sessions {
            match session.look()? {
                Some(events) => news.push((*tag, events)),
                // It is shared with the other no more.
                None => self.line.changed.store(true, Ordering::SeqCst),
            }
        }
        for (tag, events) in news {
            self.tell(&tag, events);
        }
        if self.line.changed.swap(false, Ordering::SeqCst) {
            self.share();
        }
        Ok(())
    }

    /// Tells what is shared with the other now.
    fn share(&mut self) {
        let all = self.shared.circle().peers.remove(&self.meeting.peer());
        let all = all.unwrap_or_default().into_iter();
        self.whose = all.map(|who| (short(&who), who)).collect();
        let devices = self.whose.iter();
        let devices = devices.map(|(tag, who)| (*tag, who.device.to_string()));
        self.on(HubEvent::Shares(devices.collect()));
    }

    fn perform(&mut self, task: HubTask) -> Result<(), Closed> {
        match task {
            HubTask::Begin { tag } => self.begin(&tag)?,
            HubTask::Do { tag, effect } => {
                if let Some(session) = self.sessions.get_mut(&tag) {
                    let events = session.act(effect)?;
                    self.tell(&tag, events);
                }
            }
            HubTask::Send { frame, wait } => {
                // That the connection is no more is heard where it is listened to, after what came before its end.
                let _ = if wait {
                    self.meeting.send(frame)
                } else {
                    self.meeting.put(frame)
                };
            }
            HubTask::Over { tag, why } => {
                if let Some(session) = self.sessions.remove(&tag) {
                    session.end(why.map(|why| why.to_string()));
                }
            }
            HubTask::Unshared { tag } => {
                if let Some(who) = self.whose.get(&tag) {
                    self.unshared(who);
                }
            }
            HubTask::Listen { until, below } => self.listen(until, below),
            HubTask::End(_) => {}
        }
        Ok(())
    }

    fn begin(&mut self, tag: &Tag) -> Result<(), Closed> {
        let Some(who) = self.whose.get(tag) else {
            self.hub.begun(self.shared.ticks(), tag, None);
            return Ok(());
        };
        let began = Session::begin(&self.shared, &self.notebook, self.meeting.hand(), who);
        let mine = match began.ok_or(Closed)? {
            Ok((session, mine)) => {
                self.sessions.insert(*tag, session);
                Some(mine)
            }
            Err(refusal) => {
                let peer = self.meeting.peer();
                self.shared.about_ended(peer, &who.record, refusal.words);
                None
            }
        };
        self.hub.begun(self.shared.ticks(), tag, mine);
        Ok(())
    }

    fn unshared(&self, who: &Who) {
        let why = Why::OtherRecord.to_string();
        if self.shared.about_ended(self.meeting.peer(), &who.record, why) {
            // Where the notebook was let go, nobody looks.
            let _ = turn(&self.notebook, |notebook| notebook.show(&who.record));
        }
    }

    fn listen(&mut self, until: u64, below: Option<usize>) {
        if let Some(below) = below {
            self.meeting.knock_below(below);
        }
        let within = until.saturating_sub(self.shared.ticks());
        match self.meeting.receive(Duration::from_millis(within)) {
            Got::Frame(frame) => self.on(HubEvent::Got(frame)),
            Got::Nothing => {}
            // Where meetings were turned off here, or are to take other roads, no connection broke.
            Got::Gone if self.shared.net().is_none() => self.on(HubEvent::Leave),
            Got::Gone => self.on(HubEvent::Broke),
        }
    }

    /// Why it ended is read wherever the two share a record, unless it is plain: this side left, or the line broke.
    fn end(&self, why: &Why) {
        if matches!(why, Why::Leaving | Why::Broke) {
            return;
        }
        for who in self.whose.values() {
            let words = why.to_string();
            self.shared.about_ended(self.meeting.peer(), &who.record, words);
        }
    }
}
