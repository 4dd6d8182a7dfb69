//! One meeting of two devices over one connection: which records they talk about, whose turn it is, who is waited for and
//! for how long, and what that failed begins anew and when. A pure value: it is told what happened and what time it is, and
//! says the one thing that is to be done next ([`HubTask`]); a thin host does it. It opens no socket, record or file, has no
//! thread, reads no clock and sleeps nowhere, so that hours of a meeting are tried in a moment.
//!
//! | rule | |
//! | --- | --- |
//! | greeting | the other says what it shares within [`GREETING`] of dialling here, or [`ANSWER`] of being dialled: it may be busy with other things first. Else the meeting ends, and says so |
//! | who begins | what both name is talked about; what one names no more is over; where the other is known by another device's name, anew |
//! | whose work | one thing is done at a time: the most urgent first ([`Urgency`]), of equals each record in turn |
//! | whose word | lists first, then of each record in turn: changes, small pictures while fewer than [`SMALLS_BELOW`] bytes wait to leave, originals while fewer than [`PHOTOS_BELOW`] do: what has left is not overtaken any more |
//! | room | no word waits for room while it could listen, but where more piled up than a conversation that goes by the rules has on its way ([`MOST_ON_THE_WAY`]) |
//! | listening | between any two things that are done, unless more than [`AHEAD`] wait: so changes overtake the photos of another record |
//! | time | conversations hear of it each [`BUSY`] milliseconds while something goes on, and each [`CALM`] while nothing does |
//! | failure | a conversation that is over by itself leaves the others to go on, and rests: [`REST`], then twice as long each time, [`MOST_DOUBLED`] times. Whoever dialled begins it anew; either side at once where somebody asks to meet now |
//! | end | with the last conversation; where nothing is shared any more, [`REFUSAL`] is left to the net to say why, and not a byte of a record leaves |
//!
//! A host asks for [`Hub::next`] again and again, and tells what happened in between. Time goes by [`Talk`]'s rule: no step
//! counts for more than ten seconds.

mod conversation;
mod order;
mod rests;
mod task;
#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use super::passed::Passed;
use super::{Came, Effect, Event, MOST_ON_THE_WAY, Message, Mine, Several, Status, Tag, Urgency, Why};
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
/// Changes, and everything else: a way's other half is the other end's.
const WORDS_BELOW: usize = MOST_ON_THE_WAY / 2;

const LANES: [(Urgency, usize); 3] = [
    (Urgency::Changes, WORDS_BELOW),
    (Urgency::Smalls, SMALLS_BELOW),
    (Urgency::Photos, PHOTOS_BELOW),
];

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

    fn patience(&self) -> u64 {
        if self.dialled { ANSWER } else { GREETING }
    }

    fn pause(&self) -> u64 {
        let calm = self.several.is_greeted() && self.talks.values().all(Conversation::is_calm);
        if calm { CALM } else { BUSY }
    }

    fn tick(&mut self, now: u64) {
        if self.time.now() >= self.ticked.saturating_add(self.pause()) {
            self.ticked = self.time.now();
            for talk in self.talks.values_mut() {
                talk.on(now, Event::Tick);
            }
        }
    }

    /// The next thing that a conversation wants.
    fn work(&mut self) -> Option<HubTask> {
        let wanting = self
            .talks
            .iter()
            .filter_map(|(tag, talk)| Some((*tag, talk.to_do()?)));
        let (tag, urgency) = self.worked.next(wanting)?;
        self.worked.had(tag, urgency);
        let effect = self.talks.get_mut(&tag)?.work()?;
        if let Effect::Close(why) = effect {
            self.over(tag, why);
            return None;
        }
        Some(HubTask::Do { tag, effect })
    }

    /// A conversation is over by itself: it says what it had to say, and leaves the others to go on.
    fn over(&mut self, tag: Tag, why: Why) {
        let Some(mut talk) = self.talks.remove(&tag) else {
            return;
        };
        while let Some(message) = talk.say(Urgency::Changes) {
            self.words.extend(self.several.about(&tag, &message));
        }
        self.rests.rest(tag, talk.number, self.time.now());
        self.note_over(tag, Some(why));
    }

    fn note_over(&mut self, tag: Tag, why: Option<Why>) {
        self.notes.push_back(HubTask::Over { tag, why });
    }

    /// The next frame, the most urgent first, of each record in turn, where there is room for it.
    fn speak(&mut self, waiting: usize) -> Option<HubTask> {
        let wait = self.piles_up();
        let (urgency, below) = self.lane()?;
        if !wait && waiting >= below {
            return None;
        }
        let send = |frame| HubTask::Send { frame, wait };
        let Some(urgency) = urgency else {
            return self.words.pop_front().map(send);
        };
        loop {
            let speaking = self.talks.iter().filter(|(_, talk)| talk.has(urgency));
            let (tag, _) = self.spoke.next(speaking.map(|(tag, _)| (*tag, urgency)))?;
            self.spoke.had(tag, urgency);
            let message = self.talks.get_mut(&tag)?.say(urgency)?;
            // Nobody is told what is not shared any more.
            if let Some(frame) = self.several.about(&tag, &message) {
                return Some(send(frame));
            }
        }
    }

    /// What is said next: words about the meeting, or something so urgent; and below how many bytes.
    fn lane(&self) -> Option<(Option<Urgency>, usize)> {
        if !self.words.is_empty() {
            return Some((None, WORDS_BELOW));
        }
        let mut lanes = LANES.into_iter();
        let lane = lanes.find(|(urgency, _)| self.talks.values().any(|talk| talk.has(*urgency)));
        lane.map(|(urgency, below)| (Some(urgency), below))
    }

    /// Whether more piled up than a conversation that goes by the rules ever has on its way.
    fn piles_up(&self) -> bool {
        let words: usize = self.words.iter().map(Vec::len).sum();
        words > MOST_ON_THE_WAY || self.talks.values().any(|talk| talk.waiting() > MOST_ON_THE_WAY)
    }

    /// Listens, unless too much waits to be done; ends where nothing is left to be talked about.
    fn listen(&mut self) -> Option<HubTask> {
        if self.several.is_greeted() && self.talks.is_empty() {
            let never = self.rests.is_empty();
            self.end(if never { Why::OtherRecord } else { Why::Leaving });
            return None;
        }
        let many: usize = self.talks.values().map(Conversation::many).sum();
        if many > AHEAD {
            return None;
        }
        let due = if many > 0 { self.time.now() } else { self.due() };
        Some(HubTask::Listen {
            until: self.time.moment(due),
            below: self.lane().map(|(_, below)| below),
        })
    }

    /// When the time alone makes something happen.
    fn due(&self) -> u64 {
        let tick = self.ticked.saturating_add(self.pause());
        let rested = self.rests.first().filter(|_| self.dialled);
        let silent = self.patience().saturating_add(1);
        let silent = (!self.several.is_greeted()).then_some(silent);
        tick.min(rested.unwrap_or(u64::MAX))
            .min(silent.unwrap_or(u64::MAX))
    }

    /// Says what is shared with the other now, where that is news, and talks about that alone.
    fn share(&mut self, shared: BTreeMap<Tag, String>) {
        self.shared = shared;
        if self.shared.is_empty() {
            // Of what it was refused not a byte leaves any more; the net says why, which it alone can.
            self.words.clear();
            self.part(|_| true, &Why::Leaving);
            self.stage = Stage::Refused(self.time.now().saturating_add(REFUSAL));
            return;
        }
        let tags: BTreeSet<Tag> = self.shared.keys().copied().collect();
        self.words.extend(self.several.share(&tags));
        for (tag, talk) in &self.talks {
            if self.shared.get(tag).is_some_and(|device| *device != talk.device) {
                self.words.extend(self.several.anew(tag));
            }
        }
        self.join();
    }

    /// Conversations that failed begin anew: those that have rested, or all where there is a hurry.
    fn begin_again(&mut self, hurry: bool) {
        let due = self.rests.rested(self.time.now(), hurry);
        for tag in &due {
            self.words.extend(self.several.anew(tag));
        }
        if !due.is_empty() {
            self.join();
        }
    }

    /// Begins what both share now, and ends what they do not.
    fn join(&mut self) {
        let open = self.several.open();
        self.part(|tag| !open.contains_key(tag), &Why::OtherRecord);
        let stays = |tag: &Tag, number: u32| open.get(tag) == Some(&number);
        let anew = self.talks.extract_if(.., |tag, talk| !stays(tag, talk.number));
        let anew: Vec<Tag> = anew.map(|(tag, _)| tag).collect();
        for tag in anew {
            self.note_over(tag, None);
        }
        self.rests.keep(stays);
        let unshared = self.shared.keys().filter(|tag| !open.contains_key(*tag));
        if self.several.is_greeted() {
            self.notes
                .extend(unshared.map(|tag| HubTask::Unshared { tag: *tag }));
        }
        let begins = |tag: &Tag| !self.talks.contains_key(tag) && !self.rests.is_resting(tag);
        self.beginning = open.into_iter().filter(|(tag, _)| begins(tag)).collect();
    }

    /// Ends conversations for a reason that their keepers read.
    fn part(&mut self, which: impl Fn(&Tag) -> bool, why: &Why) {
        let parted = self.talks.extract_if(.., |tag, _| which(tag));
        let parted: Vec<Tag> = parted.map(|(tag, _)| tag).collect();
        for tag in parted {
            self.note_over(tag, Some(why.clone()));
        }
    }

    fn got(&mut self, now: u64, frame: &[u8]) {
        match self.several.got(frame) {
            Ok(Came::Listed) => self.join(),
            Ok(Came::About(tag, message)) => self.tell(now, &tag, Event::Got(message)),
            Ok(Came::Nothing) => {}
            Err(why) => self.end(why),
        }
    }

    fn be_refused(&mut self, until: u64) -> Option<HubTask> {
        if self.time.now() >= until {
            self.end(Why::Leaving);
            return None;
        }
        Some(HubTask::Listen {
            until: self.time.moment(until),
            below: None,
        })
    }

    /// It ends for this reason: every conversation is over with it.
    fn end(&mut self, why: Why) {
        self.beginning.clear();
        if is_told(&why) {
            self.words.push_back(Several::bye(&why));
        }
        self.part(|_| true, &why);
        self.stage = Stage::Closing(why);
    }

    /// The last words, and then nothing.
    fn close(&mut self, why: Why) -> HubTask {
        match self.words.pop_front() {
            Some(frame) => HubTask::Send { frame, wait: true },
            None => HubTask::End(why),
        }
    }

    /// The connection is no more, but what came before its end is here: it is done, and may say why.
    fn hear_out(&mut self) -> Option<HubTask> {
        if self.talks.values().any(|talk| talk.many() > 0) {
            return self.work();
        }
        self.words.clear();
        self.end(Why::Broke);
        None
    }
}

/// Whether the other is told of it.
fn is_told(why: &Why) -> bool {
    !matches!(why, Why::Leaving | Why::Broke)
}
