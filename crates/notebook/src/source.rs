//! Where the clock and the randomness come from: an argument of whoever opens a notebook, so that every test can
//! replay what happened. Nothing here reads either by itself.

use record::{Ids, Moment};

/// A clock and a source of randomness.
pub trait Source: Send {
    /// Now.
    fn now(&mut self) -> Moment;
    /// Sixteen bytes that nobody can guess.
    fn random(&mut self) -> [u8; 16];
    /// Sixty-four bytes that nobody can guess, for a device's secrets. A source that lends none, as of a story that is
    /// the same at each telling, makes no device that others could meet.
    fn secret(&mut self) -> Option<[u8; 64]> {
        None
    }
}

/// Fresh ids: UUIDv7, so that lists by id come roughly in the order things were made.
pub(crate) struct Fresh<'a> {
    pub(crate) source: &'a mut dyn Source,
    pub(crate) now: Moment,
}

impl Ids for Fresh<'_> {
    fn fresh(&mut self) -> uuid::Uuid {
        let random = self.source.random();
        let millis = u64::try_from(self.now.seconds())
            .unwrap_or(0)
            .saturating_mul(1000);
        let tail = random.first_chunk::<10>().copied().unwrap_or_default();
        uuid::Builder::from_unix_timestamp_millis(millis, &tail).into_uuid()
    }
}
