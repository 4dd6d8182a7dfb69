//! What a ticket holds and how it is written: `wm1-` and base 32 with a checksum. It is a secret while it lives.
//!
//! It does not say whether it is still good: only the host knows, by its own clock and count of tries.

use std::fmt;

use thiserror::Error;

use super::{Modules, base32};
use crate::address::Address;
use crate::identity::Key;

const PREFIX: &str = "wm1-";
const SUM: usize = 4;
/// The most characters of a text that are looked at.
const MOST_TEXT: usize = 4_096;
/// The most addresses that a ticket names.
const MOST_ADDRESSES: usize = 8;

/// What the guest needs to reach the host and to prove that it was asked.
#[derive(Clone, PartialEq, Eq)]
pub struct Ticket {
    /// Which record it is for, as the host tags it.
    pub record: [u8; 16],
    /// The host's key.
    pub host: Key,
    /// Where the host may be found; at most eight are written.
    pub addresses: Vec<Address>,
    /// The one-time secret.
    pub secret: [u8; 16],
    /// When it ends, in milliseconds of the host's clock. A guest's clock may differ: only a hint.
    pub until: u64,
}

/// Why a text is no ticket.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum TicketError {
    /// It does not begin with `wm1-`.
    #[error("this is no ticket: a ticket begins with wm1-")]
    NotATicket,
    /// A newer program made it.
    #[error("this ticket is of a newer version than this program knows")]
    Newer,
    /// A character is wrong, or one is missing.
    #[error("the ticket is damaged: a character is wrong or missing")]
    Damaged,
}

impl Ticket {
    /// Reads a ticket from its text, in either case, with spaces and line ends passed over.
    ///
    /// # Errors
    /// [`TicketError`]: not a ticket, newer, damaged.
    pub fn from_text(text: &str) -> Result<Self, TicketError> {
        if text.len() > MOST_TEXT {
            return Err(TicketError::NotATicket);
        }
        let text: String = text
            .chars()
            .filter(|letter| !letter.is_whitespace())
            .map(|letter| letter.to_ascii_lowercase())
            .collect();
        let Some(body) = text.strip_prefix(PREFIX) else {
            let newer = text
                .strip_prefix("wm")
                .and_then(|rest| rest.split_once('-'))
                .is_some_and(|(number, _)| number.parse::<u32>().is_ok_and(|number| number > 1));
            return Err(if newer {
                TicketError::Newer
            } else {
                TicketError::NotATicket
            });
        };
        let bytes = base32::read(body).ok_or(TicketError::Damaged)?;
        let place = bytes.len().checked_sub(SUM).ok_or(TicketError::Damaged)?;
        let (content, sum) = bytes.split_at(place);
        if sum != checksum(content) {
            return Err(TicketError::Damaged);
        }
        Self::read(content).ok_or(TicketError::Damaged)
    }

    /// The ticket as QR modules, in upper case (which QR packs densest).
    #[must_use]
    pub fn qr(&self) -> Option<Modules> {
        Modules::of(&self.to_string().to_ascii_uppercase())
    }

    fn written(&self) -> Vec<u8> {
        let mut bytes = Vec::new();
        bytes.extend(self.record);
        bytes.extend(self.host.as_bytes());
        bytes.extend(self.secret);
        bytes.extend(self.until.to_le_bytes());
        for address in self.addresses.iter().take(MOST_ADDRESSES) {
            let packed = address.packed();
            if let Ok(length) = u8::try_from(packed.len()) {
                bytes.push(length);
                bytes.extend(packed);
            }
        }
        bytes
    }

    fn read(bytes: &[u8]) -> Option<Self> {
        let (record, bytes) = bytes.split_first_chunk::<16>()?;
        let (host, bytes) = bytes.split_first_chunk::<32>()?;
        let (secret, bytes) = bytes.split_first_chunk::<16>()?;
        let (until, mut bytes) = bytes.split_first_chunk::<8>()?;
        let mut addresses = Vec::new();
        while let Some((length, rest)) = bytes.split_first() {
            let (packed, rest) = rest.split_at_checked(usize::from(*length))?;
            // An address of a kind that a newer program added is passed over.
            addresses.extend(Address::unpacked(packed));
            bytes = rest;
        }
        addresses.truncate(MOST_ADDRESSES);
        Some(Self {
            record: *record,
            host: Key::from_bytes(*host)?,
            addresses,
            secret: *secret,
            until: u64::from_le_bytes(*until),
        })
    }
}

impl fmt::Display for Ticket {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut bytes = self.written();
        bytes.extend(checksum(&bytes));
        write!(out, "{PREFIX}{}", base32::write(&bytes))
    }
}

impl fmt::Debug for Ticket {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            out,
            "Ticket(host {}, {} addresses)",
            self.host,
            self.addresses.len()
        )
    }
}

fn checksum(bytes: &[u8]) -> [u8; SUM] {
    let mut sum = [0; SUM];
    let mut reader = blake3::Hasher::new_derive_key("witnessmark ticket checksum 1");
    reader.update(bytes).finalize_xof().fill(&mut sum);
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::identity::Identity;

    fn some() -> Ticket {
        Ticket {
            record: [3; 16],
            host: Identity::generate(&[5; 64]).key(),
            addresses: vec![
                "192.0.2.7:4433".parse().unwrap(),
                "[2001:db8::1]:4433".parse().unwrap(),
                "https://relay.example:8443/".parse().unwrap(),
            ],
            secret: [9; 16],
            until: 1_700_000_000_000,
        }
    }

    #[test]
    fn it_comes_back_from_text_in_either_case() {
        let text = some().to_string();
        assert!(text.starts_with("wm1-"));
        assert_eq!(Ticket::from_text(&text).unwrap(), some());
        let wrapped = format!(" {}\n{} ", &text[..30].to_uppercase(), &text[30..]);
        assert_eq!(Ticket::from_text(&wrapped).unwrap(), some());
    }

    #[test]
    fn every_changed_character_is_noticed() {
        let text = some().to_string();
        for place in 4..text.len() {
            let mut changed = text.clone().into_bytes();
            changed[place] = if changed[place] == b'a' { b'b' } else { b'a' };
            let changed = String::from_utf8(changed).unwrap();
            assert_eq!(Ticket::from_text(&changed), Err(TicketError::Damaged), "{place}");
            assert!(Ticket::from_text(&text[..place]).is_err());
        }
        assert_eq!(Ticket::from_text("hello"), Err(TicketError::NotATicket));
        assert_eq!(Ticket::from_text("wm2-aaaa"), Err(TicketError::Newer));
    }

    #[test]
    fn its_secret_is_not_printed() {
        assert!(!format!("{:?}", some()).contains('9'.to_string().repeat(3).as_str()));
    }

    #[test]
    fn its_modules_are_a_square_with_three_finders() {
        let code = some().qr().unwrap();
        let rows: Vec<_> = code.rows().collect();
        assert_eq!(rows.len(), code.side());
        // The outer ring of a finder pattern: seven dark modules (ISO/IEC 18004, 6.3.3).
        let last = code.side() - 7;
        assert!(rows[0][..7].iter().all(|dark| *dark) && rows[0][last..].iter().all(|dark| *dark));
        assert!(rows[code.side() - 1][..7].iter().all(|dark| *dark));
        assert!(!rows[code.side() - 1][last..].iter().all(|dark| *dark));
    }
}
