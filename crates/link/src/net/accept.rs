//! Letting connections in: each handshake in a task of its own, under a time limit, so many at once in all and from
//! one place; then members by their key, and strangers only to an open ticket. Nothing that a connection does ends
//! the loop.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use iroh::endpoint::{Connection, Incoming, IncomingAddr, VarInt};

use super::core::{BUSY, Core, NOT_A_MEMBER, REPLACED};
use super::{Door, NetEvent, PAIR, Why, stream};
use crate::identity::Key;

/// Handshakes at once, in all and from one address. Who comes over is refused, and dials again later.
const MOST: usize = 128;
const MOST_FROM_ONE: usize = 32;
/// From so many on, an address must show that it receives what is sent to it.
const SUSPICIOUS: usize = 64;
/// How long a handshake may take, and then the greeting.
const HANDSHAKE: Duration = Duration::from_secs(4);
const GREETING: Duration = Duration::from_secs(4);

/// Handshakes under way, by where they come from.
#[derive(Default)]
struct Crowd(Mutex<BTreeMap<Option<IpAddr>, usize>>);

/// One place in the crowd; given back when dropped.
struct Place {
    crowd: Arc<Crowd>,
    from: Option<IpAddr>,
}

impl Crowd {
    fn enter(self: &Arc<Self>, from: Option<IpAddr>) -> Option<Place> {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let total: usize = all.values().sum();
        let here = all.entry(from).or_default();
        if total >= MOST || *here >= MOST_FROM_ONE {
            return None;
        }
        *here += 1;
        Some(Place {
            crowd: Arc::clone(self),
            from,
        })
    }

    fn total(&self) -> usize {
        let all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.values().sum()
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut all = self.crowd.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(here) = all.get_mut(&self.from) {
            *here = here.saturating_sub(1);
            if *here == 0 {
                all.remove(&self.from);
            }
        }
    }
}

/// Accepts until the endpoint is closed.
pub(super) async fn accept(core: Arc<Core>) {
    let crowd = Arc::<Crowd>::default();
    while let Some(incoming) = core.endpoint.accept().await {
        if crowd.total() >= SUSPICIOUS && !incoming.remote_addr_validated() {
            // It comes again with proof of its address; where that cannot be asked, it is dropped.
            let _ = incoming.retry();
            continue;
        }
        let from = match incoming.remote_addr() {
            IncomingAddr::Ip(address) => Some(address.ip()),
            _ => None,
        };
        let Some(place) = crowd.enter(from) else {
            incoming.refuse();
            continue;
        };
        let core = Arc::clone(&core);
        tokio::spawn(async move {
            let connection = tokio::time::timeout(HANDSHAKE, shake(incoming)).await;
            if let Ok(Some(connection)) = connection {
                welcome(core, connection, place).await;
            }
        });
    }
}

async fn shake(incoming: Incoming) -> Option<Connection> {
    incoming.accept().ok()?.await.ok()
}

/// A peer whose key is proven: in, or out before any stream.
async fn welcome(core: Arc<Core>, connection: Connection, place: Place) {
    let shut = |code: u32, words: &str| connection.close(VarInt::from_u32(code), words.as_bytes());
    let Some(peer) = Key::from_bytes(*connection.remote_id().as_bytes()) else {
        return shut(NOT_A_MEMBER, "no key");
    };
    let pairs = connection.alpn() == PAIR;
    if pairs && core.door() == Door::Shut {
        return shut(BUSY, "not pairing");
    }
    if !pairs && !core.handler.may(&peer) {
        return core.turn_away(&connection, &peer);
    }
    let greeted = tokio::time::timeout(GREETING, async {
        let (send, mut receive) = connection.accept_bi().await.map_err(|_| Why::Lost)?;
        stream::greeted(&mut receive).await?;
        Ok::<_, Why>((send, receive))
    });
    let Ok(Ok((mut send, receive))) = greeted.await else {
        return shut(BUSY, "no greeting");
    };
    drop(place);
    let entered = if pairs {
        core.enter_to_pair(peer)
    } else {
        core.enter(&connection, peer, false)
    };
    let Ok(meeting) = entered else {
        return if pairs {
            shut(BUSY, "busy")
        } else {
            shut(REPLACED, "another stands")
        };
    };
    let hand = meeting.hand();
    if stream::greet(&mut send).await.is_ok() {
        core.handler.on(if pairs {
            NetEvent::Pairing(meeting)
        } else {
            NetEvent::Here(meeting)
        });
    }
    core.carry(connection, hand, send, receive).await;
}
