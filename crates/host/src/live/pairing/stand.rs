//! How pairing stands on this device, as its pages show it.

use std::sync::mpsc::Sender;

use link::net::Meeting;
use link::pair::TRIES;
use notebook::wire::{PairAbout, PairState, Pairs};

/// How pairing stands on this device.
#[derive(Default)]
pub(crate) struct Pairing {
    pub(super) number: u64,
    pub(super) state: PairState,
    pub(super) ticket: Option<String>,
    pub(super) code: Option<String>,
    pub(super) about: Option<PairAbout>,
    pub(super) with: Option<String>,
    pub(super) words: Option<String>,
    pub(super) wrong: u8,
    pub(super) until: u64,
    pub(in crate::live) incoming: Option<Sender<Meeting>>,
    pub(super) answers: Option<Sender<bool>>,
}

impl Pairing {
    /// Whether the net is needed for it.
    pub(in crate::live) fn is_open(&self) -> bool {
        matches!(
            self.state,
            PairState::Open | PairState::Reaching | PairState::Compare | PairState::Waiting
        )
    }

    /// As it is shown at this time.
    pub(super) fn told(&self, now: u64) -> Pairs {
        Pairs {
            state: self.state,
            ticket: self.ticket.clone(),
            code: self.code.clone(),
            about: self.about.clone(),
            with: self.with.clone(),
            words: self.words.clone(),
            tries: u32::from(TRIES.saturating_sub(self.wrong)),
            seconds: u32::try_from(self.until.saturating_sub(now) / 1_000).unwrap_or_default(),
        }
    }
}
