//! Pairing on this device: one at a time, in a thread of its own, over what `link` says is to be done. It shows a
//! ticket or follows one, shows the digits that both keepers compare, and waits for their word. Nothing is entered in
//! a record before both have said yes.

use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Weak};
use std::time::{Duration, Instant};

use link::identity::{Identity, Key};
use link::net::{Address, Door, Got, Meeting};
use link::pair::{Effect, Event, Guest, Host, LIVES, Search, Spoken, TRIES, Ticket, Trouble};
use record::Id;
use store::ThisDevice;

use notebook::live::{Introduction, tag};
use notebook::wire::{PairAbout, PairState, PairTicket, Pairs};
use notebook::{Notebook, Refusal, whose};

use super::seek::{Seek, Sought};
use super::shared::{Shared, Word};
use crate::trace::short;
use crate::turns::{InTurns, locked, turn};

/// Between looks at the keeper's word and the time.
const LOOK: Duration = Duration::from_millis(100);
/// How long a guest waits for the host to have entered it.
const ENTERING: Duration = Duration::from_secs(10);

/// How long the other may take to go when a pairing came to nothing.
const LAST_WORD: Duration = Duration::from_secs(3);

/// How pairing stands on this device.
#[derive(Default)]
pub(crate) struct Pairing {
    number: u64,
    state: PairState,
    ticket: Option<String>,
    code: Option<String>,
    about: Option<PairAbout>,
    with: Option<String>,
    words: Option<String>,
    wrong: u8,
    until: u64,
    pub(super) incoming: Option<Sender<Meeting>>,
    answers: Option<Sender<bool>>,
}

impl Pairing {
    /// Whether the net is needed for it.
    pub(super) fn is_open(&self) -> bool {
        matches!(
            self.state,
            PairState::Open | PairState::Reaching | PairState::Compare | PairState::Waiting
        )
    }
}

enum Side {
    Host(Box<Host>),
    Guest(Box<Guest>),
}

impl Side {
    fn on(&mut self, now: u64, event: Event) -> Vec<Effect> {
        match self {
            Side::Host(host) => host.on(now, event),
            Side::Guest(guest) => guest.on(now, event),
        }
    }
}

/// What a guest was given.
enum Way {
    Ticket(Ticket),
    Voice(Spoken),
}

/// What is done with whom was paired.
enum Then {
    /// Enter them in this record.
    Admit(Id),
    /// Keep what they share.
    ComeIn(Box<Identity>, ThisDevice),
}

struct Thread {
    shared: Arc<Shared>,
    notebook: Weak<InTurns>,
    number: u64,
    side: Side,
    then: Then,
    incoming: Receiver<Meeting>,
    /// A guest's way to its host.
    seek: Option<Seek>,
    answers: Receiver<bool>,
    meeting: Option<Meeting>,
    /// Whether the other has yet to hear why it is over.
    last_word: bool,
}

fn random<const N: usize>(notebook: &mut Notebook) -> [u8; N] {
    let mut bytes = [0; N];
    for part in bytes.chunks_mut(16) {
        let some = notebook.random();
        for (to, from) in part.iter_mut().zip(some) {
            *to = from;
        }
    }
    bytes
}

/// Opens a ticket for a record, or digits to speak: two minutes, one guest, three tries.
pub(super) fn open(
    shared: &Arc<Shared>,
    notebook: &mut Notebook,
    record: &Id,
    voice: bool,
) -> Result<PairTicket, Refusal> {
    notebook.may_write()?;
    let row = notebook.store().record(record)?;
    if let Some(says) = notebook.revoked_here(record)? {
        return Err(Refusal::input("revoked_here", says));
    }
    // Whoever pairs wants to meet.
    notebook.turn_meetings_on()?;
    let this = notebook.device()?;
    let keeper = notebook.keeper_of_row(&row)?.unwrap_or_default();
    let net = shared.start_net(notebook)?;
    let identity = notebook.needed_identity()?;
    let addresses = net.addresses();
    let said = notebook.introduction(&identity, &this, &keeper, Some(&row), &addresses);
    let weak = again(shared)?;
    let (host, text, qr) = if voice {
        let spoken = Spoken::generate(random(notebook));
        let text = spoken.to_string();
        let host = Host::by_voice(net.key(), spoken, said.to_bytes()?, shared.now());
        (host, text, None)
    } else {
        let ticket = ticket(notebook, record, net.key(), addresses);
        let host = Host::by_ticket(&ticket, said.to_bytes()?, shared.now());
        (host, ticket.to_string(), ticket.qr())
    };
    let qr = qr.map(|modules| modules.rows().map(<[bool]>::to_vec).collect());
    let fresh = Pairing {
        state: PairState::Open,
        ticket: Some(text.clone()),
        ..Pairing::default()
    };
    begin(
        shared,
        weak,
        fresh,
        Side::Host(Box::new(host)),
        Then::Admit(record.clone()),
        None,
    )?;
    net.open_to_pair(if voice { Door::ByVoice } else { Door::ByTicket });
    Ok(PairTicket {
        ticket: text,
        voice,
        qr: qr.unwrap_or_default(),
        seconds: u32::try_from(LIVES / 1_000).unwrap_or_default(),
    })
}

fn ticket(notebook: &mut Notebook, record: &Id, host: Key, addresses: Vec<Address>) -> Ticket {
    let now = u64::try_from(notebook.now().seconds())
        .unwrap_or_default()
        .saturating_mul(1_000);
    Ticket {
        record: tag(record).first_chunk().copied().unwrap_or_default(),
        host,
        addresses,
        secret: random(notebook),
        until: now.saturating_add(LIVES),
    }
}

/// Follows a ticket that another device shows, or digits that its keeper reads out.
pub(super) fn join(
    shared: &Arc<Shared>,
    notebook: &mut Notebook,
    ticket: &str,
    keeper: Option<&str>,
    device: Option<&str>,
) -> Result<(), Refusal> {
    notebook.may_write()?;
    let heard = match Spoken::typed(ticket) {
        Some(spoken) => Way::Voice(spoken),
        None => Way::Ticket(
            Ticket::from_text(ticket).map_err(|error| Refusal::input("ticket", error.to_string()))?,
        ),
    };
    let keeper = match keeper.map(str::trim).filter(|name| !name.is_empty()) {
        Some(name) => name.to_owned(),
        None => notebook
            .own_name()?
            .ok_or_else(|| Refusal::input("keeper", "say whose device this is: nobody is known here yet"))?,
    };
    let this = notebook.this_device(device, &keeper)?;
    notebook.turn_meetings_on()?;
    let net = shared.start_net(notebook)?;
    let identity = notebook.needed_identity()?;
    let said = notebook
        .introduction(&identity, &this, &keeper, None, &net.addresses())
        .to_bytes()?;
    let now = shared.now();
    let (guest, search) = match heard {
        Way::Ticket(ticket) if ticket.host == net.key() => {
            return Err(Refusal::input("ticket", "this is this device's own ticket"));
        }
        Way::Ticket(ticket) => {
            let search = Search::named(ticket.host, ticket.addresses.clone());
            (Guest::by_ticket(net.key(), ticket, said, now), search)
        }
        Way::Voice(spoken) => {
            let guest = Guest::by_voice(net.key(), spoken, said, now);
            (guest, Search::near(now))
        }
    };
    let weak = again(shared)?;
    let fresh = Pairing {
        state: PairState::Reaching,
        ..Pairing::default()
    };
    let then = Then::ComeIn(Box::new(identity), this);
    let side = Side::Guest(Box::new(guest));
    begin(shared, weak, fresh, side, then, Some(Seek { net, search }))
}

/// How pairing stands.
pub(super) fn code(shared: &Shared) -> Pairs {
    let now = shared.now();
    let pairing = locked(&shared.pairing);
    Pairs {
        state: pairing.state,
        ticket: pairing.ticket.clone(),
        code: pairing.code.clone(),
        about: pairing.about.clone(),
        with: pairing.with.clone(),
        words: pairing.words.clone(),
        tries: u32::from(TRIES.saturating_sub(pairing.wrong)),
        seconds: u32::try_from(pairing.until.saturating_sub(now) / 1_000).unwrap_or_default(),
    }
}

/// The keeper's word: both devices show the same digits, or they do not.
pub(super) fn confirm(shared: &Shared, yes: bool) -> Result<(), Refusal> {
    let mut pairing = locked(&shared.pairing);
    if yes && pairing.state != PairState::Compare {
        return Err(Refusal::input(
            "no_code",
            "no digits are shown now that could be the same",
        ));
    }
    let cannot = pairing.about.as_ref().and_then(|about| about.cannot.clone());
    if let Some(words) = cannot.filter(|_| yes) {
        return Err(Refusal::input("cannot_pair", words));
    }
    let Some(answers) = pairing.answers.clone().filter(|_| pairing.is_open()) else {
        return Err(Refusal::input("no_pairing", "nobody is being paired now"));
    };
    if yes {
        pairing.state = PairState::Waiting;
    }
    // A thread that has ended has said in the state what became of it.
    let _ = answers.send(yes);
    Ok(())
}

fn again(shared: &Shared) -> Result<Weak<InTurns>, Refusal> {
    shared
        .notebook()
        .ok_or_else(|| Refusal::failed("not_attended", "the notebook is being closed"))
}

/// Begins a pairing in the place of whichever went on.
fn begin(
    shared: &Arc<Shared>,
    notebook: Weak<InTurns>,
    fresh: Pairing,
    side: Side,
    then: Then,
    seek: Option<Seek>,
) -> Result<(), Refusal> {
    let (way, incoming) = channel();
    let (answer, answers) = channel();
    let number = {
        let mut pairing = locked(&shared.pairing);
        let number = pairing.number.saturating_add(1);
        // The one before ends when nobody answers it any more.
        *pairing = Pairing {
            number,
            until: shared.now().saturating_add(LIVES),
            incoming: seek.is_none().then_some(way),
            answers: Some(answer),
            ..fresh
        };
        number
    };
    let mut thread = Thread {
        shared: Arc::clone(shared),
        notebook,
        number,
        side,
        then,
        incoming,
        seek,
        answers,
        meeting: None,
        last_word: false,
    };
    let spawned = std::thread::Builder::new()
        .name("pairing".to_owned())
        .spawn(move || thread.run());
    spawned
        .map(drop)
        .map_err(|error| Refusal::failed("thread", error.to_string()))
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

    fn run(&mut self) {
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
                        effects.extend(self.on(Event::Met { peer, random }));
                    }
                    Sought::Nobody(words) => return self.ended(words),
                    Sought::NotYet => {}
                },
                Some(meeting) => match meeting.receive(LOOK) {
                    Got::Frame(frame) => effects.extend(self.on(Event::Got(frame))),
                    Got::Nothing => {}
                    Got::Gone => {
                        self.meeting = None;
                        effects.extend(self.on(Event::Broke));
                        if self.seek.is_some() && effects.is_empty() {
                            return self.ended("the connection broke".to_owned());
                        }
                    }
                },
            }
            match self.answers.try_recv() {
                Ok(true) => effects.extend(self.on(Event::Same)),
                Ok(false) => effects.extend(self.on(Event::Different)),
                Err(std::sync::mpsc::TryRecvError::Empty) => {}
                Err(std::sync::mpsc::TryRecvError::Disconnected) => return,
            }
            effects.extend(self.on(Event::Tick));
            self.last_word = effects.iter().any(|effect| matches!(effect, Effect::Send(_)));
            for effect in effects {
                if self.done(effect) {
                    return;
                }
            }
        }
    }

    fn on(&mut self, event: Event) -> Vec<Effect> {
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
                    if trouble == Trouble::Wrong {
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
