//! What stands before the content inside a sealed stream. It never holds anything of the record but its id.

use std::io::{self, Read};

use super::{RECORD_MAX, SIGNED, SealError};

const MAGIC: [u8; 6] = *b"wmseal";
const LAYOUT: u16 = 1;

/// What the content is. One kind is never taken for another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum SealKind {
    /// An open carry file.
    Carry = 1,
    /// A batch in a drop: changes, and which photos lie where.
    Batch = 2,
    /// A photo in a drop.
    Photo = 3,
}

/// Of which record the content is, and what it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Subject<'a> {
    /// The record's id, at most [`RECORD_MAX`] bytes.
    pub record: &'a str,
    /// What the content is.
    pub kind: SealKind,
}

/// How many bytes the front of a record's content has.
pub(super) fn length(record: &str) -> usize {
    MAGIC.len() + 2 + 2 + record.len() + 32
}

/// The front as bytes.
pub(super) fn write(about: &Subject<'_>, sender: &[u8; 32]) -> Result<Vec<u8>, SealError> {
    let length = u8::try_from(about.record.len()).map_err(|_| SealError::BadRecord)?;
    if usize::from(length) > RECORD_MAX {
        return Err(SealError::BadRecord);
    }
    let mut front = MAGIC.to_vec();
    front.extend_from_slice(&LAYOUT.to_le_bytes());
    front.push(about.kind as u8);
    front.push(length);
    front.extend_from_slice(about.record.as_bytes());
    front.extend_from_slice(sender);
    Ok(front)
}

/// A front as it was read.
pub(super) struct Front {
    /// All of its bytes.
    pub(super) bytes: Vec<u8>,
    /// The record that it names.
    pub(super) record: String,
    /// The sender's key.
    pub(super) sender: [u8; 32],
}

/// Reads a front. It must name this kind, and this record where one is given.
pub(super) fn read(
    from: &mut impl Read,
    wanted: SealKind,
    expected: Option<&str>,
) -> Result<Front, SealError> {
    let [m0, m1, m2, m3, m4, m5, low, high, kind, length] = exact::<10>(from)?;
    if [m0, m1, m2, m3, m4, m5] != MAGIC {
        return Err(SealError::Malformed);
    }
    let layout = u16::from_le_bytes([low, high]);
    if layout > LAYOUT {
        return Err(SealError::Newer);
    }
    if layout == 0 || usize::from(length) > RECORD_MAX {
        return Err(SealError::Malformed);
    }
    let mut record = vec![0; usize::from(length)];
    from.read_exact(&mut record).map_err(inside)?;
    let record = String::from_utf8(record).map_err(|_| SealError::Malformed)?;
    if expected.is_some_and(|expected| expected != record) {
        return Err(SealError::OtherRecord);
    }
    if kind != wanted as u8 {
        return Err(SealError::OtherKind);
    }
    let sender = exact::<32>(from)?;
    let about = Subject {
        record: &record,
        kind: wanted,
    };
    let bytes = write(&about, &sender)?;
    Ok(Front {
        bytes,
        record,
        sender,
    })
}

/// What is signed.
pub(super) fn signed(front: &[u8], content: &blake3::Hash) -> Vec<u8> {
    let mut signed = SIGNED.to_vec();
    signed.extend_from_slice(front.get(MAGIC.len() + 2..).unwrap_or_default());
    signed.extend_from_slice(content.as_bytes());
    signed
}

fn exact<const N: usize>(from: &mut impl Read) -> Result<[u8; N], SealError> {
    let mut bytes = [0; N];
    from.read_exact(&mut bytes).map_err(inside)?;
    Ok(bytes)
}

/// What an error while decrypting means. age tells a stream that ends early from one whose bytes are others.
pub(super) fn inside(error: io::Error) -> SealError {
    match error.kind() {
        io::ErrorKind::UnexpectedEof => SealError::CutShort,
        io::ErrorKind::InvalidData => SealError::Damaged,
        _ => SealError::Io(error),
    }
}
