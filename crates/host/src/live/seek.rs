//! A guest's way to the device that it pairs with: the one that its ticket names, or, by voice, each device on the same
//! network that shows that it would pair. It decides nothing about who is let in: the digits do.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::{Duration, Instant};

use link::identity::Key;
use link::net::{Address, Meeting, Net};

/// How long a guest tries to reach the host, or waits until one shows itself.
const REACH: Duration = Duration::from_secs(15);
/// How long one of several may take, where each may be the one.
const EACH: Duration = Duration::from_secs(5);

/// What looking for the host came to.
pub(super) enum Sought {
    /// It was reached.
    Met(Meeting),
    /// Not yet.
    NotYet,
    /// It cannot be reached, and why.
    Nobody(String),
}

/// The search.
pub(super) struct Seek {
    net: Arc<Net>,
    /// Whom the ticket names, and where; nothing by voice.
    named: Option<(Key, Vec<Address>)>,
    tried: BTreeSet<Key>,
    until: Instant,
    trouble: Option<String>,
}

impl Seek {
    /// For the device that a ticket names.
    pub(super) fn named(net: Arc<Net>, host: Key, addresses: Vec<Address>) -> Self {
        Self {
            named: Some((host, addresses)),
            ..Self::near(net)
        }
    }

    /// For whoever on the same network would pair by voice.
    pub(super) fn near(net: Arc<Net>) -> Self {
        Self {
            net,
            named: None,
            tried: BTreeSet::new(),
            until: Instant::now() + REACH,
            trouble: None,
        }
    }

    /// Looks once: reaches one that was not tried yet, or waits so long for one to show itself.
    pub(super) fn look(&mut self, pause: Duration) -> Sought {
        if let Some((host, addresses)) = self.named.clone() {
            if !self.tried.insert(host) {
                return Sought::Nobody("the connection broke".to_owned());
            }
            return match self.net.reach(host, addresses, REACH) {
                Ok(meeting) => Sought::Met(meeting),
                Err(error) => Sought::Nobody(error.to_string()),
            };
        }
        if let Some(host) = self.untried() {
            self.tried.insert(host);
            return match self.net.reach(host, Vec::new(), EACH) {
                Ok(meeting) => Sought::Met(meeting),
                Err(error) => {
                    self.trouble = Some(error.to_string());
                    Sought::NotYet
                }
            };
        }
        if Instant::now() >= self.until {
            return Sought::Nobody(self.trouble.take().unwrap_or_else(|| {
                "no device on this network shows digits to pair by: both have to be on the same one; elsewhere, pair by a ticket"
                    .to_owned()
            }));
        }
        std::thread::sleep(pause);
        Sought::NotYet
    }

    /// Whether somebody is left to be tried, after one was not the one.
    pub(super) fn goes_on(&self) -> bool {
        self.named.is_none() && self.untried().is_some()
    }

    fn untried(&self) -> Option<Key> {
        let mut near = self.net.would_pair().into_iter();
        near.find(|key| !self.tried.contains(key))
    }
}
