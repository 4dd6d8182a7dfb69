//! One side of one connection: its conversation, what it wants done and was not done yet, and the frames that left it and
//! did not arrive.

use std::collections::{BTreeMap, VecDeque};

use link::talk::{Effect, Event, Hash, Mine, Status, Talk, Why};

/// One side.
#[derive(Debug)]
pub struct Line {
    talk: Talk,
    /// What is to be done.
    pub todo: VecDeque<Effect>,
    /// Frames on their way to the other side.
    pub out: VecDeque<Vec<u8>>,
    /// Why it ended, on this side.
    pub ended: Option<Why>,
    /// Which device the other says it is.
    pub met: Option<String>,
    /// Bytes that left.
    pub sent: u64,
    /// Originals that were missing here, and whether the other said that it has them.
    pub there: BTreeMap<Hash, bool>,
}

impl Line {
    /// A side that has not begun.
    #[must_use]
    pub fn new(mine: Mine) -> Self {
        Self {
            talk: Talk::new(mine),
            todo: VecDeque::new(),
            out: VecDeque::new(),
            ended: None,
            met: None,
            sent: 0,
            there: BTreeMap::new(),
        }
    }

    /// How it stands.
    #[must_use]
    pub fn status(&self) -> Status {
        self.talk.status()
    }

    /// Tells the conversation something, and takes down what it wants.
    ///
    /// # Panics
    /// Where something is wanted after the end.
    pub fn tell(&mut self, now: u64, event: Event) {
        for effect in self.talk.on(now, event) {
            assert!(self.ended.is_none(), "{effect:?} after the end");
            match effect {
                Effect::Send(frame) => {
                    self.sent += frame.len() as u64 + 4;
                    self.out.push_back(frame);
                }
                Effect::Close(why) => {
                    self.todo.clear();
                    self.ended = Some(why);
                }
                Effect::Status(status) => assert_eq!(status, self.talk.status()),
                Effect::Met { device, .. } => self.met = Some(device),
                Effect::Has(_) => {}
                Effect::Holds { here, not } => {
                    self.there.extend(not.into_iter().map(|hash| (hash, false)));
                    self.there.extend(here.into_iter().map(|hash| (hash, true)));
                }
                other => self.todo.push_back(other),
            }
        }
    }

    /// Whether nothing is to be done and nothing is on its way.
    #[must_use]
    pub fn is_idle(&self) -> bool {
        self.todo.is_empty() && self.out.is_empty()
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
