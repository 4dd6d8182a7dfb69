//! Packing and opening one slice of the list of changes. It never opens a slice further than its bounds, whatever the
//! slice says of itself.

use std::io::Write;

use flate2::write::DeflateEncoder;
use flate2::{Compression, Decompress, FlushDecompress, Status};

use super::{CarryError, SLICE_MAX, SWELL_MAX};

const PLAIN: u8 = 0;
const DEFLATE: u8 = 1;

/// Packing and open length stand before the packed bytes.
const FRONT: usize = 5;

/// Packs `open` (at most [`SLICE_MAX`] bytes) as a frame's payload. Left plain where packing gains nothing, and where
/// it would gain more than a reader believes.
pub(super) fn pack(open: &[u8]) -> Result<Vec<u8>, CarryError> {
    let mut encoder = DeflateEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(open)?;
    let packed = encoder.finish()?;
    let believed = packed.len() < open.len() && !swells(packed.len(), open.len());
    let (packing, bytes) = if believed {
        (DEFLATE, packed.as_slice())
    } else {
        (PLAIN, open)
    };
    let length = u32::try_from(open.len()).map_err(|_| CarryError::Malformed {
        what: "a slice is too long",
    })?;
    let mut payload = Vec::with_capacity(FRONT + bytes.len());
    payload.push(packing);
    payload.extend_from_slice(&length.to_le_bytes());
    payload.extend_from_slice(bytes);
    Ok(payload)
}

/// Whether opening `packed` bytes into `open` is more than any honest slice does.
fn swells(packed: usize, open: usize) -> bool {
    open > packed.saturating_mul(SWELL_MAX)
}

/// Opens slices one after the other into the same room.
pub(super) struct SliceOpener {
    inflate: Decompress,
    room: Vec<u8>,
}

impl SliceOpener {
    /// An opener that holds nothing yet.
    pub(super) fn new() -> Self {
        SliceOpener {
            inflate: Decompress::new(false),
            room: Vec::new(),
        }
    }

    /// The open bytes of a frame's payload.
    pub(super) fn open<'a>(&'a mut self, payload: &'a [u8]) -> Result<&'a [u8], CarryError> {
        let bad = CarryError::Malformed {
            what: "a slice of changes cannot be opened",
        };
        let Some((&[packing, a, b, c, d], packed)) = payload.split_first_chunk::<FRONT>() else {
            return Err(bad);
        };
        let length = u32::from_le_bytes([a, b, c, d]) as usize;
        if length == 0 || length > SLICE_MAX {
            return Err(bad);
        }
        match packing {
            PLAIN if packed.len() == length => Ok(packed),
            DEFLATE if swells(packed.len(), length) => Err(CarryError::Swells),
            DEFLATE => {
                // One byte more than said: a stream that holds more shows itself by filling it, and the inflater
                // always has room to see its end mark.
                self.room.resize(length + 1, 0);
                self.inflate.reset(false);
                let status = self
                    .inflate
                    .decompress(packed, &mut self.room, FlushDecompress::Finish);
                let whole = matches!(status, Ok(Status::StreamEnd))
                    && self.inflate.total_in() == packed.len() as u64
                    && self.inflate.total_out() == length as u64;
                match self.room.get(..length) {
                    Some(open) if whole => Ok(open),
                    _ => Err(bad),
                }
            }
            _ => Err(bad),
        }
    }
}
