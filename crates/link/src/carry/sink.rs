//! What takes the contents of a carry file. It is never called for a file that was not checked whole.

use super::{Hash, Head};
use crate::vouch::Mark;

/// Whether the bytes of a photo are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// Hand them on.
    Yes,
    /// Already held: pass over them.
    No,
}

/// Takes what a carry file holds, in this order: the head, each change and each signature, then for each photo its start, its pieces
/// and its end.
///
/// The whole file was found sound before the first call. Should the file be changed between that check and the
/// handing on, reading ends with an error after some calls: so collect, and keep for good only once
/// [`read`](super::read) returned `Ok`.
pub trait Sink {
    /// Why it would not take something.
    type Refusal;

    /// The head, before anything else: the place to say that it is another car, or a newer schema.
    fn head(&mut self, head: &Head) -> Result<(), Self::Refusal>;

    /// One change: the hash that the sender gave it, and its bytes, in the sender's order. Neither was compared with
    /// the other here.
    fn change(&mut self, hash: Hash, bytes: Vec<u8>) -> Result<(), Self::Refusal>;

    /// A signature over one of the changes ([`crate::vouch::Mark`]), in the sender's order. It is not believed here.
    ///
    /// # Errors
    /// Why it would not take it.
    fn mark(&mut self, _mark: Mark) -> Result<(), Self::Refusal> {
        Ok(())
    }

    /// A photo of `length` bytes begins. `length` is no more than the limit, and was counted by the check.
    fn photo(&mut self, hash: Hash, length: u64) -> Result<Wanted, Self::Refusal>;

    /// The next bytes of the photo, at most [`SLICE_MAX`](super::SLICE_MAX) of them.
    fn photo_piece(&mut self, piece: &[u8]) -> Result<(), Self::Refusal>;

    /// The photo is complete, and its BLAKE3 is the one named. Not called for a photo that was not wanted.
    fn photo_end(&mut self) -> Result<(), Self::Refusal>;
}
