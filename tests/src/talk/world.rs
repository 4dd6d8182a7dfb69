//! One schedule of meetings: two to five devices that write, take photos, meet over lines that break at any message,
//! repeat, stay silent for weeks, and bring frames of earlier connections; programs that end and begin again, devices
//! that are put back from a copy, clocks that are ten years off. At the end all lines hold, and everything must be everywhere.

use std::collections::BTreeMap;

use link::talk::{Event, Message, Phase, PhotoKey, Status, Why};
use record::{Id, Kind, Record, Scalar, Seat};
use serde_json::json;

use super::line::{Line, Session};
use super::node::{Node, heads, since};
use super::shelf::Pictures;
use super::told::Told;
use crate::act::Act;
use crate::device::{Device, Did};
use crate::ledger::Reckoned;
use crate::seed::Dice;
use crate::value::Fields;

const TEN_YEARS: i64 = 315_576_000;
const WEEK: u64 = 7 * 86_400_000;

struct World {
    dice: Dice,
    nodes: Vec<Node>,
    sessions: Vec<Session>,
    reckoned: Reckoned,
    pictures: Pictures,
    /// A few frames of connections that are gone.
    stale: Vec<Vec<u8>>,
    tokens: u64,
    /// Whether pictures may be read wrongly.
    rot: bool,
    told: Told,
}

/// Runs one schedule.
///
/// # Panics
/// Where anything is not as it must be; the message says what, and the seed replays it.
#[must_use]
pub fn run(seed: u64) -> Told {
    let mut world = World {
        dice: Dice::of(seed),
        nodes: Vec::new(),
        sessions: Vec::new(),
        reckoned: Reckoned::default(),
        pictures: BTreeMap::new(),
        stale: Vec::new(),
        tokens: 0,
        rot: true,
        told: Told::default(),
    };
    world.told.one("schedules");
    let first = Device::first(&mut world.dice, &mut world.reckoned);
    world.nodes.push(Node::new(first, 5_000));
    for _ in 0..1 + world.dice.below(4) {
        world.join();
    }
    world.told.more("devices", world.nodes.len() as u64);
    for _ in 0..50 + world.dice.below(110) {
        world.step();
    }
    world.settle();
    world.hold();
    world.told
}

impl World {
    fn join(&mut self) {
        let from = self.dice.below(self.nodes.len());
        let whole = self.nodes[from].device.parcel(None, false);
        let keeper = self
            .dice
            .chance(40)
            .then(|| self.nodes[from].device.keeper.clone());
        let device = Device::joining(&mut self.dice, &whole, keeper, &mut self.reckoned);
        let now = u64::from(self.dice.number());
        self.nodes.push(Node::new(device, now));
    }

    fn step(&mut self) {
        let at = self.dice.below(self.nodes.len());
        self.nodes[at].now += self.dice.below(400) as u64;
        match self.dice.below(100) {
            0..=19 => self.edit(at),
            20..=23 => self.picture(at),
            24..=33 => self.meet(at),
            34..=83 => {
                for _ in 0..self.dice.below(8) {
                    self.go_on();
                }
            }
            84..=88 => self.break_one(),
            89..=90 => self.restart(at),
            91 if self.nodes[at].backup.is_none() => {
                let shelf = self.nodes[at].shelf.clone();
                self.nodes[at].backup = Some((self.nodes[at].device.backup(), shelf));
            }
            92..=93 => self.restore(at),
            94 => self.leap(at),
            95..=96 => self.wait(),
            97 => self.meet_well(at),
            _ => self.bring_stale(),
        }
    }

    fn edit(&mut self, at: usize) {
        let device = &mut self.nodes[at].device;
        let mut hand = std::mem::take(&mut device.hand);
        let act = Act::any(device, &mut hand, &mut self.dice, &mut self.tokens);
        device.hand = hand;
        self.act(at, &act);
    }

    fn act(&mut self, at: usize, act: &Act) {
        let before = self.nodes[at].device.record.heads();
        let did = self.nodes[at].device.act(act, &mut self.reckoned);
        self.told.one(match did {
            Did::Done => "edits",
            Did::Nothing => "edits of nothing",
            Did::Refused => "edits refused",
        });
        let fresh = since(&self.nodes[at].device.record, &before);
        self.local(at, &fresh, None);
    }

    fn picture(&mut self, at: usize) {
        let most = *self.dice.pick(&[1, 2_000, 70_000, 200_000]);
        let length = self.dice.below(most);
        let start = self.dice.bytes();
        let mut bytes = vec![0; length];
        blake3::Hasher::new()
            .update(&start)
            .finalize_xof()
            .fill(&mut bytes);
        let hash = *blake3::hash(&bytes).as_bytes();
        let small = bytes.iter().step_by(40).copied().collect();
        for (small, bytes) in [(false, bytes), (true, small)] {
            let key = PhotoKey { hash, small };
            self.pictures.insert(key, bytes.clone());
            self.nodes[at].shelf.put(key, bytes);
            self.told.one("photos");
        }
        let hex = blake3::Hash::from(hash).to_hex().to_string();
        let line = |text: &str| Some(Scalar::Line(text.to_owned()));
        let day = "2031-03-01";
        let fields = Fields {
            json: json!({ "hash": hex, "on": day }).as_object().unwrap().clone(),
            kept: vec![("hash".into(), line(&hex)), ("on".into(), line(day))],
            ..Fields::default()
        };
        let id = Id::from_uuid(self.dice.uuid());
        self.act(at, &Act::Add(Kind::Photo, id, fields));
    }

    /// Tells every conversation of a device, but the one that brought them, what is new there.
    fn local(&mut self, at: usize, fresh: &[Vec<u8>], but: Option<usize>) {
        if fresh.is_empty() {
            return;
        }
        let now = self.nodes[at].now;
        for session in 0..self.sessions.len() {
            if let Some(side) = self.sessions[session].side(at).filter(|_| Some(session) != but) {
                let event = Event::Local {
                    changes: fresh.to_vec(),
                    heads: heads(&self.nodes[at].device.record),
                };
                self.told.one("told at once");
                self.sessions[session].lines[side].tell(now, event);
            }
        }
    }

    fn meet(&mut self, at: usize) {
        let other = self.dice.below(self.nodes.len());
        if other != at && !self.sessions.iter().any(|session| session.joins(at, other)) {
            self.open(at, other);
        }
    }

    /// A device meets another at leisure: much of what is to be done is done.
    fn meet_well(&mut self, at: usize) {
        self.meet(at);
        for _ in 0..300 {
            self.go_on();
        }
    }

    fn open(&mut self, one: usize, other: usize) {
        let mut lines = [one, other].map(|at| Line::new(self.nodes[at].mine()));
        for (line, at) in lines.iter_mut().zip([one, other]) {
            line.tell(self.nodes[at].now, Event::Opened);
        }
        self.told.one("meetings");
        self.sessions.push(Session {
            ends: [one, other],
            lines,
            tainted: false,
        });
    }

    /// Something happens on some line: a frame arrives, or a host does one thing.
    fn go_on(&mut self) {
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

    /// The next frame that left this side arrives. Whether there was something to arrive.
    fn arrive(&mut self, session: usize, side: usize) -> bool {
        let there = 1 - side;
        let now = self.nodes[self.sessions[session].ends[there]].now;
        let meeting = &mut self.sessions[session];
        if let Some(frame) = meeting.lines[side].out.pop_front() {
            if self.rot && self.dice.chance(4) {
                self.told.one("frames twice");
                meeting.lines[there].tell(now, Event::Got(frame.clone()));
            }
            self.told.one("frames");
            if let Ok(Message::Want { from: 1.., .. }) = Message::from_bytes(&frame) {
                self.told.one("photos gone on with");
            }
            if self.stale.len() < 40 && self.dice.chance(5) {
                self.stale.push(frame.clone());
            }
            meeting.lines[there].tell(now, Event::Got(frame));
        } else if meeting.lines[side].ended.is_some() && meeting.lines[there].ended.is_none() {
            meeting.lines[there].tell(now, Event::Broke);
        } else {
            return false;
        }
        self.check(session);
        true
    }

    /// The host of this side does one thing. Whether there was one to do.
    fn perform(&mut self, session: usize, side: usize) -> bool {
        let at = self.sessions[session].ends[side];
        let Some(effect) = self.sessions[session].lines[side].todo.pop_front() else {
            return false;
        };
        let rot = self.rot && self.dice.chance(3);
        let done = self.nodes[at].perform(effect, &self.pictures, &mut self.reckoned, rot);
        let now = self.nodes[at].now;
        if let Some(event) = done.event {
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
    fn check(&mut self, session: usize) {
        let session = &self.sessions[session];
        if session.tainted {
            return;
        }
        for line in &session.lines {
            assert!(
                !line.status().difference,
                "a difference that is none: {:?}",
                line.status()
            );
            if let Some(why) = &line.ended {
                let made = matches!(why, Why::Broke | Why::Left | Why::Silent);
                assert!(made, "a meeting ended: {why}");
            }
        }
    }

    fn end_over(&mut self) {
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

    fn count(told: &mut Told, session: &Session) {
        for line in &session.lines {
            told.more("bytes", line.sent);
            told.more("changes sent", line.status().sent);
            told.more("photos wrong", line.status().photos_wrong);
            told.more("differences found", u64::from(line.status().difference));
            match line.ended {
                Some(Why::Garbled(_)) => told.one("ended: garbled"),
                Some(Why::Refused(_)) => told.one("ended: refused"),
                Some(Why::Silent) => told.one("ended: silent"),
                _ => {}
            }
        }
    }

    fn break_one(&mut self) {
        if !self.sessions.is_empty() {
            let at = self.dice.below(self.sessions.len());
            self.break_line(at);
        }
    }

    fn break_line(&mut self, session: usize) {
        let mut session = self.sessions.swap_remove(session);
        let lost: usize = session.lines.iter().map(|line| line.out.len()).sum();
        self.told.one("breaks");
        self.told.more("frames lost", lost as u64);
        for side in 0..2 {
            let now = self.nodes[session.ends[side]].now;
            session.lines[side].tell(now, Event::Broke);
        }
        Self::count(&mut self.told, &session);
    }

    fn break_all_of(&mut self, at: usize) {
        while let Some(session) = self
            .sessions
            .iter()
            .position(|session| session.side(at).is_some())
        {
            self.break_line(session);
        }
    }

    fn restart(&mut self, at: usize) {
        self.break_all_of(at);
        self.nodes[at].device.restart();
        self.nodes[at].now = u64::from(self.dice.number());
        self.told.one("restarts");
    }

    fn restore(&mut self, at: usize) {
        let others: Vec<&Node> = self
            .nodes
            .iter()
            .enumerate()
            .filter(|(one, _)| *one != at)
            .map(|(_, node)| node)
            .collect();
        if !self.nodes[at].may_restore(&others) {
            return;
        }
        self.break_all_of(at);
        let node = &mut self.nodes[at];
        if let Some((backup, shelf)) = node.backup.take() {
            let lost = node.device.having.count() - backup.having.count();
            self.told.more("changes gone with a restore", lost as u64);
            node.device.restore(&backup);
            node.shelf = shelf;
            self.told.one("restores");
        }
    }

    /// A clock is put ten years on or back: the one that stamps changes, and the one that conversations are told.
    fn leap(&mut self, at: usize) {
        let node = &mut self.nodes[at];
        let to = *self.dice.pick(&[-TEN_YEARS, 0, TEN_YEARS]);
        node.device.put_clock(to - node.put);
        node.put = to;
        node.now = node.now.saturating_add_signed((to * 1_000) / 2);
        self.told.one("clocks put");
    }

    /// Weeks pass, in which nothing arrives: all wait, some give up.
    fn wait(&mut self) {
        let ticks = *self.dice.pick(&[1, 1, 3, 12]);
        self.told.one("weeks");
        for _ in 0..ticks {
            for node in &mut self.nodes {
                node.now = node.now.saturating_add(WEEK / 3);
            }
            for session in 0..self.sessions.len() {
                self.tick(session);
            }
        }
        self.end_over();
    }

    fn tick(&mut self, session: usize) {
        for side in 0..2 {
            let now = self.nodes[self.sessions[session].ends[side]].now;
            self.sessions[session].lines[side].tell(now, Event::Tick);
        }
        self.check(session);
    }

    /// A frame of a connection that is gone turns up in another.
    fn bring_stale(&mut self) {
        let session = self.dice.below(self.sessions.len());
        if session >= self.sessions.len() {
            return;
        }
        if let Some(frame) = self.dice.one(&self.stale).cloned() {
            let side = self.dice.below(2);
            self.sessions[session].tainted = true;
            self.sessions[session].lines[side].out.push_front(frame);
            self.told.one("frames of before");
        }
    }

    /// All lines of before break, each device is joined to the next, and nothing more breaks.
    fn settle(&mut self) {
        while !self.sessions.is_empty() {
            self.break_line(0);
        }
        self.rot = false;
        let count = self.nodes.len();
        let mut order: Vec<usize> = (0..count).collect();
        for at in (1..count).rev() {
            order.swap(at, self.dice.below(at + 1));
        }
        for pair in order.windows(2) {
            self.open(pair[0], pair[1]);
        }
        for round in 0.. {
            assert!(round < 60, "they do not come to rest: {:#?}", self.standing());
            self.run_out();
            let at_rest =
                |status: &Status| status.phase == Phase::Live && status.alike && status.photos_left == 0;
            if self.standing().iter().all(at_rest) {
                break;
            }
            for node in &mut self.nodes {
                node.now = node.now.saturating_add(1_500);
            }
            for session in 0..self.sessions.len() {
                self.tick(session);
            }
        }
        assert_eq!(self.sessions.len(), count - 1, "a line ended");
        for session in std::mem::take(&mut self.sessions) {
            for (side, line) in session.lines.iter().enumerate() {
                let other = &self.nodes[session.ends[1 - side]];
                assert_eq!(line.met.as_deref(), Some(other.device.id.as_str()));
                assert!(line.ended.is_none() && !line.status().difference);
            }
            Self::count(&mut self.told, &session);
        }
    }

    fn standing(&self) -> Vec<Status> {
        let lines = self.sessions.iter().flat_map(|session| &session.lines);
        lines.map(Line::status).collect()
    }

    /// Until nothing is on its way and nothing is to be done.
    fn run_out(&mut self) {
        loop {
            let busy: Vec<(usize, usize)> = (0..self.sessions.len())
                .flat_map(|session| [(session, 0), (session, 1)])
                .filter(|(session, side)| !self.sessions[*session].lines[*side].is_idle())
                .collect();
            let Some((session, side)) = self.dice.one(&busy).copied() else {
                return;
            };
            if self.dice.chance(50) {
                self.arrive(session, side);
            } else {
                self.perform(session, side);
            }
        }
    }

    fn hold(&mut self) {
        let (first, others) = self.nodes.split_first().unwrap();
        let digest = first.device.record.digest();
        for node in others {
            let (one, other) = (&node.device, &first.device);
            assert_eq!(one.record.heads(), other.record.heads(), "heads differ");
            assert_eq!(one.record.digest(), digest, "digests differ");
            assert!(one.record.view() == other.record.view(), "read tables differ");
            assert_eq!(one.having, other.having, "what the meetings brought differs");
            assert_eq!(
                one.points.list(one.record.view()),
                other.points.list(other.record.view()),
                "points differ"
            );
        }
        for node in &self.nodes {
            for key in node.named(&self.pictures) {
                let holders = self.nodes.iter().filter(|node| node.shelf.has(&key)).count();
                assert!(
                    node.shelf.has(&key),
                    "a photo is missing that {holders} have; {} of {} bytes are here, small {}",
                    node.shelf.begun(&key),
                    self.pictures[&key].len(),
                    key.small
                );
                self.told.one("photos everywhere");
            }
            for (key, bytes) in node.shelf.whole() {
                assert!(self.pictures.get(key) == Some(bytes), "a wrong byte landed");
            }
        }
        let seat = Seat {
            device: self.dice.uuid(),
            run: [0; 8],
        };
        let mut stranger = Record::begin(seat).unwrap();
        drop(stranger.receive(&since(&first.device.record, &[])).unwrap());
        assert_eq!(stranger.digest(), digest, "all at once, the record is another");
        self.told.found = self.reckoned.hold_against(&mut stranger);
        let at = self.dice.below(self.nodes.len());
        self.nodes[at].device.restart();
    }
}
