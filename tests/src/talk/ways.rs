//! The lines of a schedule: how frames arrive, what the hosts do, how lines break, and what may never happen on one.

use link::talk::hub::HubEvent;
use link::talk::{Event, Why};

use super::line::{Line, Session, Wants};
use super::told::Told;
use super::world::World;

impl World {
    pub(super) fn open(&mut self, one: usize, other: usize) {
        let lines = [(one, true), (other, false)].map(|(at, dialled)| {
            let node = &self.nodes[at];
            Line::new(node.now, node.device.id.as_str(), dialled)
        });
        self.told.one("meetings");
        self.sessions.push(Session {
            ends: [one, other],
            lines,
            tainted: false,
        });
    }

    /// Something happens on some line: a frame arrives, or a host does one thing.
    pub(super) fn go_on(&mut self) {
        let session = self.dice.below(self.sessions.len());
        if session < self.sessions.len() {
            let side = self.dice.below(2);
            if self.dice.chance(50) {
                self.arrive(session, side);
            } else {
                self.perform(session, side);
            }
            self.end_over();
        }
    }

    /// The next frame that left this side arrives, once the other listens. Whether there was something to arrive.
    pub(super) fn arrive(&mut self, session: usize, side: usize) -> bool {
        let there = 1 - side;
        let to = &self.sessions[session].lines[there];
        if !to.listens && to.ended.is_none() {
            return self.perform(session, there);
        }
        let now = self.nodes[self.sessions[session].ends[there]].now;
        let meeting = &mut self.sessions[session];
        if let Some(frame) = meeting.lines[side].out.pop_front() {
            if self.rot && self.dice.chance(4) {
                self.told.one("frames twice");
                meeting.lines[there].on(now, HubEvent::Got(frame.clone()));
            }
            self.told.one("frames");
            if self.stale.len() < 40 && self.dice.chance(5) {
                self.stale.push(frame.clone());
            }
            meeting.lines[there].on(now, HubEvent::Got(frame));
        } else if meeting.lines[side].ended.is_some() && meeting.lines[there].ended.is_none() {
            meeting.lines[there].on(now, HubEvent::Broke);
        } else {
            return false;
        }
        self.check(session);
        true
    }

    /// The host of this side does one thing. Whether there was one to do.
    pub(super) fn perform(&mut self, session: usize, side: usize) -> bool {
        let at = self.sessions[session].ends[side];
        let now = self.nodes[at].now;
        let line = &mut self.sessions[session].lines[side];
        let effect = match line.next(now) {
            Wants::Effect(effect) => effect,
            Wants::Mine => {
                line.begun(now, self.nodes[at].mine());
                return true;
            }
            Wants::Nothing => {
                self.check(session);
                return false;
            }
        };
        let rot = self.rot && self.dice.chance(3);
        let done = self.nodes[at].perform(effect, &self.pictures, &mut self.reckoned, rot);
        for event in done.events {
            if let Event::Photos(wanted) = &event {
                let begun = wanted.iter().filter(|one| one.from > 0).count();
                self.told.more("photos gone on with", begun as u64);
            }
            self.sessions[session].lines[side].tell(now, event);
        }
        self.local(at, &done.fresh, Some(session));
        if let Some(key) = done.photo {
            self.told.one("photos brought");
            for other in 0..self.sessions.len() {
                if let Some(side) = self.sessions[other].side(at).filter(|_| other != session) {
                    self.sessions[other].lines[side].tell(now, Event::PhotoHere(key));
                }
            }
        }
        self.check(session);
        true
    }

    /// No meeting ends, and none finds a difference, but for a reason that this schedule made.
    pub(super) fn check(&mut self, session: usize) {
        let session = &self.sessions[session];
        if session.tainted {
            return;
        }
        for line in &session.lines {
            assert!(
                !line.status.difference,
                "a difference that is none: {:?}",
                line.status
            );
            for why in line.over.iter().chain(&line.ended) {
                let made = matches!(why, Why::Broke | Why::Leaving | Why::Left | Why::Silent);
                assert!(made, "a meeting ended: {why}");
            }
        }
    }

    pub(super) fn end_over(&mut self) {
        let mut told = std::mem::take(&mut self.told);
        self.sessions.retain(|session| {
            let over = session.is_over();
            if over {
                Self::count(&mut told, session);
            }
            !over
        });
        self.told = told;
    }

    pub(super) fn count(told: &mut Told, session: &Session) {
        for line in &session.lines {
            told.more("bytes", line.sent);
            told.more("changes sent", line.gave);
            told.more("photos wrong", line.wrong);
            if line.stands() {
                told.more("changes sent", line.status.sent);
                told.more("photos wrong", line.status.photos_wrong);
            }
            told.more("differences found", u64::from(line.status.difference));
            told.more("begun anew", line.begun.saturating_sub(1));
            for why in line.over.iter().chain(&line.ended) {
                match why {
                    Why::Garbled(_) => told.one("ended: garbled"),
                    Why::Refused(_) => told.one("ended: refused"),
                    Why::Silent => told.one("ended: silent"),
                    _ => {}
                }
            }
            if line.begun == 0 && line.ended == Some(Why::Silent) {
                told.one("ended: no greeting");
            }
        }
    }

    /// A frame overtakes another, or one is lost and the line holds: no connection does that, and a meeting may end for
    /// it, but nothing else may come of it.
    pub(super) fn muddle(&mut self) {
        let session = self.dice.below(self.sessions.len());
        let side = self.dice.below(2);
        let Some(meeting) = self.sessions.get_mut(session) else {
            return;
        };
        let out = &mut meeting.lines[side].out;
        if out.len() < 2 {
            return;
        }
        meeting.tainted = true;
        if self.dice.chance(50) {
            out.swap(0, 1);
            self.told.one("frames reordered");
        } else {
            let _ = out.pop_front();
            self.told.one("frames dropped");
        }
    }

    /// A keeper chooses to fetch all photos, or those asked for: meetings that stand go by it.
    pub(super) fn choose(&mut self, at: usize, waits: bool) {
        if std::mem::replace(&mut self.nodes[at].waits, waits) == waits {
            return;
        }
        self.told.one("choices of photos");
        let now = self.nodes[at].now;
        for session in 0..self.sessions.len() {
            if let Some(side) = self.sessions[session].side(at) {
                for event in self.nodes[at].photos(&self.pictures) {
                    self.sessions[session].lines[side].tell(now, event);
                }
            }
        }
    }

    pub(super) fn break_one(&mut self) {
        if !self.sessions.is_empty() {
            let at = self.dice.below(self.sessions.len());
            self.break_line(at);
        }
    }

    pub(super) fn break_line(&mut self, session: usize) {
        let mut session = self.sessions.swap_remove(session);
        let lost: usize = session.lines.iter().map(|line| line.out.len()).sum();
        self.told.one("breaks");
        self.told.more("frames lost", lost as u64);
        for side in 0..2 {
            let now = self.nodes[session.ends[side]].now;
            session.lines[side].on(now, HubEvent::Broke);
        }
        Self::count(&mut self.told, &session);
    }

    pub(super) fn break_all_of(&mut self, at: usize) {
        while let Some(session) = self
            .sessions
            .iter()
            .position(|session| session.side(at).is_some())
        {
            self.break_line(session);
        }
    }

    pub(super) fn tick(&mut self, session: usize) {
        for side in 0..2 {
            self.sessions[session].lines[side].wake();
            self.perform(session, side);
        }
    }
}
