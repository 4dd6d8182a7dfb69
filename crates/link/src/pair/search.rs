//! A guest's way to the host that it pairs with: whom it tries to reach, for how long, and when it gives up. The one that its
//! ticket names is tried once; by voice, each device on the same network that shows that it would pair, once each. Pure: it is
//! told the time and who is near, and decides nothing about who is let in: the digits do.

use std::collections::BTreeSet;

use thiserror::Error;

use crate::address::Address;
use crate::identity::Key;

/// How many milliseconds a guest tries to reach the host that a ticket names, or waits until one shows itself.
pub const REACH: u64 = 15_000;
/// How many one of several may take, where each may be the one.
pub const EACH: u64 = 5_000;

/// What a guest does next on its way.
#[derive(Clone, Debug, PartialEq, Eq)]
#[must_use = "nobody is reached by whoever does not try"]
pub enum Sought {
    /// Reach this device, within so many milliseconds.
    Reach {
        /// Which.
        host: Key,
        /// Where, where that is known.
        addresses: Vec<Address>,
        /// Milliseconds.
        within: u64,
    },
    /// Look again a moment later, until this one at the latest.
    Wait(u64),
    /// It cannot be reached.
    Nobody(Unreached),
}

/// Why a guest does not come to its host.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum Unreached {
    /// The one that the ticket names was reached, and is no more.
    #[error("the connection broke")]
    Broke,
    /// What stood in the way of the last that was tried.
    #[error("{0}")]
    Missed(String),
    /// Nobody shows digits.
    #[error(
        "no device on this network shows digits to pair by: both have to be on the same one; elsewhere, pair by a ticket"
    )]
    NobodyNear,
}

/// The search.
#[derive(Debug)]
pub struct Search {
    /// Whom the ticket names, and where; nothing by voice.
    named: Option<(Key, Vec<Address>)>,
    tried: BTreeSet<Key>,
    until: u64,
    missed: Option<String>,
}

impl Search {
    /// For the device that a ticket names.
    #[must_use]
    pub fn named(host: Key, addresses: Vec<Address>) -> Self {
        Self {
            named: Some((host, addresses)),
            ..Self::near(0)
        }
    }

    /// For whoever on the same network would pair by voice, beginning at this moment in milliseconds.
    #[must_use]
    pub fn near(now: u64) -> Self {
        Self {
            named: None,
            tried: BTreeSet::new(),
            until: now.saturating_add(REACH),
            missed: None,
        }
    }

    /// Whether others than the one that a ticket names may be the host.
    #[must_use]
    pub fn is_near(&self) -> bool {
        self.named.is_none()
    }

    /// What is to be done at this moment, where these would pair by voice.
    pub fn next(&mut self, now: u64, would_pair: &[Key]) -> Sought {
        if let Some((host, addresses)) = &self.named {
            if let Some(missed) = self.missed.take() {
                return Sought::Nobody(Unreached::Missed(missed));
            }
            if !self.tried.insert(*host) {
                return Sought::Nobody(Unreached::Broke);
            }
            return Sought::Reach {
                host: *host,
                addresses: addresses.clone(),
                within: REACH,
            };
        }
        if let Some(host) = self.untried(would_pair) {
            self.tried.insert(host);
            return Sought::Reach {
                host,
                addresses: Vec::new(),
                within: EACH,
            };
        }
        if now < self.until {
            return Sought::Wait(self.until);
        }
        let missed = self.missed.take().map(Unreached::Missed);
        Sought::Nobody(missed.unwrap_or(Unreached::NobodyNear))
    }

    /// The one that was to be reached was not, and why.
    pub fn missed(&mut self, why: String) {
        self.missed = Some(why);
    }

    /// Whether somebody is left to be tried, after one was not the one.
    #[must_use]
    pub fn goes_on(&self, would_pair: &[Key]) -> bool {
        self.is_near() && self.untried(would_pair).is_some()
    }

    fn untried(&self, would_pair: &[Key]) -> Option<Key> {
        would_pair.iter().find(|key| !self.tried.contains(key)).copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::identity::Identity;

    fn key(number: u8) -> Key {
        Identity::generate(&[number; 64]).key()
    }

    fn reach(host: Key, addresses: &[Address], within: u64) -> Sought {
        Sought::Reach {
            host,
            addresses: addresses.to_vec(),
            within,
        }
    }

    #[test]
    fn the_one_that_a_ticket_names_is_tried_once_wherever_others_would_pair() {
        let at = [Address::Direct("192.0.2.7:4000".parse().unwrap())];
        let mut search = Search::named(key(1), at.to_vec());
        assert_eq!(search.next(9, &[key(2)]), reach(key(1), &at, REACH));
        assert!(!search.goes_on(&[key(2)]) && !search.is_near());
        // It was reached, and is gone.
        assert_eq!(
            search.next(10, &[key(1), key(2)]),
            Sought::Nobody(Unreached::Broke)
        );
        let mut search = Search::named(key(1), at.to_vec());
        let _ = search.next(9, &[]);
        search.missed("the other device could not be reached".to_owned());
        let Sought::Nobody(why) = search.next(10, &[]) else {
            panic!("it goes on")
        };
        assert_eq!(why.to_string(), "the other device could not be reached");
    }

    #[test]
    fn by_voice_each_that_shows_itself_is_tried_once_for_as_long_as_one_may_come() {
        let mut search = Search::near(1_000);
        let end = 1_000 + REACH;
        assert_eq!(search.next(1_000, &[]), Sought::Wait(end));
        assert_eq!(search.next(2_000, &[key(1)]), reach(key(1), &[], EACH));
        assert!(!search.goes_on(&[key(1)]) && search.goes_on(&[key(1), key(2)]));
        search.missed("it is busy".to_owned());
        assert_eq!(search.next(3_000, &[key(1), key(2)]), reach(key(2), &[], EACH));
        assert_eq!(search.next(end - 1, &[key(1), key(2)]), Sought::Wait(end));
        // One that shows itself late is tried all the same.
        assert_eq!(search.next(end, &[key(3), key(1)]), reach(key(3), &[], EACH));
        let missed = Unreached::Missed("it is busy".to_owned());
        assert_eq!(search.next(end, &[key(3)]), Sought::Nobody(missed));
        assert_eq!(
            Search::near(0).next(REACH, &[]),
            Sought::Nobody(Unreached::NobodyNear)
        );
    }
}
