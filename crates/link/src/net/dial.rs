//! Dialling: one task for each peer that is wished for, which sleeps while the peer is here or nothing is known of
//! where it may be, and is kicked awake by news. An attempt is cut short by news as well: a new address is tried at
//! once, not after the old one has timed out.

use std::sync::Arc;
use std::time::Duration;

use iroh::endpoint::{
    ConnectError, ConnectingError, Connection, ConnectionError, RecvStream, SendStream, VarInt,
};
use tokio::sync::Notify;

use super::address::dialled;
use super::core::{Core, REPLACED, Wish, why_closed};
use super::meeting::Meeting;
use super::{Address, Event, MEET, NetError, PAIR, Why, stream};
use crate::identity::Key;

/// How long attempts may take, in turn: near peers answer soon, a relay far away later.
const ATTEMPTS: [Duration; 4] = [
    Duration::from_millis(2_500),
    Duration::from_millis(2_500),
    Duration::from_secs(5),
    Duration::from_secs(10),
];
/// Between attempts, at first and at most; a peer that was seen on the same network is tried every second.
const FIRST_PAUSE: Duration = Duration::from_millis(250);
const LONGEST_PAUSE: Duration = Duration::from_secs(30);
const NEAR_PAUSE: Duration = Duration::from_secs(1);
/// The larger key lets the smaller dial first, so that both rarely do at once: after a break, or when they see each other
/// come up near. A device that only just began and remembers where the other was does not wait: the other has given up
/// dialling for long.
const COURTESY: Duration = Duration::from_millis(150);

/// Replaces the wishes.
pub(super) fn wish(core: &Arc<Core>, peers: Vec<(Key, Vec<Address>)>) {
    core.wishes(peers, |peer| {
        let kick = Arc::new(Notify::new());
        let task = tokio::spawn(seek(Arc::clone(core), peer, Arc::clone(&kick)));
        Wish {
            addresses: Vec::new(),
            kick,
            task: task.abort_handle(),
        }
    });
}

/// Seeks one peer for as long as it is wished for.
async fn seek(core: Arc<Core>, peer: Key, kick: Arc<Notify>) {
    let mut pause = FIRST_PAUSE;
    let mut tries = 0_usize;
    let mut courteous = true;
    loop {
        if core.is_here(&peer) {
            courteous = true;
            kick.notified().await;
            (pause, tries) = (FIRST_PAUSE, 0);
            continue;
        }
        let (addresses, near) = core.whereabouts(&peer);
        if addresses.is_empty() && !core.settings.internet_relays || !core.handler.may(&peer) {
            kick.notified().await;
            (pause, tries) = (FIRST_PAUSE, 0);
            continue;
        }
        if courteous && core.key > peer && (near || !core.just_began()) {
            courteous = false;
            tokio::time::sleep(COURTESY).await;
            if core.is_here(&peer) {
                continue;
            }
        }
        let time = ATTEMPTS
            .get(tries % ATTEMPTS.len())
            .copied()
            .unwrap_or(NEAR_PAUSE);
        let connected = tokio::select! {
            connected = tokio::time::timeout(time, connected(&core, peer, &addresses, MEET)) => connected,
            () = kick.notified() => {
                (pause, tries) = (FIRST_PAUSE, 0);
                // One of them is news only if something has changed, or the other came by itself meanwhile; a kick for
                // another reason costs one attempt. Once connected, the other may count on it.
                continue;
            }
        };
        let made = match connected {
            Ok(Ok(connection)) => tokio::time::timeout(time, greeted(connection))
                .await
                .unwrap_or(Err(Failed::Unreached)),
            Ok(Err(failed)) => Err(failed),
            Err(_) => Err(Failed::Unreached),
        };
        tries += 1;
        if let Ok((connection, send, receive)) = made {
            match core.enter(&connection, peer, true) {
                Ok(meeting) => {
                    let hand = meeting.hand();
                    core.handler.on(Event::Here(meeting));
                    tokio::spawn(Arc::clone(&core).carry(connection, hand, send, receive));
                    continue;
                }
                Err(_) => connection.close(VarInt::from_u32(REPLACED), b"another stands"),
            }
        } else if let Err(Failed::Refused(why @ (Why::NotAMember | Why::Revoked), said)) = made {
            core.handler.on(Event::Refused { peer, why, said });
            // It does not know this device, or knows that it was revoked: ask seldom.
            pause = LONGEST_PAUSE;
        }
        let longest = if near && pause < LONGEST_PAUSE {
            NEAR_PAUSE
        } else {
            LONGEST_PAUSE
        };
        tokio::select! {
            () = tokio::time::sleep(pause.min(longest)) => pause = pause.saturating_mul(2).min(LONGEST_PAUSE / 2),
            () = kick.notified() => (pause, tries) = (FIRST_PAUSE, 0),
        }
    }
}

/// Reaches a host to pair with.
pub(super) async fn reach(
    core: &Arc<Core>,
    host: Key,
    mut addresses: Vec<Address>,
) -> Result<Meeting, NetError> {
    addresses.extend(core.whereabouts(&host).0);
    loop {
        let made = match connected(core, host, &addresses, PAIR).await {
            Ok(connection) => greeted(connection).await,
            Err(failed) => Err(failed),
        };
        match made {
            Ok((connection, send, receive)) => {
                let meeting = core.made(host, true);
                let hand = meeting.hand();
                tokio::spawn(Arc::clone(core).carry(connection, hand, send, receive));
                return Ok(meeting);
            }
            Err(Failed::Unreached) => tokio::time::sleep(FIRST_PAUSE).await,
            Err(Failed::Refused(why, _)) => return Err(NetError::Refused(why)),
        }
    }
}

/// Why an attempt came to nothing.
enum Failed {
    Unreached,
    /// Refused, and the other side's words, if it said any.
    Refused(Why, Option<String>),
}

/// A refusal may come before this side has seen the end of the handshake: it is one all the same.
fn refused(error: &ConnectError) -> Failed {
    let reason = match error {
        ConnectError::Connection { source, .. }
        | ConnectError::Connecting {
            source: ConnectingError::ConnectionError { source, .. },
            ..
        } => source,
        _ => return Failed::Unreached,
    };
    match reason {
        ConnectionError::ApplicationClosed(_) => {
            let (why, said) = why_closed(reason, Why::Lost);
            Failed::Refused(why, said)
        }
        _ => Failed::Unreached,
    }
}

/// A connection of which nobody has heard a word yet: dropped, it was none.
async fn connected(
    core: &Core,
    peer: Key,
    addresses: &[Address],
    protocol: &[u8],
) -> Result<Connection, Failed> {
    let to = dialled(peer, addresses).ok_or(Failed::Unreached)?;
    let made = core.endpoint.connect(to, protocol).await;
    made.map_err(|error| refused(&error))
}

/// A connection that both sides have greeted on.
async fn greeted(connection: Connection) -> Result<(Connection, SendStream, RecvStream), Failed> {
    let greeted = async {
        let (mut send, mut receive) = connection.open_bi().await.map_err(|_| Why::Lost)?;
        stream::greet(&mut send).await?;
        stream::greeted(&mut receive).await?;
        Ok::<_, Why>((send, receive))
    };
    match greeted.await {
        Ok((send, receive)) => Ok((connection, send, receive)),
        Err(why) => Err(match connection.close_reason() {
            Some(reason) => {
                let (why, said) = why_closed(&reason, why);
                Failed::Refused(why, said)
            }
            None => Failed::Refused(why, None),
        }),
    }
}
