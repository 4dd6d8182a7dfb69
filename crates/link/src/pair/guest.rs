//! The side that scans or types the ticket, or hears the code. It claims, checks the host's commitment, shows the
//! digits, and never says who it is before the host has committed.

use super::bond::{Bond, Showing};
use super::message::Message;
use super::transcript::number;
use super::voice::{Voice, VoiceSide};
use super::{Effect, LIVES, MOST_INTRODUCTION, PairEvent, PairTrouble, Spoken, TRIES, Ticket};
use crate::identity::Key;

/// The guest of one ticket or one spoken code.
pub struct Guest {
    key: Key,
    way: Way,
    introduction: Vec<u8>,
    until: u64,
    tries: u8,
    state: State,
}

enum Way {
    Ticket(Box<Ticket>),
    Voice(Spoken),
}

enum State {
    Idle,
    Speaking {
        peer: Key,
        number: [u8; 32],
        voice: Box<Voice>,
    },
    Claimed {
        bond: Bond,
        number: [u8; 32],
    },
    Told {
        bond: Bond,
        number: [u8; 32],
        commitment: [u8; 32],
    },
    Showing(Showing),
    Ended(PairTrouble),
}

impl Guest {
    /// The guest of a ticket. What it says of itself is cut at [`MOST_INTRODUCTION`] bytes.
    #[must_use]
    pub fn by_ticket(key: Key, ticket: Ticket, introduction: Vec<u8>, now: u64) -> Self {
        Self::new(key, Way::Ticket(Box::new(ticket)), introduction, now)
    }

    /// The guest of a code that its keeper heard.
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
            state: State::Idle,
        }
    }

    /// Whether another connection may still come of use.
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
            PairEvent::Met { peer, random } => self.met(peer, random),
            PairEvent::Got(frame) => match Message::read(&frame) {
                Some(message) => self.got(message, now),
                None => self.end(PairTrouble::Nonsense, None),
            },
            PairEvent::Broke => self.broke(),
            PairEvent::Same => self.compare(Showing::ours),
            PairEvent::Different => self.end(PairTrouble::Differs, Some(Message::Different)),
            PairEvent::Tick => Vec::new(),
        }
    }

    fn met(&mut self, peer: Key, random: [u8; 32]) -> Vec<Effect> {
        if !matches!(self.state, State::Idle) {
            return vec![Effect::Hang(PairTrouble::Busy)];
        }
        match &self.way {
            Way::Ticket(ticket) if ticket.host != peer => vec![Effect::Hang(PairTrouble::Wrong)],
            Way::Ticket(ticket) => {
                let bond = Bond {
                    secret: ticket.secret,
                    record: ticket.record,
                    host: ticket.host,
                    guest: self.key,
                };
                self.claim(bond, number(&random))
            }
            Way::Voice(spoken) => {
                let (voice, half) = Voice::begin(VoiceSide::Guest, spoken, self.key, peer, random);
                self.state = State::Speaking {
                    peer,
                    number: number(&random),
                    voice: Box::new(voice),
                };
                vec![Effect::Send(Message::Speak(half).written())]
            }
        }
    }

    fn claim(&mut self, bond: Bond, number: [u8; 32]) -> Vec<Effect> {
        let claim = bond.transcript().claim();
        self.state = State::Claimed { bond, number };
        vec![Effect::Send(Message::Claim(claim).written())]
    }

    fn got(&mut self, message: Message, now: u64) -> Vec<Effect> {
        match (std::mem::replace(&mut self.state, State::Idle), message) {
            (State::Speaking { peer, number, voice }, Message::Answer(half)) => match voice.finish(&half) {
                Some(secret) => {
                    let bond = Bond {
                        secret,
                        record: [0; 16],
                        host: peer,
                        guest: self.key,
                    };
                    self.claim(bond, number)
                }
                None => self.wrong(PairTrouble::Nonsense),
            },
            (State::Claimed { bond, number }, Message::Commit(commitment)) => {
                self.until = now.saturating_add(LIVES);
                self.state = State::Told {
                    bond,
                    number,
                    commitment,
                };
                vec![Effect::Send(
                    Message::Mine(number, self.introduction.clone()).written(),
                )]
            }
            (
                State::Told {
                    bond,
                    number,
                    commitment,
                },
                Message::Reveal(theirs, told),
            ) => self.revealed(&bond, number, commitment, theirs, told),
            (State::Showing(showing), Message::Same) => {
                self.state = State::Showing(showing);
                self.compare(Showing::theirs)
            }
            (State::Showing(_), Message::Different) => self.end(PairTrouble::Differs, None),
            (State::Speaking { .. } | State::Claimed { .. }, Message::Wrong) => match self.way {
                Way::Ticket(_) => self.end(PairTrouble::Wrong, None),
                Way::Voice(_) => self.wrong(PairTrouble::Wrong),
            },
            _ => self.end(PairTrouble::Nonsense, None),
        }
    }

    fn revealed(
        &mut self,
        bond: &Bond,
        number: [u8; 32],
        commitment: [u8; 32],
        theirs: [u8; 32],
        told: Vec<u8>,
    ) -> Vec<Effect> {
        let transcript = bond.transcript();
        if transcript.commitment(&theirs, &told) != commitment {
            return self.end(PairTrouble::Changed, Some(Message::Different));
        }
        let code = transcript.digits((&theirs, &told), (&number, &self.introduction));
        let showing = Showing::new(bond.host, told);
        let shown = showing.shown(code);
        self.state = State::Showing(showing);
        vec![shown]
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
        match (&self.state, &self.way) {
            (State::Idle, _) => Vec::new(),
            // The host has not committed yet: the ticket may still be good.
            (State::Claimed { .. }, Way::Ticket(_)) => {
                self.state = State::Idle;
                vec![Effect::Hang(PairTrouble::Broken)]
            }
            (State::Speaking { .. } | State::Claimed { .. }, _) => self.wrong(PairTrouble::Broken),
            _ => self.end(PairTrouble::Broken, None),
        }
    }

    /// One try less; by voice, for whoever answers may be guessing as well.
    fn wrong(&mut self, why: PairTrouble) -> Vec<Effect> {
        self.tries = self.tries.saturating_sub(1);
        if self.tries == 0 {
            return self.end(PairTrouble::TooMany, None);
        }
        self.state = State::Idle;
        vec![Effect::Hang(why)]
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

impl std::fmt::Debug for Guest {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "Guest({}, {} tries left)", self.key, self.tries)
    }
}
