//! Frames on a stream: four bytes of length (little-endian), then the frame. A declared length buys nothing: memory
//! grows with what has arrived.

use std::time::Duration;

use iroh::endpoint::{ReadExactError, RecvStream, SendStream};

use super::queue::Queue;
use super::{MOST_FRAME, Why};

/// How much of a frame is made room for before it has come.
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
    loop {
        let mut length = [0; 4];
        match receive.read_exact(&mut length).await {
            Ok(()) => {}
            Err(ReadExactError::FinishedEarly(0)) => return Why::Theirs,
            Err(_) => return Why::Lost,
        }
        let declared = u32::from_le_bytes(length);
        let Some(length) = usize::try_from(declared)
            .ok()
            .filter(|length| *length <= MOST_FRAME)
        else {
            return Why::TooLong(declared);
        };
        let mut frame = Vec::new();
        while frame.len() < length {
            let from = frame.len();
            frame.resize(length.min(from.saturating_add(STEP)), 0);
            let Some(part) = frame.get_mut(from..) else {
                return Why::Lost;
            };
            if receive.read_exact(part).await.is_err() {
                return Why::Lost;
            }
        }
        // Closed when this side has left: what still comes is let go, so that what this side sent can still leave.
        let _ = inbox.push_async(frame).await;
    }
}

/// Writes the queue's frames until it is closed and empty, then ends the stream.
pub(super) async fn write_all(send: &mut SendStream, outbox: &Queue) -> Why {
    while let Some(frame) = outbox.pull_async().await {
        let Ok(length) = u32::try_from(frame.len()) else {
            return Why::Ours;
        };
        let written = async {
            send.write_all(&length.to_le_bytes()).await?;
            send.write_all(&frame).await
        };
        match tokio::time::timeout(PATIENCE, written).await {
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
