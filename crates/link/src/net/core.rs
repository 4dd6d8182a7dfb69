//! What the net's tasks share: who is here, who is wished for, who is near, whether a ticket is open; and the life of
//! a meeting from its first frame to its end.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use iroh::endpoint::{ApplicationClose, Connection, ConnectionError, RecvStream, SendStream, VarInt};
use iroh::{Endpoint, Watcher};
use tokio::sync::Notify;
use tokio_stream::StreamExt;

use super::meeting::{Hand, Meeting};
use super::queue::Queue;
use super::{Address, Door, Handler, MEET, MOST_REFUSAL, NetEvent, PAIR, Settings, Why, stream};
use crate::dialler::older_stays;
use crate::identity::Key;

/// Codes with which a connection is closed.
pub(super) const NOT_A_MEMBER: u32 = 1;
pub(super) const REPLACED: u32 = 2;
pub(super) const FAREWELL: u32 = 3;
pub(super) const BAD_FRAME: u32 = 4;
pub(super) const BUSY: u32 = 5;
pub(super) const REVOKED: u32 = 6;

/// For so long a device has only just begun.
const BEGINNING: Duration = Duration::from_secs(1);

/// How long others are asked for often after something was new: a start, other addresses, a device that left, a ticket
/// that was opened, a keeper who asks.
const HURRY: Duration = Duration::from_secs(20);

/// After this device's addresses have changed, a connection that hears nothing for so long is given up.
const DEAF: Duration = Duration::from_millis(1_500);

/// What the tasks share.
pub(super) struct Core {
    pub(super) endpoint: Endpoint,
    pub(super) key: Key,
    pub(super) handler: Arc<dyn Handler>,
    pub(super) settings: Settings,
    /// Woken when what mDNS announces has changed.
    pub(super) announce: Notify,
    began: Instant,
    state: Mutex<State>,
    next: AtomicU64,
}

#[derive(Default)]
struct State {
    slots: BTreeMap<Key, Slot>,
    wishes: BTreeMap<Key, PeerWish>,
    near: BTreeMap<Key, Near>,
    door: Door,
    pairing_at: Option<u64>,
    hurry: Option<Instant>,
}

struct Slot {
    id: u64,
    connection: Connection,
    dialler: Key,
    since: u64,
}

/// A peer to dial.
pub(super) struct PeerWish {
    pub(super) addresses: Vec<Address>,
    pub(super) kick: Arc<Kick>,
    pub(super) task: tokio::task::AbortHandle,
}

/// What wakes the task that seeks a peer.
#[derive(Default)]
pub(super) struct Kick {
    notify: Notify,
    news: AtomicBool,
}

impl Kick {
    /// There are news of the peer, or somebody asks for it.
    fn tell_news(&self) {
        self.news.store(true, Ordering::SeqCst);
        self.notify.notify_one();
    }

    /// It came or went: no more is known of it than before.
    fn stir(&self) {
        self.notify.notify_one();
    }

    /// Waits for either.
    pub(super) async fn come(&self) {
        self.notify.notified().await;
    }

    /// Whether there were news since the last time.
    pub(super) fn had_news(&self) -> bool {
        self.news.swap(false, Ordering::SeqCst)
    }
}

/// A device that mDNS has found.
#[derive(Clone, PartialEq, Eq)]
pub(super) struct Near {
    pub(super) addresses: Vec<Address>,
    pub(super) pairing: bool,
}

/// Most devices that are remembered as near.
const MOST_NEAR: usize = 256;

impl Core {
    pub(super) fn new(endpoint: Endpoint, key: Key, handler: Arc<dyn Handler>, settings: Settings) -> Self {
        let core = Self {
            endpoint,
            key,
            handler,
            settings,
            announce: Notify::new(),
            began: Instant::now(),
            state: Mutex::default(),
            next: AtomicU64::new(1),
        };
        core.hurry();
        core
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Whether this device has been listening for a moment only.
    pub(super) fn just_began(&self) -> bool {
        self.began.elapsed() < BEGINNING
    }

    /// Milliseconds since it began: what diallers count by.
    pub(super) fn now(&self) -> u64 {
        u64::try_from(self.began.elapsed().as_millis()).unwrap_or(u64::MAX)
    }

    pub(super) fn addresses(&self) -> Vec<Address> {
        let own = self.endpoint.addr();
        own.addrs.iter().filter_map(Address::inward).collect()
    }

    pub(super) fn here(&self) -> Vec<Key> {
        self.lock().slots.keys().copied().collect()
    }

    /// Whether a meeting with this peer stands.
    pub(super) fn is_here(&self, peer: &Key) -> bool {
        self.lock()
            .slots
            .get(peer)
            .is_some_and(|slot| slot.connection.close_reason().is_none())
    }

    // Wishes.

    /// Replaces the wishes; gives those for which a task is to be begun.
    pub(super) fn wishes(&self, peers: Vec<(Key, Vec<Address>)>, mut begin: impl FnMut(Key) -> PeerWish) {
        let mut state = self.lock();
        let mut former = std::mem::take(&mut state.wishes);
        for (peer, addresses) in peers {
            if peer == self.key {
                continue;
            }
            let mut wish = former.remove(&peer).unwrap_or_else(|| begin(peer));
            if wish.addresses != addresses {
                wish.addresses = addresses;
                wish.kick.tell_news();
            }
            state.wishes.insert(peer, wish);
        }
        for wish in former.into_values() {
            wish.task.abort();
        }
    }

    fn kick(&self, peer: &Key) {
        if let Some(wish) = self.lock().wishes.get(peer) {
            wish.kick.tell_news();
        }
    }

    fn stir(&self, peer: &Key) {
        if let Some(wish) = self.lock().wishes.get(peer) {
            wish.kick.stir();
        }
    }

    pub(super) fn kick_all(&self) {
        for wish in self.lock().wishes.values() {
            wish.kick.tell_news();
        }
    }

    /// Where a peer may be found, and whether it was seen on the same network.
    pub(super) fn whereabouts(&self, peer: &Key) -> (Vec<Address>, bool) {
        let state = self.lock();
        let mut all = Vec::new();
        if let Some(near) = state.near.get(peer) {
            all.extend(near.addresses.iter().cloned());
        }
        if let Some(wish) = state.wishes.get(peer) {
            all.extend(wish.addresses.iter().cloned());
        }
        all.extend(self.settings.relay.clone().map(Address::Relay));
        all.sort();
        all.dedup();
        (all, state.near.contains_key(peer))
    }

    // Who is near.

    /// Something is new: others are asked for often from now on, for a while.
    pub(super) fn hurry(&self) {
        let was = self.hurries();
        self.lock().hurry = Instant::now().checked_add(HURRY);
        if was.is_none() {
            self.announce.notify_one();
        }
    }

    /// How long others are still to be asked for often, if they are.
    pub(super) fn hurries(&self) -> Option<Duration> {
        let until = self.lock().hurry?;
        Some(until.saturating_duration_since(Instant::now())).filter(|rest| !rest.is_zero())
    }

    pub(super) fn hears_nobody(&self) -> bool {
        self.lock().near.is_empty()
    }

    pub(super) fn forget_near(&self) {
        self.lock().near.clear();
    }

    pub(super) fn found(&self, peer: Key, near: Option<Near>) {
        let mut state = self.lock();
        match near {
            Some(near) => {
                let room = state.near.len() < MOST_NEAR || state.wishes.contains_key(&peer);
                if (room || state.near.contains_key(&peer)) && state.near.get(&peer) != Some(&near) {
                    state.near.insert(peer, near);
                    drop(state);
                    self.kick(&peer);
                }
            }
            None => {
                state.near.remove(&peer);
            }
        }
    }

    pub(super) fn would_pair(&self) -> Vec<Key> {
        self.hurry();
        let state = self.lock();
        state
            .near
            .iter()
            .filter(|(_, near)| near.pairing)
            .map(|(key, _)| *key)
            .collect()
    }

    // Pairing.

    pub(super) fn open_to_pair(&self, door: Door) {
        self.lock().door = door;
        let mut protocols = vec![MEET.to_vec()];
        if door != Door::Shut {
            protocols.push(PAIR.to_vec());
        }
        self.endpoint.set_alpns(protocols);
        self.hurry();
        self.announce.notify_one();
    }

    pub(super) fn door(&self) -> Door {
        self.lock().door
    }

    // Meetings.

    /// Makes a meeting of a connection to a member. Of two that were dialled at once by both sides, both sides keep
    /// the one that the smaller key dialled; otherwise the newer takes the older's place.
    pub(super) fn enter(&self, connection: &Connection, peer: Key, dialled: bool) -> Result<Meeting, Why> {
        let dialler = if dialled { self.key } else { peer };
        let meeting = self.made(peer, dialled);
        let slot = Slot {
            id: meeting.id(),
            connection: connection.clone(),
            dialler,
            since: self.now(),
        };
        let mut state = self.lock();
        if let Some(old) = state.slots.get(&peer) {
            let stood = self.now().saturating_sub(old.since);
            let open = old.connection.close_reason().is_none();
            if open && older_stays(&old.dialler, &dialler, stood) {
                return Err(Why::Replaced);
            }
        }
        if let Some(old) = state.slots.insert(peer, slot) {
            old.connection.close(VarInt::from_u32(REPLACED), b"replaced");
        }
        drop(state);
        if !dialled {
            // Whoever was about to dial it need not any more.
            self.stir(&peer);
        }
        Ok(meeting)
    }

    /// Makes a meeting of a pairing connection that was let in: one at a time.
    pub(super) fn enter_to_pair(&self, peer: Key) -> Result<Meeting, Why> {
        let meeting = self.made(peer, false);
        let mut state = self.lock();
        if state.door == Door::Shut || state.pairing_at.is_some() {
            return Err(Why::Busy);
        }
        state.pairing_at = Some(meeting.id());
        Ok(meeting)
    }

    pub(super) fn made(&self, peer: Key, dialled: bool) -> Meeting {
        let (inbox, outbox) = (Arc::<Queue>::default(), Arc::<Queue>::default());
        let hand = Hand {
            id: self.next.fetch_add(1, Ordering::Relaxed),
            peer,
            dialled,
            inbox: Arc::clone(&inbox),
            outbox,
        };
        Meeting { hand, inbox }
    }

    /// Carries frames between the stream and the meeting's queues until either ends; then tells.
    pub(super) async fn carry(
        self: Arc<Self>,
        connection: Connection,
        hand: Hand,
        mut send: SendStream,
        mut receive: RecvStream,
    ) {
        let meets = connection.alpn() == MEET;
        let left = async {
            connection.closed().await;
            // The peer may return at once, even while its last frames wait to be looked at.
            self.leave(&hand, meets);
            std::future::pending::<Why>().await
        };
        let why = tokio::select! {
            why = stream::read_all(&mut receive, &hand.inbox) => why,
            why = stream::write_all(&mut send, &hand.outbox, &hand.inbox) => why,
            why = left => why,
            why = self.tell_found(&connection, hand.peer) => why,
        };
        let (why, said) = match (why, connection.close_reason()) {
            (Why::Lost, Some(ConnectionError::LocallyClosed)) => (self.why_closed_here(&hand), None),
            (Why::Lost, Some(reason)) => why_closed(&reason, why),
            _ => (why, None),
        };
        // Who hears a farewell says one too, and may be heard before the last word here is known to have arrived.
        let why = match why {
            Why::Theirs if hand.outbox.is_closed() => Why::Ours,
            why => why,
        };
        let code = match why {
            Why::TooLong(_) => BAD_FRAME,
            _ => FAREWELL,
        };
        connection.close(VarInt::from_u32(code), why.to_string().as_bytes());
        hand.inbox.close();
        hand.outbox.close();
        self.leave(&hand, meets);
        self.handler.on(NetEvent::Gone {
            peer: hand.peer,
            meeting: hand.id,
            why,
            said,
        });
    }

    /// Tells where the other is, for as long as the connection stands; never ends by itself.
    async fn tell_found(&self, connection: &Connection, peer: Key) -> Why {
        let mut told = Vec::new();
        let mut changes = connection.paths_stream();
        while let Some(paths) = changes.next().await {
            let mut all: Vec<_> = paths.iter().filter(|path| path.is_ip()).collect();
            all.sort_by_key(|path| !path.is_selected());
            let at: Vec<_> = all
                .iter()
                .filter_map(|path| Address::inward(path.remote_addr()))
                .collect();
            if connection.alpn() == MEET && !at.is_empty() && at != told {
                told.clone_from(&at);
                self.handler.on(NetEvent::Found { peer, at });
            }
        }
        std::future::pending().await
    }

    /// Why this side closed a connection under its own reader.
    fn why_closed_here(&self, hand: &Hand) -> Why {
        let state = self.lock();
        if state.slots.get(&hand.peer).is_some_and(|slot| slot.id != hand.id) {
            return Why::Replaced;
        }
        drop(state);
        if self.handler.may(&hand.peer) {
            Why::Lost
        } else {
            Why::NotAMember
        }
    }

    fn leave(&self, hand: &Hand, meets: bool) {
        let mut state = self.lock();
        if state.slots.get(&hand.peer).is_some_and(|slot| slot.id == hand.id) {
            state.slots.remove(&hand.peer);
        }
        if state.pairing_at == Some(hand.id) {
            state.pairing_at = None;
        }
        drop(state);
        // It may be back at once, and elsewhere.
        self.hurry();
        if meets {
            self.stir(&hand.peer);
        } else {
            // Whoever was paired may be met now, though it refused a moment ago.
            self.kick(&hand.peer);
        }
    }

    /// Ends the meetings of those who may not.
    pub(super) fn recheck(&self) {
        let all: Vec<_> = {
            let state = self.lock();
            let slots = state.slots.iter();
            slots.map(|(key, slot)| (*key, slot.connection.clone())).collect()
        };
        for (key, connection) in all {
            if !self.handler.may(&key) {
                self.turn_away(&connection, &key);
            }
        }
    }

    /// Closes the connection of somebody who may not come; one that was revoked is told why, a stranger nothing.
    pub(super) fn turn_away(&self, connection: &Connection, peer: &Key) {
        match self.handler.refusal(peer) {
            Some(mut words) => {
                words.truncate(words.floor_char_boundary(MOST_REFUSAL));
                connection.close(VarInt::from_u32(REVOKED), words.as_bytes());
            }
            None => connection.close(VarInt::from_u32(NOT_A_MEMBER), b"not a member"),
        }
    }

    /// Gives up every connection that hears nothing after the network has changed under it.
    pub(super) async fn give_up_the_deaf(&self) {
        let heard = |connection: &Connection| connection.stats().udp_rx.datagrams;
        let before: Vec<_> = {
            let state = self.lock();
            let slots = state.slots.values();
            slots
                .map(|slot| (slot.connection.clone(), heard(&slot.connection)))
                .collect()
        };
        tokio::time::sleep(DEAF).await;
        for (connection, then) in before {
            if heard(&connection) == then {
                connection.close(VarInt::from_u32(REPLACED), b"the network changed");
            }
        }
    }

    /// Lets every meeting end, and begins none.
    pub(super) fn farewell(&self) {
        let mut state = self.lock();
        for wish in std::mem::take(&mut state.wishes).into_values() {
            wish.task.abort();
        }
        for slot in state.slots.values() {
            slot.connection.close(VarInt::from_u32(FAREWELL), b"farewell");
        }
    }

    /// Watches this device's own addresses for as long as the net runs.
    pub(super) async fn watch(self: Arc<Self>) {
        let mut watcher = self.endpoint.watch_addr();
        self.handler.on(NetEvent::Addresses(self.addresses()));
        while watcher.updated().await.is_ok() {
            self.handler.on(NetEvent::Addresses(self.addresses()));
            self.hurry();
            self.announce.notify_one();
            self.kick_all();
            let core = Arc::clone(&self);
            tokio::spawn(async move { core.give_up_the_deaf().await });
        }
    }
}

/// What a closed connection's reason means, with the other side's words to one that was revoked; `ours` where this side
/// closed it.
pub(super) fn why_closed(reason: &ConnectionError, ours: Why) -> (Why, Option<String>) {
    let why = match reason {
        ConnectionError::ApplicationClosed(ApplicationClose { error_code, reason }) => {
            match u32::try_from(error_code.into_inner()).unwrap_or(0) {
                REVOKED => return (Why::Revoked, words(reason)),
                NOT_A_MEMBER => Why::NotAMember,
                REPLACED => Why::Replaced,
                BUSY => Why::Busy,
                _ => Why::Theirs,
            }
        }
        ConnectionError::LocallyClosed => ours,
        ConnectionError::ConnectionClosed(_) => Why::Busy,
        _ => Why::Lost,
    };
    (why, None)
}

/// What the other side says of a refusal, as one line of text that is safe to show.
fn words(said: &[u8]) -> Option<String> {
    let said = said.get(..MOST_REFUSAL).unwrap_or(said);
    let text = String::from_utf8_lossy(said);
    let line: String = text.chars().filter(|letter| !letter.is_control()).collect();
    Some(line.trim().to_owned()).filter(|line| !line.is_empty())
}
