//! Frames on a stream: a length of four bytes (little-endian, never above [`FRAME_MAX`]) and as many bytes.
//!
//! Bounded on both sides: a reader makes room for bytes that came and never for bytes that were promised. It does not
//! look inside a frame, and it opens no stream.

use std::io::{self, Read};

/// Most bytes of one frame, its length not counted.
pub const FRAME_MAX: usize = 1 << 20;

/// Bytes of a frame's length.
pub const LENGTH: usize = 4;

/// What is wrong with a frame.
#[derive(Debug, thiserror::Error)]
pub enum FrameError {
    /// It says that it is longer than any may be, or empty.
    #[error("the other device sent a message of {0} bytes, which none may have")]
    Length(u32),
    /// The stream ended in the middle of it.
    #[error("the connection ended in the middle of a message")]
    Cut,
    /// The stream failed.
    #[error("the connection failed: {0}")]
    Io(io::Error),
}

/// How long the frame is that begins with these four bytes.
///
/// # Errors
/// [`FrameError::Length`] where it is empty or longer than [`FRAME_MAX`].
pub fn length(front: [u8; LENGTH]) -> Result<usize, FrameError> {
    let said = u32::from_le_bytes(front);
    match usize::try_from(said) {
        Ok(length) if (1..=FRAME_MAX).contains(&length) => Ok(length),
        _ => Err(FrameError::Length(said)),
    }
}

/// The four bytes before a frame's body.
///
/// # Errors
/// [`FrameError::Length`] where it is empty or longer than [`FRAME_MAX`]; no message of [`crate::talk`] is.
pub fn front(body: &[u8]) -> Result<[u8; LENGTH], FrameError> {
    let said = u32::try_from(body.len()).unwrap_or(u32::MAX);
    let front = said.to_le_bytes();
    length(front)?;
    Ok(front)
}

/// Reads the next frame's body; nothing where the stream ended between two.
///
/// # Errors
/// When the stream fails or ends within a frame, or a length is not to be believed.
pub fn read(from: &mut impl Read) -> Result<Option<Vec<u8>>, FrameError> {
    let mut said = Vec::with_capacity(LENGTH);
    from.take(LENGTH as u64)
        .read_to_end(&mut said)
        .map_err(FrameError::Io)?;
    if said.is_empty() {
        return Ok(None);
    }
    let said: [u8; LENGTH] = said.try_into().map_err(|_| FrameError::Cut)?;
    let length = length(said)?;
    let mut body = Vec::new();
    from.take(length as u64)
        .read_to_end(&mut body)
        .map_err(FrameError::Io)?;
    if body.len() < length {
        return Err(FrameError::Cut);
    }
    Ok(Some(body))
}
