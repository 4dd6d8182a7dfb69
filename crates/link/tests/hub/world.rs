//! Two devices and a line between them, in simulated time: a way in each direction holds so many bytes a millisecond and
//! takes so long, what waits for it waits in a queue, and what a host does takes its time. Nothing here sleeps.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use link::talk::hub::{Hub, HubEvent, HubTask};
use link::talk::{Effect, Event, Mine, Tag, Why};

use crate::sides::Side;

/// A record by its number.
pub(crate) fn tag(record: u8) -> Tag {
    [record; 16]
}

/// Something that a hub wanted, and when.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Did {
    Began(u8),
    Worked(u8),
    Sent {
        bytes: usize,
        waiting: usize,
        wait: bool,
    },
    Over(u8, Option<Why>),
    Unshared(u8),
    Listened,
}

/// What a device is and has.
pub(crate) struct Device {
    pub(crate) name: &'static str,
    /// What it keeps; a record that it shares is one of these.
    pub(crate) books: BTreeMap<Tag, Side>,
    pub(crate) shares: BTreeSet<u8>,
    /// Records that cannot be opened.
    pub(crate) shut: BTreeSet<u8>,
    /// Records that take no change in.
    pub(crate) refuses: BTreeSet<u8>,
    /// Milliseconds that a thing takes which a conversation wants.
    pub(crate) takes: u64,
    /// Whether it does nothing at all.
    pub(crate) hangs: bool,
    /// What its meeting wanted, with when.
    pub(crate) did: Vec<(u64, Did)>,
    /// Why its last meeting ended, and when.
    pub(crate) ended: Option<(u64, Why)>,
    end: Option<End>,
}

/// One end of a connection.
struct End {
    hub: Hub,
    out: VecDeque<Vec<u8>>,
    /// Frames on their way here, with when they arrive.
    coming: VecDeque<(u64, Vec<u8>)>,
    free_at: u64,
    listens: Option<(u64, Option<usize>)>,
    /// The way from here is taken until then.
    taken: u64,
    /// Nothing comes any more after what is here.
    gone: bool,
}

impl End {
    fn waiting(&self) -> usize {
        self.out.iter().map(Vec::len).sum()
    }
}

pub(crate) struct World {
    pub(crate) now: u64,
    pub(crate) devices: [Device; 2],
    /// Bytes a millisecond, each way.
    pub(crate) rate: u64,
    /// Milliseconds.
    pub(crate) latency: u64,
}

impl Device {
    pub(crate) fn new(name: &'static str, records: &[(u8, &[&str])]) -> Self {
        let books = records
            .iter()
            .map(|(record, changes)| (tag(*record), Side::of(name, changes)));
        Self {
            name,
            books: books.collect(),
            shares: records.iter().map(|(record, _)| *record).collect(),
            shut: BTreeSet::new(),
            refuses: BTreeSet::new(),
            takes: 1,
            hangs: false,
            did: Vec::new(),
            ended: None,
            end: None,
        }
    }

    pub(crate) fn book(&mut self, record: u8) -> &mut Side {
        self.books.get_mut(&tag(record)).unwrap()
    }

    pub(crate) fn hub(&self) -> Option<&Hub> {
        self.end.as_ref().map(|end| &end.hub)
    }

    /// When it did something that is so.
    pub(crate) fn when(&self, so: impl Fn(&Did) -> bool) -> Vec<u64> {
        let those = self.did.iter().filter(|(_, did)| so(did));
        those.map(|(at, _)| *at).collect()
    }

    fn mine(&self, tag: &Tag) -> Option<Mine> {
        if self.shut.contains(&tag[0]) {
            return None;
        }
        Some(Mine {
            record: [tag[0]; 32],
            device: self.name.to_owned(),
            heads: self.books[tag].heads(),
        })
    }

    /// What it shares, with the other's name in each.
    fn shared(&self, other: &str) -> HubEvent {
        let all = self.shares.iter().map(|record| (tag(*record), other.to_owned()));
        HubEvent::Shares(all.collect())
    }
}

impl World {
    pub(crate) fn new(one: Device, other: Device) -> Self {
        Self {
            now: 1_000,
            devices: [one, other],
            rate: 1_000,
            latency: 5,
        }
    }

    /// A connection stands, which the first device dialled.
    pub(crate) fn connect(&mut self) {
        let names = [self.devices[1].name, self.devices[0].name];
        for (at, device) in self.devices.iter_mut().enumerate() {
            let mut hub = Hub::new(at == 0);
            hub.on(self.now, device.shared(names[at]));
            device.ended = None;
            device.end = Some(End {
                hub,
                out: VecDeque::new(),
                coming: VecDeque::new(),
                free_at: self.now,
                listens: None,
                taken: self.now,
                gone: false,
            });
        }
    }

    /// It breaks: what was on its way is lost, what had come is here.
    pub(crate) fn cut(&mut self) {
        for device in &mut self.devices {
            if let Some(end) = &mut device.end {
                end.coming.retain(|(at, _)| *at <= self.now);
                end.gone = true;
            }
        }
    }

    pub(crate) fn is_connected(&self) -> bool {
        self.devices.iter().any(|device| device.end.is_some())
    }

    /// A device is told something of its meeting.
    pub(crate) fn on(&mut self, at: usize, event: HubEvent) {
        if let Some(end) = &mut self.devices[at].end {
            end.hub.on(self.now, event);
            end.listens = None;
        }
    }

    /// It shares these now.
    pub(crate) fn share(&mut self, at: usize, records: &[u8]) {
        self.devices[at].shares = records.iter().copied().collect();
        let other = self.devices[1 - at].name;
        let event = self.devices[at].shared(other);
        self.on(at, event);
    }

    /// Something is written in a record.
    pub(crate) fn write(&mut self, at: usize, record: u8, text: &str) {
        let now = self.now;
        let device = &mut self.devices[at];
        let book = device.book(record);
        book.changes.push(text.as_bytes().to_vec());
        let event = Event::Local {
            changes: vec![text.as_bytes().to_vec()],
            heads: book.heads(),
        };
        if let Some(end) = &mut device.end {
            end.hub.tell(now, &tag(record), event);
            end.listens = None;
        }
    }

    /// Goes on until this moment, or until something is so; whether it was.
    pub(crate) fn until(&mut self, moment: u64, so: impl Fn(&Self) -> bool) -> bool {
        loop {
            self.carry();
            while self.step() {
                self.carry();
                if so(self) {
                    return true;
                }
            }
            if so(self) {
                return true;
            }
            let next = self.next_moment().unwrap_or(u64::MAX);
            if next > moment {
                self.now = moment;
                return false;
            }
            assert!(next > self.now, "nothing happens at {next}");
            self.now = next;
        }
    }

    pub(crate) fn pass(&mut self, long: u64) {
        self.until(self.now + long, |_| false);
    }

    /// What waits leaves as the ways have room for it.
    fn carry(&mut self) {
        for at in 0..2 {
            let Some(mut from) = self.devices[at].end.take() else {
                continue;
            };
            while from.taken <= self.now {
                let Some(frame) = from.out.pop_front() else { break };
                from.taken = self.now.max(from.taken) + (frame.len() as u64).div_ceil(self.rate);
                if let Some(to) = self.devices[1 - at].end.as_mut().filter(|to| !to.gone) {
                    to.coming.push_back((from.taken + self.latency, frame));
                }
            }
            self.devices[at].end = Some(from);
        }
    }

    /// Each device does the next thing, if it is free to. Whether any did.
    fn step(&mut self) -> bool {
        let mut busy = false;
        for at in 0..2 {
            let Some(mut end) = self.devices[at].end.take() else {
                continue;
            };
            let device = &mut self.devices[at];
            let mut over = false;
            if !device.hangs && end.free_at <= self.now && end.wakes(self.now) {
                busy = true;
                over = device.perform(&mut end, self.now);
            }
            if over {
                // The last words leave; the other hears nothing after them.
                for frame in end.out {
                    end.taken = self.now.max(end.taken) + (frame.len() as u64).div_ceil(self.rate);
                    if let Some(to) = self.devices[1 - at].end.as_mut().filter(|to| !to.gone) {
                        to.coming.push_back((end.taken + self.latency, frame));
                    }
                }
                if let Some(to) = self.devices[1 - at].end.as_mut() {
                    to.gone = true;
                }
            } else {
                self.devices[at].end = Some(end);
            }
        }
        busy
    }

    fn next_moment(&self) -> Option<u64> {
        let mut all = Vec::new();
        for device in &self.devices {
            let Some(end) = &device.end else { continue };
            if !end.out.is_empty() {
                all.push(end.taken);
            }
            if device.hangs {
                continue;
            }
            if end.free_at > self.now {
                all.push(end.free_at);
                continue;
            }
            all.extend(end.coming.front().map(|(at, _)| *at));
            all.extend(end.listens.map(|(until, _)| until));
        }
        all.into_iter().filter(|at| *at > self.now).min()
    }
}

impl End {
    /// Whether it has something to do: it does not listen, or what it listens for is so.
    fn wakes(&self, now: u64) -> bool {
        let Some((until, below)) = self.listens else {
            return true;
        };
        let comes = self.coming.front().is_some_and(|(at, _)| *at <= now);
        let low = below.is_some_and(|below| self.waiting() < below);
        comes || low || until <= now || self.gone && self.coming.is_empty()
    }
}

impl Device {
    /// Does one thing. Whether the meeting is over by it.
    fn perform(&mut self, end: &mut End, now: u64) -> bool {
        if end.listens.take().is_some() {
            match end.coming.front() {
                Some((at, _)) if *at <= now => {
                    let (_, frame) = end.coming.pop_front().unwrap();
                    end.hub.on(now, HubEvent::Got(frame));
                }
                None if end.gone => end.hub.on(now, HubEvent::Broke),
                _ => {}
            }
        }
        let waiting = end.waiting();
        let did = match end.hub.next(now, waiting) {
            HubTask::Begin { tag } => {
                let mine = self.mine(&tag);
                end.hub.begun(now, &tag, mine);
                Did::Began(tag[0])
            }
            HubTask::Do { tag, effect } => {
                for event in self.done(&tag, effect) {
                    end.hub.tell(now, &tag, event);
                }
                end.free_at = now + self.takes;
                Did::Worked(tag[0])
            }
            HubTask::Send { frame, wait } => {
                let bytes = frame.len();
                end.out.push_back(frame);
                Did::Sent { bytes, waiting, wait }
            }
            HubTask::Over { tag, why } => Did::Over(tag[0], why),
            HubTask::Unshared { tag } => Did::Unshared(tag[0]),
            HubTask::Listen { until, below } => {
                end.listens = Some((until, below));
                Did::Listened
            }
            HubTask::End(why) => {
                self.ended = Some((now, why));
                return true;
            }
        };
        self.did.push((now, did));
        false
    }

    fn done(&mut self, tag: &Tag, effect: Effect) -> Vec<Event> {
        match effect {
            Effect::Take(_) if self.refuses.contains(&tag[0]) => {
                vec![Event::Taken(Err("it cannot be".to_owned()))]
            }
            Effect::Met { .. } | Effect::Has(_) | Effect::Status(_) => Vec::new(),
            other => self.books.get_mut(tag).unwrap().done(other),
        }
    }
}

impl World {
    /// A device says which photos it wants of a record.
    pub(crate) fn tell_photos(&mut self, at: usize, record: u8, wanted: Vec<link::talk::Wanted>) {
        let now = self.now;
        if let Some(end) = &mut self.devices[at].end {
            end.hub.tell(now, &tag(record), Event::Photos(wanted));
            end.listens = None;
        }
    }
}
