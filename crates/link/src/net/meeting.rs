//! One meeting: frames to and from one peer over one stream, for a thread of the caller's to use. Dropping it says
//! farewell: what was sent still leaves, then the connection closes.

use std::fmt;
use std::sync::Arc;
use std::time::Duration;

use super::MOST_FRAME;
use super::NetError;
use super::queue::{Pulled, Queue};
use crate::identity::Key;

/// What came of waiting for a frame.
#[derive(Debug, PartialEq, Eq)]
pub enum Got {
    /// A frame.
    Frame(Vec<u8>),
    /// The time was over, or somebody knocked ([`Hand::knock`]).
    Nothing,
    /// The meeting is over, and no frame is left.
    Gone,
}

/// A meeting that stands.
pub struct Meeting {
    pub(super) hand: Hand,
    pub(super) inbox: Arc<Queue>,
}

/// A handle on a meeting for other threads: send, knock, close.
#[derive(Clone)]
pub struct Hand {
    pub(super) id: u64,
    pub(super) peer: Key,
    pub(super) dialled: bool,
    pub(super) inbox: Arc<Queue>,
    pub(super) outbox: Arc<Queue>,
}

impl Meeting {
    /// The peer's key, which it has proven to hold.
    #[must_use]
    pub fn peer(&self) -> Key {
        self.hand.peer
    }

    /// A number that no other meeting of this [`super::Net`] has.
    #[must_use]
    pub fn id(&self) -> u64 {
        self.hand.id
    }

    /// Whether this side dialled.
    #[must_use]
    pub fn dialled(&self) -> bool {
        self.hand.dialled
    }

    /// Sends a frame; waits where the peer or the network is slow.
    ///
    /// # Errors
    /// [`NetError::TooLong`] over 1 MiB; [`NetError::Gone`] when the meeting is over.
    pub fn send(&self, frame: Vec<u8>) -> Result<(), NetError> {
        self.hand.send(frame)
    }

    /// Sends a frame at once, whether or not there is room for it.
    ///
    /// # Errors
    /// As [`Meeting::send`].
    pub fn put(&self, frame: Vec<u8>) -> Result<(), NetError> {
        if frame.len() > MOST_FRAME {
            return Err(NetError::TooLong(frame.len()));
        }
        if self.hand.outbox.put(frame) {
            Ok(())
        } else {
            Err(NetError::Gone)
        }
    }

    /// Bytes that were sent and wait to leave.
    #[must_use]
    pub fn waiting(&self) -> usize {
        self.hand.outbox.bytes()
    }

    /// [`Meeting::receive`] ends as soon as fewer than so many bytes wait to leave.
    pub fn knock_below(&self, below: usize) {
        if self.hand.outbox.await_below(below) {
            self.inbox.knock();
        }
    }

    /// Waits for a frame, no longer than this.
    #[must_use = "a frame that is not looked at is lost"]
    pub fn receive(&self, within: Duration) -> Got {
        match self.inbox.pull(within) {
            Pulled::Frame(frame) => Got::Frame(frame),
            Pulled::Nothing => Got::Nothing,
            Pulled::Closed => Got::Gone,
        }
    }

    /// A handle for other threads.
    #[must_use]
    pub fn hand(&self) -> Hand {
        self.hand.clone()
    }
}

impl Hand {
    /// The peer's key.
    #[must_use]
    pub fn peer(&self) -> Key {
        self.peer
    }

    /// The meeting's number.
    #[must_use]
    pub fn id(&self) -> u64 {
        self.id
    }

    /// As [`Meeting::send`].
    ///
    /// # Errors
    /// As [`Meeting::send`].
    pub fn send(&self, frame: Vec<u8>) -> Result<(), NetError> {
        if frame.len() > MOST_FRAME {
            return Err(NetError::TooLong(frame.len()));
        }
        if self.outbox.push(frame) {
            Ok(())
        } else {
            Err(NetError::Gone)
        }
    }

    /// Wakes the thread that waits in [`Meeting::receive`], so that it looks after other matters.
    pub fn knock(&self) {
        self.inbox.knock();
    }

    /// Ends the meeting; what was sent still leaves.
    pub fn close(&self) {
        self.outbox.close();
    }
}

impl Drop for Meeting {
    fn drop(&mut self) {
        self.hand.outbox.close();
        self.inbox.close();
    }
}

impl fmt::Debug for Meeting {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "Meeting({} with {})", self.hand.id, self.hand.peer)
    }
}

impl fmt::Debug for Hand {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "Hand({} with {})", self.id, self.peer)
    }
}
