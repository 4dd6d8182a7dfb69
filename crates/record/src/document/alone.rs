//! A change read by itself: who says that they wrote it, when, and what it is about. It goes through the gate first and
//! never reaches Automerge, so that what may not be merged can be shown all the same. What it says is a claim.

use automerge::ActorId;

use super::bad::BadRecord;
use super::guard::{Chunk, Input, open_chunks};
use super::seat::Seat;
use crate::hash::ChangeId;
use crate::name::Id;
use crate::time::Moment;

/// Most characters of a message that are shown.
const MOST_LETTERS: usize = 300;

/// What a change says of itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alone {
    /// Its hash, computed here.
    pub id: ChangeId,
    /// The device that it says wrote it.
    pub device: Option<Id>,
    /// When, by that device's clock.
    pub at: Moment,
    /// What was done, in one line of at most 300 characters; what is no text is shown as such.
    pub message: String,
}

/// Reads the bytes of one change without any document.
///
/// # Errors
/// When they are damaged, are not one change alone, or unfold beyond the budget.
pub fn alone(bytes: &[u8]) -> Result<Alone, BadRecord> {
    let chunks = open_chunks(&[bytes.to_vec()])?;
    let [chunk] = chunks.as_slice() else {
        return Err(BadRecord::Damaged("it is not one change alone".to_owned()));
    };
    let read = read(chunk)?;
    Ok(Alone {
        id: chunk.id,
        device: Seat::device_of(&read.actor),
        at: Moment::from_seconds(read.at),
        message: read.message,
    })
}

struct Read {
    actor: ActorId,
    at: i64,
    message: String,
}

fn read(chunk: &Chunk) -> Result<Read, BadRecord> {
    let mut input = Input(&chunk.bytes);
    input.take(8)?; // what begins it, and its checksum
    input.byte()?; // its type
    input.length()?;
    for _ in 0..input.count(32)? {
        input.take(32)?; // what it builds on
    }
    let actor = ActorId::from(input.prefixed()?);
    input.uleb()?; // its number
    input.uleb()?; // its first operation
    let at = input.sleb()?;
    let message = String::from_utf8_lossy(input.prefixed()?)
        .chars()
        .map(|letter| if letter.is_control() { ' ' } else { letter })
        .take(MOST_LETTERS)
        .collect::<String>()
        .trim()
        .to_owned();
    Ok(Read { actor, at, message })
}

/// When a change says that it was made and what it says was done, and its actor; nothing where it cannot be read.
pub(super) fn said(chunk: &Chunk) -> (Moment, String, ActorId) {
    match read(chunk) {
        Ok(read) => (Moment::from_seconds(read.at), read.message, read.actor),
        Err(_) => (Moment::from_seconds(0), String::new(), ActorId::from(Vec::new())),
    }
}
