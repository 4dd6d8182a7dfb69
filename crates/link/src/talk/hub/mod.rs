//! One meeting of two devices over one connection: which records they talk about, whose turn it is, who is waited for and
//! for how long, and what that failed begins anew and when. A pure value: it is told what happened and what time it is, and
//! says the one thing that is to be done next ([`HubTask`]); a thin host does it. It opens no socket, record or file, has no
//! thread, reads no clock and sleeps nowhere, so that hours of a meeting are tried in a moment.
//!
//! | rule | |
//! | --- | --- |
//! | greeting | the other says what it shares within [`GREETING`] of dialling here, or [`ANSWER`] of being dialled: it may be busy with other things first. Else the meeting ends, and says so |
//! | who begins | what both name is talked about; what one names no more is over; where the other is known by another device's name, anew |
//! | whose work | one thing is done at a time: the most urgent first ([`super::Urgency`]), of equals each record in turn |
//! | whose word | lists first, then of each record in turn: changes, small pictures while fewer than [`SMALLS_BELOW`] bytes wait to leave, originals while fewer than [`PHOTOS_BELOW`] do: what has left is not overtaken any more |
//! | room | no word waits for room while it could listen, but where more piled up than a conversation that goes by the rules has on its way ([`super::MOST_ON_THE_WAY`]) |
//! | listening | between any two things that are done, unless more than [`AHEAD`] wait: so changes overtake the photos of another record |
//! | time | conversations hear of it each [`BUSY`] milliseconds while something goes on, and each [`CALM`] while nothing does |
//! | failure | a conversation that is over by itself leaves the others to go on, and rests: [`REST`], then twice as long each time, [`MOST_DOUBLED`] times. Whoever dialled begins it anew; either side at once where somebody asks to meet now |
//! | end | with the last conversation; where nothing is shared any more, [`REFUSAL`] is left to the net to say why, and not a byte of a record leaves |
//!
//! A host asks for [`Hub::next`] again and again, and tells what happened in between. Time goes by [`super::Talk`]'s rule: no step
//! counts for more than ten seconds.

mod conversation;
mod ending;
mod joining;
mod order;
mod rests;
mod task;
#[cfg(test)]
mod tests;
mod turns;

use std::collections::{BTreeMap, VecDeque};

use super::passed::Passed;
use super::{Event, FrameCame, Message, Mine, Several, Status, Tag, Why};
use conversation::Conversation;
use order::Order;
use rests::Rests;
pub use rests::{MOST_DOUBLED, REST};
pub use task::{HubEvent, HubTask};

/// How many milliseconds a dialler may take to greet.
pub const GREETING: u64 = 10_000;
/// How many whoever was dialled may take.
pub const ANSWER: u64 = 60_000;
/// Milliseconds between looks at the time while something goes on.
pub const BUSY: u64 = 200;
/// While nothing does.
pub const CALM: u64 = 1_000;
/// How many the net may take to refuse a device in its own words.
pub const REFUSAL: u64 = 2_000;
/// What waits to be done while more is taken from the line.
pub const AHEAD: usize = 16;
/// Small pictures leave while fewer bytes than this wait to.
pub const SMALLS_BELOW: usize = 256 * 1024;
/// Originals leave while fewer bytes than this wait to.
pub const PHOTOS_BELOW: usize = 128 * 1024;
/// How far a meeting is.
#[derive(Debug, Default)]
enum Stage {
    /// It goes on.
    #[default]
    Open,
    /// Nothing is shared any more, and the net says why until then.
    Refused(u64),
    /// It ends for this reason, with what is still to be said.
    Closing(Why),
    /// The connection is no more; what came before its end is done, and may say why.
    Broken,
}

/// What is done between two frames, in this order.
#[derive(Clone, Copy, Debug, Default)]
enum Turn {
    #[default]
    Work,
    Speak,
    Listen,
}

/// One meeting.
#[derive(Debug)]
pub struct Hub {
    dialled: bool,
    time: Passed,
    stage: Stage,
    turn: Turn,
    several: Several,
    /// What is shared with the other, as far as is known here, with the other's device in each.
    shared: BTreeMap<Tag, String>,
    /// What is to be begun, with its numbers.
    beginning: BTreeMap<Tag, u32>,
    talks: BTreeMap<Tag, Conversation>,
    rests: Rests,
    /// Lists, and what conversations that are over still had to say.
    words: VecDeque<Vec<u8>>,
    /// What the host is to know.
    notes: VecDeque<HubTask>,
    /// Whose turn it was to do something, and to say something.
    worked: Order,
    spoke: Order,
    /// When conversations last heard of the time.
    ticked: u64,
}

impl Hub {
    /// A meeting that begins; whether this side dialled.
    #[must_use]
    pub fn new(dialled: bool) -> Self {
        Self {
            dialled,
            time: Passed::default(),
            stage: Stage::Open,
            turn: Turn::Work,
            several: Several::default(),
            shared: BTreeMap::new(),
            beginning: BTreeMap::new(),
            talks: BTreeMap::new(),
            rests: Rests::default(),
            words: VecDeque::new(),
            notes: VecDeque::new(),
            worked: Order::default(),
            spoke: Order::default(),
            ticked: 0,
        }
    }

    /// How the conversation about a record stands, where there is one.
    #[must_use]
    pub fn status(&self, tag: &Tag) -> Option<Status> {
        self.talks.get(tag).map(|talk| talk.talk().status())
    }

    /// Something happened at this moment, in milliseconds of any clock that is the caller's alone.
    pub fn on(&mut self, now: u64, event: HubEvent) {
        self.time.pass(now);
        match (&self.stage, event) {
            (Stage::Open | Stage::Refused(_), HubEvent::Broke) => {
                self.beginning.clear();
                self.stage = Stage::Broken;
            }
            (Stage::Open, HubEvent::Shares(shared)) => self.share(shared),
            (Stage::Open, HubEvent::Got(frame)) => self.got(now, &frame),
            (Stage::Open, HubEvent::Hurry) => self.begin_again(true),
            (Stage::Open | Stage::Refused(_), HubEvent::Leave) => self.end(Why::Leaving),
            // What is over is over.
            _ => {}
        }
    }

    /// What this side brings to a conversation that is to begin; nothing where it cannot.
    pub fn begun(&mut self, now: u64, tag: &Tag, mine: Option<Mine>) {
        self.time.pass(now);
        let (Some(number), Some(device)) = (self.beginning.remove(tag), self.shared.get(tag)) else {
            return;
        };
        if let Some(mine) = mine {
            let mut talk = Conversation::new(number, device.clone(), mine);
            talk.on(now, Event::Opened);
            self.talks.insert(*tag, talk);
        } else {
            let why = Why::Leaving.code();
            let bye = Message::Bye { why }.to_bytes();
            self.words.extend(self.several.about(tag, &bye));
            self.rests.rest(*tag, number, self.time.now());
        }
    }

    /// Something happened in the conversation about a record; nothing follows where there is none.
    pub fn tell(&mut self, now: u64, tag: &Tag, event: Event) {
        self.time.pass(now);
        if let Some(talk) = self.talks.get_mut(tag) {
            talk.on(now, event);
        }
    }

    /// What is to be done next, where so many bytes wait to leave.
    pub fn next(&mut self, now: u64, waiting: usize) -> HubTask {
        self.time.pass(now);
        loop {
            if let Some(note) = self.notes.pop_front() {
                return note;
            }
            let task = match &self.stage {
                Stage::Open => self.go_on(now, waiting),
                Stage::Refused(until) => self.be_refused(*until),
                Stage::Closing(why) => Some(self.close(why.clone())),
                Stage::Broken => self.hear_out(),
            };
            if let Some(task) = task {
                return task;
            }
        }
    }

    /// What is next while it goes on; nothing where something has changed that goes before.
    fn go_on(&mut self, now: u64, waiting: usize) -> Option<HubTask> {
        if let Some(tag) = self.beginning.keys().next() {
            return Some(HubTask::Begin { tag: *tag });
        }
        if !self.several.is_greeted() && self.time.now() > self.patience() {
            self.end(Why::Silent);
            return None;
        }
        if self.dialled && self.rests.first().is_some_and(|due| due <= self.time.now()) {
            self.begin_again(false);
            return None;
        }
        self.tick(now);
        match self.turn {
            Turn::Work => {
                self.turn = Turn::Speak;
                self.work()
            }
            Turn::Speak => {
                let said = self.speak(waiting);
                if said.is_none() {
                    self.turn = Turn::Listen;
                }
                said
            }
            Turn::Listen => {
                self.turn = Turn::Work;
                self.listen()
            }
        }
    }

    fn got(&mut self, now: u64, frame: &[u8]) {
        match self.several.got(frame) {
            Ok(FrameCame::Listed) => self.join(),
            Ok(FrameCame::About(tag, message)) => self.tell(now, &tag, Event::Got(message)),
            Ok(FrameCame::Nothing) => {}
            Err(why) => self.end(why),
        }
    }
}
