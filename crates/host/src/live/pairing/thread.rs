//! The pairing that goes on, in a thread of its own: connections, the keeper's word and the time are handed to what `link` says is
//! to be done, and that is carried out.

use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::sync::{Arc, Weak};
use std::time::{Duration, Instant};

use link::identity::{Identity, Key};
use link::net::{Door, Got, Meeting};
use link::pair::{Effect, Guest, Host, PairEvent, PairTrouble};
use record::Id;
use store::ThisDevice;

use notebook::live::Introduction;
use notebook::wire::{PairAbout, PairState};
use notebook::{Notebook, Refusal, whose};

use super::stand::Pairing;
use crate::live::seek::{Seek, Sought};
use crate::live::shared::{Shared, Word};
use crate::trace::short;
use crate::turns::{InTurns, locked, turn};

/// Between looks at the keeper's word and the time.
const LOOK: Duration = Duration::from_millis(100);
/// How long a guest waits for the host to have entered it.
const ENTERING: Duration = Duration::from_secs(10);

/// How long the other may take to go when a pairing came to nothing.
const LAST_WORD: Duration = Duration::from_secs(3);

/// On which side of the pairing this device is.
pub(super) enum PairingSide {
    Host(Box<Host>),
    Guest(Box<Guest>),
}

impl PairingSide {
    fn on(&mut self, now: u64, event: PairEvent) -> Vec<Effect> {
        match self {
            PairingSide::Host(host) => host.on(now, event),
            PairingSide::Guest(guest) => guest.on(now, event),
        }
    }
}

/// What is done with whom was paired.
pub(super) enum Then {
    /// Enter them in this record.
    Admit(Id),
    /// Keep what they share.
    ComeIn(Box<Identity>, ThisDevice),
}

pub(super) struct Thread {
    pub(super) shared: Arc<Shared>,
    pub(super) notebook: Weak<InTurns>,
    pub(super) number: u64,
    pub(super) side: PairingSide,
    pub(super) then: Then,
    pub(super) incoming: Receiver<Meeting>,
    /// A guest's way to its host.
    pub(super) seek: Option<Seek>,
    pub(super) answers: Receiver<bool>,
    pub(super) meeting: Option<Meeting>,
    /// Whether the other has yet to hear why it is over.
    pub(super) last_word: bool,
}

pub(super) fn random<const N: usize>(notebook: &mut Notebook) -> [u8; N] {
    let mut bytes = [0; N];
    for part in bytes.chunks_mut(16) {
        let some = notebook.random();
        for (to, from) in part.iter_mut().zip(some) {
            *to = from;
        }
    }
    bytes
}

impl Thread {
    /// Changes what is shown, unless another pairing has taken its place.
    fn show(&self, change: impl FnOnce(&mut Pairing)) {
        let mut pairing = locked(&self.shared.pairing);
        if pairing.number == self.number {
            change(&mut pairing);
        }
    }

    fn ended(&mut self, words: String) {
        tracing::info!("a pairing came to nothing");
        self.show(|pairing| {
            pairing.state = PairState::Ended;
            pairing.words = Some(words);
            pairing.incoming = None;
            pairing.answers = None;
        });
        // Where the other said so, it waits for this side to go, and a new pairing between the two for both.
        if !self.last_word {
            self.meeting = None;
        }
        // The net may go with this pairing, and the last word has to leave before: the other goes when it has it.
        let until = Instant::now() + LAST_WORD;
        while let Some(meeting) = &self.meeting {
            if meeting.receive(LOOK) == Got::Gone || Instant::now() >= until {
                self.meeting = None;
            }
        }
        self.close();
    }

    fn close(&self) {
        let current = locked(&self.shared.pairing).number == self.number;
        if current && let Some(net) = self.shared.net() {
            net.open_to_pair(Door::Shut);
        }
        // The net may not be needed any more.
        self.shared.tell(Word::Changed);
    }

    pub(super) fn run(&mut self) {
        loop {
            let mut effects = Vec::new();
            match &self.meeting {
                None => match self.next() {
                    Sought::Met(meeting) => {
                        let Some(random) = turn(&self.notebook, random) else {
                            return;
                        };
                        let peer = meeting.peer();
                        self.meeting = Some(meeting);
                        effects.extend(self.on(PairEvent::Met { peer, random }));
                    }
                    Sought::Nobody(words) => return self.ended(words),
                    Sought::NotYet => {}
                },
                Some(meeting) => match meeting.receive(LOOK) {
                    Got::Frame(frame) => effects.extend(self.on(PairEvent::Got(frame))),
                    Got::Nothing => {}
                    Got::Gone => {
                        self.meeting = None;
                        effects.extend(self.on(PairEvent::Broke));
                        if self.seek.is_some() && effects.is_empty() {
                            return self.ended("the connection broke".to_owned());
                        }
                    }
                },
            }
            match self.answers.try_recv() {
                Ok(true) => effects.extend(self.on(PairEvent::Same)),
                Ok(false) => effects.extend(self.on(PairEvent::Different)),
                Err(std::sync::mpsc::TryRecvError::Empty) => {}
                Err(std::sync::mpsc::TryRecvError::Disconnected) => return,
            }
            effects.extend(self.on(PairEvent::Tick));
            self.last_word = effects.iter().any(|effect| matches!(effect, Effect::Send(_)));
            for effect in effects {
                if self.done(effect) {
                    return;
                }
            }
        }
    }

    fn on(&mut self, event: PairEvent) -> Vec<Effect> {
        self.side.on(self.shared.now(), event)
    }

    /// The next connection: a guest looks for its host, a host waits for somebody.
    fn next(&mut self) -> Sought {
        if let Some(seek) = &mut self.seek {
            return seek.look(self.shared.now(), LOOK);
        }
        match self.incoming.recv_timeout(LOOK) {
            Ok(meeting) => Sought::Met(meeting),
            Err(RecvTimeoutError::Timeout) => Sought::NotYet,
            // Its place was taken by another pairing, and the answers will say so.
            Err(RecvTimeoutError::Disconnected) => {
                std::thread::sleep(LOOK);
                Sought::NotYet
            }
        }
    }

    /// Does what is wanted; whether it is over.
    fn done(&mut self, effect: Effect) -> bool {
        match effect {
            Effect::Send(frame) => {
                if let Some(meeting) = &self.meeting {
                    // That it broke is heard at the next look.
                    let _ = meeting.send(frame);
                }
                false
            }
            Effect::Show {
                code,
                peer,
                introduction,
            } => match self.about(&peer, &introduction) {
                Ok(about) => {
                    self.show(|pairing| {
                        pairing.state = PairState::Compare;
                        pairing.code = Some(code.to_string());
                        pairing.about = Some(about);
                    });
                    false
                }
                // There is nothing that a keeper could say yes to: the other sees that this one has gone.
                Err(refusal) => {
                    self.meeting = None;
                    self.ended(refusal.words);
                    true
                }
            },
            Effect::Hang(trouble) => {
                self.meeting = None;
                if let Some(seek) = &self.seek {
                    // By voice, another device may be the one that was meant.
                    if seek.goes_on() {
                        return false;
                    }
                    self.ended(trouble.to_string());
                    return true;
                }
                self.show(|pairing| {
                    pairing.words = Some(trouble.to_string());
                    if trouble == PairTrouble::Wrong {
                        pairing.wrong = pairing.wrong.saturating_add(1);
                    }
                });
                false
            }
            Effect::Ended(trouble) => {
                self.ended(trouble.to_string());
                true
            }
            Effect::Paired { peer, introduction } => {
                match self.paired(&peer, &introduction) {
                    Ok(with) => {
                        self.show(|pairing| {
                            pairing.state = PairState::Paired;
                            pairing.with = Some(with);
                            pairing.words = None;
                            pairing.incoming = None;
                            pairing.answers = None;
                        });
                        tracing::info!(peer = short(&peer), "a pairing is done");
                        self.close();
                        self.shared.tell(Word::Now);
                    }
                    Err(refusal) => self.ended(refusal.words),
                }
                true
            }
        }
    }

    /// What the keeper is to know before saying yes.
    fn about(&mut self, peer: &Key, introduction: &[u8]) -> Result<PairAbout, Refusal> {
        let said = Introduction::read(introduction)?;
        turn(&self.notebook, |notebook| match &self.then {
            Then::Admit(record) => notebook.before_admitting(record, &said),
            Then::ComeIn(_, this) => notebook.before_coming_in(this, peer, &said),
        })
        .ok_or_else(|| Refusal::failed("not_attended", "the notebook is being closed"))?
    }

    fn paired(&mut self, peer: &Key, introduction: &[u8]) -> Result<String, Refusal> {
        let said = Introduction::read(introduction)?;
        let closing = || Refusal::failed("not_attended", "the notebook is being closed");
        match &self.then {
            Then::Admit(record) => {
                turn(&self.notebook, |notebook| -> Result<(), Refusal> {
                    notebook.admit(record, peer, &said)?;
                    // Known before the other hears of it, so that it is not turned away when it comes.
                    self.shared.set_circle(notebook.circle()?);
                    Ok(())
                })
                .ok_or_else(closing)??;
                self.meeting = None;
            }
            Then::ComeIn(identity, this) => {
                // The host closes when it has entered this device.
                let until = Instant::now() + ENTERING;
                while let Some(meeting) = &self.meeting {
                    if meeting.receive(LOOK) == Got::Gone || Instant::now() >= until {
                        self.meeting = None;
                    }
                }
                turn(&self.notebook, |notebook| {
                    notebook.come_in(identity, this, peer, &said)
                })
                .ok_or_else(closing)??;
            }
        }
        Ok(whose(&said.keeper, &said.name))
    }
}
