//! Starting and stopping: the thread, its runtime, the endpoint with the keeper's settings, and the tasks.

use std::net::{Ipv4Addr, Ipv6Addr, SocketAddr};
use std::sync::Arc;
use std::sync::mpsc;
use std::time::Duration;

use iroh::address_lookup::{DnsAddressLookup, PkarrPublisher, PkarrResolver};
use iroh::endpoint::{BindOpts, Builder, presets};
use iroh::{Endpoint, RelayMode, RelayUrl, SecretKey};

use super::core::Core;
use super::transport::transport;
use super::{Handler, MEET, NetError, Settings, accept, near};
use crate::address::NotAnAddress;
use crate::identity::Identity;

/// How long stopping waits for farewells.
const FAREWELL: Duration = Duration::from_secs(2);

/// A net that runs: what it does, and how it is stopped.
pub(super) struct Running {
    pub(super) core: Arc<Core>,
    pub(super) runtime: tokio::runtime::Handle,
    pub(super) stop: Option<tokio::sync::oneshot::Sender<()>>,
    pub(super) thread: Option<std::thread::JoinHandle<()>>,
}

/// Starts the thread and waits until the endpoint is bound.
pub(super) fn start(
    identity: &Identity,
    settings: Settings,
    handler: Arc<dyn Handler>,
) -> Result<Running, NetError> {
    let again = sockets_again(&settings);
    let again = again.map(|at| built(identity, &settings, &at)).transpose()?;
    let builder = built(identity, &settings, &settings.at)?;
    let key = identity.key();
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .thread_name("meetings")
        .enable_all()
        .build()
        .map_err(|error| NetError::Bind(error.to_string()))?;
    let handle = runtime.handle().clone();
    let (tell, told) = mpsc::channel();
    let (stop, stopped) = tokio::sync::oneshot::channel();
    let thread = std::thread::Builder::new()
        .name("meetings".to_owned())
        .spawn(move || {
            runtime.block_on(async {
                // The ports of the last time, or any.
                let again = match again {
                    Some(again) => again.bind().await.ok(),
                    None => None,
                };
                let bound = match again {
                    Some(endpoint) => Ok(endpoint),
                    None => builder.bind().await,
                };
                let endpoint = match bound {
                    Ok(endpoint) => endpoint,
                    Err(error) => {
                        let _ = tell.send(Err(NetError::Bind(error.to_string())));
                        return;
                    }
                };
                let core = Arc::new(Core::new(endpoint.clone(), key, handler, settings));
                tokio::spawn(accept::accept(Arc::clone(&core)));
                tokio::spawn(Arc::clone(&core).watch());
                if core.settings.mdns {
                    tokio::spawn(near::find(Arc::clone(&core)));
                }
                if tell.send(Ok(Arc::clone(&core))).is_ok() {
                    let _ = stopped.await;
                }
                core.farewell();
                let _ = tokio::time::timeout(FAREWELL, endpoint.close()).await;
            });
            runtime.shutdown_timeout(Duration::from_millis(500));
        })
        .map_err(|error| NetError::Bind(error.to_string()))?;
    let core = told.recv().unwrap_or(Err(NetError::Stopped))?;
    Ok(Running {
        core,
        runtime: handle,
        stop: Some(stop),
        thread: Some(thread),
    })
}

/// Where to listen so that the ports are those of the last time; none where there is nothing to take again.
fn sockets_again(settings: &Settings) -> Option<Vec<SocketAddr>> {
    let usual = [
        SocketAddr::from((Ipv4Addr::UNSPECIFIED, 0)),
        SocketAddr::from((Ipv6Addr::UNSPECIFIED, 0)),
    ];
    let wanted = if settings.at.is_empty() {
        &usual[..]
    } else {
        &settings.at
    };
    let last = |at: &SocketAddr| {
        let mut before = settings.before.iter();
        before
            .find(|before| at.port() == 0 && before.ip() == at.ip())
            .copied()
    };
    let again = wanted.iter().map(|at| last(at).unwrap_or(*at)).collect();
    wanted.iter().any(|at| last(at).is_some()).then_some(again)
}

fn built(identity: &Identity, settings: &Settings, at: &[SocketAddr]) -> Result<Builder, NetError> {
    let mut builder = Endpoint::builder(presets::Minimal)
        .secret_key(SecretKey::from_bytes(identity.seed()))
        .alpns(vec![MEET.to_vec()])
        .transport_config(transport());
    let own: Option<RelayUrl> = match &settings.relay {
        Some(url) => Some(url.parse().map_err(|_| NotAnAddress(url.clone()))?),
        None => None,
    };
    if settings.internet_relays {
        builder = builder
            .address_lookup(PkarrPublisher::n0_dns())
            .address_lookup(PkarrResolver::n0_dns())
            .address_lookup(DnsAddressLookup::n0_dns());
    }
    builder = match (own, settings.internet_relays) {
        (Some(url), _) => builder.relay_mode(RelayMode::custom([url])),
        (None, true) => builder.relay_mode(RelayMode::Default),
        (None, false) => builder.relay_mode(RelayMode::Disabled),
    };
    if !at.is_empty() {
        builder = builder.clear_ip_transports();
        for at in at {
            // A machine without IPv6 does without, unless it was asked for by name.
            let required = at.port() != 0 || settings.at.contains(at);
            builder = builder
                .bind_addr_with_opts(*at, BindOpts::default().set_is_required(required))
                .map_err(|error| NetError::Bind(error.to_string()))?;
        }
    }
    Ok(builder)
}
