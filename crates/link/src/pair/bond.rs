//! What holds from the moment in which both sides share a secret, whichever road they came by: what the transcript is
//! bound to, and the end, in which both keepers say that the digits are the same. It sends nothing and counts nothing.

use super::message::Message;
use super::transcript::Transcript;
use super::{Code, Effect};
use crate::identity::Key;

/// A secret that both sides hold, and between whom.
#[derive(Clone)]
pub(super) struct Bond {
    /// The ticket's secret, or what the SPAKE2 exchange under a spoken code gave.
    pub(super) secret: [u8; 16],
    /// Which record it is for; zeros by voice, where the secret is this exchange's own.
    pub(super) record: [u8; 16],
    pub(super) host: Key,
    pub(super) guest: Key,
}

impl Bond {
    pub(super) fn transcript(&self) -> Transcript<'_> {
        Transcript {
            secret: &self.secret,
            record: &self.record,
            host: self.host,
            guest: self.guest,
        }
    }
}

/// The digits are shown: what each keeper has said of them.
pub(super) struct Showing {
    peer: Key,
    told: Vec<u8>,
    ours: bool,
    theirs: bool,
}

impl Showing {
    /// Begins with whom, and what they said of themselves.
    pub(super) fn new(peer: Key, told: Vec<u8>) -> Self {
        Self {
            peer,
            told,
            ours: false,
            theirs: false,
        }
    }

    /// The digits, with whom they are compared.
    pub(super) fn shown(&self, code: Code) -> Effect {
        Effect::Show {
            code,
            peer: self.peer,
            introduction: self.told.clone(),
        }
    }

    /// This side's keeper says that they are the same: told once.
    pub(super) fn ours(&mut self) -> Vec<Effect> {
        if std::mem::replace(&mut self.ours, true) {
            return Vec::new();
        }
        let mut effects = vec![Effect::Send(Message::Same.written())];
        effects.extend(self.paired());
        effects
    }

    /// The other side's keeper says so.
    pub(super) fn theirs(&mut self) -> Vec<Effect> {
        self.theirs = true;
        self.paired().into_iter().collect()
    }

    /// Whether both have.
    pub(super) fn agreed(&self) -> bool {
        self.ours && self.theirs
    }

    fn paired(&self) -> Option<Effect> {
        self.agreed().then(|| Effect::Paired {
            peer: self.peer,
            introduction: self.told.clone(),
        })
    }
}
