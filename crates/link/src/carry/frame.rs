//! Frames as they lie in the file, and the running BLAKE3 over them. It never reads more of a frame than
//! [`FRAME_MAX`](super::FRAME_MAX), whatever the frame says of itself.

use std::io::{self, Read, Write};

use super::{CarryError, FORMAT, FRAME_MAX, Hash, MAGIC};

/// Letters of the frames.
pub(super) const HEAD: u8 = b'H';
pub(super) const SLICE: u8 = b'C';
pub(super) const PHOTO: u8 = b'P';
pub(super) const PIECE: u8 = b'B';
pub(super) const MARKS: u8 = b's';
pub(super) const END: u8 = b'E';

/// The end frame: four counts of eight bytes, and the BLAKE3.
pub(super) const COUNTS: usize = 32;
pub(super) const END_LENGTH: usize = COUNTS + 32;

/// What a photo's first frame holds: BLAKE3 and length.
pub(super) const PHOTO_LENGTH: usize = 40;

/// The seal of a file that is read as it lies.
const OPEN: u8 = 0;
/// The seal of a file for the members.
pub(super) const MEMBERS: u8 = 1;
/// The seal of a file for whoever knows its passphrase.
pub(super) const PASSPHRASE: u8 = 2;

/// What stands before the first frame, or before what is sealed.
pub(super) fn preamble(seal: u8) -> [u8; 16] {
    let [m0, m1, m2, m3, m4, m5, m6, m7] = MAGIC;
    let [low, high] = FORMAT.to_le_bytes();
    [m0, m1, m2, m3, m4, m5, m6, m7, low, high, 0, 0, seal, 0, 0, 0]
}

/// Reads and hashes at once.
pub(super) struct FrameInput<F> {
    from: F,
    hasher: blake3::Hasher,
}

impl<F: Read> FrameInput<F> {
    /// Reads from here on.
    pub(super) fn new(from: F) -> Self {
        FrameInput {
            from,
            hasher: blake3::Hasher::new(),
        }
    }

    /// Exactly `N` bytes.
    pub(super) fn exact<const N: usize>(&mut self) -> Result<[u8; N], CarryError> {
        let mut bytes = [0; N];
        self.from.read_exact(&mut bytes)?;
        self.hasher.update(&bytes);
        Ok(bytes)
    }

    /// Checks what stands before the first frame, of a file that is open.
    pub(super) fn preamble(&mut self) -> Result<(), CarryError> {
        match self.seal()? {
            OPEN => Ok(()),
            MEMBERS | PASSPHRASE => Err(CarryError::Unopened),
            seal => Err(CarryError::Sealed { seal }),
        }
    }

    /// Checks what stands before anything else, and gives the number of the seal.
    pub(super) fn seal(&mut self) -> Result<u8, CarryError> {
        let mut magic = Vec::with_capacity(MAGIC.len());
        (&mut self.from)
            .take(MAGIC.len() as u64)
            .read_to_end(&mut magic)?;
        self.hasher.update(&magic);
        if magic.is_empty() {
            return Err(CarryError::Empty);
        }
        if magic != MAGIC {
            return Err(if MAGIC.starts_with(&magic) {
                CarryError::Truncated
            } else {
                CarryError::Foreign
            });
        }
        let [low, high, must, _may, seal, free @ ..] = self.exact::<8>()?;
        let format = u16::from_le_bytes([low, high]);
        if format > FORMAT || (format == FORMAT && must != 0) {
            return Err(CarryError::Newer { format });
        }
        if format == 0 {
            return Err(CarryError::Malformed {
                what: "it names a format that never was",
            });
        }
        if seal <= PASSPHRASE && free != [0; 3] {
            return Err(CarryError::Malformed {
                what: "its front is not blank where it should be",
            });
        }
        Ok(seal)
    }

    /// Letter and length of the next frame.
    pub(super) fn front(&mut self) -> Result<(u8, usize), CarryError> {
        let [letter, a, b, c, d] = self.exact::<5>()?;
        let length = u32::from_le_bytes([a, b, c, d]) as usize;
        if length > FRAME_MAX {
            return Err(CarryError::Malformed {
                what: "a part is longer than any may be",
            });
        }
        Ok((letter, length))
    }

    /// The payload of a frame into `room`, which grows with the bytes that come and not with `length`.
    pub(super) fn payload(&mut self, length: usize, room: &mut Vec<u8>) -> Result<(), CarryError> {
        room.clear();
        (&mut self.from).take(length as u64).read_to_end(room)?;
        if room.len() < length {
            return Err(CarryError::Truncated);
        }
        self.hasher.update(room);
        Ok(())
    }

    /// The BLAKE3 of all bytes read so far, and the one that the file says comes next; these are not hashed.
    pub(super) fn digests(&mut self) -> Result<(Hash, Hash), CarryError> {
        let counted = *self.hasher.finalize().as_bytes();
        let mut said = [0; 32];
        self.from.read_exact(&mut said)?;
        Ok((counted, said))
    }

    /// Whether nothing follows.
    pub(super) fn at_end(&mut self) -> Result<bool, CarryError> {
        let mut one = Vec::new();
        Ok((&mut self.from).take(1).read_to_end(&mut one)? == 0)
    }
}

/// Writes and hashes at once.
pub(super) struct Output<W> {
    into: W,
    hasher: blake3::Hasher,
}

impl<W: Write> Output<W> {
    /// Writes what stands before the first frame.
    pub(super) fn new(into: W) -> Result<Self, CarryError> {
        let mut out = Output {
            into,
            hasher: blake3::Hasher::new(),
        };
        out.bytes(&preamble(OPEN))?;
        Ok(out)
    }

    /// The stream as far as it was written.
    pub(super) fn stream(&self) -> &W {
        &self.into
    }

    fn bytes(&mut self, bytes: &[u8]) -> Result<(), CarryError> {
        self.hasher.update(bytes);
        // A full stick may say so as an unexpected end: to the writer that is a failure, not a short file.
        self.into.write_all(bytes).map_err(CarryError::Io)
    }

    fn front(&mut self, letter: u8, length: usize) -> Result<(), CarryError> {
        let too_long = CarryError::Malformed {
            what: "a part is longer than any may be",
        };
        match u32::try_from(length) {
            Ok(length) if length as usize <= FRAME_MAX => {
                self.bytes(&[letter])?;
                self.bytes(&length.to_le_bytes())
            }
            _ => Err(too_long),
        }
    }

    /// One whole frame.
    pub(super) fn frame(&mut self, letter: u8, payload: &[u8]) -> Result<(), CarryError> {
        self.front(letter, payload.len())?;
        self.bytes(payload)
    }

    /// The end frame; gives back the stream, flushed, and the file's BLAKE3.
    pub(super) fn end(mut self, counts: [u64; 4]) -> Result<(W, Hash), CarryError> {
        self.front(END, END_LENGTH)?;
        for count in counts {
            self.bytes(&count.to_le_bytes())?;
        }
        let digest = *self.hasher.finalize().as_bytes();
        self.into.write_all(&digest).map_err(CarryError::Io)?;
        self.into.flush().map_err(CarryError::Io)?;
        Ok((self.into, digest))
    }
}

/// Whether a file's last 32 bytes are the BLAKE3 of all before them: whether it is as its sender made it.
pub(super) fn unharmed(from: &mut impl Read, length: u64) -> io::Result<bool> {
    let Some(before) = length.checked_sub(32) else {
        return Ok(false);
    };
    let mut hasher = blake3::Hasher::new();
    hasher.update_reader(from.by_ref().take(before))?;
    let mut said = Vec::new();
    from.take(32).read_to_end(&mut said)?;
    Ok(hasher.count() == before && said == hasher.finalize().as_bytes())
}
