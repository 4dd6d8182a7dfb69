//! One side of one connection: its meeting as `link`'s hub has it, and the frames that left it and did not arrive. Two
//! records are talked about over it: the schedule's, and one in which nothing happens, so that the meeting outlives a
//! conversation that fails, and that is begun anew when it has rested.

use std::collections::{BTreeMap, VecDeque};

use link::talk::hub::{Hub, HubEvent, HubTask};
use link::talk::{Digest, Effect, Event, Hash, Hashes, Mine, Status, Tag, Why};

/// The record of the schedule.
pub const RECORD: Tag = [7; 16];
/// The one in which nothing happens.
const QUIET: Tag = [8; 16];

/// One side.
#[derive(Debug)]
pub struct Line {
    hub: Hub,
    device: String,
    /// Whether it listens: only then is it told of a frame.
    pub listens: bool,
    idle: bool,
    /// Frames on their way to the other side.
    pub out: VecDeque<Vec<u8>>,
    /// Why the meeting ended, on this side.
    pub ended: Option<Why>,
    /// Why conversations about the record ended by themselves.
    pub over: Vec<Why>,
    /// How often one began.
    pub begun: u64,
    /// Which device the other says it is.
    pub met: Option<String>,
    /// How the conversation stands, or stood last.
    pub status: Status,
    /// Photos that came wrong in conversations of before.
    pub wrong: u64,
    /// Changes that the other took in them.
    pub gave: u64,
    /// Bytes that left.
    pub sent: u64,
    /// Originals that were missing here, and whether the other said that it has them.
    pub there: BTreeMap<Hash, bool>,
}

/// What a line wants of the device that it is of.
#[derive(Debug)]
pub enum Wants {
    /// What it brings to a conversation.
    Mine,
    /// Something of its record.
    Effect(Effect),
    /// Nothing: it waits for a frame, or for the time.
    Nothing,
}

impl Line {
    /// The side of a device; whether it dialled.
    #[must_use]
    pub fn new(now: u64, device: &str, dialled: bool) -> Self {
        let mut hub = Hub::new(dialled);
        let shared = [RECORD, QUIET].map(|tag| (tag, String::new()));
        hub.on(now, HubEvent::Shares(shared.into()));
        Self {
            hub,
            device: device.to_owned(),
            listens: false,
            idle: false,
            out: VecDeque::new(),
            ended: None,
            over: Vec::new(),
            begun: 0,
            met: None,
            status: Status::default(),
            wrong: 0,
            gave: 0,
            sent: 0,
            there: BTreeMap::new(),
        }
    }

    /// Something happened in the meeting.
    pub fn on(&mut self, now: u64, event: HubEvent) {
        self.wake();
        self.hub.on(now, event);
    }

    /// Something happened in the conversation about the record.
    pub fn tell(&mut self, now: u64, event: Event) {
        self.idle = false;
        self.hub.tell(now, &RECORD, event);
    }

    /// Time has passed, or somebody knocked.
    pub fn wake(&mut self) {
        self.idle = false;
        self.listens = false;
    }

    /// What this side brings to the conversation that it wanted to begin.
    pub fn begun(&mut self, now: u64, mine: Mine) {
        self.begun += 1;
        self.status = Status::default();
        self.hub.begun(now, &RECORD, Some(mine));
    }

    /// What is wanted of the device next; what the hub does by itself is done before.
    ///
    /// # Panics
    /// Where a conversation says that it stands otherwise than it does.
    pub fn next(&mut self, now: u64) -> Wants {
        while self.ended.is_none() {
            let waiting = self.out.iter().map(Vec::len).sum();
            match self.hub.next(now, waiting) {
                HubTask::Begin { tag: RECORD } => return Wants::Mine,
                HubTask::Begin { tag } => {
                    let mine = Mine {
                        record: [tag[0]; 32],
                        device: self.device.clone(),
                        heads: Vec::new(),
                    };
                    self.hub.begun(now, &tag, Some(mine));
                }
                HubTask::Do { tag: RECORD, effect } => match effect {
                    Effect::Status(status) => self.status = status,
                    Effect::Met { device, .. } => self.met = Some(device),
                    Effect::Has(_) => {}
                    Effect::Holds { here, not } => {
                        self.there.extend(not.into_iter().map(|hash| (hash, false)));
                        self.there.extend(here.into_iter().map(|hash| (hash, true)));
                    }
                    other => return Wants::Effect(other),
                },
                HubTask::Do { tag, effect } => {
                    for event in nothing_of(&effect) {
                        self.hub.tell(now, &tag, event);
                    }
                }
                HubTask::Send { frame, .. } => {
                    self.sent += frame.len() as u64 + 4;
                    self.out.push_back(frame);
                }
                HubTask::Over { tag: RECORD, why } => {
                    self.wrong += self.status.photos_wrong;
                    self.gave += self.status.sent;
                    self.over.extend(why);
                }
                HubTask::Over { .. } | HubTask::Unshared { .. } => {}
                HubTask::Listen { until, .. } => {
                    self.listens = true;
                    self.idle = until > now;
                    return Wants::Nothing;
                }
                HubTask::End(why) => self.ended = Some(why),
            }
        }
        Wants::Nothing
    }

    /// Whether the conversation stands.
    #[must_use]
    pub fn stands(&self) -> bool {
        self.hub.status(&RECORD).is_some()
    }

    /// Whether the conversation failed in a meeting that goes on.
    #[must_use]
    pub fn has_failed(&self) -> bool {
        self.ended.is_none() && !self.over.is_empty() && !self.stands()
    }

    /// Whether nothing is to be done and nothing is on its way.
    #[must_use]
    pub fn is_idle(&self) -> bool {
        (self.idle || self.ended.is_some()) && self.out.is_empty()
    }
}

/// A record in which nothing happens, and what it answers.
fn nothing_of(effect: &Effect) -> Vec<Event> {
    match effect {
        Effect::AskClock => vec![Event::Clock(Vec::new())],
        Effect::AskLacking(_) => vec![Event::Lacking(Ok(Vec::new()))],
        Effect::Take(_) => vec![Event::Taken(Ok(Vec::new()))],
        Effect::AskPhotos => vec![Event::Missing(Vec::new()), Event::Photos(Vec::new())],
        Effect::AskHeld(_) => vec![Event::Held(Vec::new())],
        Effect::ReadPiece { key, offset, .. } => vec![Event::PieceRead {
            key: *key,
            offset: *offset,
            piece: None,
        }],
        Effect::AskDigest => vec![Event::Mine(Digest {
            heads: Hashes(Vec::new()),
            changes: 0,
            entries: [0; 32],
            photos: [0; 32],
            photos_missing: 0,
        })],
        _ => Vec::new(),
    }
}

/// Two sides.
#[derive(Debug)]
pub struct Session {
    /// The devices, by their places.
    pub ends: [usize; 2],
    /// Their sides.
    pub lines: [Line; 2],
    /// Whether a frame of another connection was put into it: it may end for that, and for nothing else.
    pub tainted: bool,
}

impl Session {
    /// The side of this device, where it has one.
    #[must_use]
    pub fn side(&self, at: usize) -> Option<usize> {
        self.ends.iter().position(|end| *end == at)
    }

    /// Whether it joins these two.
    #[must_use]
    pub fn joins(&self, one: usize, other: usize) -> bool {
        self.ends == [one, other] || self.ends == [other, one]
    }

    /// Whether both sides have ended.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.lines.iter().all(|line| line.ended.is_some())
    }
}
