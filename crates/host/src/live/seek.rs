//! A guest's way to the device that it pairs with, carried out: what its search says ([`link::pair::Search`]), over the net. It
//! decides nothing of whom to try or for how long.

use std::sync::Arc;
use std::time::Duration;

use link::net::{Meeting, Net};
use link::pair::{self, Search};

/// What looking for the host came to.
pub(super) enum Sought {
    /// It was reached.
    Met(Meeting),
    /// Not yet.
    NotYet,
    /// It cannot be reached, and why.
    Nobody(String),
}

/// The search, and the net that it goes over.
pub(super) struct Seek {
    pub(super) net: Arc<Net>,
    pub(super) search: Search,
}

impl Seek {
    /// Looks once: reaches one that was not tried yet, or waits so long at most for one to show itself.
    pub(super) fn look(&mut self, now: u64, pause: Duration) -> Sought {
        let near = self.near();
        match self.search.next(now, &near) {
            pair::Sought::Reach {
                host,
                addresses,
                within,
            } => match self.net.reach(host, addresses, Duration::from_millis(within)) {
                Ok(meeting) => Sought::Met(meeting),
                Err(error) => {
                    self.search.missed(error.to_string());
                    Sought::NotYet
                }
            },
            pair::Sought::Wait(until) => {
                std::thread::sleep(pause.min(Duration::from_millis(until.saturating_sub(now))));
                Sought::NotYet
            }
            pair::Sought::Nobody(why) => Sought::Nobody(why.to_string()),
        }
    }

    /// Whether somebody is left to be tried, after one was not the one.
    pub(super) fn goes_on(&self) -> bool {
        self.search.goes_on(&self.near())
    }

    /// Who would pair by voice; asked only where one may be the host, since it makes the net ask around.
    fn near(&self) -> Vec<link::identity::Key> {
        if self.search.is_near() {
            self.net.would_pair()
        } else {
            Vec::new()
        }
    }
}
