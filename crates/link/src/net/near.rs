//! Finding each other on one network: announcing this device by mDNS (RFC 6762) under its public key, and hearing
//! others. Without a network, or where multicast has no route, it waits and tries again; it never fails the net.
//!
//! Asking costs a dozen wake-ups each time, the answers among them. So it is asked often only while something is new here
//! ([`Core::hurry`]), and seldom after that: whoever comes new asks often by itself, and is answered at once.

use std::collections::BTreeSet;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use iroh::address_lookup::{AddressLookup, EndpointData, EndpointInfo};
use iroh_mdns_address_lookup::{DiscoveryEvent, MdnsAddressLookup};
use tokio_stream::StreamExt;

use super::core::{Core, Near};
use super::{Address, Door};
use crate::identity::Key;

/// The service's name on the network.
const SERVICE: &str = "witnessmark";
/// What is announced beside the addresses.
const PAIRS: &str = "pair";
const QUIET: &str = "meet";
/// After a change of addresses multicast is joined anew at once and again: its route may come later than the address.
const AGAIN: [Duration; 2] = [Duration::from_secs(1), Duration::from_secs(4)];
/// And in any case so often, in case the change went unnoticed.
const RENEW: Duration = Duration::from_secs(60);
/// Between questions: while something is new, and when nothing is. A device that is heard no more is forgotten after
/// about three of them.
const OFTEN: Duration = Duration::from_millis(700);
const SELDOM: Duration = Duration::from_secs(6);

/// Announces and listens for as long as the net runs.
pub(super) async fn find(core: Arc<Core>) {
    let mut rounds = AGAIN.iter();
    loop {
        let own = direct(&core);
        let hurry = core.hurries();
        let round = listen(&core, &own, hurry.is_some());
        tokio::pin!(round);
        let settled = tokio::time::sleep(hurry.unwrap_or(Duration::MAX));
        tokio::pin!(settled);
        let news = loop {
            tokio::select! {
                news = &mut round => break news,
                () = &mut settled, if hurry.is_some() => {
                    match core.hurries() {
                        // Something was new meanwhile.
                        Some(more) => settled.as_mut().reset(tokio::time::Instant::now() + more),
                        None => break News::Pace,
                    }
                }
                () = tokio::time::sleep(rounds.next().copied().unwrap_or(RENEW)) => {
                    // Whoever hears others has nothing to mend.
                    if core.hears_nobody() {
                        break News::None;
                    }
                }
            }
        };
        if matches!(news, News::Addresses) {
            rounds = AGAIN.iter();
        }
        if !matches!(news, News::None) {
            // The next round hears them anew, and knows when they are gone.
            core.forget_near();
        }
    }
}

/// Why a round is over.
enum News {
    /// Nobody was heard; multicast is joined anew.
    None,
    /// This device's direct addresses are others.
    Addresses,
    /// It is to be asked more often, or less.
    Pace,
}

/// One round: until this device's direct addresses are others than `own`, or it is to be asked more often.
async fn listen(core: &Core, own: &BTreeSet<SocketAddr>, often: bool) -> News {
    let news = || {
        if direct(core) != *own {
            Some(News::Addresses)
        } else if !often && core.hurries().is_some() {
            Some(News::Pace)
        } else {
            None
        }
    };
    let built = MdnsAddressLookup::builder()
        .service_name(SERVICE)
        .discovery_cadence(if often { OFTEN } else { SELDOM })
        .build(core.endpoint.id());
    let Ok(mdns) = built else {
        loop {
            core.announce.notified().await;
            if let Some(news) = news() {
                return news;
            }
        }
    };
    mdns.publish(&announced(core));
    let mut events = mdns.subscribe().await;
    loop {
        tokio::select! {
            event = events.next() => match event {
                Some(event) => heard(core, event),
                None => std::future::pending().await,
            },
            () = core.announce.notified() => {
                if let Some(news) = news() {
                    return news;
                }
                mdns.publish(&announced(core));
            }
        }
    }
}

fn heard(core: &Core, event: DiscoveryEvent) {
    match event {
        DiscoveryEvent::Discovered { endpoint_info, .. } => {
            if let Some(peer) = Key::from_bytes(*endpoint_info.endpoint_id.as_bytes()) {
                core.found(peer, Some(near(&endpoint_info)));
            }
        }
        DiscoveryEvent::Expired { endpoint_id } => {
            if let Some(peer) = Key::from_bytes(*endpoint_id.as_bytes()) {
                core.found(peer, None);
            }
        }
        _ => {}
    }
}

fn near(info: &EndpointInfo) -> Near {
    let direct = info.ip_addrs().copied().map(Address::Direct);
    Near {
        addresses: direct.take(16).collect(),
        pairing: info.user_data().is_some_and(|said| said.to_string() == PAIRS),
    }
}

fn announced(core: &Core) -> EndpointData {
    let mut data = EndpointData::from(direct(core));
    let said = match core.door() {
        Door::ByVoice => PAIRS,
        // Whoever has a ticket needs no sign.
        Door::ByTicket | Door::Shut => QUIET,
    };
    data.set_user_data(said.parse().ok());
    data
}

fn direct(core: &Core) -> BTreeSet<SocketAddr> {
    core.endpoint.addr().ip_addrs().copied().collect()
}
