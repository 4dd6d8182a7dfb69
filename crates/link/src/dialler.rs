//! When one device dials another that it wishes to meet: when it tries, for how long, and what it waits for in between. A pure
//! value, which is told what happened and what time it is; it opens no connection, reads no clock and sleeps nowhere. Whoever
//! carries it out ([`crate::net`]) tells what is known of the other at each look.
//!
//! | rule | |
//! | --- | --- |
//! | nobody | who is here, may not come, or of whom no whereabouts are known is not dialled: news are awaited |
//! | courtesy | of two that see each other come up near, or whose connection broke, the larger key waits [`COURTESY`] once, so that both rarely dial at once; a device that only just began and remembers where the other was does not: the other has given up dialling for long |
//! | two at once | [`older_stays`]: both keep the same one |
//! | patience | an attempt takes at most [`ATTEMPTS`], in turn: near peers answer soon, a relay far away later |
//! | rest | after one that came to nothing [`FIRST_PAUSE`], then twice as long, up to half of [`LONGEST_PAUSE`]; who was seen on the same network is tried after [`NEAR_PAUSE`] at the latest |
//! | refusal | who lets this device in no more is asked after [`LONGEST_PAUSE`] |
//! | short meetings | after one that stood for less than [`STANDS`] the other is dialled at once; after each further such one the rest is twice as long, from [`FIRST_PAUSE`] up to half of [`LONGEST_PAUSE`]: two whose only talk fails at once do not meet again and again |
//! | news | end any rest and any attempt, and both begin from their beginning |

use crate::identity::Key;

/// How many milliseconds attempts may take, in turn.
pub const ATTEMPTS: [u64; 4] = [2_500, 2_500, 5_000, 10_000];
/// Milliseconds after the first attempt that came to nothing.
pub const FIRST_PAUSE: u64 = 250;
/// Milliseconds between attempts at most.
pub const LONGEST_PAUSE: u64 = 30_000;
/// Between attempts where the other was seen on the same network.
pub const NEAR_PAUSE: u64 = 1_000;
/// For how many milliseconds the larger key lets the smaller dial first.
pub const COURTESY: u64 = 150;

/// A meeting that stands for so many milliseconds was one: what ended it says nothing of the next.
pub const STANDS: u64 = 10_000;

/// Two connections of one pair that are made within so many milliseconds are a double dial, not a return.
pub const DOUBLE: u64 = 3_000;

/// Whether the older of two connections with one peer stays, by who dialled either and how long it has stood. Of two that
/// both dialled at once both keep the one that the smaller key dialled, whichever each saw first; else the newer takes the
/// older's place: whoever dials again knows that the older is no more.
#[must_use]
pub fn older_stays(older: &Key, newer: &Key, stood: u64) -> bool {
    older < newer && stood < DOUBLE
}

/// What is known of the other now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SeenPeer {
    /// A meeting with it stands.
    pub here: bool,
    /// It may come, and there is an address or a service by which it could be found.
    pub reachable: bool,
    /// It was seen on the same network.
    pub near: bool,
    /// This device has been listening for a moment only.
    pub began: bool,
}

/// What is to be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[must_use = "nobody is met by whoever does not dial"]
pub enum Dial {
    /// Wait for news, however long it takes.
    Await,
    /// Wait for news, no longer than until this moment.
    Rest(u64),
    /// Wait until this moment, whatever is new.
    Courtesy(u64),
    /// Try, for no more than so many milliseconds, unless there are news before a connection stands.
    Try(u64),
}

/// What came of an attempt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tried {
    /// They meet.
    Met,
    /// Nobody answered, or another connection stands.
    Missed,
    /// It lets this device in no more.
    Refused,
}

/// One device's dialling of another.
#[derive(Debug)]
pub struct Dialler {
    /// Whether this device's key is the larger one.
    larger: bool,
    courteous: bool,
    pause: u64,
    tries: usize,
    /// Until when nobody is tried.
    rests: Option<u64>,
    /// Since when they meet.
    since: Option<u64>,
    /// How many meetings in a row were short.
    short: u32,
}

impl Dialler {
    /// For a device that was not dialled yet; whether the own key is larger than its.
    #[must_use]
    pub fn new(larger: bool) -> Self {
        Self {
            larger,
            courteous: true,
            pause: FIRST_PAUSE,
            tries: 0,
            rests: None,
            since: None,
            short: 0,
        }
    }

    /// What is to be done at this moment, in milliseconds of a clock that never goes back.
    pub fn next(&mut self, now: u64, seen: SeenPeer) -> Dial {
        if seen.here {
            self.courteous = true;
            self.since.get_or_insert(now);
            return Dial::Await;
        }
        if let Some(since) = self.since.take() {
            self.parted(now, now.saturating_sub(since) >= STANDS);
        }
        if !seen.reachable {
            return Dial::Await;
        }
        if let Some(until) = self.rests.filter(|until| now < *until) {
            return Dial::Rest(until);
        }
        self.rests = None;
        if self.courteous && self.larger && (seen.near || !seen.began) {
            self.courteous = false;
            return Dial::Courtesy(now.saturating_add(COURTESY));
        }
        let within = ATTEMPTS.get(self.tries % ATTEMPTS.len());
        Dial::Try(within.copied().unwrap_or(NEAR_PAUSE))
    }

    /// A meeting is over; whether it was more than a short one.
    fn parted(&mut self, now: u64, stood: bool) {
        self.news();
        if stood {
            self.short = 0;
        }
        if let Some(before) = self.short.checked_sub(1) {
            let rest = FIRST_PAUSE.saturating_mul(2_u64.saturating_pow(before));
            self.rests = Some(now.saturating_add(rest.min(LONGEST_PAUSE / 2)));
        }
        self.short = self.short.saturating_add(u32::from(!stood));
    }

    /// There are news of the other, or somebody asks for it now.
    pub fn news(&mut self) {
        self.pause = FIRST_PAUSE;
        self.tries = 0;
        self.rests = None;
    }

    /// An attempt is over.
    pub fn tried(&mut self, now: u64, seen: SeenPeer, tried: Tried) {
        self.tries = self.tries.saturating_add(1);
        match tried {
            Tried::Met => {
                self.since = Some(now);
                return;
            }
            Tried::Missed => {}
            Tried::Refused => self.pause = LONGEST_PAUSE,
        }
        let most = if seen.near && self.pause < LONGEST_PAUSE {
            NEAR_PAUSE
        } else {
            LONGEST_PAUSE
        };
        self.rests = Some(now.saturating_add(self.pause.min(most)));
        self.pause = self.pause.saturating_mul(2).min(LONGEST_PAUSE / 2);
    }
}
