//! Dialling: one task for each peer that is wished for, which does what its [`Dialler`] says and is kicked awake by news. An
//! attempt is cut short by news as well: a new address is tried at once, not after the old one has timed out.

use std::sync::Arc;
use std::time::Duration;

use iroh::endpoint::{
    ConnectError, ConnectingError, Connection, ConnectionError, RecvStream, SendStream, VarInt,
};

use super::address::dialled;
use super::core::{Core, Kick, PeerWish, REPLACED, why_closed};
use super::meeting::Meeting;
use super::{Address, MEET, NetError, NetEvent, PAIR, Why, stream};
use crate::dialler::{self, Dial, Dialler, SeenPeer, Tried};
use crate::identity::Key;

/// Between attempts to reach a host to pair with.
const FIRST_PAUSE: Duration = Duration::from_millis(dialler::FIRST_PAUSE);

/// Replaces the wishes.
pub(super) fn wish(core: &Arc<Core>, peers: Vec<(Key, Vec<Address>)>) {
    core.wishes(peers, |peer| {
        let kick = Arc::<Kick>::default();
        let task = tokio::spawn(seek(Arc::clone(core), peer, Arc::clone(&kick)));
        PeerWish {
            addresses: Vec::new(),
            kick,
            task: task.abort_handle(),
        }
    });
}

/// Seeks one peer for as long as it is wished for.
async fn seek(core: Arc<Core>, peer: Key, kick: Arc<Kick>) {
    let mut dialler = Dialler::new(core.key > peer);
    loop {
        if kick.had_news() {
            dialler.news();
        }
        let (addresses, near) = core.whereabouts(&peer);
        let somewhere = !addresses.is_empty() || core.settings.internet_relays;
        let seen = SeenPeer {
            here: core.is_here(&peer),
            reachable: somewhere && core.handler.may(&peer),
            near,
            began: core.just_began(),
        };
        let left = |until: u64| Duration::from_millis(until.saturating_sub(core.now()));
        match dialler.next(core.now(), seen) {
            Dial::Await => kick.come().await,
            Dial::Courtesy(until) => tokio::time::sleep(left(until)).await,
            Dial::Rest(until) => tokio::select! {
                () = tokio::time::sleep(left(until)) => {}
                () = kick.come() => {}
            },
            Dial::Try(within) => {
                let within = Duration::from_millis(within);
                let tried = tokio::select! {
                    connected = tokio::time::timeout(within, connected(&core, peer, &addresses, MEET)) => connected,
                    // Something is known anew, or the other came by itself: a kick for another reason costs one attempt. Once
                    // connected, the other may count on it.
                    () = kick.come() => continue,
                };
                let tried = met(&core, peer, tried.unwrap_or(Err(Failed::Unreached)), within).await;
                dialler.tried(core.now(), seen, tried);
            }
        }
    }
}

/// Meets over a connection, where there is one and the other greets.
async fn met(core: &Arc<Core>, peer: Key, connected: Result<Connection, Failed>, within: Duration) -> Tried {
    let made = match connected {
        Ok(connection) => tokio::time::timeout(within, greeted(connection))
            .await
            .unwrap_or(Err(Failed::Unreached)),
        Err(failed) => Err(failed),
    };
    match made {
        Ok((connection, send, receive)) => {
            let Ok(meeting) = core.enter(&connection, peer, true) else {
                connection.close(VarInt::from_u32(REPLACED), b"another stands");
                return Tried::Missed;
            };
            let hand = meeting.hand();
            core.handler.on(NetEvent::Here(meeting));
            tokio::spawn(Arc::clone(core).carry(connection, hand, send, receive));
            Tried::Met
        }
        // It does not know this device, or knows that it was revoked.
        Err(Failed::Refused(why @ (Why::NotAMember | Why::Revoked), said)) => {
            core.handler.on(NetEvent::Refused { peer, why, said });
            Tried::Refused
        }
        Err(_) => Tried::Missed,
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
