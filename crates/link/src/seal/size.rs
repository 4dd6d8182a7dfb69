//! How long something will be once it is sealed, without sealing it. It never says less than it will be.

use super::{READERS_MAX, front};

/// A line `-> X25519 …` with its body (age's specification: 32 bytes of base64 each, the body 32 bytes as well).
const READER: u64 = 10 + 43 + 1 + 43 + 1;

/// The one line of a passphrase with its body.
const PASSPHRASE: u64 = 10 + 22 + 1 + 2 + 1 + 43 + 1;

/// The first line, the line of the MAC, and the nonce.
const AROUND: u64 = 22 + 4 + 43 + 1 + 16;

/// The one reader that age makes up at random beside members: its first line has at most 66 characters, its body at most
/// 99 bytes in three lines of base64.
const MADE_UP: u64 = 66 + 1 + 132 + 3;

/// age's pieces, and the tag behind each.
const PIECE: u64 = 64 * 1024;
const TAG: u64 = 16;

/// At most how many bytes `content` bytes about `record` are when sealed; `readers` is the number of members, or nought
/// for a passphrase. At most some 200 bytes too many: age makes up a reader of random length beside the members.
pub fn sealed_size(content: u64, record: &str, readers: usize) -> u64 {
    let header = match readers.min(READERS_MAX) as u64 {
        0 => PASSPHRASE,
        readers => readers * READER + MADE_UP,
    };
    let plain = content.saturating_add(front::length(record) as u64 + 64);
    let pieces = plain.div_ceil(PIECE).max(1);
    AROUND + header + plain.saturating_add(pieces.saturating_mul(TAG))
}
