//! Where fresh ids come from. Nothing here makes one.

/// Where fresh ids come from: randomness is the caller's.
pub trait Ids {
    /// An id that was never used before.
    fn fresh(&mut self) -> uuid::Uuid;
}
