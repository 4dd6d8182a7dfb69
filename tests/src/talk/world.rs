//! One schedule of meetings: two to five devices that write, take photos, meet over lines that break at any message,
//! repeat, stay silent for weeks, and bring frames of earlier connections; programs that end and begin again, devices
//! that are put back from a copy, clocks that are ten years off. At the end all lines hold, and everything must be everywhere.

use std::collections::BTreeMap;

use link::talk::hub::HubEvent;
use link::talk::{Event, PhotoKey};
use record::{Id, Kind, Scalar};
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

/// Devices, the lines between them, and what is known of them.
pub(super) struct World {
    pub(super) dice: Dice,
    pub(super) nodes: Vec<Node>,
    pub(super) sessions: Vec<Session>,
    pub(super) reckoned: Reckoned,
    pub(super) pictures: Pictures,
    /// A few frames of connections that are gone.
    pub(super) stale: Vec<Vec<u8>>,
    pub(super) tokens: u64,
    /// Whether pictures may be read wrongly.
    pub(super) rot: bool,
    pub(super) told: Told,
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
            95 => self.wait(),
            96 => match self.dice.below(4) {
                0 => self.evening(),
                1 => self.wait(),
                _ => self.hurry(at),
            },
            97 => self.meet_well(at),
            98 if self.dice.chance(50) => self.muddle(),
            98 => {
                let waits = self.dice.chance(60);
                self.choose(at, waits);
            }
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
    pub(super) fn local(&mut self, at: usize, fresh: &[Vec<u8>], but: Option<usize>) {
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

    /// A minute and more passes in which everything arrives: what failed has rested, and begins anew.
    fn evening(&mut self) {
        self.told.one("evenings");
        for _ in 0..45 {
            for node in &mut self.nodes {
                node.now = node.now.saturating_add(1_500);
            }
            for session in 0..self.sessions.len() {
                self.tick(session);
            }
            self.run_out();
        }
        self.end_over();
    }

    /// A keeper asks to meet now: one who sees that a conversation failed, where there is one.
    fn hurry(&mut self, at: usize) {
        self.told.one("hurries");
        let failed = |session: &&Session| session.lines.iter().any(Line::has_failed);
        let sees = self.sessions.iter().find(failed).map(|session| session.ends[0]);
        let at = sees.unwrap_or(at);
        let now = self.nodes[at].now;
        for session in &mut self.sessions {
            if let Some(side) = session.side(at) {
                session.lines[side].on(now, HubEvent::Hurry);
            }
        }
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
}
