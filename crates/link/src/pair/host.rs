//! The side that shows the ticket or speaks the code. It lets one guest in, counts the tries, and keeps the time.
//!
//! The caller gives it one connection at a time and refuses others meanwhile.

use super::message::Message;
use super::transcript::{Transcript, number};
use super::voice::{Side, Voice, proof};
use super::{Effect, Event, LIVES, MOST_INTRODUCTION, Spoken, TRIES, Ticket, Trouble};
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
    Met {
        peer: Key,
        random: [u8; 32],
        since: u64,
    },
    Committed {
        peer: Key,
        number: [u8; 32],
    },
    Answered {
        peer: Key,
        shared: [u8; 32],
    },
    Showing {
        peer: Key,
        told: Vec<u8>,
        same: bool,
        theirs: bool,
    },
    Ended(Trouble),
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
    pub fn on(&mut self, now: u64, event: Event) -> Vec<Effect> {
        if let State::Ended(why) = self.state {
            let asked = matches!(event, Event::Met { .. } | Event::Got(_));
            return if asked {
                vec![Effect::Ended(why)]
            } else {
                Vec::new()
            };
        }
        if now > self.until {
            return self.end(Trouble::Over, None);
        }
        match event {
            Event::Met { peer, random } => self.met(peer, random, now),
            Event::Got(frame) => match Message::read(&frame) {
                Some(message) => self.got(message, now),
                None => self.wrong(Trouble::Nonsense),
            },
            Event::Broke => self.broke(),
            Event::Same => self.same(),
            Event::Different => match self.state {
                State::Open => self.end(Trouble::Used, None),
                _ => self.end(Trouble::Differs, Some(Message::Different)),
            },
            Event::Tick => match self.state {
                State::Met { since, .. } if now > since.saturating_add(PATIENCE) => {
                    self.state = State::Open;
                    vec![Effect::Hang(Trouble::Broken)]
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
            _ => vec![Effect::Hang(Trouble::Busy)],
        }
    }

    fn got(&mut self, message: Message, now: u64) -> Vec<Effect> {
        match (std::mem::replace(&mut self.state, State::Open), message) {
            (State::Met { peer, random, .. }, Message::Claim(claim)) => {
                self.claimed(peer, random, claim, now)
            }
            (State::Met { peer, random, .. }, Message::Speak(half)) => self.spoken(peer, random, &half),
            (State::Committed { peer, number }, Message::Mine(theirs, told)) => {
                self.mine(peer, number, theirs, told)
            }
            (State::Answered { peer, shared }, Message::Proof(claim, told)) => {
                if claim != proof(&shared, Side::Guest, &[&told]) {
                    return self.wrong(Trouble::Wrong);
                }
                let own = proof(&shared, Side::Host, &[&told, &self.introduction]);
                self.state = State::Ended(Trouble::Used);
                vec![
                    Effect::Send(Message::Proof(own, self.introduction.clone()).written()),
                    Effect::Paired {
                        peer,
                        introduction: told,
                    },
                ]
            }
            (State::Showing { peer, told, same, .. }, Message::Same) => self.agreed(peer, told, same, true),
            (State::Showing { .. }, Message::Different) => self.end(Trouble::Differs, None),
            // Once the secret was shown to be known, the ticket is used: nonsense ends it.
            (State::Committed { .. } | State::Showing { .. }, _) => self.end(Trouble::Nonsense, None),
            _ => self.wrong(Trouble::Nonsense),
        }
    }

    fn claimed(&mut self, peer: Key, random: [u8; 32], claim: [u8; 32], now: u64) -> Vec<Effect> {
        let Some(transcript) = self.transcript(peer) else {
            return self.wrong(Trouble::Nonsense);
        };
        if claim != transcript.claim() {
            return self.wrong(Trouble::Wrong);
        }
        let number = number(&random);
        let commitment = transcript.commitment(&number, &self.introduction);
        // The ticket is used from here on; the keepers have two minutes to compare.
        self.until = now.saturating_add(LIVES);
        self.state = State::Committed { peer, number };
        vec![Effect::Send(Message::Commit(commitment).written())]
    }

    fn mine(&mut self, peer: Key, number: [u8; 32], theirs: [u8; 32], told: Vec<u8>) -> Vec<Effect> {
        let Some(transcript) = self.transcript(peer) else {
            return self.end(Trouble::Nonsense, None);
        };
        let code = transcript.digits((&number, &self.introduction), (&theirs, &told));
        let reveal = Message::Reveal(number, self.introduction.clone()).written();
        self.state = State::Showing {
            peer,
            told,
            same: false,
            theirs: false,
        };
        vec![Effect::Send(reveal), Effect::Show(code)]
    }

    fn spoken(&mut self, peer: Key, random: [u8; 32], half: &[u8]) -> Vec<Effect> {
        let Way::Voice(spoken) = &self.way else {
            return self.wrong(Trouble::Nonsense);
        };
        let (voice, own) = Voice::begin(Side::Host, spoken, peer, self.key, random);
        let Some(shared) = voice.finish(half) else {
            return self.wrong(Trouble::Nonsense);
        };
        self.state = State::Answered { peer, shared };
        vec![Effect::Send(Message::Answer(own).written())]
    }

    fn same(&mut self) -> Vec<Effect> {
        match std::mem::replace(&mut self.state, State::Open) {
            State::Showing {
                peer,
                told,
                same: false,
                theirs,
            } => {
                let mut effects = vec![Effect::Send(Message::Same.written())];
                effects.extend(self.agreed(peer, told, true, theirs));
                effects
            }
            other => {
                self.state = other;
                Vec::new()
            }
        }
    }

    fn agreed(&mut self, peer: Key, told: Vec<u8>, same: bool, theirs: bool) -> Vec<Effect> {
        if same && theirs {
            self.state = State::Ended(Trouble::Used);
            return vec![Effect::Paired {
                peer,
                introduction: told,
            }];
        }
        self.state = State::Showing {
            peer,
            told,
            same,
            theirs,
        };
        Vec::new()
    }

    fn broke(&mut self) -> Vec<Effect> {
        match self.state {
            State::Open => Vec::new(),
            State::Met { .. } => {
                self.state = State::Open;
                Vec::new()
            }
            // A guess may have been tried and found wrong: it counts.
            State::Answered { .. } => self.wrong(Trouble::Broken),
            _ => self.end(Trouble::Broken, None),
        }
    }

    /// One try less.
    fn wrong(&mut self, why: Trouble) -> Vec<Effect> {
        self.tries = self.tries.saturating_sub(1);
        if self.tries == 0 {
            return self.end(Trouble::TooMany, Some(Message::Wrong));
        }
        self.state = State::Open;
        vec![Effect::Send(Message::Wrong.written()), Effect::Hang(why)]
    }

    fn end(&mut self, why: Trouble, last: Option<Message>) -> Vec<Effect> {
        self.state = State::Ended(why);
        let mut effects: Vec<_> = last
            .map(|message| Effect::Send(message.written()))
            .into_iter()
            .collect();
        effects.push(Effect::Ended(why));
        effects
    }

    fn transcript(&self, guest: Key) -> Option<Transcript<'_>> {
        match &self.way {
            Way::Ticket { secret, record } => Some(Transcript {
                secret,
                record,
                host: self.key,
                guest,
            }),
            Way::Voice(_) => None,
        }
    }
}

impl std::fmt::Debug for Host {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "Host({}, {} tries left)", self.key, self.tries)
    }
}
