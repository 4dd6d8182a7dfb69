//! What each message of the other does. A message that has no place where it comes ends the meeting with one clear
//! reason; one that came before already is passed over.

use super::event::{Effect, Why};
use super::message::{Hello, Message, VERSION};
use super::state::{MOST_ROUNDS, Talk};
use super::taking::{Incoming, PartCame};

/// Most bytes of a packed clock: a hundred thousand runs of the program take some 1.2 MB.
const CLOCK_MAX: usize = 2 << 20;
/// Most letters of a device's name in the record.
const DEVICE_MAX: usize = 128;

impl Talk {
    /// A frame's body came.
    pub(super) fn got(&mut self, bytes: &[u8]) -> Result<(), Why> {
        if self.met.is_none() {
            // Another version's greeting may go on in any way: nothing but its version is read.
            match Message::version_of(bytes) {
                Some(version) if version < VERSION => return Err(Why::Older(version)),
                Some(version) if version > VERSION => return Err(Why::Newer(version)),
                _ => {}
            }
        }
        let message = Message::from_bytes(bytes).map_err(|garbled| Why::Garbled(garbled.to_string()))?;
        match (message, self.met.is_some()) {
            (Message::Bye { why }, _) => Err(Why::told(why)),
            (Message::Hello(hello), false) => self.greeted_by(hello),
            (Message::Hello(hello), true) if self.met.as_ref() == Some(&hello) => Ok(()),
            (Message::Hello(_), true) => Err(garbled("it greets twice")),
            (_, false) => Err(garbled("it does not greet")),
            (message, true) => self.said(message),
        }
    }

    fn greeted_by(&mut self, hello: Hello) -> Result<(), Why> {
        if !self.is_of(&hello.record) {
            return Err(Why::OtherRecord);
        }
        if hello.device.is_empty() || hello.device.chars().count() > DEVICE_MAX {
            return Err(garbled("its device has no proper name"));
        }
        // There is one so far; whoever has a newer one has this one too.
        if hello.digest == 0 {
            return Err(garbled("it names no digest"));
        }
        self.effects.push(Effect::Met {
            device: hello.device.clone(),
            heads: hello.heads.0.clone(),
        });
        // Both compare the two greetings, and so both begin an exchange or neither.
        if self.greets_alike(&hello.heads.0) {
            self.sending.greeted_alike();
        } else {
            self.begin_round(1);
        }
        self.met = Some(hello);
        Ok(())
    }

    fn said(&mut self, message: Message) -> Result<(), Why> {
        let mut answer = Vec::new();
        match message {
            Message::Have {
                round,
                at,
                part,
                last,
            } => return self.have(round, at, &part.0, last),
            Message::Changes {
                number,
                ends,
                left,
                open,
                packed,
                part,
            } => {
                if ends > self.round {
                    return Err(garbled("it ends an exchange that was not begun"));
                }
                return self.changes(&Incoming {
                    number,
                    ends,
                    left,
                    open,
                    packed,
                    bytes: &part.0,
                });
            }
            Message::Took { parts, heads } => {
                if !self.sending.took(parts) {
                    return Err(garbled("it took more than was sent"));
                }
                self.effects.push(Effect::Has(heads.0));
            }
            Message::Want { key, from } => {
                if !self.serving.want(key, from) {
                    return Err(garbled("it asks for too many photos at a time"));
                }
            }
            Message::Piece {
                key,
                offset,
                total,
                bytes,
            } => {
                if !self.asking.is_asked(&key) {
                    // It must not wait for an answer to what nobody wants any more.
                    answer.push(Message::Kept { key, to: u64::MAX });
                }
                let keep = self.asking.piece(key, offset, total, bytes.0).map_err(garbled)?;
                self.effects.extend(keep);
            }
            Message::Kept { key, to } => self.serving.kept(key, to),
            Message::NoPhoto { key, at } => {
                self.asking.denied(key, at, &mut |message| answer.push(message));
            }
            Message::Here { key } => {
                if !key.small && self.holding.is_asked(&key.hash) {
                    self.effects.push(Effect::Holds {
                        here: vec![key.hash],
                        not: Vec::new(),
                    });
                }
                if self.asking.here_now(key) {
                    self.effects.push(Effect::AskPhotos);
                }
            }
            Message::Compare { sent, taken, digest } => {
                let mine = self.counts();
                self.compare.theirs((sent, taken), digest, mine);
            }
            Message::Who { number, hashes } => {
                let ask = self.holding.who(number, hashes.0).map_err(garbled)?;
                self.effects.extend(ask);
            }
            Message::Holds { number, hashes } => self.effects.extend(self.holding.holds(number, &hashes.0)),
            Message::Still | Message::Hello(_) | Message::Bye { .. } => {}
        }
        self.say_all(&answer);
        Ok(())
    }

    fn have(&mut self, round: u32, at: u64, part: &[u8], last: bool) -> Result<(), Why> {
        if round > self.round {
            // The other found a difference first.
            if round != self.round.saturating_add(1) || round > MOST_ROUNDS {
                return Err(garbled("it begins exchanges out of turn"));
            }
            self.compare.again = true;
            self.mend();
            self.begin_round(round);
        }
        let here = self.their_clock.len();
        if round < self.round || self.their_clock_whole || at < here as u64 {
            return Ok(());
        }
        if at != here as u64 {
            return Err(garbled("a part of what it has is missing"));
        }
        if here.saturating_add(part.len()) > CLOCK_MAX {
            return Err(garbled("what it has is longer than any record's"));
        }
        self.their_clock.extend_from_slice(part);
        if last {
            self.their_clock_whole = true;
            self.sending.asked();
            let clock = std::mem::take(&mut self.their_clock);
            self.effects.push(Effect::AskLacking(clock));
        }
        Ok(())
    }

    fn changes(&mut self, part: &Incoming) -> Result<(), Why> {
        match self.taking.came(part) {
            PartCame::Again => {}
            PartCame::Bad(what) => return Err(garbled(what)),
            PartCame::Changes(changes) => {
                if !changes.is_empty() {
                    self.changed();
                    self.effects.push(Effect::Take(changes));
                }
                self.pass_over_empty();
            }
        }
        Ok(())
    }
}

fn garbled(what: &str) -> Why {
    Why::Garbled(what.to_owned())
}
