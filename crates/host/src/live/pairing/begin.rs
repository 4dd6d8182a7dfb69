//! What a keeper does to pair: opens a ticket, follows one, says whether both show the same digits. One pairing at a time: a
//! new one takes the place of whichever went on.

use std::sync::mpsc::channel;
use std::sync::{Arc, Weak};

use link::identity::Key;
use link::net::{Address, Door};
use link::pair::{Guest, Host, LIVES, Search, Spoken, Ticket};
use record::Id;

use notebook::live::tag;
use notebook::wire::{PairState, PairTicket, Pairs};
use notebook::{Notebook, Refusal};

use super::stand::Pairing;
use super::thread::{PairingSide, Then, Thread, random};
use crate::live::seek::Seek;
use crate::live::shared::Shared;
use crate::turns::{InTurns, locked};

/// What a guest was given.
enum Way {
    Ticket(Ticket),
    Voice(Spoken),
}

/// Opens a ticket for a record, or digits to speak: two minutes, one guest, three tries.
pub(in crate::live) fn open(
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
        PairingSide::Host(Box::new(host)),
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
pub(in crate::live) fn join(
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
    let side = PairingSide::Guest(Box::new(guest));
    begin(shared, weak, fresh, side, then, Some(Seek { net, search }))
}

/// How pairing stands.
pub(in crate::live) fn code(shared: &Shared) -> Pairs {
    let now = shared.now();
    locked(&shared.pairing).told(now)
}

/// The keeper's word: both devices show the same digits, or they do not.
pub(in crate::live) fn confirm(shared: &Shared, yes: bool) -> Result<(), Refusal> {
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
    side: PairingSide,
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
