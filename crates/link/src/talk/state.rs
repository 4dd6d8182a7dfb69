//! The conversation itself: one peer, one record, both sides alike. It is told what happened and says what is to be done.
//! It holds no record, reads no clock, and is made anew for each connection: what it must know it is told again.

use super::asking::Asking;
use super::compare::{Compare, Compared, Counts};
use super::event::{Effect, Event, Mine, Phase, Status, Why};
use super::holding::Holding;
use super::message::{DIGEST, Hello, Message, VERSION};
use super::pack::PART_OPEN;
use super::passed::Passed;
use super::sending::Sending;
use super::serving::Serving;
use super::taking::Taking;
use super::wire::{Bytes, Hash, Hashes};

/// Something is said at least this often, in milliseconds.
pub const SAY_EVERY: u64 = 15_000;
/// The other is taken for gone when nothing was heard for this long.
pub const SILENT_AFTER: u64 = 60_000;
/// What was new here or there is compared when nothing followed it for this long.
const LULL: u64 = 2_000;
/// Most exchanges in one meeting. One is usual; each further one follows a difference.
pub(super) const MOST_ROUNDS: u32 = 32;

/// When something happened, in milliseconds that had passed.
#[derive(Debug, Default)]
struct Time {
    passed: Passed,
    said: u64,
    heard: u64,
}

/// One conversation.
#[derive(Debug)]
pub struct Talk {
    mine: Mine,
    /// The heads that this side greeted with.
    greeted: Vec<Hash>,
    opened: bool,
    closed: bool,
    time: Time,
    /// The other's greeting.
    pub(super) met: Option<Hello>,
    /// The exchange that is going on, or was last; 0 where both greeted alike.
    pub(super) round: u32,
    done: Option<u32>,
    clock_asked: bool,
    pub(super) their_clock: Vec<u8>,
    pub(super) their_clock_whole: bool,
    pub(super) sending: Sending,
    pub(super) taking: Taking,
    pub(super) asking: Asking,
    pub(super) serving: Serving,
    pub(super) holding: Holding,
    pub(super) compare: Compare,
    /// When something changed that was not compared yet.
    pub(super) uncompared: Option<u64>,
    photos_left: u64,
    /// Whether changes came since photos were last asked for.
    photos_unasked: bool,
    pub(super) alike: bool,
    difference: bool,
    /// Whether what was derived here was held against the changes since both were alike.
    mended: bool,
    status: Status,
    pub(super) effects: Vec<Effect>,
}

impl Talk {
    /// A conversation that has not begun.
    #[must_use]
    pub fn new(mine: Mine) -> Self {
        Self {
            mine,
            greeted: Vec::new(),
            opened: false,
            closed: false,
            time: Time::default(),
            met: None,
            round: 0,
            done: None,
            clock_asked: false,
            their_clock: Vec::new(),
            their_clock_whole: false,
            sending: Sending::default(),
            taking: Taking::default(),
            asking: Asking::default(),
            serving: Serving::default(),
            holding: Holding::default(),
            compare: Compare::default(),
            uncompared: None,
            photos_left: 0,
            photos_unasked: false,
            alike: false,
            difference: false,
            mended: false,
            status: Status::default(),
            effects: Vec::new(),
        }
    }

    /// How it stands.
    #[must_use]
    pub fn status(&self) -> Status {
        self.status
    }

    /// Takes one event and says what is to be done, in order. `now` are milliseconds of any clock that is the caller's
    /// alone; that it goes backward or leaps does no harm. After [`Effect::Close`] nothing follows, whatever happens.
    pub fn on(&mut self, now: u64, event: Event) -> Vec<Effect> {
        if self.closed {
            return Vec::new();
        }
        self.time.passed.pass(now);
        if let Err(why) = self.event(event) {
            self.close(why);
        } else if self.met.is_some() {
            self.go_on();
        }
        let status = self.standing();
        if status != self.status {
            self.status = status;
            let last = self.effects.len();
            let at = if self.closed { last.saturating_sub(1) } else { last };
            self.effects.insert(at, Effect::Status(status));
        }
        std::mem::take(&mut self.effects)
    }

    fn event(&mut self, event: Event) -> Result<(), Why> {
        match event {
            Event::Opened if !self.opened => {
                self.opened = true;
                self.greeted.clone_from(&self.mine.heads);
                let hello = Hello {
                    version: VERSION,
                    record: self.mine.record,
                    device: self.mine.device.clone(),
                    heads: Hashes(self.mine.heads.clone()),
                    digest: DIGEST,
                };
                self.say(&Message::Hello(hello));
            }
            Event::Opened => {}
            Event::Got(bytes) => {
                self.time.heard = self.time.passed.now();
                self.got(&bytes)?;
            }
            Event::Local { changes, heads } => {
                self.mine.heads = heads;
                // What is new before the greeting is among the heads that are greeted with.
                if self.opened && !changes.is_empty() {
                    self.changed();
                    // They may name photos that another device brought no more than the name of.
                    self.photos_unasked = true;
                    self.sending.local(changes);
                }
            }
            Event::Clock(bytes) => self.tell_clock(&bytes),
            Event::Lacking(Ok(changes)) => {
                let round = self.round;
                self.sending.lacking(changes, round);
            }
            Event::Lacking(Err(words)) => return Err(Why::Garbled(words)),
            Event::Taken(Ok(heads)) => {
                self.mine.heads = heads;
                self.taking.took();
                self.say_took();
                self.pass_over_empty();
                self.photos_unasked = true;
            }
            Event::Taken(Err(words)) => return Err(Why::Refused(words)),
            Event::Photos(_)
            | Event::Missing(_)
            | Event::Held(_)
            | Event::PieceRead { .. }
            | Event::PieceKept { .. }
            | Event::PhotoHere(_) => self.of_photos(event),
            Event::Mine(digest) => {
                let (quiet, counts) = (self.is_quiet(), self.counts());
                if self.compare.mine(&digest, quiet, counts) {
                    let (sent, taken) = counts;
                    self.say(&Message::Compare { sent, taken, digest });
                }
            }
            Event::Broke => return Err(Why::Broke),
            Event::Leave(why) => return Err(why),
            Event::Tick => self.tick()?,
        }
        Ok(())
    }

    /// What is wanted of photos here, what the other was told to have, and what was read or kept of one.
    fn of_photos(&mut self, event: Event) {
        let mut said = Vec::new();
        match event {
            Event::Photos(wanted) => {
                self.asking.want(wanted, &mut |message| said.push(message));
            }
            Event::Missing(hashes) => self.holding.missing(hashes),
            Event::Held(here) => {
                if let Some((message, lacking)) = self.holding.held(&here) {
                    self.serving.missing(lacking.into_iter());
                    said.push(message);
                }
            }
            Event::PieceRead { key, offset, piece } => {
                self.serving
                    .read(key, offset, piece, &mut |message| said.push(message));
            }
            Event::PieceKept { key, kept } => {
                self.asking.kept(key, kept, &mut |message| said.push(message));
            }
            Event::PhotoHere(key) => {
                self.asking.got_elsewhere(key, &mut |message| said.push(message));
                if self.serving.here(key) {
                    said.push(Message::Here { key });
                }
            }
            _ => {}
        }
        self.say_all(&said);
    }

    fn tick(&mut self) -> Result<(), Why> {
        let now = self.time.passed.now();
        if self.opened && now.saturating_sub(self.time.heard) >= SILENT_AFTER {
            return Err(Why::Silent);
        }
        if self.met.is_some() && now.saturating_sub(self.time.said) >= SAY_EVERY {
            self.say(&Message::Still);
        }
        if let Some(since) = self.uncompared
            && now.saturating_sub(since) >= LULL
            && self.is_quiet()
        {
            self.uncompared = None;
            self.compare.due();
        }
        Ok(())
    }

    /// What follows from where things stand, whatever happened.
    fn go_on(&mut self) {
        let mut said = Vec::new();
        self.sending.go(&mut |message| said.push(message));
        said.extend(self.holding.go());
        self.asking.go(&mut |message| said.push(message));
        self.say_all(&said);
        if let Some(effect) = self.serving.go() {
            self.effects.push(effect);
        }
        if self.done != Some(self.round) && self.both_done() {
            self.done = Some(self.round);
            self.compare.due();
            self.photos_unasked = true;
        }
        if self.photos_unasked && self.is_quiet() {
            self.photos_unasked = false;
            self.effects.push(Effect::AskPhotos);
        }
        let left = self.asking.left();
        if left == 0 && self.photos_left > 0 {
            self.uncompared = Some(self.time.passed.now());
            // There may be more than a host names at a time.
            self.photos_unasked = true;
        }
        self.photos_left = left;
        let (quiet, counts) = (self.is_quiet(), self.counts());
        if self.compare.ask(quiet, counts) {
            self.effects.push(Effect::AskDigest);
        }
        match self.compare.found() {
            Compared::Open => {}
            Compared::Alike => {
                self.alike = true;
                self.difference = false;
                self.mended = false;
            }
            Compared::Differ { derived } if self.round < MOST_ROUNDS => {
                if derived {
                    self.mend();
                }
                self.compare.again = true;
                self.begin_round(self.round.saturating_add(1));
            }
            Compared::Differ { .. } | Compared::StillDiffer => self.difference = true,
        }
    }

    /// What was derived here is held against the changes: once until both are alike again, whatever the other says.
    pub(super) fn mend(&mut self) {
        if !std::mem::replace(&mut self.mended, true) {
            self.effects.push(Effect::Mend);
        }
    }

    /// An exchange begins: both tell what they have.
    pub(super) fn begin_round(&mut self, round: u32) {
        self.round = round;
        self.their_clock.clear();
        self.their_clock_whole = false;
        self.sending.await_clock();
        self.compare.forget();
        self.alike = false;
        self.clock_asked = true;
        self.effects.push(Effect::AskClock);
    }

    fn tell_clock(&mut self, clock: &[u8]) {
        if !std::mem::take(&mut self.clock_asked) {
            return;
        }
        let mut at = 0_usize;
        loop {
            let rest = clock.get(at..).unwrap_or_default();
            let (part, after) = rest.split_at_checked(PART_OPEN).unwrap_or((rest, &[]));
            self.say(&Message::Have {
                round: self.round,
                at: at as u64,
                part: Bytes(part.to_vec()),
                last: after.is_empty(),
            });
            if after.is_empty() {
                return;
            }
            at = at.saturating_add(part.len());
        }
    }

    /// Something is new here or there.
    pub(super) fn changed(&mut self) {
        self.alike = false;
        self.uncompared = Some(self.time.passed.now());
    }

    /// Parts that only go on with a change are taken as soon as they are next.
    pub(super) fn pass_over_empty(&mut self) {
        while self.taking.nothing_to_take() {
            self.taking.took();
            self.say_took();
        }
    }

    fn say_took(&mut self) {
        let message = Message::Took {
            parts: self.taking.taken(),
            heads: Hashes(self.mine.heads.clone()),
        };
        self.say(&message);
    }

    pub(super) fn is_of(&self, record: &Hash) -> bool {
        self.mine.record == *record
    }

    pub(super) fn greets_alike(&self, heads: &[Hash]) -> bool {
        let set = |heads: &[Hash]| -> std::collections::BTreeSet<Hash> { heads.iter().copied().collect() };
        // What came in since this side greeted is kept in `sending`, and goes at once.
        set(&self.greeted) == set(heads)
    }

    pub(super) fn counts(&self) -> Counts {
        (self.sending.sent(), self.taking.taken())
    }

    fn both_done(&self) -> bool {
        self.sending.is_done(self.round) && self.taking.is_done(self.round)
    }

    fn is_quiet(&self) -> bool {
        self.done == Some(self.round) && self.both_done()
    }

    pub(super) fn say_all(&mut self, messages: &[Message]) {
        for message in messages {
            self.say(message);
        }
    }

    fn say(&mut self, message: &Message) {
        self.time.said = self.time.passed.now();
        self.effects.push(Effect::Send(message.to_bytes()));
    }

    fn close(&mut self, why: Why) {
        self.closed = true;
        // What was wanted before does not matter any more, but what was said was said.
        self.effects.retain(|effect| matches!(effect, Effect::Send(_)));
        if self.opened && !matches!(why, Why::Broke) {
            self.say(&Message::Bye { why: why.code() });
        }
        self.effects.push(Effect::Close(why));
    }

    fn standing(&self) -> Status {
        let phase = if self.closed {
            Phase::Ended
        } else if self.met.is_none() {
            Phase::Greeting
        } else if self.done != Some(self.round) {
            Phase::Changes
        } else if self.asking.left() > 0 || !self.serving.is_idle() {
            Phase::Photos
        } else {
            Phase::Live
        };
        Status {
            phase,
            sent: self.sending.changes_taken,
            got: self.taking.changes_taken,
            lacking_there: self.sending.left(),
            lacking_here: self.taking.lacking(),
            photos_left: self.asking.left(),
            photos_wrong: self.asking.wrong,
            alike: self.alike && self.sending.left() == 0,
            difference: self.difference,
        }
    }
}
