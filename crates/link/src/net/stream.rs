//! Frames on a stream: four bytes of length (little-endian), then the frame. A declared length buys nothing: memory
//! grows with what has arrived.

use std::time::Duration;

use iroh::endpoint::{RecvStream, SendStream};

use super::queue::Queue;
use super::{MOST_FRAME, Why};

/// How much is read at once, and how much of a frame is made room for before it has come.
const STEP: usize = 64 * 1024;
/// A peer that takes no frame for so long is as good as gone.
const PATIENCE: Duration = Duration::from_secs(120);
/// How long a farewell waits until the peer has everything.
const FAREWELL: Duration = Duration::from_secs(2);
/// The one byte that each side sends first: the version of this framing.
const VERSION: u8 = 1;

/// Says the version; the other side learns by it that the stream is there.
pub(super) async fn greet(send: &mut SendStream) -> Result<(), Why> {
    send.write_all(&[VERSION]).await.map_err(|_| Why::Lost)
}

/// Hears the other side's version.
pub(super) async fn greeted(receive: &mut RecvStream) -> Result<(), Why> {
    let mut byte = [0];
    receive.read_exact(&mut byte).await.map_err(|_| Why::Lost)?;
    if byte == [VERSION] { Ok(()) } else { Err(Why::Busy) }
}

/// Reads frames into the queue until the stream ends.
pub(super) async fn read_all(receive: &mut RecvStream, inbox: &Queue) -> Why {
    let mut came = vec![0; STEP];
    let mut frames = Assembler::default();
    loop {
        let count = match receive.read(&mut came).await {
            Ok(Some(count)) => count,
            Ok(None) if frames.is_between() => return Why::Theirs,
            // A frame that was cut off is none.
            Ok(None) | Err(_) => return Why::Lost,
        };
        let mut rest = came.get(..count).unwrap_or_default();
        while !rest.is_empty() {
            match frames.take(&mut rest) {
                // Closed when this side has left: what still comes is let go, so that what this side sent can leave.
                Ok(Some(frame)) => _ = inbox.push_async(frame).await,
                Ok(None) => {}
                Err(declared) => return Why::TooLong(declared),
            }
        }
    }
}

/// Puts frames together from whatever pieces the stream gives.
#[derive(Default)]
struct Assembler {
    length: Vec<u8>,
    frame: Vec<u8>,
}

impl Assembler {
    /// Takes from the front of what came; gives a frame when one is whole.
    fn take(&mut self, rest: &mut &[u8]) -> Result<Option<Vec<u8>>, u32> {
        move_to(&mut self.length, rest, 4);
        let Ok(length) = <[u8; 4]>::try_from(self.length.as_slice()) else {
            return Ok(None);
        };
        let declared = u32::from_le_bytes(length);
        let Some(length) = usize::try_from(declared)
            .ok()
            .filter(|length| *length <= MOST_FRAME)
        else {
            return Err(declared);
        };
        if self.frame.is_empty() {
            self.frame.reserve(length.min(STEP));
        }
        move_to(&mut self.frame, rest, length);
        if self.frame.len() < length {
            return Ok(None);
        }
        self.length.clear();
        Ok(Some(std::mem::take(&mut self.frame)))
    }

    /// Whether no frame has been begun.
    fn is_between(&self) -> bool {
        self.length.is_empty()
    }
}

/// Moves bytes from the front until `to` is so long, or nothing is left.
fn move_to(to: &mut Vec<u8>, from: &mut &[u8], length: usize) {
    let count = length.saturating_sub(to.len()).min(from.len());
    if let Some((first, rest)) = from.split_at_checked(count) {
        to.extend_from_slice(first);
        *from = rest;
    }
}

/// Writes the queue's frames until it is closed and empty, then ends the stream. Knocks at the inbox where its thread has
/// more to offer than there was room for.
pub(super) async fn write_all(send: &mut SendStream, outbox: &Queue, inbox: &Queue) -> Why {
    while let Some(frame) = outbox.pull_async().await {
        if outbox.is_low() {
            inbox.knock();
        }
        let Ok(length) = u32::try_from(frame.len()) else {
            return Why::Ours;
        };
        let mut parts = [length.to_le_bytes().to_vec().into(), frame.into()];
        match tokio::time::timeout(PATIENCE, send.write_all_chunks(&mut parts)).await {
            Ok(Ok(())) => {}
            _ => return Why::Lost,
        }
    }
    if send.finish().is_ok() {
        // A farewell must not cut off what was sent.
        let _ = tokio::time::timeout(FAREWELL, send.stopped()).await;
    }
    Why::Ours
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn frames_come_together_from_any_pieces() {
        let made: Vec<Vec<u8>> = [0, 1, 5, 0, 300, 70_000]
            .into_iter()
            .map(|length| (0..length).map(|place: u32| place as u8).collect())
            .collect();
        let stream: Vec<u8> = made
            .iter()
            .flat_map(|frame| [&u32::try_from(frame.len()).unwrap().to_le_bytes(), &frame[..]].concat())
            .collect();
        for piece in [1, 2, 3, 4, 5, 64, 100_000] {
            let mut frames = Assembler::default();
            let mut got = Vec::new();
            for mut rest in stream.chunks(piece) {
                while !rest.is_empty() {
                    got.extend(frames.take(&mut rest).unwrap());
                }
            }
            assert_eq!(got, made, "in pieces of {piece}");
            assert!(frames.is_between());
        }
        let mut long = &[0, 0, 16, 0, 1][..];
        assert_eq!(Assembler::default().take(&mut long), Ok(None));
        let mut longer = &[1, 0, 16, 0, 1][..];
        assert_eq!(Assembler::default().take(&mut longer), Err(MOST_FRAME as u32 + 1));
    }
}
