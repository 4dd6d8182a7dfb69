//! The side that shows the ticket or speaks the code. It lets one guest in, counts the tries, and keeps the time.
//!
//! The caller gives it one connection at a time and refuses others meanwhile.

use subtle::ConstantTimeEq;

use super::bond::{Bond, Showing};
use super::message::Message;
use super::transcript::number;
use super::voice::{Voice, VoiceSide};
use super::{Effect, LIVES, MOST_INTRODUCTION, PairEvent, PairTrouble, Spoken, TRIES, Ticket};
use crate::identity::Key;

/// How long a connection may say nothing before another gets its place, in milliseconds.
const PATIENCE: u64 = 10_000;

/// The host of one ticket or one spoken code.
pub struct Host {
    key: Key,
    way: Way,
    introduction: Vec<u8>,
    until: u64,
    tries: u8,
    state: State,
}

enum Way {
    Ticket { secret: [u8; 16], record: [u8; 16] },
    Voice(Spoken),
}

enum State {
    Open,
    Met { peer: Key, random: [u8; 32], since: u64 },
    Answered { bond: Bond, random: [u8; 32] },
    Committed { bond: Bond, number: [u8; 32] },
    Showing(Showing),
    Ended(PairTrouble),
}

impl Host {
    /// The host of a ticket that it has just made. What it says of itself is cut at [`MOST_INTRODUCTION`] bytes.
    #[must_use]
    pub fn by_ticket(ticket: &Ticket, introduction: Vec<u8>, now: u64) -> Self {
        let way = Way::Ticket {
            secret: ticket.secret,
            record: ticket.record,
        };
        Self::new(ticket.host, way, introduction, now)
    }

    /// The host of a code that its keeper reads out.
    #[must_use]
    pub fn by_voice(key: Key, spoken: Spoken, introduction: Vec<u8>, now: u64) -> Self {
        Self::new(key, Way::Voice(spoken), introduction, now)
    }

    fn new(key: Key, way: Way, mut introduction: Vec<u8>, now: u64) -> Self {
        introduction.truncate(MOST_INTRODUCTION);
        Self {
            key,
            way,
            introduction,
            until: now.saturating_add(LIVES),
            tries: TRIES,
            state: State::Open,
        }
    }

    /// Whether a connection may still come of use.
    #[must_use]
    pub fn stands(&self) -> bool {
        !matches!(self.state, State::Ended(_))
    }

    /// Takes an event at a moment (milliseconds) and says what is to be done.
    pub fn on(&mut self, now: u64, event: PairEvent) -> Vec<Effect> {
        if let State::Ended(why) = self.state {
            let asked = matches!(event, PairEvent::Met { .. } | PairEvent::Got(_));
            return if asked {
                vec![Effect::Ended(why)]
            } else {
                Vec::new()
            };
        }
        if now > self.until {
            return self.end(PairTrouble::Over, None);
        }
        match event {
            PairEvent::Met { peer, random } => self.met(peer, random, now),
            PairEvent::Got(frame) => match Message::read(&frame) {
                Some(message) => self.got(message, now),
                None if self.is_untried() => self.hang(),
                None => self.wrong(PairTrouble::Nonsense),
            },
            PairEvent::Broke => self.broke(),
            PairEvent::Same => self.compare(Showing::ours),
            PairEvent::Different => match self.state {
                State::Open => self.end(PairTrouble::Used, None),
                _ => self.end(PairTrouble::Differs, Some(Message::Different)),
            },
            PairEvent::Tick => match self.state {
                State::Met { since, .. } if now > since.saturating_add(PATIENCE) => {
                    self.state = State::Open;
                    vec![Effect::Hang(PairTrouble::Broken)]
                }
                _ => Vec::new(),
            },
        }
    }

    fn met(&mut self, peer: Key, random: [u8; 32], now: u64) -> Vec<Effect> {
        match self.state {
            State::Open | State::Met { .. } => {
                self.state = State::Met {
                    peer,
                    random,
                    since: now,
                };
                Vec::new()
            }
            _ => vec![Effect::Hang(PairTrouble::Busy)],
        }
    }

    fn got(&mut self, message: Message, now: u64) -> Vec<Effect> {
        match (std::mem::replace(&mut self.state, State::Open), message) {
            (State::Met { peer, random, .. }, Message::Claim(claim)) => match self.way {
                Way::Ticket { secret, record } => {
                    let bond = self.bond(peer, secret, record);
                    self.claimed(bond, &random, claim, now)
                }
                Way::Voice(_) => self.hang(),
            },
            (State::Met { peer, random, .. }, Message::Speak(half)) => self.spoken(peer, random, &half),
            (State::Answered { bond, random }, Message::Claim(claim)) => {
                self.claimed(bond, &random, claim, now)
            }
            (State::Committed { bond, number }, Message::Mine(theirs, told)) => {
                let code = bond
                    .transcript()
                    .digits((&number, &self.introduction), (&theirs, &told));
                let reveal = Message::Reveal(number, self.introduction.clone()).written();
                let showing = Showing::new(bond.guest, told);
                let shown = showing.shown(code);
                self.state = State::Showing(showing);
                vec![Effect::Send(reveal), shown]
            }
            (State::Showing(showing), Message::Same) => {
                self.state = State::Showing(showing);
                self.compare(Showing::theirs)
            }
            (State::Showing(_), Message::Different) => self.end(PairTrouble::Differs, None),
            // Once the secret was shown to be known, the ticket is used: nonsense ends it.
            (State::Committed { .. } | State::Showing(_), _) => self.end(PairTrouble::Nonsense, None),
            (State::Answered { .. }, _) => self.wrong(PairTrouble::Nonsense),
            _ => self.hang(),
        }
    }

    fn bond(&self, guest: Key, secret: [u8; 16], record: [u8; 16]) -> Bond {
        Bond {
            secret,
            record,
            host: self.key,
            guest,
        }
    }

    fn claimed(&mut self, bond: Bond, random: &[u8; 32], claim: [u8; 32], now: u64) -> Vec<Effect> {
        let transcript = bond.transcript();
        if !bool::from(claim.ct_eq(&transcript.claim())) {
            return self.wrong(PairTrouble::Wrong);
        }
        let number = number(random);
        let commitment = transcript.commitment(&number, &self.introduction);
        // The ticket is used from here on; the keepers have two minutes to compare.
        self.until = now.saturating_add(LIVES);
        self.state = State::Committed { bond, number };
        vec![Effect::Send(Message::Commit(commitment).written())]
    }

    fn spoken(&mut self, peer: Key, random: [u8; 32], half: &[u8]) -> Vec<Effect> {
        let Way::Voice(spoken) = &self.way else {
            return self.hang();
        };
        let (voice, own) = Voice::begin(VoiceSide::Host, spoken, peer, self.key, random);
        let Some(secret) = voice.finish(half) else {
            return self.hang();
        };
        let bond = self.bond(peer, secret, [0; 16]);
        self.state = State::Answered { bond, random };
        vec![Effect::Send(Message::Answer(own).written())]
    }

    /// A keeper's word on the digits, where they are shown.
    fn compare(&mut self, said: impl FnOnce(&mut Showing) -> Vec<Effect>) -> Vec<Effect> {
        let State::Showing(showing) = &mut self.state else {
            return Vec::new();
        };
        let effects = said(showing);
        if showing.agreed() {
            self.state = State::Ended(PairTrouble::Used);
        }
        effects
    }

    fn broke(&mut self) -> Vec<Effect> {
        match self.state {
            State::Open => Vec::new(),
            State::Met { .. } => {
                self.state = State::Open;
                Vec::new()
            }
            // A guess may have been tried and found wrong: it counts.
            State::Answered { .. } => self.wrong(PairTrouble::Broken),
            _ => self.end(PairTrouble::Broken, None),
        }
    }

    /// Whether nothing of the secret can have been tried over this connection yet.
    fn is_untried(&self) -> bool {
        matches!(self.state, State::Open | State::Met { .. })
    }

    /// Lets a connection go that says what makes no sense, and goes on waiting. Nothing of the secret was tried by it, so it
    /// uses up no try: a stranger on the net could end every pairing by three frames otherwise.
    fn hang(&mut self) -> Vec<Effect> {
        self.state = State::Open;
        vec![Effect::Hang(PairTrouble::Nonsense)]
    }

    /// One try less.
    fn wrong(&mut self, why: PairTrouble) -> Vec<Effect> {
        self.tries = self.tries.saturating_sub(1);
        if self.tries == 0 {
            return self.end(PairTrouble::TooMany, Some(Message::Wrong));
        }
        self.state = State::Open;
        vec![Effect::Send(Message::Wrong.written()), Effect::Hang(why)]
    }

    fn end(&mut self, why: PairTrouble, last: Option<Message>) -> Vec<Effect> {
        self.state = State::Ended(why);
        let mut effects: Vec<_> = last
            .map(|message| Effect::Send(message.written()))
            .into_iter()
            .collect();
        effects.push(Effect::Ended(why));
        effects
    }
}

impl std::fmt::Debug for Host {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "Host({}, {} tries left)", self.key, self.tries)
    }
}
